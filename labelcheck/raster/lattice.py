"""The grid that shapes are laid on, and the numbering of its rows."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.runs import TIE, Box
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import Shapes

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

FARTHEST_PIXEL = 2**30
"""No index beyond this: 10 km at 10 µm, and every index still fits 32 bits."""

NOWHERE = (
    "The artwork has coordinates that are kilometres away, or are no numbers at all. "
    "Check the unit and the coordinate format of the file, and export it again."
)


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Rows and columns: row r is sampled on the line y = `y_mm` + (r + 0.5) * `row_mm`; columns likewise.

    `sampled_at` (rows,) puts the sampling lines elsewhere, upwards, in `row_mm` above `y_mm`: row r is that of the
    r-th of them, and there are no others.
    """

    row_mm: float
    column_mm: float
    x_mm: float = 0.0
    y_mm: float = 0.0
    sampled_at: Floats | None = None

    def columns(self, x: Floats) -> Floats:
        """Millimetres to columns, so that a shape from a to b covers ceil(a) up to, not including, ceil(b)."""
        return (x - self.x_mm) / self.column_mm - (0.5 + TIE)

    def heights(self, y: Floats) -> Floats:
        """Millimetres to heights in units of a row, so that row r is sampled at height r unless put elsewhere."""
        if self.sampled_at is not None:
            return (y - self.y_mm) / self.row_mm - TIE
        return (y - self.y_mm) / self.row_mm - (0.5 + TIE)

    def first_column(self, x: Floats) -> Integers:
        """First column with its centre at or beyond each x, which is in columns."""
        return whole(np.ceil(x))

    def first_row(self, height: Floats) -> Integers:
        """First row sampled at or above each height."""
        if self.sampled_at is not None:
            return np.searchsorted(self.sampled_at, height, side="left").astype(np.int64)
        return whole(np.ceil(height))


def refuse_nonsense(shapes: Shapes) -> None:
    """Raise RasterTooLarge for coordinates or widths that are infinite or not numbers."""
    for column in (shapes.x0, shapes.y0, shapes.x1, shapes.y1, shapes.width, shapes.vx, shapes.vy):
        if not np.isfinite(column).all():
            raise RasterTooLarge(NOWHERE)


def whole(indices: Floats) -> Integers:
    """Pixel indices as integers; refuses what no board can need.

    Raises RasterTooLarge where an index is not a number or kilometres away.
    """
    if len(indices) and not np.abs(indices).max() < FARTHEST_PIXEL:
        raise RasterTooLarge(NOWHERE)
    return indices.astype(np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Lattice:
    """Where each group's rows and columns begin on one numbering of lines; arrays of shape (groups,).

    A place is the integer `(line << shift) + column - first_column`, line = `first_line` + row - `first_row`.
    """

    first_row: Integers
    first_column: Integers
    first_line: Integers
    """Shape (groups + 1,): the last says how many lines there are."""
    columns: Integers
    shift: int

    @property
    def lines(self) -> int:
        """How many lines all groups have together."""
        return int(self.first_line[-1])


def seen(boxes: Floats, clip: Box | None) -> NDArray[np.bool_]:
    """Which objects have any extent, within the clipping box where there is one; `boxes` (n, 4) mm."""
    has_extent = boxes[:, 0] <= boxes[:, 2]
    if clip is None:
        return has_extent
    across = (boxes[:, 2] >= clip[0]) & (boxes[:, 0] <= clip[2])
    return has_extent & across & (boxes[:, 3] >= clip[1]) & (boxes[:, 1] <= clip[3])


def lattice_over(boxes: Floats, group: Integers, groups: int, grid: Grid, clip: Box | None) -> Lattice:
    """The lattice on which objects find their place.

    `boxes` (n, 4) mm and `group` (n,) of the objects that are seen, and belong to a group; `clip` bounds all.
    """
    if clip is not None:
        boxes = np.clip(boxes, np.tile(clip[:2], 2), np.tile(clip[2:], 2))
    low = np.full((groups, 2), np.iinfo(np.int64).max)
    high = np.full((groups, 2), np.iinfo(np.int64).min)
    for axis, edge, first in ((0, grid.columns, grid.first_column), (1, grid.heights, grid.first_row)):
        np.minimum.at(low[:, axis], group, first(edge(boxes[:, axis])))
        np.maximum.at(high[:, axis], group, first(edge(boxes[:, axis + 2])))
    empty = high[:, 0] < low[:, 0]
    low[empty], high[empty] = 0, 0
    low[:, 0] -= 1  # a column to spare on either side: borders of bars are computed in another way than boxes
    high[:, 0] += 1
    extent = high - low
    first_line = np.concatenate(([0], np.cumsum(extent[:, 1])))
    shift = int(extent[:, 0].max(initial=0) + 1).bit_length()
    return Lattice(low[:, 1], low[:, 0], first_line, extent[:, 0], shift)


def object_boxes(shapes: Shapes) -> Floats:
    """Box of each object that can leave ink, (n, 4) mm; inf/-inf where it has no extent or no width."""
    boxes = shapes.boxes()
    inkless = np.ones(len(shapes), dtype=np.bool_)
    inkless[shapes.bar_object[shapes.width > 0]] = False
    inkless[shapes.ring_object] = False
    boxes[inkless] = (np.inf, np.inf, -np.inf, -np.inf)
    return boxes
