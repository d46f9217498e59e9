"""Knocked-out labels as printed: against exact vector erosion (shapely), and read back in every process."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon, box

from labelcheck.board.board import Holes
from labelcheck.labels.finding import find_labels
from labelcheck.labels.label import Label
from labelcheck.labels.reading.reader import BuiltInReader, built_in_reader
from labelcheck.press.evidence import Evidence
from labelcheck.press.obstacles import obstacles_on
from labelcheck.press.printing_clear import at_risk, clear_ink, clear_printed, knocked_out
from labelcheck.press.scene import evidence_on
from labelcheck.raster.runs import area_by_group
from labelcheck.trade.limits import Limits, Process, limits_for
from labelcheck.trade.shapes import Shapes, concatenate, polygon
from labelcheck.trade.sides import Side
from tests.labels.alphabet import Lettering, draw_text
from tests.labels.lettering import drawn, ink_of
from tests.press.press_boards import a_board, discs
from tests.press.test_hiding import a_part

LIMITS = limits_for()
READER: BuiltInReader = built_in_reader()
WAYS = ("knocked out by clear strokes", "knocked out by rings", "knocked out by cut-ins")
SIZE = 1.5


def text_in_a_field(
    way: str = WAYS[0], pen_mm: float = 0.2, angle_deg: float = 0.0, text: str = "TRACK 48"
) -> Shapes:
    return drawn(way, text, (10, 10), Lettering(SIZE, pen_mm), angle_deg)


def looked_at(shapes: Shapes, limits: Limits = LIMITS, **board: object) -> Evidence:
    made = a_board(shapes, **{name: value for name, value in board.items() if name != "components"})  # type: ignore[arg-type]  # the tests name the fields
    made = replace(made, components=board.get("components", ()))
    found = find_labels(Side.TOP, made.top.legend, READER)
    (one,) = evidence_on(made, Side.TOP, found, limits, READER)
    assert one.label.drawn_as == "knocked out"
    return one


def reads(one: Evidence) -> str | None:
    return one.printed.reads_as(one.label.text)


@pytest.mark.parametrize("process", list(Process))
@pytest.mark.parametrize("angle_deg", [0, 30, 90])
def test_wide_clear_strokes_stay_readable(process: Process, angle_deg: float) -> None:
    one = looked_at(text_in_a_field(angle_deg=angle_deg), limits_for(process))
    assert one.label.text == "TRACK 48" and reads(one) == "TRACK 48"
    assert one.printed.broken == () and one.printed.closed == ()


@pytest.mark.parametrize("way", WAYS[:2])
def test_strokes_that_the_ink_runs_into_close(way: str) -> None:
    """Narrower than twice the spread: shapely erodes them to crumbs where strokes meet, and nothing is read."""
    pen_mm = 2 * LIMITS.spread.value_mm - 0.005
    exact = ink_of(draw_text("TRACK 48", (10, 10), Lettering(SIZE, pen_mm)))
    assert exact.buffer(-LIMITS.spread.value_mm).area < 0.01 * exact.area
    one = looked_at(text_in_a_field(way, pen_mm))
    assert one.label.text == "TRACK 48"
    assert one.printed.left < 0.5 and len(one.printed.broken) > 2
    read = reads(one)
    assert read is not None and "TRACK" not in read and "48" not in read
    assert one.printed_fraction == one.printed.left


@pytest.mark.parametrize("pen_mm", [0.1, 0.15, 0.2])
@pytest.mark.parametrize("angle_deg", [0, 30])
def test_clear_space_shrinks_as_exact_erosion_says(pen_mm: float, angle_deg: float) -> None:
    shapes = text_in_a_field(pen_mm=pen_mm, angle_deg=angle_deg)
    board = a_board(shapes)
    labels = find_labels(Side.TOP, board.top.legend, READER).labels
    ink = clear_ink(shapes, labels, obstacles_on(board, Side.TOP, (0, 0, 40, 30), LIMITS), LIMITS)
    exact = ink_of(draw_text("TRACK 48", (10, 10), Lettering(SIZE, pen_mm), angle_deg), steps=32)
    count = len(ink.kept)
    rim = exact.length * LIMITS.pitch_mm / 4
    assert area_by_group(ink.drawn, count).sum() == pytest.approx(exact.area, abs=rim)
    eroded = exact.buffer(-LIMITS.spread.value_mm)
    assert area_by_group(ink.printed, count).sum() == pytest.approx(eroded.area, abs=rim)


def test_a_neighbour_that_leans_into_the_box_is_none_of_a_character() -> None:
    shapes = text_in_a_field(angle_deg=30, text="WAVE 48")
    board = a_board(shapes)
    labels = find_labels(Side.TOP, board.top.legend, READER).labels
    ink = clear_ink(shapes, labels, obstacles_on(board, Side.TOP, (0, 0, 40, 30), LIMITS), LIMITS)
    letters = shapely.get_parts(ink_of(draw_text("WAVE 48", (10, 10), Lettering(SIZE, 0.2), 30), steps=32))
    assert len(letters) == 6
    # Boxes of neighbours overlap, or nothing would be shown.
    assert any(box(*a.bounds).intersects(b) for a in letters for b in letters if a is not b)
    areas = sorted(area_by_group(ink.drawn, len(ink.kept))[[mark.number for mark in labels[0].marks]])
    assert areas == pytest.approx(sorted(letter.area for letter in letters), rel=0.03)


def test_ink_lost_around_a_character_takes_it_along() -> None:
    whole = looked_at(text_in_a_field())
    mark = whole.label.marks[2]
    x, y = (mark.box_mm[0] + mark.box_mm[2]) / 2, (mark.box_mm[1] + mark.box_mm[3]) / 2
    for obstacle in ({"openings": discs((x, y, 1.6))}, {"holes": Holes(discs((x, y, 1.6)), (False,))}):
        one = looked_at(text_in_a_field(), **obstacle)
        assert one.printed.least_left < 0.7
        assert [misread.drawn for misread in one.printed.misread] == ["A"]
        assert reads(one) == "TR?CK 48"


def test_an_opening_that_does_not_reach_it_changes_nothing() -> None:
    one = looked_at(text_in_a_field(), openings=discs((30, 20, 2)))
    assert reads(one) == "TRACK 48" and one.printed.left == pytest.approx(1.0, abs=0.01)


def test_what_a_body_hides_is_not_read() -> None:
    label: Label = looked_at(text_in_a_field()).label
    x0 = label.marks[-1].box_mm[0]
    one = looked_at(text_in_a_field(), components=(a_part(Polygon(box(x0, 8, x0 + 4, 14))),))
    assert one.assembled is not None
    assert one.assembled.reads_as(one.label.text, one.printed) == "TRACK 4"


@pytest.mark.parametrize("process", list(Process))
@pytest.mark.parametrize("pen_mm", [0.06, 0.08, 0.1, 0.12, 0.15, 0.2])
@pytest.mark.parametrize("angle_deg", [0, 30])
def test_what_is_spared_the_model_would_have_been_printed_as_drawn(process: Process, pen_mm, angle_deg) -> None:
    shapes, limits = text_in_a_field(pen_mm=pen_mm, angle_deg=angle_deg), limits_for(process)
    board = a_board(shapes)
    labels = find_labels(Side.TOP, board.top.legend, READER).labels
    obstacles = obstacles_on(board, Side.TOP, (0, 0, 40, 30), limits)
    risky = at_risk(labels, obstacles, limits)
    assert risky or pen_mm > 2 * limits.spread.value_mm + limits.printed_pixel.value_mm
    assert not risky or pen_mm < 0.2
    if not risky:
        printed = clear_printed(clear_ink(shapes, labels, obstacles, limits), labels, READER, limits)
        (state,) = printed.values()
        assert state.misread == () and state.broken == () and state.closed == ()


def test_what_comes_near_puts_a_field_at_risk() -> None:
    shapes = text_in_a_field()
    (label,) = find_labels(Side.TOP, a_board(shapes).top.legend, READER).labels
    x0, y0, x1, y1 = label.box_mm
    for changes, expected in (
        ({}, False),
        ({"openings": discs((x1 + 0.5, y0, 0.5))}, False),
        ({"openings": discs((x1 + 0.3, y0, 0.5))}, True),
        ({"holes": Holes(discs((x0, y1 + 0.3, 0.6)), (False,))}, True),
        ({"area": box(0, 0, x1 - 0.1, 30)}, True),
        ({"area": box(0, 0, x1 + 0.1, 30)}, False),
    ):
        obstacles = obstacles_on(a_board(shapes, **changes), Side.TOP, (0, 0, 40, 30), LIMITS)  # type: ignore[arg-type]  # the tests name the fields
        assert bool(at_risk([label], obstacles, LIMITS)) is expected, changes


def test_labels_of_ink_are_left_alone() -> None:
    strokes = draw_text("TRACK 48", (10, 10), Lettering(SIZE, 0.2))
    both = concatenate([strokes, polygon([np.array([(30.0, 20.0), (31, 20), (31, 21), (30, 21)])])])
    assert knocked_out(find_labels(Side.TOP, a_board(both).top.legend, READER).labels) == []
