"""The largest disc within a counter: ink that spreads by half its diameter closes the counter."""

import numpy as np

from labelcheck.labels.glyphs import spread
from labelcheck.labels.necks import Edges
from labelcheck.trade.shapes import Floats, Integers

ROUNDS, ACROSS, NARROWED = 8, 5, 0.5
"""Rounds of a search on so many points each way, each within so much of the last: to some 0.5 % of a counter."""


def largest_discs(counters: Edges, owner: Integers, edges: Edges, enough: Floats) -> tuple[Floats, Floats]:
    """Diameter (n,) and middle (n, 2) of the largest disc in each counter that keeps clear of the edges of its owner.

    `counters` a group each; `owner` (n,) their group in `edges`. The search ends, with what it has found so far,
    where a disc of more than `enough` (n,) is found. Centres lie within the counter, so 0 where there is no room.
    """
    count = len(owner)
    best, place = np.zeros(count), np.full((count, 2), np.nan)
    if count == 0:
        return best, place
    box = np.empty((count, 4))
    starts = np.searchsorted(counters.group, np.arange(count))
    for column, (ends, extreme) in enumerate((
        (counters.x0, np.minimum), (counters.y0, np.minimum), (counters.x0, np.maximum), (counters.y0, np.maximum),
    )):
        box[:, column] = extreme.reduceat(ends, starts)
    middle, reach = (box[:, :2] + box[:, 2:]) / 2, (box[:, 2:] - box[:, :2]) / 2
    steps = np.linspace(-1.0, 1.0, ACROSS)
    grid = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    open_ones = np.arange(count)
    for _ in range(ROUNDS):
        points = middle[open_ones, None, :] + reach[open_ones, None, :] * grid[None, :, :]
        clear = 2 * _clearances(edges, owner[open_ones], points)
        clear[~_contained(counters, open_ones, points)] = 0.0
        at = clear.argmax(axis=1)
        rows = np.arange(len(open_ones))
        better = clear[rows, at] > best[open_ones]
        best[open_ones[better]] = clear[rows, at][better]
        place[open_ones[better]] = points[rows, at][better]
        middle[open_ones] = points[rows, at]
        reach *= NARROWED
        open_ones = open_ones[best[open_ones] <= enough[open_ones]]
        if len(open_ones) == 0:
            break
    return best, place


def _of_groups(edges: Edges, groups: Integers) -> tuple[Integers, Integers]:
    """The edges of each of the groups, one group after the other, and where each begins."""
    low, high = np.searchsorted(edges.group, groups), np.searchsorted(edges.group, groups, side="right")
    return spread(low, high - low), np.cumsum(high - low) - (high - low)


def _clearances(edges: Edges, groups: Integers, points: Floats) -> Floats:
    """Distance of points (n, k, 2) to the nearest edge of their group, less its radius, shape (n, k)."""
    chosen, starts = _of_groups(edges, groups)
    row = np.repeat(np.arange(len(groups)), np.diff(np.append(starts, len(chosen))))
    x0, y0 = edges.x0[chosen, None], edges.y0[chosen, None]
    dx, dy = edges.x1[chosen, None] - x0, edges.y1[chosen, None] - y0
    x, y = points[row, :, 0] - x0, points[row, :, 1] - y0
    square = np.maximum(dx * dx + dy * dy, 1e-18)
    share = np.clip((x * dx + y * dy) / square, 0.0, 1.0)
    x -= share * dx
    y -= share * dy
    return np.asarray(np.minimum.reduceat(np.sqrt(x * x + y * y) - edges.radius[chosen, None], starts, axis=0))


def _contained(counters: Edges, groups: Integers, points: Floats) -> np.ndarray:
    """Which points (n, k, 2) lie within their counter, shape (n, k): those whose ray to the right leaves it."""
    chosen, starts = _of_groups(counters, groups)
    row = np.repeat(np.arange(len(groups)), np.diff(np.append(starts, len(chosen))))
    x0, y0 = counters.x0[chosen, None], counters.y0[chosen, None]
    x1, y1 = counters.x1[chosen, None], counters.y1[chosen, None]
    x, y = points[row, :, 0], points[row, :, 1]
    crossed = (y0 > y) != (y1 > y)
    with np.errstate(invalid="ignore", divide="ignore"):
        crossed &= x0 + (y - y0) / (y1 - y0) * (x1 - x0) > x
    return np.add.reduceat(crossed, starts, axis=0, dtype=np.int64) % 2 == 1
