"""Half-open intervals on one number line, as two integer arrays `start` and `end`.

Everything here rests on one observation: when all starts are sorted and all ends are sorted, each on its own,
the point set covered at least `k` times is the union of `[start[i + k - 1], end[i])`. So no pair of a start with
its end has to survive the sorting, which is then as cheap as sorting gets.
"""

import numpy as np
from numpy.typing import NDArray

Keys = NDArray[np.signedinteger]
Intervals = tuple[Keys, Keys]


def merge(start: Keys, end: Keys) -> Intervals:
    """The union of intervals, each `start <= end`: sorted, disjoint, not touching, none of them empty."""
    return _united(np.sort(start), np.sort(end))


def covered_times(start: Keys, end: Keys, times: int) -> Intervals:
    """Where at least `times` of the intervals lie, in the same order as `merge`."""
    if len(start) < times:
        return start[:0], end[:0]
    starts, ends = np.sort(start)[times - 1 :], np.sort(end)[: len(start) - times + 1]
    filled = starts < ends
    return _united(starts[filled], ends[filled])


def _united(starts: Keys, ends: Keys) -> Intervals:
    """The union of intervals whose starts and whose ends are sorted."""
    if len(starts) == 0:
        return starts, ends
    opens = np.empty(len(starts) + 1, dtype=np.bool_)
    opens[0] = opens[-1] = True
    np.greater(starts[1:], ends[:-1], out=opens[1:-1])
    starts, ends = starts[opens[:-1]], ends[opens[1:]]
    filled = starts < ends
    if filled.all():
        return starts, ends
    return starts[filled], ends[filled]


def subtract(a: Intervals, b: Intervals) -> Intervals:
    """What of `a` does not lie in `b`; each of the two must be disjoint in itself.

    "Covered by `a` and by the complement of `b`" is covered twice; the complement begins before everything.
    """
    if len(a[0]) == 0 or len(b[0]) == 0:
        return a
    # The complement of b starts at minus infinity and at every end of b, and ends at every start of b and at
    # infinity: with the one start that is always the first left out, "twice" becomes "once more".
    starts, ends = np.sort(np.concatenate((a[0], b[1]))), np.sort(np.concatenate((a[1], b[0])))
    filled = starts < ends
    return starts[filled], ends[filled]


def join(a: Intervals, b: Intervals) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]]:
    """Which of the sorted, disjoint `b` each interval of `a` overlaps: first and one past last of `b`, and how many.

    `a` needs no order.
    """
    first = np.searchsorted(b[1], a[0], side="right")
    last = np.searchsorted(b[0], a[1], side="left")
    return first, last, np.maximum(last - first, 0)


def expand(counts: NDArray[np.integer]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """For every item repeated `counts` times: which item it is, and the how-manieth copy (from 0)."""
    item = np.repeat(np.arange(len(counts)), counts)
    before = np.cumsum(counts) - counts
    return item, np.arange(len(item)) - before[item]
