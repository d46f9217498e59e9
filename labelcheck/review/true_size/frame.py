"""What stands around the drawings on each page: name, lines to measure, how to print, key, caution."""

import numpy as np

from labelcheck.formats.pdf.drawing import BLACK, Colour, Drawing
from labelcheck.formats.pdf.helvetica import shortened, text_width_mm, wrapped
from labelcheck.review.cautions import SHORT_CAUTION
from labelcheck.review.true_size.layout import CAPTION_MM, FOOT_MM, MARGIN_MM, Piece, PlannedPage
from labelcheck.review.true_size.side_drawing import LINES
from labelcheck.review.wording import printable
from labelcheck.trade.sides import Side
from labelcheck.trade.units import MM_PER_INCH

HOW_TO_PRINT = (
    'Print at 100 %: choose "actual size" or "no scaling", not "fit to page". Then lay a ruler on the three lines. '
    "Where they are not as long as they say, this print is of no use."
)
LENGTHS_MM = (("100 mm", 100.0), ("4 in", 4 * MM_PER_INCH))
"""The lines to measure, from the top."""

_GREY: Colour = (0.35, 0.35, 0.35)
_NAME_MM, _TEXT_MM, _SMALL_MM = 5.0, 2.9, 2.3
_RULER_PEN_MM, _TICK_MM = 0.15, 2.4
_MAP_MM = (24.0, 11.0)
_SAMPLE_MM = 7.0


def draw_frame(drawing: Drawing, page: PlannedPage, named: tuple[str, str], number: tuple[int, int]) -> None:
    """`named` is the set and its fingerprint, `number` the page and how many there are."""
    _draw_head(drawing, page, named, number)
    for piece in page.pieces:
        starts = [other.at_mm[0] for other in page.pieces]
        beside = [start - 2.0 for start in starts if start > piece.at_mm[0] + piece.window_mm[2]]
        _draw_caption(drawing, piece, min([page.width_mm - MARGIN_MM, *beside]))
    _draw_rulers(drawing, page)
    _draw_key(drawing)
    _draw_caution(drawing, page)


def _draw_head(drawing: Drawing, page: PlannedPage, named: tuple[str, str], number: tuple[int, int]) -> None:
    top = page.height_mm - MARGIN_MM
    room = page.width_mm - 2 * MARGIN_MM - _MAP_MM[0] - 30.0
    name = printable(named[0])
    fitting = shortened(name, _NAME_MM, room, bold=True)
    drawing.ink(BLACK)
    drawing.text(MARGIN_MM, top - 4.0, name if fitting == name else f"{fitting}…", _NAME_MM, bold=True)
    drawing.text(MARGIN_MM, top - 8.2, "True-size sheet, 1:1. Lay the real parts on it.", _TEXT_MM)
    drawing.ink(_GREY)
    drawing.text(MARGIN_MM, top - 11.4, named[1], _SMALL_MM)
    drawing.ink(BLACK)
    told = f"page {number[0]} of {number[1]}"
    right = page.width_mm - MARGIN_MM
    piece = page.pieces[0]
    if piece.columns * piece.rows > 1:
        right -= _draw_map(drawing, piece, (right, top)) + 3.0
    drawing.text(right - text_width_mm(told, _TEXT_MM), top - 4.0, told, _TEXT_MM)


def _draw_map(drawing: Drawing, piece: Piece, corner: tuple[float, float]) -> float:
    """A small map of the pages of this side, this one filled; its width."""
    scale = min(_MAP_MM[0] / piece.drawing.width_mm, _MAP_MM[1] / piece.drawing.height_mm)
    width, height = piece.drawing.width_mm * scale, piece.drawing.height_mm * scale
    wide, high = width / piece.columns, height / piece.rows
    left, top = corner[0] - width, corner[1]
    for row in range(piece.rows):
        for column in range(piece.columns):
            x, y = left + column * wide, top - (row + 1) * high
            ring = np.array([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)])
            if (column, row) == (piece.column, piece.row):
                drawing.ink(_GREY)
                drawing.area([ring])
            drawing.pen(_RULER_PEN_MM, BLACK)
            drawing.contours([ring])
    drawing.ink(BLACK)
    return width


def _draw_caption(drawing: Drawing, piece: Piece, right: float) -> None:
    """Two lines over a drawing: what it shows, what must be known about it; shortened where they reach too far."""
    seen = "as seen from above" if piece.drawing.side is Side.TOP else "as seen from below (turned over like a page)"
    shown = f"{piece.drawing.side.value.capitalize()}, {seen}."
    told = list(piece.drawing.told)
    if piece.columns * piece.rows > 1:
        shown += f" Row {piece.row + 1} of {piece.rows}, column {piece.column + 1} of {piece.columns}."
        told.insert(0, "To join pages, cut along a dashed line and lay it on the line with the same number.")
    x, y = piece.at_mm[0], piece.at_mm[1] + piece.window_mm[3] + CAPTION_MM - 3.4
    for row, line in enumerate((shown, " ".join(told))):
        size = _TEXT_MM if row == 0 else _SMALL_MM
        drawing.ink(BLACK if row == 0 else _GREY)
        fitting = shortened(line, size, right - x)
        drawing.text(x, y - row * 3.3, line if fitting == line else f"{fitting[:-1]}…", size)


def _draw_rulers(drawing: Drawing, page: PlannedPage) -> None:
    top = MARGIN_MM + FOOT_MM - 6.0
    for row, (told, length) in enumerate(LENGTHS_MM):
        y = top - row * 8.0
        _ruler(drawing, np.array([(MARGIN_MM, y), (MARGIN_MM + length, y)]))
        drawing.text_amid(MARGIN_MM + length / 2, y + 0.9, told, _TEXT_MM)
    told, length = LENGTHS_MM[0]
    x, y = MARGIN_MM + 4.0, MARGIN_MM + FOOT_MM + 4.0
    _ruler(drawing, np.array([(x, y), (x, y + length)]))
    drawing.text_upward(x - 0.9, y + length / 2 - text_width_mm(told, _TEXT_MM) / 2, told, _TEXT_MM)
    left = MARGIN_MM + LENGTHS_MM[1][1] + 6.0
    for row, line in enumerate(wrapped(HOW_TO_PRINT, _TEXT_MM, page.width_mm - MARGIN_MM - left)):
        drawing.text(left, top + 0.9 - row * 3.7, line, _TEXT_MM)


def _ruler(drawing: Drawing, ends: np.ndarray) -> None:
    """A line to measure, a tick across each end: from the middle of one tick to that of the other."""
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    across = np.array((-along[1], along[0])) * _TICK_MM / 2
    drawing.pen(_RULER_PEN_MM, BLACK)
    drawing.ink(BLACK)
    lines = [ends.reshape(4), *(np.concatenate((end - across, end + across)) for end in ends)]
    drawing.lines(np.array(lines))


def _draw_key(drawing: Drawing) -> None:
    x, y = MARGIN_MM, MARGIN_MM + 8.6
    drawing.ink(BLACK)
    drawing.area([np.array([(x, y - 0.2), (x + 3, y - 0.2), (x + 3, y + 1.0), (x, y + 1.0)])])
    x = _told_beside(drawing, x + 3, y, "legend as drawn")
    for line in LINES:
        drawing.pen(line.width_mm, line.colour, line.dashes_mm)
        drawing.lines(np.array([(x, y + 0.7, x + _SAMPLE_MM, y + 0.7)]))
        x = _told_beside(drawing, x + _SAMPLE_MM, y, line.means)


def _told_beside(drawing: Drawing, x: float, y: float, told: str) -> float:
    drawing.ink(BLACK)
    drawing.text(x + 1.2, y, told, _SMALL_MM)
    return x + 1.2 + text_width_mm(told, _SMALL_MM) + 4.0


def _draw_caution(drawing: Drawing, page: PlannedPage) -> None:
    drawing.ink(_GREY)
    for row, line in enumerate(wrapped(SHORT_CAUTION, _SMALL_MM, page.width_mm - 2 * MARGIN_MM)):
        drawing.text(MARGIN_MM, MARGIN_MM + 4.2 - row * 3.0, line, _SMALL_MM)
