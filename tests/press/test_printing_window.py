"""A window as drawn and as printed, against exact geometry (shapely: a general-purpose geometry library)."""

import pytest
from shapely.geometry import LineString, Point, box

from labelcheck.board.board import Holes
from labelcheck.press.printing_window import window_as_printed
from labelcheck.trade.limits import limits_for
from labelcheck.trade.shapes import bars
from labelcheck.trade.sides import Side
from tests.press.press_boards import a_board, discs

LIMITS = limits_for()
AROUND = (9.5, 9.5, 12.5, 12.5)
POSTS = LineString([(10, 10), (10, 12)]).buffer(0.1).union(LineString([(12, 10), (12, 12)]).buffer(0.1))
SPREAD = LIMITS.spread.value_mm


def area(bitmap) -> float:
    return float(bitmap.sum()) * LIMITS.pitch_mm**2


def test_ink_in_the_clear_spreads_and_nothing_else(two_posts) -> None:
    seen = window_as_printed(a_board(two_posts[0]), Side.TOP, AROUND, LIMITS)
    assert seen.drawn.shape == seen.printed.shape == (300, 300)
    assert area(seen.drawn) == pytest.approx(POSTS.area, abs=0.01)
    assert area(seen.printed) == pytest.approx(POSTS.buffer(SPREAD).area, abs=0.02)
    assert (seen.printed | ~seen.drawn).all()


def test_openings_holes_and_edges_take_ink(two_posts) -> None:
    board = a_board(
        two_posts[0], openings=discs((10, 11, 0.4)), holes=Holes(discs((12, 10, 0.8)), (False,)),
        area=box(0, 0, 40, 11.8),
    )
    seen = window_as_printed(board, Side.TOP, AROUND, LIMITS)
    hole, laminate = Point(12, 10).buffer(0.4), box(0, 0, 40, 11.8)
    left = POSTS.difference(Point(10, 11).buffer(0.2 + LIMITS.clip.value_mm)).difference(hole)
    expected = left.buffer(SPREAD).difference(hole).intersection(laminate)
    assert area(seen.printed) == pytest.approx(expected.area, abs=0.02)


def test_what_an_opening_leaves_too_thin_to_print_is_gone() -> None:
    # A level stroke of 0.2 mm, of which an opening with its clip leaves 0.05 mm.
    stroke = bars([10.0], [11.0], [12.0], [11.0], 0.2)
    y = 11.0 + 0.5 + LIMITS.clip.value_mm - 0.05
    above = bars([9.0], [y], [13.0], [y], 1.0)
    whole = window_as_printed(a_board(stroke), Side.TOP, AROUND, LIMITS)
    assert whole.printed.any()
    assert LIMITS.thinnest_print.value_mm > 0.05
    assert not window_as_printed(a_board(stroke, openings=above), Side.TOP, AROUND, LIMITS).printed.any()


def test_a_shifted_legend_lies_elsewhere_and_falls_into_other_holes(two_posts) -> None:
    board = a_board(two_posts[0], holes=Holes(discs((12.55, 11, 0.8)), (False,)))
    still = window_as_printed(board, Side.TOP, AROUND, LIMITS)
    shifted = window_as_printed(board, Side.TOP, AROUND, LIMITS, shift_mm=(0.1, 0.0))
    hole = Point(12.55, 11).buffer(0.4)
    assert area(still.printed) == pytest.approx(POSTS.buffer(SPREAD).area, abs=0.02)
    moved = LineString([(10.1, 10), (10.1, 12)]).union(LineString([(12.1, 10), (12.1, 12)])).buffer(0.1 + SPREAD)
    assert area(shifted.printed) == pytest.approx(moved.difference(hole).area, abs=0.02)


def test_a_side_without_a_legend_has_no_ink(two_posts) -> None:
    seen = window_as_printed(a_board(two_posts[0]), Side.BOTTOM, AROUND, LIMITS)
    assert not seen.drawn.any() and not seen.printed.any()
