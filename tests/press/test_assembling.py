"""Labels as assembled and read back: a test alphabet that the reader never learned, bodies with known outlines."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import union_all
from shapely.affinity import rotate
from shapely.geometry import LineString, Polygon, box

from labelcheck.board.components import Component
from labelcheck.labels.finding import find_labels
from labelcheck.labels.reading.reader import BuiltInReader, built_in_reader
from labelcheck.press.evidence import Evidence
from labelcheck.press.scene import evidence_on
from labelcheck.trade.limits import limits_for
from labelcheck.trade.shapes import Shapes, polygon
from labelcheck.trade.sides import Side
from tests.labels.alphabet import Lettering, draw_text, turn
from tests.press.press_boards import a_board, layer_of
from tests.press.test_hiding import a_part

LIMITS = limits_for()
READER: BuiltInReader = built_in_reader()
LARGE = Lettering(height_mm=1.5, pen_mm=0.18)
ALLOWANCE = LIMITS.body_allowance.value_mm


def seen(text: Shapes, *parts: Component, openings: Shapes | None = None, side: Side = Side.TOP) -> Evidence:
    board = replace(a_board(text, openings), components=parts)
    if side is Side.BOTTOM:
        board = replace(board, top=board.bottom, bottom=replace(board.top, side=Side.BOTTOM))
    (one,) = evidence_on(board, side, find_labels(side, board.on(side).legend, READER), LIMITS, READER)
    return one


def reads(one: Evidence) -> str | None:
    return None if one.assembled is None else one.assembled.reads_as(one.label.text, one.printed)


def last_character(text: Shapes) -> float:
    """Left edge of the last character."""
    (label,) = find_labels(Side.TOP, layer_of(text), READER).labels
    return label.marks[-1].box_mm[0]


def test_where_no_body_is_known_nothing_is_said_and_beside_one_it_reads_as_printed() -> None:
    text = draw_text("R12", (10, 10), LARGE)
    assert reads(seen(text)) is None
    one = seen(text, a_part(box(20, 20, 24, 24)))
    assert reads(one) == "R12" and one.assembled is not None and one.assembled.seen == 1.0


def test_a_reference_whose_last_digit_is_hidden_reads_as_another_reference() -> None:
    text = draw_text("R12", (10, 10), LARGE)
    one = seen(text, a_part(box(last_character(text), 9, 16, 13)))
    assert one.label.text == "R12" and one.printed.reads_as("R12") == "R12"
    assert reads(one) == "R1"
    assert one.assembled is not None
    (misread,) = one.assembled.misread_surely
    assert (misread.drawn, misread.printed, misread.gone) == ("2", None, True)


def test_a_label_that_is_hidden_as_a_whole_reads_as_nothing() -> None:
    one = seen(draw_text("R12", (10, 10), LARGE), a_part(box(8, 8, 16, 14)))
    assert reads(one) == "" and one.assembled is not None and one.assembled.seen == 0.0


@pytest.mark.parametrize("side", [Side.TOP, Side.BOTTOM])
@pytest.mark.parametrize("angle_deg", [0, 30, 90, 180, 270])
def test_an_e_with_its_foot_hidden_reads_as_an_f_whichever_way_it_lies(side: Side, angle_deg: float) -> None:
    mirrored = side is Side.BOTTOM
    at = np.array([20.0, 15.0])
    text = draw_text("EAST 5", tuple(at), LARGE, angle_deg, mirrored)
    corners = np.array([(0.15, -0.6), (1.0, -0.6), (1.0, 0.0), (0.15, 0.0)])
    foot = Polygon(turn(corners, angle_deg, mirrored) + at)
    one = seen(text, replace(a_part(foot), side=side), side=side)
    assert one.label.text == "EAST 5"
    assert reads(one) == "FAST 5"


def test_what_is_clipped_is_not_seen_again_because_a_body_stands_beside_it() -> None:
    text = draw_text("E5T", (10, 10), LARGE)
    foot = polygon([np.array([(10.3, 9.5), (10.9, 9.5), (10.9, 10.0), (10.3, 10.0)])])
    one = seen(text, a_part(box(last_character(text) - 0.02, 9, 16, 13)), openings=foot)
    assert one.printed.reads_as("E5T") == "F5T"
    assert reads(one) == "F5"


def test_an_estimate_may_hide_and_surely_hides_nothing() -> None:
    text = draw_text("R12", (10, 10), LARGE)
    one = seen(text, a_part(box(last_character(text) - 0.2, 9, 16, 13), estimated=True))
    assert one.assembled is not None and one.assembled.misread_surely == ()
    assert reads(one) == "R1"


def test_what_is_seen_is_the_ink_beside_all_bodies_together() -> None:
    """Against shapely: the strokes of a word less the union of turned bodies at their largest."""
    text = draw_text("TRACK", (10, 10), LARGE)
    bodies = [rotate(box(9, 9, 11.2, 10.6), 25), box(10.5, 9.5, 12.0, 10.7), box(13.1, 10.9, 14.5, 12)]
    one = seen(text, *(a_part(body, f"U{at}") for at, body in enumerate(bodies)))
    ends = np.column_stack((text.x0, text.y0, text.x1 + 1e-9, text.y1)).reshape(-1, 2, 2)
    strokes = [
        LineString(pair).buffer(width / 2, quad_segs=32)
        for pair, width in zip(ends, text.width[text.bar_object], strict=True)
    ]
    ink, hidden = union_all(strokes), union_all([body.buffer(ALLOWANCE, join_style="mitre") for body in bodies])
    assert one.assembled is not None
    assert one.assembled.seen == pytest.approx(1 - ink.intersection(hidden).area / ink.area, abs=0.02)

