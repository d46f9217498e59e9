"""Shares of a label on copper, against exact geometry (shapely: a general-purpose geometry library)."""

from dataclasses import replace

import pytest
from shapely.geometry import LineString, box

from labelcheck.press.copper import is_heavy
from labelcheck.press.scene import evidence_on
from labelcheck.trade.limits import limits_for
from labelcheck.trade.shapes import polygon
from labelcheck.trade.sides import Side
from tests.press.press_boards import a_board, layer_of

LIMITS = limits_for()
HEAVY = replace(LIMITS, copper_thickness=replace(LIMITS.copper_thickness, value_mm=0.105))


def with_copper(shapes, x0: float, x1: float):
    board = a_board(shapes)
    corners = [[(x0, 0.0), (x1, 0.0), (x1, 30.0), (x0, 30.0)]]
    return replace(board, top=replace(board.top, copper=layer_of(polygon(corners))))


def test_usual_copper_is_not_looked_at(two_posts) -> None:
    shapes, found = two_posts
    assert not is_heavy(LIMITS) and is_heavy(HEAVY)
    assert evidence_on(with_copper(shapes, 0, 20), Side.TOP, found, LIMITS)[0].on_copper is None
    assert evidence_on(a_board(shapes), Side.TOP, found, HEAVY)[0].on_copper is None


@pytest.mark.parametrize("edge", [9.0, 10.05, 11.0, 20.0])
def test_the_share_is_that_of_the_area(two_posts, edge: float) -> None:
    shapes, found = two_posts
    ink = LineString([(10, 10), (10, 12)]).buffer(0.1).union(LineString([(12, 10), (12, 12)]).buffer(0.1))
    (one,) = evidence_on(with_copper(shapes, 0, edge), Side.TOP, found, HEAVY)
    assert one.on_copper == pytest.approx(ink.intersection(box(0, 0, edge, 30)).area / ink.area, abs=0.02)
