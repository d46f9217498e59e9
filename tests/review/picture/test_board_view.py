"""A view of the board shows what is there, at every scale, and the bottom as one sees it from below."""

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import MultiPolygon, box

from labelcheck.board.board import Board, Holes, Outline
from labelcheck.review.picture.board_view import View, board_box, draw_view, parts_of
from labelcheck.review.picture.colours import TABLE, Colour, materials_of
from labelcheck.review.picture.palette import palette_of
from labelcheck.trade.shapes import bars
from labelcheck.trade.sides import Side

SCALE = 40.0


def seen(board: Board, side: Side = Side.TOP, mirrored: bool = False, scale: float = SCALE) -> np.ndarray:
    """The whole board as true colours, (height, width, 3)."""
    palette = palette_of(materials_of(board.appearance))
    view = View(board_box(board), scale, mirrored)
    return palette.colours[draw_view(parts_of(board, side), view, palette)]


def colour_at(board: Board, x_mm: float, y_mm: float) -> Colour:
    picture = seen(board)
    x0, _, _, y1 = board_box(board)
    red, green, blue = (int(part) for part in picture[int((y1 - y_mm) * SCALE), int((x_mm - x0) * SCALE)])
    return red, green, blue


@pytest.mark.parametrize(("x_mm", "y_mm", "what"), [
    (1.0, 1.0, "mask"), (6.0, 12.0, "mask_over_copper"), (10.6, 9.5, "metal"), (10.0, 9.5, "hole"),
    (25.0, 3.0, "cut-out"), (3.0, 22.0, "cut-out"), (5.5, 6.65, "ink"),
])
def test_colours_of_the_board(board: Board, x_mm: float, y_mm: float, what: str) -> None:
    wanted = TABLE if what in ("hole", "cut-out") else getattr(materials_of(board.appearance), what)
    assert colour_at(board, x_mm, y_mm) == wanted


def test_areas_are_right_at_every_scale(board: Board) -> None:
    area = board.outline.area.area if board.outline is not None else 0.0
    for scale in (7.3, 20.0, 64.0):
        picture = seen(replace(board, holes=None), scale=scale)
        off_board = (picture == np.array(TABLE)).all(axis=2).mean()
        x0, y0, x1, y1 = board_box(board)
        assert 1 - off_board == pytest.approx(area / ((x1 - x0) * (y1 - y0)), abs=0.012 * 20 / scale)


def test_the_bottom_is_mirrored_and_nothing_else(board: Board) -> None:
    as_in_the_file, as_seen = seen(board, Side.BOTTOM), seen(board, Side.BOTTOM, mirrored=True)
    assert (as_in_the_file[:, ::-1] == as_seen).all()


def test_points_and_boxes_are_mirrored_with_the_picture() -> None:
    view = View((10.0, 20.0, 40.0, 30.0), 10.0, mirrored=True)
    assert view.point(10.0, 30.0) == (300.0, 0.0)
    assert view.point(40.0, 20.0) == (0.0, 100.0)
    assert view.box((12.0, 21.0, 15.0, 22.0)) == (250.0, 80.0, 280.0, 90.0)
    plain = replace(view, mirrored=False)
    assert plain.box((12.0, 21.0, 15.0, 22.0)) == (20.0, 80.0, 50.0, 90.0)


def test_a_part_of_the_board_is_the_same_as_in_the_whole(board: Board) -> None:
    palette = palette_of(materials_of(board.appearance))
    parts = parts_of(board, Side.TOP)
    whole = draw_view(parts, View((0.0, 0.0, 30.0, 25.0), SCALE, False, fine=True), palette)
    window = draw_view(parts, View((5.0, 5.0, 15.0, 12.0), SCALE, False, fine=True), palette)
    assert (whole[13 * 40 : 20 * 40, 5 * 40 : 15 * 40] == window).mean() > 0.999


def test_ink_over_an_opening_looks_lost(board: Board) -> None:
    assert board.top.legend is not None
    stroke = bars(np.array([9.0]), np.array([9.9]), np.array([11.0]), np.array([9.9]), 0.3)
    ink = replace(board.top.legend, shapes=stroke)
    red, green, blue = colour_at(replace(board, top=replace(board.top, legend=ink)), 10.6, 9.9)
    assert min(red, blue) - green > 60


def test_a_small_hole_under_the_mask_is_a_dimple_and_not_a_hole(board: Board) -> None:
    at = (np.array([6.0]), np.array([12.0]))
    for width, plated, wanted in ((0.3, True, "mask"), (0.3, False, "hole"), (0.8, True, "hole")):
        holes = Holes(bars(*at, *at, width), (plated,))
        colour = colour_at(replace(board, holes=holes), 6.0, 12.0)
        assert colour == (TABLE if wanted == "hole" else materials_of(board.appearance).mask)


def test_a_small_hole_in_an_opening_is_open(board: Board) -> None:
    at = (np.array([10.0]), np.array([9.5]))
    assert colour_at(replace(board, holes=Holes(bars(*at, *at, 0.3), (True,))), 10.0, 9.5) == TABLE


def test_without_copper_what_lies_bare_is_metal(board: Board) -> None:
    bare = replace(board, top=replace(board.top, copper=None))
    assert colour_at(bare, 10.6, 9.5) == materials_of(board.appearance).metal


def test_what_is_not_known_is_not_drawn(board: Board) -> None:
    unknown = replace(board, outline=None, holes=None,
                      top=replace(board.top, legend=None, openings=None, copper=None))
    assert (seen(unknown) == np.array(materials_of(board.appearance).mask)).all()


def test_the_box_of_a_board_without_outline_holds_its_copper(board: Board) -> None:
    x0, y0, x1, y1 = board_box(replace(board, outline=None))
    assert x0 < 2 - 0.2
    assert y1 > 18
    assert x1 > 28.2
    assert y0 < 8.3


def test_a_layer_beyond_all_bounds_does_not_stop_the_picture(board: Board) -> None:
    assert board.top.legend is not None
    far = bars(np.array([0.0]), np.array([0.0]), np.array([1e12]), np.array([1e12]), 0.2)
    broken = replace(board, top=replace(board.top, legend=replace(board.top.legend, shapes=far)))
    assert colour_at(broken, 10.6, 9.5) == materials_of(board.appearance).metal


def test_an_outline_of_several_parts(board: Board) -> None:
    parts = Outline(MultiPolygon([box(0, 0, 10, 10), box(20, 0, 30, 10)]), "profile")
    picture = seen(replace(board, outline=parts, holes=None))
    on_board = (picture != np.array(TABLE)).any(axis=2).mean()
    assert on_board == pytest.approx(2 / 3, abs=0.02)
