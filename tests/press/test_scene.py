"""What a label loses in its place, against exact geometry (shapely: a general-purpose geometry library)."""

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from labelcheck.board.board import Holes
from labelcheck.press.scene import evidence_on
from labelcheck.trade.limits import limits_for
from labelcheck.trade.sides import Side
from tests.press.press_boards import a_board, discs, strokes, with_drawing

LIMITS = limits_for()
LEFT = LineString([(10, 10), (10, 12)]).buffer(0.1, quad_segs=64)
"""The left post as exact geometry."""
ROUNDING = 0.02
"""Of one post's ink at a pitch of 10 µm: a pixel's width along its rim."""


def evidence(board, found):
    (one,) = evidence_on(board, Side.TOP, found, LIMITS)
    return one


def share(taken) -> float:
    return LEFT.intersection(taken).area / LEFT.area


def test_a_label_in_the_clear_loses_nothing(two_posts) -> None:
    shapes, found = two_posts
    one = evidence(a_board(shapes), found)
    assert one.printed_fraction == 1.0
    assert one.crossing is None
    for loss in (one.opening, one.hole, one.covered_hole, one.outline):
        assert loss is not None and loss.characters == () and loss.sure == 0.0


@pytest.mark.parametrize("x", [9.3, 9.6, 10.0])
def test_an_opening_takes_its_area_grown_by_the_clip(two_posts, x: float) -> None:
    shapes, found = two_posts
    one = evidence(a_board(shapes, openings=discs((x, 11, 1.0))), found)
    expected = share(Point(x, 11).buffer(0.5 + LIMITS.clip.value_mm, quad_segs=64))
    assert one.opening.sure == pytest.approx(expected, abs=ROUNDING)
    assert one.opening.characters == ((0,) if expected > 0.03 else ())
    assert one.printed_fraction == pytest.approx(1 - expected / 2, abs=ROUNDING)


def test_ink_just_beyond_the_clip_stays(two_posts) -> None:
    shapes, found = two_posts
    # The pad's rim is 0.12 mm from the ink: 0.02 mm more than the clip distance.
    one = evidence(a_board(shapes, openings=discs((9.9 - 0.12 - 0.5, 11, 1.0))), found)
    assert one.opening.sure == 0.0


def test_a_hole_in_an_opening_is_told_once(two_posts) -> None:
    shapes, found = two_posts
    holes = Holes(discs((10, 11, 0.8)), (True,))
    one = evidence(a_board(shapes, openings=discs((10, 11, 1.4)), holes=holes), found)
    assert one.opening.characters == (0,)
    assert one.hole.characters == () and one.covered_hole.characters == ()


def test_an_open_hole_takes_itself_surely_and_its_clearance_possibly(two_posts) -> None:
    shapes, found = two_posts
    one = evidence(a_board(shapes, holes=Holes(discs((10, 11, 1.0)), (True,))), found)
    assert one.hole.sure == pytest.approx(share(Point(10, 11).buffer(0.5, quad_segs=64)), abs=ROUNDING)
    assert one.hole.possible == pytest.approx(share(Point(10, 11).buffer(0.6, quad_segs=64)), abs=ROUNDING)


@pytest.mark.parametrize(("plated", "covered"), [(True, True), (None, True), (False, False)])
def test_a_small_hole_lies_under_the_mask_unless_it_is_unplated(two_posts, plated, covered) -> None:
    shapes, found = two_posts
    one = evidence(a_board(shapes, holes=Holes(discs((10, 11, 0.4)), (plated,))), found)
    assert bool(one.covered_hole.characters) is covered
    assert bool(one.hole.characters) is not covered


@pytest.mark.parametrize(("diameter_mm", "covered"), [(0.5, True), (0.50038, True), (0.51, False)])
def test_the_largest_hole_under_the_mask_may_be_rounded_to_a_tenth_of_a_mil(two_posts, diameter_mm, covered) -> None:
    """0.5 mm is 19.685 mil, in a drill file of tenths of a mil 19.7, which is 0.50038 mm."""
    shapes, found = two_posts
    one = evidence(a_board(shapes, holes=Holes(discs((10, 11, diameter_mm)), (True,))), found)
    assert bool(one.covered_hole.characters) is covered


def test_ink_past_the_edge_is_lost_and_ink_near_it_may_be(two_posts) -> None:
    shapes, found = two_posts
    over = evidence(a_board(shapes, area=box(0, 0, 40, 11.1)), found)
    assert over.outline.sure == pytest.approx(share(box(0, 11.1, 40, 30)), abs=ROUNDING)
    assert over.outline.characters == (0, 1)
    near = evidence(a_board(shapes, area=box(9.75, 0, 40, 30)), found)
    assert near.outline.sure == 0.0
    assert near.outline.possible == pytest.approx(share(box(9, 0, 10.0, 30)), abs=ROUNDING)
    assert near.outline.characters == (0,)


def test_a_cut_out_counts_as_past_the_edge(two_posts) -> None:
    shapes, found = two_posts
    cut_out = box(9, 10.5, 11, 11.5)
    one = evidence(a_board(shapes, area=box(0, 0, 40, 30).difference(cut_out)), found)
    assert one.outline.sure == pytest.approx(share(cut_out), abs=ROUNDING)


def test_a_label_far_off_the_board_is_said_to_be(two_posts) -> None:
    shapes, found = two_posts
    assert evidence(a_board(shapes, area=box(0, 0, 40, 5)), found).far_off_board
    assert not evidence(a_board(shapes, area=box(0, 0, 40, 9)), found).far_off_board


def test_what_the_board_does_not_tell_is_not_applicable(two_posts) -> None:
    shapes, found = two_posts
    whole = a_board(shapes)
    from_nothing = evidence_on(
        type(whole)(None, None, type(whole.top)(Side.TOP, whole.top.legend, None, None, None), whole.bottom,
                    whole.appearance, (), ()),
        Side.TOP, found, LIMITS,
    )[0]
    assert from_nothing.opening is None and from_nothing.hole is None and from_nothing.outline is None


def test_a_line_through_a_character_crosses_it(two_posts) -> None:
    shapes, found = with_drawing(*two_posts, strokes((5, 11, 11, 11)))
    one = evidence(a_board(shapes), found)
    assert one.crossing.characters == (0,)
    assert one.crossing.by_label is None
    # Foreign ink within the post's box, 0.2 x 0.2 mm, as a share of the post's ink.
    assert one.crossing.fraction == pytest.approx(0.04 / LEFT.area, abs=ROUNDING)


def test_a_line_that_ends_beside_a_character_does_not_cross_it(two_posts) -> None:
    shapes, found = with_drawing(*two_posts, strokes((5, 11, 9.75, 11)))
    assert evidence(a_board(shapes), found).crossing is None


def test_openings_with_clear_objects_are_grown_on_the_raster(two_posts) -> None:
    shapes, found = two_posts
    ring = discs((9.3, 11, 1.0), (9.3, 11, 0.4))
    ring.dark[1] = False
    one = evidence(a_board(shapes, openings=ring), found)
    expected = share(Point(9.3, 11).buffer(0.6, quad_segs=64))
    assert one.opening.sure == pytest.approx(expected, abs=ROUNDING)
    assert np.isfinite(one.opening.box_mm).all()


@pytest.mark.parametrize(
    ("opening", "way", "move_mm"),
    [
        ((9.4, 11, 1.0), "right", 0.1),
        ((10, 9.6, 1.0), "up", 0.3),
        ((10, 12.4, 1.0), "down", 0.3),
        ((12.6, 11, 1.0), "left", 0.1),
    ],
)
def test_the_shortest_way_out_clears_the_opening_by_the_clip(two_posts, opening, way, move_mm) -> None:
    shapes, found = two_posts
    one = evidence(a_board(shapes, openings=discs(opening)), found)
    assert one.opening.towards == way
    assert one.opening.move_mm == pytest.approx(move_mm, abs=0.01)


def test_the_way_back_from_an_edge_leads_onto_the_board(two_posts) -> None:
    shapes, found = two_posts
    over = evidence(a_board(shapes, area=box(0, 0, 12, 30)), found)
    assert over.outline.towards == "left"
    # 0.1 mm of the right post lies past the edge; 0.25 mm of clearance is asked for.
    assert over.outline.move_mm == pytest.approx(0.35, abs=0.16)
