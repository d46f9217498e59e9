"""Labels as printed and read back: drawn in a test alphabet that the reader never learned, with known losses."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from labelcheck.board.board import Board, Holes
from labelcheck.labels.finding import find_labels
from labelcheck.labels.label import SideLabels
from labelcheck.labels.reading.reader import BuiltInReader, built_in_reader
from labelcheck.press import scene
from labelcheck.press.evidence import WHOLE, Evidence, Printed
from labelcheck.press.printing import as_printed
from labelcheck.press.scene import evidence_on
from labelcheck.trade.limits import Limits, Process, limits_for
from labelcheck.trade.shapes import Shapes, concatenate, empty_shapes, polygon
from labelcheck.trade.sides import Side
from tests.labels.alphabet import Lettering, draw_text, turn
from tests.labels.lettering import as_areas
from tests.press.press_boards import a_board, discs, layer_of

LIMITS = limits_for()
READER: BuiltInReader = built_in_reader()
LARGE = Lettering(height_mm=1.5, pen_mm=0.18)


def square(x0: float, y0: float, x1: float, y1: float) -> Shapes:
    return polygon([np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])])


def looked_at(board: Board, side: Side = Side.TOP, limits: Limits = LIMITS) -> tuple[Evidence, ...]:
    legend = board.on(side).legend
    return evidence_on(board, side, find_labels(side, legend, READER), limits, READER)


def printed(board: Board, limits: Limits = LIMITS) -> tuple[Evidence, Printed]:
    (one,) = looked_at(board, limits=limits)
    return one, one.printed


def reads(evidence: Evidence) -> str | None:
    return evidence.printed.reads_as(evidence.label.text)


def test_a_label_in_the_clear_is_printed_as_drawn() -> None:
    one, state = printed(a_board(draw_text("E5", (10, 10), LARGE)))
    assert one.label.text == "E5" and reads(one) == "E5"
    assert state is WHOLE


def test_an_e_without_its_foot_reads_as_an_f() -> None:
    one, state = printed(a_board(draw_text("E5", (10, 10), LARGE), openings=square(10.3, 9.5, 10.9, 10.0)))
    assert one.label.text == "E5" and reads(one) == "F5"
    (misread,) = state.misread
    assert (misread.place, misread.marks, misread.drawn, misread.printed) == (0, (0,), "E", "F")
    assert misread.sure and 0.7 < misread.left < 0.9


def test_a_character_that_is_gone_reads_as_nothing_and_a_label_that_is_gone_as_no_text() -> None:
    text = draw_text("E5", (10, 10), LARGE)
    one, _ = printed(a_board(text, openings=square(9.5, 9.5, 11.05, 12)))
    assert reads(one) == "5"  # nobody misses what left no trace at an end
    one, _ = printed(a_board(draw_text("E5R", (10, 10), LARGE), openings=square(11.2, 9.5, 12.2, 12)))
    assert reads(one) == "E?R"
    one, state = printed(a_board(text, openings=square(9, 9, 13, 12)))
    assert reads(one) == "" and state.left == 0.0


@pytest.mark.parametrize("side", [Side.TOP, Side.BOTTOM])
@pytest.mark.parametrize("angle_deg", [0, 30, 90, 180, 270])
def test_it_is_the_same_whichever_way_the_label_lies(side, angle_deg) -> None:
    mirrored = side is Side.BOTTOM
    at = np.array([20.0, 15.0])
    text = draw_text("EAST 5", tuple(at), LARGE, angle_deg, mirrored)
    foot = polygon([turn(np.array([(0.3, -0.5), (0.9, -0.5), (0.9, 0.0), (0.3, 0.0)]), angle_deg, mirrored) + at])
    board = a_board(text, openings=foot)
    if mirrored:
        board = replace(board, top=board.bottom, bottom=replace(board.top, side=Side.BOTTOM))
    (one,) = looked_at(board, side)
    assert one.label.text == "EAST 5"
    assert reads(one) == "FAST 5"


@cache
def crowded() -> tuple[Board, SideLabels]:
    """Sixty labels in all directions, strokes and areas, with openings and holes strewn among them."""
    rng = np.random.default_rng(5)
    words = ["R12", "C8", "GATE", "B6", "OPEN", "U3", "EXIT", "Q9", "TRACK", "S2"]
    parts = []
    for at in range(60):
        style = Lettering(float(rng.choice([0.9, 1.2, 1.6])), float(rng.choice([0.12, 0.15, 0.2])))
        place = (3 + at % 6 * 6.0, 2.5 + at // 6 * 2.6)
        text = draw_text(words[at % 10], place, style, float(rng.choice([0, 0, 90])))
        parts.append(as_areas(text) if at % 7 == 3 else text)
    spots = discs(*zip(rng.uniform(2, 38, 90), rng.uniform(2, 28, 90), rng.uniform(0.3, 0.9, 90), strict=True))
    drills = discs(*zip(rng.uniform(2, 38, 30), rng.uniform(2, 28, 30), rng.uniform(0.6, 1.0, 30), strict=True))
    board = a_board(concatenate(parts), openings=spots, holes=Holes(drills, (False,) * 30), area=box(1, 1, 39, 28.5))
    return board, find_labels(Side.TOP, board.top.legend, READER)


@pytest.mark.parametrize("process", list(Process))
def test_the_short_cut_gives_what_the_full_model_gives(process, monkeypatch) -> None:
    board, found = crowded()
    limits = limits_for(process)
    short = [one.printed for one in evidence_on(board, Side.TOP, found, limits, READER)]
    monkeypatch.setattr(scene, "as_printed", lambda *given: as_printed(*given, all_in_full=True))
    full = [one.printed for one in evidence_on(board, Side.TOP, found, limits, READER)]
    spared = sum(one is WHOLE for one in short)
    assert spared > 5 and sum(one is WHOLE for one in full) == 0
    for one, other in zip(short, full, strict=True):
        assert one.misread == other.misread and one.misread_when_shifted == other.misread_when_shifted
        assert one.left == pytest.approx(other.left, abs=0.005)
        assert one.least_left == pytest.approx(other.least_left, abs=0.01)
        assert (one.closed, one.broken, one.joined) == (other.closed, other.broken, other.joined) or one is WHOLE
        if one is WHOLE:
            assert other.closed == () and other.broken == ()


def test_the_worst_shift_is_the_one_that_costs_most(two_posts) -> None:
    """A hole 0.05 mm beside the left post: shifted 0.1 mm towards it, the post loses what shapely says."""
    shapes, found = two_posts
    # The rim of the hole, which is 1 mm wide, is at x = 9.85; the left post's edge at 9.9.
    hole = Holes(discs((9.35, 11, 1.0)), (False,))
    (one,) = evidence_on(a_board(shapes, holes=hole), Side.TOP, found, LIMITS, READER)
    state = one.printed
    assert state.left == 1.0 and state.shift_mm == (-0.1, 0.0)
    post = LineString([(9.9, 10), (9.9, 12)]).buffer(0.1, quad_segs=64)
    lost = post.intersection(Point(9.35, 11).buffer(0.5, quad_segs=64)).area / post.area
    assert 1 - state.least_left_when_shifted == pytest.approx(lost, abs=0.03)


def test_no_shift_is_worse_than_none_far_from_holes_and_edges(two_posts) -> None:
    shapes, found = two_posts
    (one,) = evidence_on(a_board(shapes, openings=discs((9.35, 11, 1.0))), Side.TOP, found, LIMITS, READER)
    assert one.printed.shift_mm is None and one.printed.least_left < 1.0


@pytest.mark.parametrize("process", list(Process))
def test_iso_3098_lettering_survives_every_process(process) -> None:
    """ISO 3098 type B at its least nominal size, 1.8 mm: stroke h/10, clear space between characters 2h/10."""
    size = 1.8
    style = Lettering(height_mm=size, pen_mm=size / 10, spacing=0.2 * size / ((size - size / 10) / 6))
    legend = draw_text("TRACK 48", (10, 10), style)
    (one,) = looked_at(a_board(legend), limits=limits_for(process))
    assert one.label.text == "TRACK 48" and reads(one) == "TRACK 48"
    assert one.printed.broken == () and one.printed.joined == ()


def test_strokes_too_thin_to_print_leave_no_label() -> None:
    one, state = printed(a_board(draw_text("E5", (10, 10), Lettering(1.5, 0.06))))
    assert one.label.text == "E5"
    assert state.left < 0.2, "crumbs stay where strokes meet"
    assert reads(one) == "??"


def test_a_gap_narrower_than_the_spread_closes() -> None:
    """Neighbours 0.03 mm apart: 0.02 mm of ink from each side closes them, and the place is told."""
    pen = 0.2
    style = Lettering(1.5, pen)
    unit = style.unit_mm
    touching = replace(style, spacing=(pen + 0.03) / unit - 0.5 * pen / unit)
    (one,) = looked_at(a_board(draw_text("NH", (10, 10), touching)))
    assert one.printed.joined == (0,)
    assert one.printed.misread == (), "a person tells two letters that touch"


def test_without_a_reader_ink_is_still_counted() -> None:
    board = a_board(draw_text("E5", (10, 10), LARGE), openings=square(10.3, 9.5, 10.9, 10.0))
    found = find_labels(Side.TOP, board.top.legend, READER)
    (one,) = evidence_on(board, Side.TOP, found, LIMITS)
    assert one.printed.misread == () and one.printed.least_left < 0.9


def test_no_labels_and_no_ink(two_posts) -> None:
    shapes, found = two_posts
    assert evidence_on(a_board(shapes), Side.TOP, SideLabels((), found.drawings), LIMITS, READER) == ()
    bare = replace(a_board(shapes), top=replace(a_board(shapes).top, legend=layer_of(empty_shapes())))
    assert evidence_on(bare, Side.TOP, SideLabels((), ()), LIMITS, READER) == ()
