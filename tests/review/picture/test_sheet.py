"""A whole sheet: bounded, complete, the same every time, and the bottom as one sees it."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from shapely.geometry import MultiPolygon, box

from labelcheck.board.board import Board, Outline
from labelcheck.judging import Severity
from labelcheck.review.contents import Review
from labelcheck.review.picture.colours import INK, SEVERITY_STYLES
from labelcheck.review.picture.sheet import MOST_PIXELS, draw_side, png_of
from labelcheck.trade.sides import OUTER_SIDES, Side


def rgb(picture: Image.Image) -> np.ndarray:
    return np.asarray(picture.convert("RGB"))


def test_size_mode_and_bytes(review: Review, board: Board) -> None:
    for side in OUTER_SIDES:
        picture = draw_side(review, board, side)
        assert picture.mode == "P"
        assert max(picture.size) <= MOST_PIXELS
        assert png_of(picture) == png_of(draw_side(review, board, side))


@pytest.mark.parametrize(("width_mm", "height_mm"), [
    (2, 2), (20, 15), (100, 80), (231, 107), (170, 170), (400, 300), (3, 280), (300, 4), (1500, 1200),
])
def test_any_board_fits(review: Review, board: Board, width_mm: float, height_mm: float) -> None:
    sized = replace(board, outline=Outline(MultiPolygon([box(0, 0, width_mm, height_mm)]), "profile"))
    for side in OUTER_SIDES:
        picture = draw_side(review, sized, side)
        assert max(picture.size) <= MOST_PIXELS
        assert min(picture.size) >= 500


def test_the_file_is_fit_for_a_mail(review: Review, board: Board, many: Callable) -> None:
    states, findings = many(200)
    crowded = replace(review, labels=states, findings=findings)
    assert len(png_of(draw_side(crowded, board, Side.TOP))) < 2_000_000


def test_callouts_of_the_bottom_are_mirrored_with_the_board(review: Review, board: Board) -> None:
    # The board of the tests, 30 mm wide, is drawn 1300 pixels wide, 160 from the left and 292 from the top.
    scale = 1300 / 30
    for side, finding in ((Side.TOP, review.findings[0]), (Side.BOTTOM, review.findings[1])):
        severe = replace(finding, severity=Severity.UNREADABLE)
        colours = rgb(draw_side(replace(review, findings=(severe,)), board, side))
        x0, y0, x1, y1 = finding.box_mm
        left, right = (30 - x1, 30 - x0) if side is Side.BOTTOM else (x0, x1)
        row = round(292 + (25 - (y0 + y1) / 2) * scale)
        for edge in (160 + left * scale - 7, 160 + right * scale + 7):
            assert tuple(colours[row, round(edge)]) == SEVERITY_STYLES[Severity.UNREADABLE].edge


def test_a_side_without_legend_says_so(review: Review, board: Board) -> None:
    mute = replace(board, top=replace(board.top, legend=None))
    plain, said = (rgb(draw_side(replace(review, findings=()), one, Side.TOP)) for one in (board, mute))
    middle = slice(172 + 560, 172 + 760), slice(40 + 400, 40 + 1140)
    inked = [int((picture[middle] == np.array(INK)).all(axis=2).sum()) for picture in (plain, said)]
    assert inked[0] == 0
    assert inked[1] > 3000


@pytest.mark.parametrize("side", OUTER_SIDES)
def test_a_board_of_which_nothing_is_known_still_has_a_picture(review: Review, board: Board, side: Side) -> None:
    top, bottom = (replace(board.on(one), legend=None, openings=None, copper=None) for one in OUTER_SIDES)
    nothing = replace(board, outline=None, holes=None, top=top, bottom=bottom)
    bare = replace(review, labels=(), findings=(), holding=("No legend could be read.",))
    assert draw_side(bare, nothing, side).size[0] > 1000


def test_odd_findings_do_not_stop_the_picture(review: Review, board: Board) -> None:
    nan = float("nan")
    odd = (replace(review.findings[0], box_mm=(nan, nan, nan, nan), at_mm=(nan, nan)),
           replace(review.findings[2], box_mm=(1e6, 1e6, 1e6 + 1, 1e6 + 1)),
           replace(review.findings[2], id="F4", label="T99", measured=None, limit=None),
           replace(review.findings[2], id="F5", label=None, measured=nan))
    picture = draw_side(replace(review, findings=odd, set_name="站 " + "x" * 300), board, Side.TOP)
    assert max(picture.size) <= MOST_PIXELS
