"""Where pages of one side meet: a dashed line on both, with the same crosses at the same places of the board."""

from collections.abc import Iterator

import numpy as np

from labelcheck.formats.pdf.drawing import Colour, Drawing
from labelcheck.review.true_size.layout import OVERLAP_MM, Piece

SEAM_COLOUR: Colour = (0.75, 0.0, 0.6)
_LINE_MM, _CROSS_MM, _CIRCLE_MM = 0.12, 3.0, 1.6
_DASHES_MM = (3.0, 2.0)
_ALONG = (0.12, 0.88)
"""Where the two crosses of a seam lie, as shares of its length."""
_LETTER_MM = 3.0


def draw_seams(drawing: Drawing, piece: Piece) -> None:
    """The seams of one page; a cross has a number that it has on the other page too."""
    left, bottom = piece.at_mm
    _, _, width, height = piece.window_mm
    half = OVERLAP_MM / 2
    for name, across, upright in _seams(piece):
        at = (left + half if across < 0 else left + width - half) if upright else (
            bottom + half if across < 0 else bottom + height - half
        )
        if upright:
            line = (at, bottom, at, bottom + height)
            crosses = [(at, bottom + share * height) for share in _ALONG]
        else:
            line = (left, at, left + width, at)
            crosses = [(left + share * width, at) for share in _ALONG]
        drawing.pen(_LINE_MM, SEAM_COLOUR, _DASHES_MM)
        drawing.lines(np.array([line]))
        for x, y in crosses:
            _cross(drawing, x, y, name)


def _seams(piece: Piece) -> Iterator[tuple[str, int, bool]]:
    """Name, way (-1 left or below, 1 right or above) and direction of each seam of a piece."""
    column, row = piece.column, piece.row
    upright = piece.rows * (piece.columns - 1)
    if column > 0:
        yield f"{row * (piece.columns - 1) + column}", -1, True
    if column < piece.columns - 1:
        yield f"{row * (piece.columns - 1) + column + 1}", 1, True
    if row > 0:
        yield f"{upright + (row - 1) * piece.columns + column + 1}", 1, False
    if row < piece.rows - 1:
        yield f"{upright + row * piece.columns + column + 1}", -1, False


def _cross(drawing: Drawing, x: float, y: float, name: str) -> None:
    drawing.pen(_LINE_MM, SEAM_COLOUR)
    drawing.lines(np.array([(x - _CROSS_MM, y, x + _CROSS_MM, y), (x, y - _CROSS_MM, x, y + _CROSS_MM)]))
    drawing.circles(np.array([(x, y, _CIRCLE_MM)]))
    drawing.ink(SEAM_COLOUR)
    drawing.text(x + _CIRCLE_MM * 0.8, y + _CIRCLE_MM * 0.8, name, _LETTER_MM)
