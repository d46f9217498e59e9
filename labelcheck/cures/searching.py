"""The nearest free place for a label: all places around it at once, on a grid of shifts.

A label is a few boxes, one where it stands along the axes. A shift is free where none of its boxes holds a pixel that
is taken: sums over all rectangles of a window come from one summed table (Crow, "Summed-area tables", 1984). What is
a box itself, as other labels and bodies are, forbids a rectangle of shifts.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.runs import Box, Runs
from labelcheck.raster.windows import Window, to_bitmap, window_around
from labelcheck.trade.shapes import Flags, Floats, Integers

ASKEW_MM = 0.1
"""A move along both axes at once is worth so much more of a move along one."""
AT_ONCE = 512
"""Free places looked at together, nearest first, for what else is asked of them."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far to look, and how finely: shifts lie `step` pixels apart, up to `steps` of them each way."""

    steps: int
    step: int
    pitch_mm: float

    @property
    def step_mm(self) -> float:
        """From one shift to the next."""
        return self.step * self.pitch_mm

    @property
    def far_mm(self) -> float:
        """The longest shift along an axis."""
        return self.steps * self.step_mm

    def shifts(self) -> Floats:
        """All shifts along one axis."""
        return np.asarray(np.arange(-self.steps, self.steps + 1) * self.step_mm, dtype=np.float64)


def around(boxes: Floats) -> Box:
    """The box around several, (k, 4)."""
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))


def shifts_onto_boxes(wanted: Floats, things: Floats, margin_mm: float, reach: Reach) -> Flags:
    """The shifts that bring a box of a label (k, 4) within the margin of one of the things (n, 4).

    Shape (shifts, shifts), rows of y; both axes ascending. A thing takes a whole rectangle of shifts.
    """
    side = 2 * reach.steps + 1
    taken = np.zeros((side, side), dtype=np.bool_)
    for box in wanted:
        low = np.floor((things[:, :2] - margin_mm - box[2:]) / reach.step_mm + 1e-9).astype(np.int64) + 1
        high = np.ceil((things[:, 2:] + margin_mm - box[:2]) / reach.step_mm - 1e-9).astype(np.int64)
        low = np.maximum(low + reach.steps, 0)
        high = np.minimum(high + reach.steps, side)
        met = (low < high).all(axis=1)
        for (left, bottom), (right, top) in zip(low[met].tolist(), high[met].tolist(), strict=True):
            taken[bottom:top, left:right] = True
    return taken


@dataclass(frozen=True, slots=True, eq=False)
class Pixels:
    """What is taken in a window, summed up: entry (r, c) of the table counts pixels below row r, left of column c."""

    window: Window
    table: NDArray[np.int32] | None
    """None where nothing is taken in the window."""
    reach: Reach

    def shifts_onto(self, wanted: Floats, margin_mm: float) -> Flags:
        """The shifts that bring a box of a label (k, 4), grown by a margin, onto a pixel that is taken."""
        side = 2 * self.reach.steps + 1
        taken = np.zeros((side, side), dtype=np.bool_)
        if self.table is not None:
            for box in wanted:
                taken |= self._shifts_of_one(box, margin_mm, self.table)
        return taken

    def _shifts_of_one(self, box: Floats, margin_mm: float, table: NDArray[np.int32]) -> Flags:
        pitch, step = self.reach.pitch_mm, self.reach.step
        travel = self.reach.steps * step
        left = int(np.floor((box[0] - margin_mm) / pitch + 1e-6)) - self.window.column
        right = int(np.ceil((box[2] + margin_mm) / pitch - 1e-6)) - self.window.column
        low = int(np.floor((box[1] - margin_mm) / pitch + 1e-6)) - self.window.row
        high = int(np.ceil((box[3] + margin_mm) / pitch - 1e-6)) - self.window.row

        def at(row: int, column: int) -> NDArray[np.int32]:
            return table[row - travel : row + travel + 1 : step, column - travel : column + travel + 1 : step]

        return np.asarray(at(high, right) - at(low, right) != at(high, left) - at(low, left))


def pixels_around(runs: Runs, wanted: Floats, margin_mm: float, reach: Reach) -> Pixels:
    """What is taken within reach of a label's boxes (k, 4) grown by the largest margin that will be asked for."""
    window = window_around(around(wanted), reach.far_mm + margin_mm + reach.pitch_mm, reach.pitch_mm)
    bitmap = to_bitmap(runs, window)
    if not bitmap.any():
        return Pixels(window, None, reach)
    table = np.zeros((bitmap.shape[0] + 1, bitmap.shape[1] + 1), dtype=np.int32)
    np.cumsum(bitmap, axis=0, dtype=np.int32, out=table[1:, 1:])
    np.cumsum(table[1:, 1:], axis=1, out=table[1:, 1:])
    return Pixels(window, table, reach)


def is_taken(runs: Runs, wanted: Floats, margin_mm: float) -> bool:
    """Whether a label's boxes (k, 4), grown by a margin, hold a pixel that is taken."""
    return any(to_bitmap(runs, window_around(tuple(box), margin_mm, runs.pitch_mm)).any() for box in wanted.tolist())


def nearest(
    free: Flags, reach: Reach, suits: Callable[[Floats], Flags] | None = None
) -> tuple[float, float] | None:
    """The shortest free shift, of those that suit where that is asked: takes (n, 2) shifts, returns (n,)."""
    order = _by_length(reach)
    places = order[free.ravel()[order]]
    side = 2 * reach.steps + 1
    for first in range(0, len(places), AT_ONCE):
        chosen = places[first : first + AT_ONCE]
        shifts = (np.column_stack((chosen % side, chosen // side)) - reach.steps) * np.float64(reach.step_mm)
        suiting = shifts if suits is None else shifts[suits(shifts)]
        if len(suiting):
            x, y = (round(float(part), 4) + 0.0 for part in suiting[0])
            return x, y
    return None


@lru_cache(maxsize=8)
def _by_length(reach: Reach) -> Integers:
    """All shifts within reach, row by row, as numbers in order of what they cost."""
    steps = np.arange(-reach.steps, reach.steps + 1)
    cost = length_of(steps[None, :], steps[:, None], reach.step_mm).ravel()
    order = np.argsort(cost, kind="stable")
    return order[cost[order] <= reach.far_mm + ASKEW_MM]


def length_of(steps_x: Integers, steps_y: Integers, step_mm: float) -> Floats:
    """What a shift costs: its length, and a little more where it runs along both axes."""
    askew = (steps_x != 0) & (steps_y != 0)
    return np.asarray(np.hypot(steps_x, steps_y) * step_mm + np.where(askew, ASKEW_MM, 0.0))
