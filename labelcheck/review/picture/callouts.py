"""Numbered call-outs: a frame around what is wrong, a badge in a free place near by, a line between the two."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.judging import Severity
from labelcheck.review.picture.badges import badge_size, draw_badge
from labelcheck.review.picture.canvas import Canvas, Pixels
from labelcheck.review.picture.colours import PAPER, SEVERITY_STYLES

Floats = NDArray[np.float64]

_FRAME_GAP = 5
"""Pixels between what is wrong and its frame, so that the frame hides nothing of it."""
_THICK = 4
_HALO = 2
_LEAST_FRAME = 18
_DISTANCES = (10, 34, 64, 100, 150, 210, 290, 400, 540)
"""How far from its frame a badge is tried, in pixels."""
_ANGLES = 16
_LOOKED_AT = 40
"""Of the candidates, so many of the cheapest have their lines examined."""
_APART = 5
_CELL = 4
"""Pixels of a cell of the map of taken ground."""

# What it costs to put a badge somewhere, in pixels of distance.
_OVER_BADGE = 5000.0
_OVER_FRAME = 900.0
_OVER_LABEL = 160.0
_LINE_OVER_BADGE = 700.0
_LINE_OVER_LINE = 250.0
_LINE_OVER_FRAME = 90.0


@dataclass(frozen=True, slots=True)
class Callout:
    """One finding on the picture; `number` is None where a frame alone marks it."""

    number: str | None
    severity: Severity
    box: tuple[float, float, float, float]
    """What is wrong, in pixels: left, top, right, bottom."""


@dataclass(frozen=True, slots=True)
class Badge:
    """Where the badge of a call-out stands, in pixels."""

    callout: Callout
    left: int
    top: int
    width: int
    height: int


def frame_of(callout: Callout) -> Pixels:
    """The frame's outer edge: clear of what is wrong, and never so small that one cannot see it."""
    left, top, right, bottom = callout.box
    middle_x, middle_y = (left + right) / 2, (top + bottom) / 2
    half_width = max((right - left) / 2 + _FRAME_GAP, _LEAST_FRAME / 2) + _THICK
    half_height = max((bottom - top) / 2 + _FRAME_GAP, _LEAST_FRAME / 2) + _THICK
    return (round(middle_x - half_width), round(middle_y - half_height),
            round(middle_x + half_width), round(middle_y + half_height))


def place_badges(callouts: Sequence[Callout], region: Pixels, labels: Sequence[Pixels]) -> tuple[Badge, ...]:
    """A place for the badge of every numbered call-out, in the order given: the first choose first.

    Badges stay within the region, never cover one another while any place is free, and avoid what is wrong, other
    labels, and lines that cross. The same input gives the same places.
    """
    frames = np.array([frame_of(callout) for callout in callouts], dtype=np.float64).reshape(-1, 4)
    ground = _Ground(region, frames, labels)
    placed: list[Badge] = []
    taken = _Taken()
    for own, callout in enumerate(callouts):
        if callout.number is None:
            continue
        size = badge_size(callout.number)
        middles, distance = _candidates(frames[own], size, region)
        rects = np.concatenate([middles - np.array(size) / 2, middles + np.array(size) / 2], axis=1)
        cost = distance + ground.cost(rects) + _OVER_BADGE * _overlaps(rects, taken.badges(), _APART)
        near = np.argsort(cost, kind="stable")[:_LOOKED_AT]
        ends = _nearest_on(frames[own], middles[near])
        others = np.delete(frames, own, axis=0)
        cost[near] += _line_cost(middles[near], ends, taken, others)
        best = near[np.argmin(cost[near])]
        left, top = (int(value) for value in np.round(rects[best, :2]))
        placed.append(Badge(callout, left, top, *size))
        taken.add((left, top, left + size[0], top + size[1]), middles[best], _nearest_on(frames[own], middles[best]))
    return tuple(placed)


def draw_callouts(canvas: Canvas, callouts: Sequence[Callout], badges: Sequence[Badge]) -> None:
    """Frames first, the worst uppermost, then lines, then badges, so that every number can be read."""
    for callout in reversed(callouts):
        _draw_frame(canvas, callout)
    for badge in badges:
        style = SEVERITY_STYLES[badge.callout.severity]
        middle = (badge.left + badge.width / 2, badge.top + badge.height / 2)
        frame = np.array(frame_of(badge.callout), dtype=np.float64)
        x, y = _nearest_on(frame, np.array(middle))
        canvas.line(middle, (x, y), _THICK + 2 * _HALO, PAPER)
        canvas.line(middle, (x, y), _THICK - 1, style.edge)
    for badge in reversed(badges):
        draw_badge(canvas, badge.left, badge.top, badge.callout.number or "", badge.callout.severity)


def _draw_frame(canvas: Canvas, callout: Callout) -> None:
    """A whole frame, dashes, or corners, each on a light ground."""
    style = SEVERITY_STYLES[callout.severity]
    left, top, right, bottom = frame_of(callout)
    for grown, colour in ((_HALO, PAPER), (0, style.edge)):
        for piece in _frame_pieces((left, top, right, bottom), style.frame):
            x0, y0, x1, y1 = piece
            canvas.fill((x0 - grown, y0 - grown, x1 + grown, y1 + grown), colour)


def _frame_pieces(frame: Pixels, kind: str) -> list[Pixels]:
    """The bars that a frame is made of."""
    left, top, right, bottom = frame
    pieces: list[Pixels] = []
    for x0, x1 in _dashes(left, right, kind):
        pieces += [(x0, top, x1, top + _THICK), (x0, bottom - _THICK, x1, bottom)]
    for y0, y1 in _dashes(top, bottom, kind):
        pieces += [(left, y0, left + _THICK, y1), (right - _THICK, y0, right, y1)]
    return pieces


def _dashes(start: int, end: int, kind: str) -> list[tuple[int, int]]:
    """Where one side of a frame is drawn; corners are always whole, so that the frame stays a frame."""
    length = end - start
    if kind == "whole" or length < 4 * _THICK:
        return [(start, end)]
    corner = min(max(length // 4, 2 * _THICK), 16)
    if kind == "corners":
        return [(start, start + corner), (end - corner, end)]
    # Dashes of even length between equal gaps, beginning and ending with a dash.
    count = max(round((length - corner) / (corner + 12)), 1)
    pitch = (length - corner) / count
    return [(round(start + place * pitch), round(start + place * pitch) + corner) for place in range(count + 1)]


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
        cost = np.zeros(((bottom - top) // _CELL + 2, (right - left) // _CELL + 2))
        for boxes, price in ((np.array(labels, dtype=np.float64).reshape(-1, 4), _OVER_LABEL), (frames, _OVER_FRAME)):
            for x0, y0, x1, y1 in self._cells(boxes):
                part = cost[y0 : y1 + 1, x0 : x1 + 1]
                np.maximum(part, price, out=part)
        self._sums = np.zeros((cost.shape[0] + 1, cost.shape[1] + 1))
        self._sums[1:, 1:] = cost.cumsum(axis=0).cumsum(axis=1)

    def cost(self, rects: Floats) -> Floats:
        """The mean price of the ground below each rectangle (n, 4)."""
        x0, y0, x1, y1 = self._cells(rects).T
        whole = self._sums[y1 + 1, x1 + 1] - self._sums[y0, x1 + 1] - self._sums[y1 + 1, x0] + self._sums[y0, x0]
        return whole / np.maximum((x1 - x0 + 1) * (y1 - y0 + 1), 1)

    def _cells(self, boxes: Floats) -> NDArray[np.int64]:
        shifted = (boxes - np.array([self._left, self._top, self._left, self._top])) // _CELL
        return np.maximum(shifted, 0).astype(np.int64)


def _candidates(frame: Floats, size: tuple[int, int], region: Pixels) -> tuple[Floats, Floats]:
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


def _nearest_on(frame: Floats, points: Floats) -> Floats:
    """The point of the frame nearest to each point outside of it; same shape as `points`."""
    return np.clip(points, frame[:2], frame[2:])


def _line_cost(starts: Floats, ends: Floats, taken: _Taken, frames: Floats) -> Floats:
    """What is crossed by lines from `starts` to `ends`, (n, 2) each."""
    cost = np.zeros(len(starts))
    steps = np.linspace(0.0, 1.0, 14)[None, :, None]
    points = starts[:, None, :] * (1 - steps) + ends[:, None, :] * steps
    for rects, price in ((taken.badges(), _LINE_OVER_BADGE), (frames, _LINE_OVER_FRAME)):
        if len(rects):
            inside = np.all((points[:, :, None, :] >= rects[:, :2]) & (points[:, :, None, :] <= rects[:, 2:]), axis=3)
            cost += price * np.any(inside, axis=1).sum(axis=1)
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
