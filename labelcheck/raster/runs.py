"""Ink as row runs: for each raster row the stretches of columns that are covered.

Row r, column c is the pixel whose centre is ((c + 0.5) * pitch, (r + 0.5) * pitch) in artwork millimetres; indices
may be negative. All layers share this one grid, so operations between layers need no alignment.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.intervals import Intervals, Keys, merge

Int32s = NDArray[np.int32]
Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """Covered stretches, sorted by (group, row, start), disjoint and not touching within a group and row.

    Arrays of shape (n,), int32: `row`, columns `start` up to, not including, `end`; `group` the group that each
    run belongs to, or None where there are no groups.
    """

    pitch_mm: float
    row: Int32s
    start: Int32s
    end: Int32s
    group: Int32s | None = None

    def __len__(self) -> int:
        return len(self.row)

    def take(self, chosen: NDArray[np.bool_] | NDArray[np.integer] | slice) -> "Runs":
        """The chosen runs only, in the same order."""
        return Runs(
            self.pitch_mm, self.row[chosen], self.start[chosen], self.end[chosen],
            None if self.group is None else self.group[chosen],
        )

    def ungrouped(self) -> "Runs":
        """All ink together, whichever group it belongs to."""
        if self.group is None:
            return self
        line = NumberLine.over(replace(self, group=None))
        return line.runs(merge(*line.intervals(replace(self, group=None))), self.pitch_mm)


def no_runs(pitch_mm: float, grouped: bool = False) -> Runs:
    """No ink at all."""
    none = np.zeros(0, dtype=np.int32)
    return Runs(pitch_mm, none, none, none, none if grouped else None)


def concatenated(parts: list[Runs], pitch_mm: float, grouped: bool = False) -> Runs:
    """Parts that follow one another in (group, row), as one."""
    if not parts:
        return no_runs(pitch_mm, grouped)
    if len(parts) == 1:
        return parts[0]
    return Runs(
        pitch_mm,
        np.concatenate([part.row for part in parts]),
        np.concatenate([part.start for part in parts]),
        np.concatenate([part.end for part in parts]),
        np.concatenate([part.group for part in parts if part.group is not None]) if grouped else None,
    )


@dataclass(frozen=True, slots=True)
class NumberLine:
    """All rows of all groups laid end to end, so that a run becomes an interval of plain integers.

    One column more than needed keeps the rows apart: runs of different rows never touch.
    """

    first_row: int
    rows: int
    first_column: int
    shift: int

    @staticmethod
    def over(*several: Runs, margin: int = 0) -> "NumberLine":
        """The line on which all of the given runs find their place, with `margin` pixels around them."""
        filled = [runs for runs in several if len(runs)]
        if not filled:
            return NumberLine(0, 1, 0, 1)
        low = min(int(runs.row.min()) for runs in filled) - margin
        high = max(int(runs.row.max()) for runs in filled) + margin
        left = min(int(runs.start.min()) for runs in filled) - margin
        right = max(int(runs.end.max()) for runs in filled) + margin
        return NumberLine(low, high - low + 1, left, (right - left + 1).bit_length())

    def intervals(self, runs: Runs) -> Intervals:
        """Runs as int64 intervals, in the same order."""
        line = runs.row.astype(np.int64) - self.first_row
        if runs.group is not None:
            line += runs.group.astype(np.int64) * self.rows
        base = (line << self.shift) - self.first_column
        return base + runs.start, base + runs.end

    def runs(self, intervals: Intervals, pitch_mm: float, grouped: bool = False) -> Runs:
        """Sorted, merged intervals as runs."""
        start, end = intervals
        line = start >> self.shift
        base = (line << self.shift) - self.first_column
        group: Keys | None = None
        if grouped:
            group = (line // self.rows).astype(np.int32)
            line = line % self.rows
        return Runs(
            pitch_mm,
            (line + self.first_row).astype(np.int32),
            (start - base).astype(np.int32),
            (end - base).astype(np.int32),
            group,
        )


def area_mm2(runs: Runs) -> float:
    """Covered area; overlapping groups count each for itself."""
    return float(np.sum(runs.end - runs.start, dtype=np.int64)) * runs.pitch_mm**2


def area_by_group(runs: Runs, group_count: int) -> Floats:
    """Covered area of each group in mm², shape (group_count,)."""
    if runs.group is None:
        raise ValueError("area_by_group needs grouped runs")
    pixels = np.bincount(runs.group, weights=runs.end - runs.start, minlength=group_count)
    return np.asarray(pixels * runs.pitch_mm**2, dtype=np.float64)


def boxes_by_group(runs: Runs, group_count: int) -> Floats:
    """Box of each group's pixels, edge to edge, as (group_count, 4) mm: x0, y0, x1, y1; inf/-inf without ink."""
    if runs.group is None:
        raise ValueError("boxes_by_group needs grouped runs")
    boxes = np.empty((group_count, 4))
    boxes[:, :2], boxes[:, 2:] = np.inf, -np.inf
    if len(runs) == 0:
        return boxes
    first = np.flatnonzero(np.diff(runs.group, prepend=runs.group[0] - 1))
    last = np.append(first[1:], len(runs)) - 1
    owner = runs.group[first]
    boxes[owner, 0] = np.minimum.reduceat(runs.start, first) * runs.pitch_mm
    boxes[owner, 1] = runs.row[first] * runs.pitch_mm
    boxes[owner, 2] = np.maximum.reduceat(runs.end, first) * runs.pitch_mm
    boxes[owner, 3] = (runs.row[last] + 1.0) * runs.pitch_mm
    return boxes


def box_mm(runs: Runs) -> Box | None:
    """Box of all pixels, edge to edge: x0, y0, x1, y1; None without ink."""
    if len(runs) == 0:
        return None
    pitch = runs.pitch_mm
    return (
        int(runs.start.min()) * pitch,
        int(runs.row.min()) * pitch,
        int(runs.end.max()) * pitch,
        (int(runs.row.max()) + 1) * pitch,
    )


def regroup(runs: Runs, new_group_of_group: NDArray[np.integer]) -> Runs:
    """Groups renamed, joined (same new number) or dropped (-1)."""
    if runs.group is None:
        raise ValueError("regroup needs grouped runs")
    group = np.asarray(new_group_of_group, dtype=np.int32)[runs.group]
    kept = replace(runs, group=group).take(group >= 0)
    line = NumberLine.over(kept)
    return line.runs(merge(*line.intervals(kept)), runs.pitch_mm, grouped=True)


def within_box(runs: Runs, box_mm: Box) -> Runs:
    """What lies inside a box: the pixels whose centres do."""
    columns, rows = pixels_within(box_mm, runs.pitch_mm)
    runs = between_rows(runs, rows[0], rows[1])
    start = np.maximum(runs.start, np.int32(columns[0]))
    end = np.minimum(runs.end, np.int32(columns[1]))
    return replace(runs, start=start, end=end).take(start < end)


def between_rows(runs: Runs, low: int, high: int) -> Runs:
    """Runs on rows `low` up to, not including, `high`; quick where there are no groups."""
    if runs.group is not None:
        return runs.take((runs.row >= low) & (runs.row < high))
    rows = np.array([min(max(edge, -(2**31)), 2**31 - 1) for edge in (low, high)], dtype=np.int32)
    first, last = np.searchsorted(runs.row, rows)
    return runs.take(slice(int(first), int(last)))


def of_group(runs: Runs, group: int) -> Runs:
    """The runs of one group, without groups."""
    if runs.group is None:
        raise ValueError("of_group needs grouped runs")
    first, last = np.searchsorted(runs.group, np.array([group, group + 1], dtype=np.int32))
    return replace(runs, group=None).take(slice(int(first), int(last)))


def pixels_within(box_mm: Box, pitch_mm: float) -> tuple[tuple[int, int], tuple[int, int]]:
    """Columns and rows, half-open, whose pixel centres lie in a box."""
    limit = 2**31 - 2  # what an int32 index can say; a box may well be infinite
    x0, y0, x1, y1 = (
        int(np.clip(np.ceil(edge / pitch_mm - 0.5 - TIE), -limit, limit)) for edge in box_mm
    )
    return (x0, x1), (y0, y1)


TIE = 1e-6
"""In pixels: an edge that falls on a pixel centre up to the noise of arithmetic is taken to fall just below it, at
both ends of a shape alike, so that a width of n pixels stays n pixels wherever it stands."""
