"""What bodies hide of labels, against exact geometry (shapely: a general-purpose geometry library)."""

from dataclasses import replace

import pytest
from shapely import union_all
from shapely.affinity import rotate
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from labelcheck.board.components import Body, Component
from labelcheck.labels.label import SideLabels
from labelcheck.press.evidence import Evidence
from labelcheck.press.scene import evidence_on
from labelcheck.trade.limits import limits_for
from labelcheck.trade.shapes import Shapes
from labelcheck.trade.sides import Side
from tests.press.press_boards import a_board

LIMITS = limits_for()
ALLOWANCE = LIMITS.body_allowance.value_mm
LEFT = LineString([(10, 10), (10, 12)]).buffer(0.1, quad_segs=64)
RIGHT = LineString([(12, 10), (12, 12)]).buffer(0.1, quad_segs=64)
"""The posts as exact geometry."""
ROUNDING = 0.02
"""Of one post's ink at a pitch of 10 µm: a pixel's width along its rim."""


def a_part(area: Polygon, reference: str = "U3", estimated: bool = False, **changes: object) -> Component:
    body = Body(area, None, "pads" if estimated else "component layer", estimated, "its component layer")
    part = Component(reference, Side.TOP, None, None, (area.centroid.x, area.centroid.y), 0.0, (), body)
    return replace(part, **changes)  # type: ignore[arg-type]  # the tests name the fields


def evidence(posts: tuple[Shapes, SideLabels], *parts: Component, text: str | None = None) -> Evidence:
    shapes, found = posts
    labels = tuple(replace(label, text=text) for label in found.labels)
    board = replace(a_board(shapes), components=parts)
    (one,) = evidence_on(board, Side.TOP, SideLabels(labels, ()), LIMITS)
    return one


def share(post: BaseGeometry, body: BaseGeometry) -> float:
    return post.intersection(body).area / post.area


def test_without_bodies_nothing_is_known_and_beside_one_nothing_is_hidden(two_posts) -> None:
    assert evidence(two_posts).hiding is None
    far = evidence(two_posts, a_part(box(20, 20, 25, 25)))
    assert far.hiding is not None and far.hiding.loss.characters == ()
    assert far.hidden_fraction == 0.0


@pytest.mark.parametrize(
    "body",
    [box(8, 11, 14, 15), box(9.95, 8, 10.6, 14), rotate(box(9.0, 10.2, 11.0, 11.0), 30), box(9.5, 9.5, 10.02, 10.7)],
)
def test_a_body_hides_its_area_and_with_the_allowance_a_little_more(two_posts, body: Polygon) -> None:
    one = evidence(two_posts, a_part(body))
    largest = body.buffer(ALLOWANCE, join_style="mitre")
    assert one.hiding is not None
    assert one.hiding.loss.sure == pytest.approx(max(share(LEFT, body), share(RIGHT, body)), abs=ROUNDING)
    assert one.hiding.loss.possible == pytest.approx(max(share(LEFT, largest), share(RIGHT, largest)), abs=ROUNDING)
    whole = (LEFT.intersection(largest).area + RIGHT.intersection(largest).area) / (LEFT.area + RIGHT.area)
    assert one.hidden_fraction == pytest.approx(whole, abs=ROUNDING)


@pytest.mark.parametrize(
    "bodies",
    [
        (box(9, 11, 11, 13), box(9, 10.5, 11, 11.5)),
        (box(9, 11, 11, 13), box(9, 11, 11, 13)),
        (box(9, 11, 13, 13), rotate(box(9.5, 10.2, 12.5, 11.3), 20), box(11.5, 9, 12.5, 10.4)),
    ],
)
def test_ink_under_two_bodies_is_hidden_once(two_posts, bodies: tuple[Polygon, ...]) -> None:
    one = evidence(two_posts, *(a_part(body, f"U{number}") for number, body in enumerate(bodies)))
    hidden = union_all([body.buffer(ALLOWANCE, join_style="mitre") for body in bodies])
    posts = union_all([LEFT, RIGHT])
    assert one.hidden_fraction == pytest.approx(posts.intersection(hidden).area / posts.area, abs=ROUNDING)


def test_it_is_told_which_characters_and_how_to_get_out(two_posts) -> None:
    one = evidence(two_posts, a_part(box(9, 11, 11, 15)))
    assert one.hiding is not None
    loss = one.hiding.loss
    assert loss.characters == (0,)
    # The label ends at 12.1; the body and its allowance begin at 10.85.
    assert (loss.towards, loss.move_mm) == ("down", pytest.approx(12.1 - 10.85, abs=0.02))
    assert loss.box_mm == pytest.approx((9.9, 10.85, 10.1, 12.1), abs=0.02)


def test_an_estimate_is_sure_of_nothing_and_spares_what_it_merely_touches(two_posts) -> None:
    one = evidence(two_posts, a_part(box(9, 9, 13, 13), estimated=True))
    assert one.hiding is not None
    assert (one.hiding.loss.sure, one.hiding.loss.possible, one.hiding.estimated) == (0.0, 1.0, True)
    touching = evidence(two_posts, a_part(box(9, 11.98, 13, 15), estimated=True))
    assert touching.hiding is not None and touching.hiding.loss.characters == ()


def test_a_part_on_the_other_side_hides_nothing(two_posts) -> None:
    below = replace(a_part(box(9, 9, 13, 13)), side=Side.BOTTOM)
    one = evidence(two_posts, below)
    assert one.hiding is None
    # Leads through the board take their holes, which is the matter of other questions.
    assert one.hidden_fraction == 0.0


def test_the_body_of_another_part_counts_before_the_own(two_posts) -> None:
    own, other = a_part(box(9, 9, 11, 13), "R5"), a_part(box(11.95, 11.8, 14, 14), "C2")
    one = evidence(two_posts, own, other, text="R5")
    assert one.hiding is not None and (one.hiding.reference, one.hiding.relation) == ("C2", "another")
    alone = evidence(two_posts, own, text="R5")
    assert alone.hiding is not None and (alone.hiding.reference, alone.hiding.relation) == ("R5", "own")


def test_a_body_in_two_halves_counts_once_a_mark(two_posts) -> None:
    ring = Polygon([(9, 9), (13, 9), (13, 13), (9, 13), (9, 12.5), (12.5, 12.5), (12.5, 9.5), (9, 9.5)])
    one = evidence(two_posts, a_part(ring))
    assert one.hiding is not None and one.hiding.loss.sure == 0.0


def test_characters_left_out_of_a_filled_area_count_with_their_boxes(two_posts) -> None:
    shapes, found = two_posts
    (label,) = found.labels
    # No object of the legend is ink of theirs.
    marks = tuple(replace(mark, objects=()) for mark in label.marks)
    hollow = replace(label, marks=marks, drawn_as="knocked out")
    board = replace(a_board(shapes), components=(a_part(box(9, 11, 11, 15)),))
    (one,) = evidence_on(board, Side.TOP, SideLabels((hollow,), ()), LIMITS)
    assert one.hiding is not None and one.hiding.loss.characters == (0,)
    assert one.hiding.loss.sure == pytest.approx(0.5, abs=ROUNDING)
