"""Where on which page each piece of the drawings goes; everything in millimetres from the lower left of the paper."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from labelcheck.review.true_size.side_drawing import SideDrawing
from labelcheck.trade.errors import UnreadableSet
from labelcheck.trade.units import MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper, upright."""

    width_mm: float
    height_mm: float


PAPERS = {"a4": Paper(210.0, 297.0), "letter": Paper(8.5 * MM_PER_INCH, 11 * MM_PER_INCH)}
"""ISO 216 and ANSI/ASME Y14.1."""

MARGIN_MM = 9.0
"""Printers for the desk leave 4 to 6 mm blank: common practice, no source."""
HEAD_MM = 13.0
"""Name of the set and what the page shows."""
FOOT_MM = 29.0
"""Lines to measure, key, caution."""
RULER_MM = 8.0
"""A strip on the left for the upright line to measure."""
CAPTION_MM = 8.5
"""Two lines over each drawing."""
BETWEEN_MM = 8.0
OVERLAP_MM = 12.0
"""Shown on both of two neighbouring pages."""
PAGES_AT_MOST = 60
"""For a side; more is a board in a wrong unit rather than one that somebody prints."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A window of a drawing on a page."""

    drawing: SideDrawing
    at_mm: tuple[float, float]
    """Its lower left corner on the page."""
    window_mm: tuple[float, float, float, float]
    """x, y, width, height in the drawing."""
    column: int
    row: int
    """From the left and from the top, from 0."""
    columns: int
    rows: int


@dataclass(frozen=True, slots=True)
class PlannedPage:
    """One page."""

    width_mm: float
    height_mm: float
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class _Field:
    """The part of a page where drawings go."""

    page: Paper

    @property
    def x(self) -> float:
        return MARGIN_MM + RULER_MM

    @property
    def y(self) -> float:
        return MARGIN_MM + FOOT_MM

    @property
    def width(self) -> float:
        return self.page.width_mm - 2 * MARGIN_MM - RULER_MM

    @property
    def height(self) -> float:
        return self.page.height_mm - 2 * MARGIN_MM - HEAD_MM - FOOT_MM


def plan(drawings: Sequence[SideDrawing], paper: Paper) -> tuple[PlannedPage, ...]:
    """The fewest pages, upright or lying, upright where that makes no difference; all of them the same way.

    Raises `UnreadableSet` where the board is so large that its size must be wrong.
    """
    ways = [
        _planned(drawings, _Field(page)) for page in (paper, Paper(paper.height_mm, paper.width_mm))
    ]
    return min(ways, key=len)


def _planned(drawings: Sequence[SideDrawing], field: _Field) -> tuple[PlannedPage, ...]:
    together = _together(drawings, field)
    if together:
        return (PlannedPage(field.page.width_mm, field.page.height_mm, together),)
    return tuple(
        PlannedPage(field.page.width_mm, field.page.height_mm, (piece,))
        for drawing in drawings
        for piece in _tiles(drawing, field)
    )


def _together(drawings: Sequence[SideDrawing], field: _Field) -> tuple[Piece, ...]:
    """All drawings on one page, one below the other, else side by side; nothing where they do not fit."""
    widths, heights = [one.width_mm for one in drawings], [one.height_mm for one in drawings]
    spaces = BETWEEN_MM * (len(drawings) - 1)
    if max(widths) <= field.width and sum(heights) + spaces + CAPTION_MM * len(drawings) <= field.height:
        pieces, top = [], field.y + field.height
        for one in drawings:
            bottom = top - CAPTION_MM - one.height_mm
            pieces.append(_whole(one, (field.x + (field.width - one.width_mm) / 2, bottom)))
            top = bottom - BETWEEN_MM
        return tuple(pieces)
    if sum(widths) + spaces <= field.width and max(heights) + CAPTION_MM <= field.height:
        pieces, left = [], field.x + (field.width - sum(widths) - spaces) / 2
        for one in drawings:
            pieces.append(_whole(one, (left, field.y + field.height - CAPTION_MM - one.height_mm)))
            left += one.width_mm + BETWEEN_MM
        return tuple(pieces)
    return ()


def _whole(drawing: SideDrawing, at_mm: tuple[float, float]) -> Piece:
    return Piece(drawing, at_mm, (0.0, 0.0, drawing.width_mm, drawing.height_mm), 0, 0, 1, 1)


def _tiles(drawing: SideDrawing, field: _Field) -> tuple[Piece, ...]:
    """One drawing over as many pages as it takes, all windows of one size."""
    room = field.height - CAPTION_MM
    columns, rows = _count(drawing.width_mm, field.width), _count(drawing.height_mm, room)
    if columns * rows > PAGES_AT_MOST:
        raise UnreadableSet(
            f"The board is {drawing.width_mm:.0f} x {drawing.height_mm:.0f} mm and would take {columns * rows} pages "
            "a side. Look whether its files state the right unit."
        )
    width = (drawing.width_mm + (columns - 1) * OVERLAP_MM) / columns
    height = (drawing.height_mm + (rows - 1) * OVERLAP_MM) / rows
    at = (field.x + (field.width - width) / 2, field.y + room - height)
    return tuple(
        Piece(
            drawing, at,
            (column * (width - OVERLAP_MM), (rows - 1 - row) * (height - OVERLAP_MM), width, height),
            column, row, columns, rows,
        )
        for row in range(rows)
        for column in range(columns)
    )


def _count(size_mm: float, room_mm: float) -> int:
    return max(math.ceil((size_mm - OVERLAP_MM) / (room_mm - OVERLAP_MM) - 1e-9), 1)
