"""Labels found on small drawn legends, without a reader: grouping by geometry alone."""

import numpy as np
import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.label import SideLabels
from labelcheck.trade.shapes import Shapes, bars, concatenate
from labelcheck.trade.sides import Side

from .alphabet import Lettering, draw_text


def find(*parts: Shapes, side: Side = Side.TOP) -> SideLabels:
    return find_labels(side, Layer(("legend.gbr",), concatenate(parts), (), ((),)), None)


def box_drawn(x0: float, y0: float, x1: float, y1: float, pen: float = 0.15) -> Shapes:
    """A rectangle of four strokes."""
    x, y = np.array([x0, x1, x1, x0]), np.array([y0, y0, y1, y1])
    return bars(x, y, np.roll(x, -1), np.roll(y, -1), pen)


@pytest.mark.parametrize("side", [Side.TOP, Side.BOTTOM])
@pytest.mark.parametrize("angle", [0, 90, 180, 270, 30, 47.3, 135, 211, 340])
def test_a_word_is_one_label_at_any_angle_on_both_sides(angle, side):
    style = Lettering(1.0, 0.15)
    word = draw_text("TRACK 42", (10.0, 20.0), style, angle, mirrored=side is Side.BOTTOM)
    (label,) = find(word, side=side).labels
    assert len(label.marks) == 7
    assert label.character_height_mm == pytest.approx(1.0, abs=0.005)
    assert label.stroke_least_mm == label.stroke_typical_mm == pytest.approx(0.15)
    assert (label.turned_deg - angle) % 180 == pytest.approx(0, abs=0.3) or (
        (label.turned_deg - angle) % 180 == pytest.approx(180, abs=0.3)
    )
    assert sorted(row for mark in label.marks for row in mark.objects) == list(range(len(word)))


def test_drawings_are_no_labels():
    found = find(
        box_drawn(0, 0, 5, 3), box_drawn(8, 0, 9, 0.5), bars([1.0], [1.0], [1.0], [1.0], 0.5),
        bars([0, 0], [5, 6], [4, 4], [5, 6], 0.15),
    )
    assert found.labels == ()
    assert len(found.drawings) == 5


def test_text_beside_and_inside_frames_is_found():
    found = find(
        box_drawn(-1, -1, 8, 2), draw_text("SIGNAL"), draw_text("R12", (9.0, 0)), box_drawn(12.5, 0.2, 14, 0.9),
    )
    assert sorted(len(label.marks) for label in found.labels) == [3, 6]


def test_strokes_drawn_twice_count_once_but_all_their_rows_are_told():
    word = draw_text("MOTOR")
    (label,) = find(word, word).labels
    assert len(label.marks) == 5
    assert sorted(row for mark in label.marks for row in mark.objects) == list(range(2 * len(word)))


def test_the_order_of_the_file_does_not_matter():
    word = draw_text("TURNOUT 7")
    order = np.random.default_rng(3).permutation(len(word))
    shuffled = bars(word.x0[order], word.y0[order], word.x1[order], word.y1[order], 0.15)
    (label,) = find(shuffled).labels
    assert len(label.marks) == 8


def test_no_ink_no_labels():
    empty = bars(np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(0), 0.1)
    assert find(empty) == SideLabels((), ())
