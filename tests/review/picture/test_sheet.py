"""A whole sheet: bounded, with a palette, the same every time."""

import numpy as np

from labelcheck.board.board import Board
from labelcheck.review.contents import Review
from labelcheck.review.picture.sheet import MOST_PIXELS, draw_side, png_of
from labelcheck.trade.sides import OUTER_SIDES, Side


def test_size_mode_and_bytes(review: Review, board: Board) -> None:
    for side in OUTER_SIDES:
        picture = draw_side(review, board, side)
        assert picture.mode == "P"
        assert max(picture.size) <= MOST_PIXELS
        assert png_of(picture) == png_of(draw_side(review, board, side))


def test_the_sides_differ(review: Review, board: Board) -> None:
    top, bottom = (np.asarray(draw_side(review, board, side).convert("RGB")) for side in OUTER_SIDES)
    assert Side.TOP is OUTER_SIDES[0]
    assert top.shape != bottom.shape or (top != bottom).any()
