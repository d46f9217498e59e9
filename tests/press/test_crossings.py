"""What crosses a lone character, and what is only the rest of the drawing that it is a piece of."""

from dataclasses import replace

import numpy as np
import pytest

from labelcheck.labels.label import Label, Mark, SideLabels
from labelcheck.press.crossings import crossings_of
from labelcheck.raster.rendering import render_groups
from labelcheck.trade.shapes import concatenate
from tests.press.press_boards import strokes


@pytest.mark.parametrize(
    ("order", "crossed"),
    [(("post", "line"), True), (("line", "post"), True), (("line", "post", "more"), False)],
)
def test_a_line_before_or_after_a_lone_character_crosses_it_and_a_drawing_around_it_does_not(
    two_posts, order, crossed
) -> None:
    parts = {
        "post": strokes((10, 10, 10, 12)), "line": strokes((8, 11, 12, 11)), "more": strokes((12, 11, 12, 14)),
    }
    shapes = concatenate([parts[name] for name in order])
    at = order.index("post")
    mark = Mark(0, (at,), (9.9, 9.9, 10.1, 12.1), 0.2, "I")
    label: Label = replace(two_posts[1].labels[0], marks=(mark,), box_mm=mark.box_mm)
    rest = tuple(row for row in range(len(order)) if row != at)
    drawing = Mark(1, rest, (7.9, 10.9, 12.1, 14.1), 0.2, None)
    group = [0 if row == at else 1 for row in range(len(order))]
    ink = render_groups(shapes, np.array(group), 0.01)
    (crossing,) = crossings_of(ink, SideLabels((label,), (drawing,)))
    assert (crossing is not None) is crossed


@pytest.mark.parametrize(("y", "share"), [(11.0, 0.53), (10.5, 0.31), (10.1, 0.12)])
def test_a_line_at_the_foot_of_a_plus_counts_less_than_one_through_its_middle(two_posts, y, share) -> None:
    # A plus of 2 mm drawn with 0.2 mm has 0.823 mm2 of ink. So far below its middle as d its hull, which touches the
    # round ends, is 2 (1 + 0.1 sqrt 2 - d) mm wide: 0.257 and 0.097 mm2 of a line of 0.2 mm lie in it 0.5 and 0.9 mm
    # below, 0.44 mm2 through its middle.
    shapes = concatenate([strokes((10, 10, 10, 12), (9, 11, 11, 11)), strokes((5, y, 15, y))])
    mark = Mark(0, (0, 1), (8.9, 9.9, 11.1, 12.1), 0.2, "+")
    label: Label = replace(two_posts[1].labels[0], marks=(mark,), box_mm=mark.box_mm)
    ink = render_groups(shapes, np.array([0, 0, 1]), 0.01)
    (crossing,) = crossings_of(ink, SideLabels((label,), (Mark(1, (2,), (4.9, 10, 15.1, 11), 0.2, None),)))
    assert crossing.fraction == pytest.approx(share, abs=0.02)
