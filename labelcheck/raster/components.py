"""Which runs hang together, without a bitmap."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.intervals import expand
from labelcheck.raster.runs import NumberLine, Runs

Integers = NDArray[np.int64]


def components(runs: Runs) -> Integers:
    """Number of the connected piece that each run belongs to, shape (n,), from 0 in order of first run.

    Pixels are neighbours across edges and corners (8-connectivity); ink of different groups never connects.
    """
    count = len(runs)
    if count == 0:
        return np.zeros(0, dtype=np.int64)
    line = NumberLine.over(runs, margin=1)
    start, end = line.intervals(runs)
    above = np.int64(1) << line.shift
    # Runs sorted along the line: those of the next row that touch this one lie together.
    first = np.searchsorted(end, start + above, side="left")
    last = np.searchsorted(start, end + above, side="right")
    counts = np.maximum(last - first, 0)
    lower, copy = expand(counts)
    upper = first[lower] + copy
    # One link down from each run, to the first below it, makes a forest at once; only the other contacts, where
    # two pieces meet, are left to be joined.
    parent = np.arange(count)
    parent[upper[::-1]] = lower[::-1]
    others = parent[upper] != lower
    root = _roots(parent)
    root = _joined(root, root[lower[others]], root[upper[others]])
    names = np.cumsum(root == np.arange(count)) - 1
    return names[root]


def _roots(parent: Integers) -> Integers:
    """The end of each chain of parents, halving all chains in every round."""
    while True:
        grandparent = parent[parent]
        if np.array_equal(grandparent, parent):
            return parent
        parent = grandparent


def _joined(root: Integers, a: Integers, b: Integers) -> Integers:
    """Roots after joining `a[i]` with `b[i]`; the lowest number of each piece becomes its root."""
    parent = root
    while True:
        apart = a != b
        if not apart.any():
            return parent
        low, high = np.minimum(a, b)[apart], np.maximum(a, b)[apart]
        hooked = parent.copy()
        np.minimum.at(hooked, high, low)
        parent = _roots(hooked)
        a, b = parent[low], parent[high]


def component_groups(runs: Runs) -> Runs:
    """The same ink with each connected piece as a group of its own, numbered as `components` numbers them."""
    piece = components(runs)
    order = np.argsort(piece, kind="stable")
    moved = replace(runs, group=None).take(order)
    return replace(moved, group=piece[order].astype(np.int32))
