"""Dark and clear in drawing order: what ink is left when every clear object has removed what lay beneath it.

Drawing is painting in layers, one layer a change of polarity. Two neighbouring stacks of layers, each reduced to
"these places end dark, those end clear", reduce to one such pair; so layers are combined by twos, and fifty
thousand changes take sixteen rounds. What changes far apart does not matter: layers are numbered afresh within
each cluster of intervals that hang together, where there are seldom more than two or three.
"""

import numpy as np

from labelcheck.raster.intervals import Intervals, Keys, merge, subtract
from labelcheck.raster.lattice import Integers


def dark_places(level: Integers, start: Keys, end: Keys) -> Intervals:
    """Where ink is left, merged; odd levels are clear, even ones dark, and a higher level paints over a lower."""
    together = merge(start, end)
    clear = level & 1 == 1
    if not clear.any():
        return together
    mixed = np.zeros(len(together[0]) + 1, dtype=np.bool_)
    mixed[np.searchsorted(together[0], start[clear], side="right") - 1] = True
    mixed[-1] = False  # where an empty interval before everything else pointed to
    cluster = np.searchsorted(together[0], start, side="right") - 1
    chosen = mixed[cluster] & (start < end)
    left = _painted(cluster[chosen], level[chosen], start[chosen], end[chosen])
    pure = ~mixed[:-1]
    return merge(np.concatenate((together[0][pure], left[0])), np.concatenate((together[1][pure], left[1])))


def _painted(cluster: Integers, level: Integers, start: Keys, end: Keys) -> Intervals:
    """What ends dark of intervals in clusters that each hang together."""
    if len(start) == 0:
        return start, end
    order = np.argsort(cluster * (int(level.max()) + 1) + level, kind="stable")
    cluster, clear = cluster[order], (level[order] & 1).astype(np.int64)
    start, end = start[order].astype(np.int64), end[order].astype(np.int64)
    opens = np.diff(cluster, prepend=cluster[0] - 1) != 0
    # Layer within the cluster: 0 dark, 1 clear, 2 dark … and -1 for what was cleared before anything was drawn.
    changes = np.cumsum((np.diff(clear, prepend=0) != 0) | opens)
    layer = changes - (changes + clear)[opens][np.cumsum(opens) - 1]
    drawn = layer >= 0
    if not drawn.any():
        return start[:0], end[:0]
    start, end, layer = start[drawn], end[drawn], layer[drawn]
    low = int(start.min())
    return _combined(start - low, end - low, layer, low)


def _combined(start: Keys, end: Keys, layer: Integers, low: int) -> Intervals:
    """Combine layers by twos; each layer has its own stretch of one number line while they are combined."""
    stretch = int(end.max()) + 1
    is_clear = layer & 1 == 1
    at = layer >> 1
    dark = merge(start[~is_clear] + at[~is_clear] * stretch, end[~is_clear] + at[~is_clear] * stretch)
    clear = merge(start[is_clear] + at[is_clear] * stretch, end[is_clear] + at[is_clear] * stretch)
    dark = subtract(dark, clear)
    layers = int(layer.max()) // 2 + 1
    while layers > 1:
        earlier_dark, later_dark = _halves(dark, stretch)
        earlier_clear, later_clear = _halves(clear, stretch)
        dark = _both(subtract(earlier_dark, later_clear), later_dark)
        clear = _both(subtract(earlier_clear, later_dark), later_clear)
        layers = (layers + 1) // 2
    return dark[0] + low, dark[1] + low


def _halves(stacks: Intervals, stretch: int) -> tuple[Intervals, Intervals]:
    """The earlier and the later stack of each pair, both moved to where the pair will stand."""
    start, end = stacks
    stack = start // stretch
    later = stack & 1 == 1
    moved = (stack - (stack >> 1)) * stretch
    start, end = start - moved, end - moved
    return (start[~later], end[~later]), (start[later], end[later])


def _both(a: Intervals, b: Intervals) -> Intervals:
    return merge(np.concatenate((a[0], b[0])), np.concatenate((a[1], b[1])))
