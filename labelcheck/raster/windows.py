"""Small bitmaps cut out of runs, and back. Row 0 of a bitmap is the lowest y."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.runs import Box, Runs, between_rows, of_group

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Window:
    """A rectangle of pixels of the common grid: its lowest row and column, and how many of each."""

    row: int
    column: int
    rows: int
    columns: int

    def box_mm(self, pitch_mm: float) -> Box:
        """The rectangle edge to edge."""
        return (
            self.column * pitch_mm, self.row * pitch_mm,
            (self.column + self.columns) * pitch_mm, (self.row + self.rows) * pitch_mm,
        )


def window_around(box_mm: Box, margin_mm: float, pitch_mm: float) -> Window:
    """The smallest window that holds a box and a margin around it."""
    x0, y0, x1, y1 = box_mm
    column, row = int(np.floor((x0 - margin_mm) / pitch_mm)), int(np.floor((y0 - margin_mm) / pitch_mm))
    columns = int(np.ceil((x1 + margin_mm) / pitch_mm)) - column
    rows = int(np.ceil((y1 + margin_mm) / pitch_mm)) - row
    return Window(row, column, max(rows, 0), max(columns, 0))


def to_bitmap(runs: Runs, window: Window) -> Flags:
    """The window as bool, shape (rows, columns), row 0 = lowest y; groups lie over one another."""
    inside = between_rows(runs, window.row, window.row + window.rows)
    if inside.group is not None:
        inside = inside.ungrouped()
    return _painted(inside, np.zeros(len(inside), dtype=np.int64), 1, window)[0]


def to_bitmaps(runs: Runs, group_count: int, window: Window) -> Flags:
    """One bitmap a group, all of the same window: bool, shape (group_count, rows, columns)."""
    if runs.group is None:
        raise ValueError("to_bitmaps needs grouped runs")
    inside = between_rows(runs, window.row, window.row + window.rows)
    owner = np.zeros(0, dtype=np.int64) if inside.group is None else inside.group.astype(np.int64)
    return _painted(inside, owner, group_count, window)


def bitmap_of_each(runs: Runs, group_count: int, margin: int) -> Iterator[tuple[Window, Flags]]:
    """For each group its own window, with a margin in pixels around the ink, and its bitmap; 0 x 0 without ink."""
    for group in range(group_count):
        own = of_group(runs, group)
        if len(own) == 0:
            yield Window(0, 0, 0, 0), np.zeros((0, 0), dtype=np.bool_)
            continue
        row, column = int(own.row[0]) - margin, int(own.start.min()) - margin
        rows, columns = int(own.row[-1]) + 1 + margin - row, int(own.end.max()) + margin - column
        window = Window(row, column, rows, columns)
        yield window, to_bitmap(own, window)


def _painted(runs: Runs, picture: NDArray[np.int64], pictures: int, window: Window) -> Flags:
    start = np.maximum(runs.start - np.int64(window.column), 0)
    end = np.minimum(runs.end - np.int64(window.column), window.columns)
    inside = start < end
    line = (picture * window.rows + (runs.row - np.int64(window.row)))[inside] * (window.columns + 1)
    # +1 where ink begins, -1 where it ends, one column to spare: the running sum is 1 on ink.
    change = np.zeros(pictures * window.rows * (window.columns + 1), dtype=np.int8)
    change[line + start[inside]] = 1
    change[line + end[inside]] = -1
    covered = np.cumsum(change, dtype=np.int8, out=change).view(np.bool_)
    return covered.reshape(pictures, window.rows, window.columns + 1)[:, :, :-1]


def from_bitmap(bitmap: Flags, window: Window, pitch_mm: float) -> Runs:
    """A bitmap of shape (rows, columns), row 0 = lowest y, as runs of the common grid."""
    rows, columns = bitmap.shape
    padded = np.zeros((rows, columns + 2), dtype=np.int8)
    padded[:, 1:-1] = bitmap
    change = np.diff(padded, axis=1)
    row, start = np.nonzero(change == 1)
    _, end = np.nonzero(change == -1)
    return Runs(
        pitch_mm, (row + window.row).astype(np.int32),
        (start + window.column).astype(np.int32), (end + window.column).astype(np.int32),
    )
