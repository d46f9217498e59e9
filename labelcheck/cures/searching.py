"""The nearest free place for a label: all places around it at once, on a grid of shifts.

A label is a few boxes, one where it stands along the axes. A shift is free where none of its boxes holds a pixel that
is taken. Everything that is taken, a box or a run of pixels, forbids a rectangle of shifts; how many of them lie over
each shift is summed up at once (the converse of Crow, "Summed-area tables", 1984).
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from labelcheck.raster.runs import Box, Int32s, Runs
from labelcheck.trade.shapes import Flags, Floats, Integers

ASKEW_MM = 0.1
"""A move along both axes at once is worth so much more of a move along one."""
FIRST, AT_ONCE = 32, 512
"""Free places looked at together, nearest first, for what else is asked of them: so many first, and at the most."""


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


Rectangles = tuple[Integers, Integers]
"""Rectangles of shifts, in steps: from the first (n, 2), x and y, up to, not including, the second (n, 2)."""


def onto_boxes(wanted: Floats, things: Floats, margin_mm: float, reach: Reach) -> Rectangles:
    """The shifts that bring a box of a label (k, 4) within the margin of one of the things (n, 4)."""
    low = np.floor((things[:, None, :2] - margin_mm - wanted[:, 2:]) / reach.step_mm + 1e-9).astype(np.int64) + 1
    high = np.ceil((things[:, None, 2:] + margin_mm - wanted[:, :2]) / reach.step_mm - 1e-9).astype(np.int64)
    return low.reshape(-1, 2), high.reshape(-1, 2)


def onto_runs(wanted: Floats, runs: Runs, margin_mm: float, reach: Reach) -> Rectangles:
    """The shifts that bring a box of a label (k, 4), grown by a margin, onto a pixel that is taken."""
    pitch, step, travel = reach.pitch_mm, reach.step, reach.steps * reach.step
    found = []
    for x0, y0, x1, y1 in wanted.tolist():
        left, low = math.floor((x0 - margin_mm) / pitch + 1e-6), math.floor((y0 - margin_mm) / pitch + 1e-6)
        right, high = math.ceil((x1 + margin_mm) / pitch - 1e-6), math.ceil((y1 + margin_mm) / pitch - 1e-6)
        row, start, end = _near(runs, (left - travel, low - travel, right + travel, high + travel))
        # A box of pixels moved by d meets a run where d lies from first - high + 1 up to, not including, last - low.
        rectangles = np.empty((4, len(row)), dtype=np.int64)
        np.subtract(right - 1, start, out=rectangles[0])
        np.subtract(high - 1, row, out=rectangles[1])
        np.subtract(end, left + 1, out=rectangles[2])
        np.subtract(row, low, out=rectangles[3])
        rectangles //= step
        np.negative(rectangles[:2], out=rectangles[:2])
        rectangles[2:] += 1
        found.append(rectangles)
    together = found[0] if len(found) == 1 else np.hstack(found)
    return together[:2].T, together[2:].T


def _near(runs: Runs, window: tuple[int, int, int, int]) -> tuple[Int32s, Int32s, Int32s]:
    """Rows, starts and ends of the runs that reach into a window of pixels: columns and rows up to its ends."""
    left, bottom, right, top = window
    rows = np.array((max(bottom, -(2**31)), min(top, 2**31 - 1)), dtype=np.int32)
    first, last = np.searchsorted(runs.row, rows).tolist()
    start, end = runs.start[first:last], runs.end[first:last]
    met = (end > left) & (start < right)
    return runs.row[first:last][met], start[met], end[met]


def covered(reach: Reach, *taken: Rectangles) -> Flags:
    """The shifts that lie in any of the rectangles: shape (shifts, shifts), rows of y; both axes ascending."""
    together = (np.concatenate([low for low, _ in taken]), np.concatenate([high for _, high in taken]))
    return np.asarray(covered_by_each(reach, [together])[0])


def covered_by_each(reach: Reach, kinds: Sequence[Rectangles]) -> Flags:
    """The same for several kinds at once, each for itself: shape (kinds, shifts, shifts)."""
    side = 2 * reach.steps + 1
    wide = side + 1
    plane = np.repeat(np.arange(len(kinds)) * wide * wide, [len(low) for low, _ in kinds])
    low = np.maximum(np.concatenate([low for low, _ in kinds]) + reach.steps, 0)
    high = np.minimum(np.concatenate([high for _, high in kinds]) + reach.steps, side)
    met = (low[:, 0] < high[:, 0]) & (low[:, 1] < high[:, 1])
    # +1 and -1 in the corners of each: the running sum along both axes counts those that cover a shift.
    (left, bottom), (right, top) = low[met].T, high[met].T
    bottom, top = bottom * wide + plane[met], top * wide + plane[met]
    change = np.bincount(np.concatenate((bottom + left, top + right)), None, len(kinds) * wide * wide)
    change -= np.bincount(np.concatenate((bottom + right, top + left)), None, len(kinds) * wide * wide)
    change = change.reshape(len(kinds), wide, wide)
    np.cumsum(change, axis=1, out=change)
    np.cumsum(change, axis=2, out=change)
    return np.asarray(change[:, :side, :side] > 0)


def is_taken(runs: Runs, wanted: Floats, margin_mm: float) -> bool:
    """Whether a label's boxes (k, 4), grown by a margin, hold a pixel that is taken."""
    pitch = runs.pitch_mm
    for x0, y0, x1, y1 in wanted.tolist():
        left, bottom = math.floor((x0 - margin_mm) / pitch), math.floor((y0 - margin_mm) / pitch)
        right, top = math.ceil((x1 + margin_mm) / pitch), math.ceil((y1 + margin_mm) / pitch)
        if len(_near(runs, (left, bottom, right, top))[0]):
            return True
    return False


def nearest(
    free: Flags, reach: Reach, suits: Callable[[Floats], Flags] | None = None
) -> tuple[float, float] | None:
    """The shortest free shift, of those that suit where that is asked: takes (n, 2) shifts, returns (n,)."""
    order = _by_length(reach)
    places = order[free.ravel()[order]]
    side = 2 * reach.steps + 1
    first, count = 0, FIRST
    while first < len(places):
        chosen = places[first : first + count]
        first, count = first + count, min(4 * count, AT_ONCE)
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
