"""Ink grown or shrunk by a disc, run by run."""

import numpy as np

from labelcheck.raster.intervals import covered_times, merge
from labelcheck.raster.runs import NumberLine, Runs


def grown(runs: Runs, by_mm: float) -> Runs:
    """Every pixel whose centre is no farther than `by_mm` from the centre of an inked pixel; groups stay apart."""
    up, out = _disc(by_mm / runs.pitch_mm)
    if len(runs) == 0 or len(up) == 1:
        return runs
    line = NumberLine.over(runs, margin=int(out.max()))
    start, end = line.intervals(runs)
    rows = up.astype(np.int64) << line.shift
    grown_runs = merge(
        (start[:, None] + (rows - out)[None, :]).ravel(), (end[:, None] + (rows + out)[None, :]).ravel()
    )
    return line.runs(grown_runs, runs.pitch_mm, runs.group is not None)


def shrunk(runs: Runs, by_mm: float) -> Runs:
    """Every inked pixel that has no uninked pixel's centre within `by_mm` of its own; groups stay apart."""
    up, out = _disc(by_mm / runs.pitch_mm)
    if len(runs) == 0 or len(up) == 1:
        return runs
    line = NumberLine.over(runs, margin=int(out.max()))
    start, end = line.intervals(runs)
    rows = up.astype(np.int64) << line.shift
    # A pixel stays where each row of the disc, laid on it, falls inside a run: all rows of the disc vote.
    starts = (start[:, None] + (rows + out)[None, :]).ravel()
    ends = (end[:, None] + (rows - out)[None, :]).ravel()
    wide = starts < ends
    left = covered_times(starts[wide], ends[wide], len(up))
    return line.runs(left, runs.pitch_mm, runs.group is not None)


def _disc(radius: float) -> tuple[np.ndarray, np.ndarray]:
    """Rows of a disc in pixels, and how many columns it reaches out on each."""
    squared = radius * radius + 1e-6  # a radius of whole pixels keeps its outermost ones
    reach = int(np.floor(np.sqrt(squared)))
    up = np.arange(-reach, reach + 1)
    return up, np.floor(np.sqrt(squared - up * up)).astype(np.int64)
