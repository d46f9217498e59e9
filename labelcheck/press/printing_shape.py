"""How ink hangs together: pieces and enclosed clear spaces of each group, and the same ink as upright columns."""

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.components import components
from labelcheck.raster.intervals import expand
from labelcheck.raster.run_algebra import subtract
from labelcheck.raster.runs import NumberLine, Runs

Integers = NDArray[np.int64]


def pieces_and_holes(ink: Runs, groups: int) -> tuple[Integers, Integers]:
    """Connected pieces (across edges and corners) and enclosed clear spaces of each group, shape (groups,) both.

    By Euler's formula: runs less contacts between runs of neighbouring rows are pieces less holes.
    """
    if ink.group is None:
        raise ValueError("pieces_and_holes needs grouped runs")
    if len(ink) == 0:
        return np.zeros(groups, dtype=np.int64), np.zeros(groups, dtype=np.int64)
    piece = components(ink)
    _, first = np.unique(piece, return_index=True)
    pieces = np.bincount(ink.group[first], minlength=groups)
    line = NumberLine.over(ink, margin=1)
    start, end = line.intervals(ink)
    above = np.int64(1) << line.shift
    contacts = np.searchsorted(start, end + above, side="right") - np.searchsorted(end, start + above, side="left")
    euler = np.bincount(ink.group, 1.0 - np.maximum(contacts, 0), groups)
    return pieces, pieces - np.rint(euler).astype(np.int64)


def transposed(ink: Runs) -> Runs:
    """The same ink with rows and columns changed over: row r, column c becomes row c, column r."""
    first = _pixels(subtract(ink, _shifted(ink, 1)))
    last = _pixels(subtract(ink, _shifted(ink, -1)))
    group, column, low = first
    high = last[2]
    return Runs(
        ink.pitch_mm, column.astype(np.int32), low.astype(np.int32), (high + 1).astype(np.int32),
        None if ink.group is None else group.astype(np.int32),
    )


def _shifted(ink: Runs, rows: int) -> Runs:
    return Runs(ink.pitch_mm, ink.row + np.int32(rows), ink.start, ink.end, ink.group)


def _pixels(ink: Runs) -> tuple[Integers, Integers, Integers]:
    """Group, column and row of every pixel, sorted in that order."""
    run, copy = expand(ink.end - ink.start)
    column = (ink.start[run] + copy).astype(np.int64)
    row = ink.row[run].astype(np.int64)
    group = np.zeros(len(row), dtype=np.int64) if ink.group is None else ink.group[run].astype(np.int64)
    order = np.lexsort((row, column, group))
    return group[order], column[order], row[order]
