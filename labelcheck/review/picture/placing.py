"""Where a badge finds room: near what it points at, over nothing that matters, with a line that crosses little."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from labelcheck.review.picture.canvas import Pixels

Floats = NDArray[np.float64]
Size = tuple[int, int]
"""Width and height in pixels."""

_DISTANCES = (10, 34, 64, 100, 150, 210, 290, 400, 540)
"""How far from its frame a badge is tried, in pixels."""
_ANGLES = 16
_LOOKED_AT = 40
"""Of the candidates, so many of the cheapest have their lines examined."""
_APART = 5
_CELL = 4
"""Pixels of a cell of the map of taken ground."""
_POINTS = 14
"""At so many points a line is examined."""

# What it costs to put a badge somewhere, in pixels of distance.
_OVER_BADGE = 5000.0
_OVER_FRAME = 900.0
_OVER_LABEL = 160.0
_LINE_OVER_BADGE = 700.0
_LINE_OVER_LINE = 250.0
_POINT_OVER_FRAME = 30.0


def find_places(
    frames: Sequence[Pixels], sizes: Sequence[Size | None], region: Pixels, labels: Sequence[Pixels]
) -> list[tuple[int, int] | None]:
    """The upper left corner for the badge of each frame, None where a frame has none; the first choose first.

    Badges stay within the region, never cover one another while any place is free, and avoid what is wrong, other
    labels, and lines that cross. The same input gives the same places.
    """
    boxes = np.array(frames, dtype=np.float64).reshape(-1, 4)
    ground = _Ground(region, boxes, labels)
    taken = _Taken()
    places: list[tuple[int, int] | None] = []
    for frame, size in zip(boxes, sizes, strict=True):
        if size is None:
            places.append(None)
            continue
        middles, cost = _candidates(frame, size, region)
        rects = np.concatenate([middles - np.array(size) / 2, middles + np.array(size) / 2], axis=1)
        cost = cost + ground.cost(rects) + _OVER_BADGE * _overlaps(rects, taken.badges(), _APART)
        near = np.argsort(cost, kind="stable")[:_LOOKED_AT]
        cost[near] += _line_cost(middles[near], nearest_on(frame, middles[near]), taken, ground)
        best = near[np.argmin(cost[near])]
        left, top = (int(value) for value in np.round(rects[best, :2]))
        places.append((left, top))
        taken.add((left, top, left + size[0], top + size[1]), middles[best], nearest_on(frame, middles[best]))
    return places


def nearest_on(frame: Floats, points: Floats) -> Floats:
    """The point of the frame nearest to each point outside of it; same shape as `points`."""
    return np.clip(points, frame[:2], frame[2:])


class _Taken:
    """Badges and lines that have their place already."""

    def __init__(self) -> None:
        self._badges: list[Pixels] = []
        self._lines: list[Floats] = []

    def add(self, badge: Pixels, start: Floats, end: Floats) -> None:
        self._badges.append(badge)
        self._lines.append(np.concatenate([start, end]))

    def badges(self) -> Floats:
        """(n, 4): left, top, right, bottom."""
        return np.array(self._badges, dtype=np.float64).reshape(-1, 4)

    def lines(self) -> Floats:
        """(n, 4): from badge, to frame."""
        return np.array(self._lines, dtype=np.float64).reshape(-1, 4)


class _Ground:
    """A coarse map of what should not be covered, whose sum over any rectangle takes one step."""

    def __init__(self, region: Pixels, frames: Floats, labels: Sequence[Pixels]) -> None:
        left, top, right, bottom = region
        self._left, self._top = left, top
        self._rows, self._columns = (bottom - top) // _CELL + 2, (right - left) // _CELL + 2
        cost = np.zeros((self._rows, self._columns))
        for boxes, price in ((np.array(labels, dtype=np.float64).reshape(-1, 4), _OVER_LABEL), (frames, _OVER_FRAME)):
            for x0, y0, x1, y1 in self._cells(boxes):
                part = cost[y0 : y1 + 1, x0 : x1 + 1]
                np.maximum(part, price, out=part)
        self._framed = cost >= _OVER_FRAME
        self._sums = np.zeros((cost.shape[0] + 1, cost.shape[1] + 1))
        self._sums[1:, 1:] = cost.cumsum(axis=0).cumsum(axis=1)

    def cost(self, rects: Floats) -> Floats:
        """The mean price of the ground below each rectangle (n, 4)."""
        x0, y0, x1, y1 = self._cells(rects).T
        whole = self._sums[y1 + 1, x1 + 1] - self._sums[y0, x1 + 1] - self._sums[y1 + 1, x0] + self._sums[y0, x0]
        return whole / np.maximum((x1 - x0 + 1) * (y1 - y0 + 1), 1)

    def over_frames(self, points: Floats) -> Floats:
        """How many of the points of each row (n, k, 2) lie on what is wrong."""
        cells = np.maximum((points - np.array([self._left, self._top])) // _CELL, 0).astype(np.int64)
        rows, columns = np.minimum(cells[..., 1], self._rows - 1), np.minimum(cells[..., 0], self._columns - 1)
        return self._framed[rows, columns].sum(axis=1).astype(np.float64)

    def _cells(self, boxes: Floats) -> NDArray[np.int64]:
        shifted = (boxes - np.array([self._left, self._top, self._left, self._top])) // _CELL
        highest = np.array([self._columns, self._rows, self._columns, self._rows]) - 1
        return np.clip(shifted, 0, highest).astype(np.int64)


def _candidates(frame: Floats, size: Size, region: Pixels) -> tuple[Floats, Floats]:
    """Middles of badges around a frame that stay within the region, (n, 2), and how far each is from the frame."""
    turn = np.arange(_ANGLES) * 2 * np.pi / _ANGLES
    direction = np.stack([np.cos(turn), -np.sin(turn)], axis=1)
    middle = (frame[:2] + frame[2:]) / 2
    half = (frame[2:] - frame[:2]) / 2 + np.array(size) / 2
    distance = np.repeat(np.array(_DISTANCES, dtype=np.float64), _ANGLES)
    way = np.tile(direction, (len(_DISTANCES), 1))
    room = half[None, :] + distance[:, None]
    with np.errstate(divide="ignore"):
        reach = (room / np.abs(way)).min(axis=1)
    low = np.array(region[:2]) + np.array(size) / 2
    high = np.maximum(np.array(region[2:]) - np.array(size) / 2, low)
    middles = middle + way * reach[:, None]
    inside = ((middles >= low) & (middles <= high)).all(axis=1)
    if not inside.any():
        # What is wrong lies so near a corner, or so far outside, that every place has to be drawn in.
        return np.clip(middles, low, high), distance
    return middles[inside], distance[inside]


def _overlaps(rects: Floats, others: Floats, apart: float) -> Floats:
    """How much of each rectangle (n, 4) the others cover when held so far apart: shares, 1 and more where many."""
    if len(others) == 0:
        return np.zeros(len(rects))
    across = np.minimum(rects[:, None, 2], others[None, :, 2] + apart) - np.maximum(
        rects[:, None, 0], others[None, :, 0] - apart)
    down = np.minimum(rects[:, None, 3], others[None, :, 3] + apart) - np.maximum(
        rects[:, None, 1], others[None, :, 1] - apart)
    shared = np.maximum(across, 0) * np.maximum(down, 0)
    area = (rects[:, 2] - rects[:, 0]) * (rects[:, 3] - rects[:, 1])
    # Even a touch counts, or badges would creep over one another by and by.
    return ((shared > 0) * 0.2 + shared / area[:, None]).sum(axis=1)


def _line_cost(starts: Floats, ends: Floats, taken: _Taken, ground: _Ground) -> Floats:
    """What is crossed by lines from `starts` to `ends`, (n, 2) each."""
    # The last point lies on the line's own frame, which costs nothing.
    steps = np.linspace(0.0, 1.0, _POINTS)[None, :-1, None]
    points = starts[:, None, :] * (1 - steps) + ends[:, None, :] * steps
    cost = _POINT_OVER_FRAME * ground.over_frames(points)
    badges = taken.badges()
    if len(badges):
        inside = (points[:, :, None, 0] >= badges[:, 0]) & (points[:, :, None, 0] <= badges[:, 2])
        inside &= (points[:, :, None, 1] >= badges[:, 1]) & (points[:, :, None, 1] <= badges[:, 3])
        cost += _LINE_OVER_BADGE * np.any(inside, axis=1).sum(axis=1)
    lines = taken.lines()
    if len(lines):
        cost += _LINE_OVER_LINE * _crossings(starts, ends, lines)
    return cost


def _crossings(starts: Floats, ends: Floats, lines: Floats) -> Floats:
    """How many of the lines (m, 4) each stretch from start to end crosses."""

    def side(a: Floats, b: Floats, c: Floats) -> Floats:
        return (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])

    a, b = starts[:, None, :], ends[:, None, :]
    c, d = lines[None, :, :2], lines[None, :, 2:]
    apart = (side(a, b, c) * side(a, b, d) < 0) & (side(c, d, a) * side(c, d, b) < 0)
    return apart.sum(axis=1).astype(np.float64)
