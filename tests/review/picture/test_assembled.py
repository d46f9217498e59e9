"""Labels without and with the parts on: bodies where the files put them, and the cut from the side true to scale."""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.affinity import rotate
from shapely.geometry import box

from labelcheck.board.board import Board
from labelcheck.board.components import Body
from labelcheck.labels.label import Label
from labelcheck.review.contents import Review
from labelcheck.review.picture.assembled import Profile, draw_mounted, draw_profile, profile_of
from labelcheck.review.picture.board_view import View, parts_of
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import GREY, INK, LOST, PAPER, materials_of
from labelcheck.review.picture.insets import TILE_HEIGHT, Inset, Looks, draw_inset
from labelcheck.review.picture.palette import palette_of
from labelcheck.review.picture.prints import Press
from labelcheck.trade.limits import limits_for
from labelcheck.trade.sides import Side

LIMITS = limits_for()


def a_body(x0: float, y0: float, x1: float, y1: float, height: float | None = 11.0) -> Body:
    return Body(box(x0, y0, x1, y1), height, "component layer", False, "its component layer")


def a_canvas(board: Board, width: int = 640, height: int = TILE_HEIGHT) -> Canvas:
    return Canvas(width, height, palette_of(materials_of(board.appearance)), PAPER)


def count(canvas: Canvas, colour: tuple[int, int, int]) -> int:
    return int((canvas.pixels == canvas.index(colour)).sum())


@pytest.mark.parametrize("side", [Side.TOP, Side.BOTTOM])
@pytest.mark.parametrize("turned", [0, 90, 180, 270])
def test_the_profile_runs_from_the_reader_up(labels: tuple[Label, ...], turned: int, side: Side) -> None:
    """A body 2 mm before a label 1.5 mm high, one 3 mm behind it, turned with it; one beside it does not count."""
    high, wide = 0.75, 2.0
    flat = [box(-5, -2 - high - 4, 5, -2 - high), box(-5, 3 + high, 5, 8 + high), box(6, -20, 9, 20)]
    angle = turned if side is Side.TOP else -turned
    heights = (11.0, 5.0, 7.0)
    bodies = [
        Body(rotate(area, angle, origin=(0, 0)), height, "component layer", False, "")
        for area, height in zip(flat, heights, strict=True)
    ]
    corners = rotate(box(-wide, -high, wide, high), angle, origin=(0, 0)).bounds
    label = replace(labels[0], side=side, turned_deg=float(turned), box_mm=corners)
    profile = profile_of(label, bodies)
    assert profile.half_mm == pytest.approx(high)
    assert [list(map(pytest.approx, one)) for one in profile.standing] == [
        [-2 - high - 4, -2 - high, 11.0], [3 + high, 8 + high, 5.0],
    ]


def test_a_body_of_unknown_height_is_not_in_the_profile(labels: tuple[Label, ...]) -> None:
    label = replace(labels[0], turned_deg=0.0, box_mm=(0.0, 0.0, 4.0, 1.0))
    assert profile_of(label, [a_body(0, 2, 4, 5, None)]).standing == ()


def test_the_cut_is_to_scale_and_the_sight_is_off_the_normal_as_stated(board: Board) -> None:
    canvas = a_canvas(board)
    draw_profile(canvas, (20, 20, 320, 260), Profile(((-8.0, -3.0, 9.0), (3.0, 8.0, 9.0)), 0.75), 30.0)
    grey = np.argwhere(canvas.pixels == canvas.index(GREY))
    high = grey[:, 0].max() - grey[:, 0].min() + 1
    left = grey[grey[:, 1] < 170][:, 1].max()
    right = grey[grey[:, 1] > 170][:, 1].min()
    border = 2  # pixels of the dark line around each body
    assert (high + 2 * border) / (right - left - 2 * border) == pytest.approx(9.0 / 6.0, rel=0.05)
    pink = np.argwhere(canvas.pixels == canvas.index(LOST))
    pink = pink[pink[:, 1] > 172]
    slope = np.polyfit(pink[:, 0], pink[:, 1], 1)[0]
    assert math.degrees(math.atan(abs(slope))) == pytest.approx(30.0, abs=2.0)
    # Nothing is drawn outside of its place.
    canvas.fill((20, 20, 320, 260), PAPER)
    assert count(canvas, PAPER) == canvas.width * canvas.height


def test_a_side_without_tall_parts_has_a_cut_all_the_same(board: Board) -> None:
    canvas = a_canvas(board)
    draw_profile(canvas, (20, 20, 320, 260), Profile((), 0.75), 30.0)
    assert count(canvas, INK) > 0


def test_with_the_parts_on_nothing_is_seen_through_them(board: Board, labels: tuple[Label, ...]) -> None:
    x0, y0, x1, y1 = labels[0].box_mm
    parts = replace(parts_of(board, labels[0].side), bodies=(a_body(x0, y0, x1, y1),))
    view = View((x0 - 1, y0 - 1, x1 + 1, y1 + 1), 40.0, False)
    canvas = a_canvas(board, 2 * view.width, view.height)
    draw_mounted(canvas, ((0, 0), (view.width, 0)), view, parts)
    left, top, right, bottom = (round(edge) for edge in view.box((x0, y0, x1, y1)))
    inside = canvas.pixels[top + 3 : bottom - 3, view.width + left + 3 : view.width + right - 3]
    assert (inside == canvas.index(GREY)).all()
    without = canvas.pixels[top + 3 : bottom - 3, left + 3 : right - 3]
    assert not (without == canvas.index(GREY)).any()


@pytest.mark.parametrize("analyser", ["under-body", "behind-body"])
@pytest.mark.parametrize("reads", [None, "", "R1", "R?"])
def test_an_inset_about_a_body_shows_it(
    review: Review, labels: tuple[Label, ...], board: Board, analyser: str, reads: str | None
) -> None:
    label = labels[0]
    x0, y0, x1, y1 = label.box_mm
    finding = replace(review.findings[0], analyser=analyser, label=label.id, side=label.side, unit="fraction")
    parts = replace(parts_of(board, label.side), bodies=(a_body((x0 + x1) / 2, y0 - 1, x1 + 4, y1 + 1),))
    press = Press(board, LIMITS, {}, (250, 250, 250), {label.id: reads})
    canvas = a_canvas(board)
    looks = Looks("mm", 20.0, label.side is Side.BOTTOM, press)
    draw_inset(canvas, (0, 0, 640, TILE_HEIGHT), Inset("1", finding, label), parts, looks)
    assert count(canvas, GREY) > 2000
