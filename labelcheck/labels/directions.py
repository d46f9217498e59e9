"""The directions that text may run in: along the board's axes, and wherever neighbouring marks agree on another."""

from dataclasses import dataclass

import numpy as np

from labelcheck.labels.glyphs import spread, turn_upright
from labelcheck.labels.joining import near_pairs
from labelcheck.labels.marks import Marks
from labelcheck.trade.shapes import Flags, Floats, Integers, Shapes

AGREED_SHARE = 0.6
"""A mark speaks for a direction that holds this share of its straight length: stems and bars, not the slant of V."""
SAME_DIRECTION_DEG = 0.5
MARK_REACH = 1.5
"""Marks within this many heights of those that speak for a direction are read in it too."""
LARGEST_MM = 20.0
"""Nothing larger is a character, nor speaks for a direction."""


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """One direction: lines run at `turned_deg` (0 <= a < 180), counter-clockwise as seen on their own side.

    `mark` (k,) the marks that may be read along it, `box` (k, 4) their ink in the frame, x along the line.
    """

    turned_deg: float
    mark: Integers
    box: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Straight dark pieces of marks, bars and ring edges alike, as seen on their own side; for boxes at any angle."""

    mark: Integers
    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    radius: Floats


def pieces_of(shapes: Shapes, marks: Marks, mirrored: bool) -> Pieces:
    """Every dark bar and ring edge of the marks, sorted by mark."""
    owner = np.repeat(np.arange(len(marks)), np.diff(marks.first))
    dark = shapes.dark[marks.member]
    member, owner = marks.member[dark], owner[dark]
    bar_start = np.searchsorted(shapes.bar_object, member)
    bar_count = np.searchsorted(shapes.bar_object, member, side="right") - bar_start
    bar = spread(bar_start, bar_count)
    ring_start = np.searchsorted(shapes.ring_object, member)
    ring_count = np.searchsorted(shapes.ring_object, member, side="right") - ring_start
    ring = spread(ring_start, ring_count)
    size = np.diff(shapes.ring_start)[ring]
    vertex = spread(shapes.ring_start[ring], size)
    after = np.arange(len(vertex)) + 1
    ends = np.cumsum(size)[size > 0]
    after[ends - 1] = ends - size[size > 0]
    sign = -1.0 if mirrored else 1.0
    mark = np.concatenate((np.repeat(owner, bar_count), np.repeat(np.repeat(owner, ring_count), size)))
    order = np.argsort(mark, kind="stable")
    vx, vy = shapes.vx[vertex], shapes.vy[vertex]
    return Pieces(
        mark=mark[order],
        x0=sign * np.concatenate((shapes.x0[bar], vx))[order],
        y0=np.concatenate((shapes.y0[bar], vy))[order],
        x1=sign * np.concatenate((shapes.x1[bar], vx[after]))[order],
        y1=np.concatenate((shapes.y1[bar], vy[after]))[order],
        radius=np.concatenate((shapes.width[bar] / 2, np.zeros(len(vx))))[order],
    )


def turned_boxes(pieces: Pieces, marks: Integers, turned_deg: float) -> Floats:
    """Boxes (k, 4) of the chosen marks in a frame turned by `turned_deg`; every mark has at least one piece."""
    start = np.searchsorted(pieces.mark, marks)
    count = np.searchsorted(pieces.mark, marks, side="right") - start
    piece = spread(start, count)
    angle = np.array(turned_deg)
    x0, y0 = turn_upright(pieces.x0[piece], pieces.y0[piece], angle, False)
    x1, y1 = turn_upright(pieces.x1[piece], pieces.y1[piece], angle, False)
    radius = pieces.radius[piece]
    cut = np.cumsum(count) - count
    return np.column_stack((
        np.minimum.reduceat(np.minimum(x0, x1) - radius, cut), np.minimum.reduceat(np.minimum(y0, y1) - radius, cut),
        np.maximum.reduceat(np.maximum(x0, x1) + radius, cut), np.maximum.reduceat(np.maximum(y0, y1) + radius, cut),
    )) if len(marks) else np.zeros((0, 4))


def find_frames(pieces: Pieces, box: Floats) -> list[Frame]:
    """Frames along 0 and 90 degrees for all marks, and two for each other direction that marks speak for.

    `box` (m, 4): boxes of the marks as seen from the top.
    """
    size = np.maximum(box[:, 2] - box[:, 0], box[:, 3] - box[:, 1])
    possible = np.flatnonzero(size <= LARGEST_MM)
    frames = [_frame(pieces, possible, 0.0), _frame(pieces, possible, 90.0)]
    angle, speaks = _spoken_directions(pieces, len(box))
    speaks &= size <= LARGEST_MM
    for direction in _peaks(angle[speaks]):
        off = np.abs((angle - direction + 45.0) % 90.0 - 45.0)
        chosen = np.flatnonzero(speaks & (off <= SAME_DIRECTION_DEG))
        near = _with_neighbours(box, chosen, size, possible)
        if len(near) < 2:
            continue
        frames += [_frame(pieces, near, direction), _frame(pieces, near, direction + 90.0)]
    return frames


def _frame(pieces: Pieces, marks: Integers, turned_deg: float) -> Frame:
    return Frame(turned_deg, marks, turned_boxes(pieces, marks, turned_deg))


def _spoken_directions(pieces: Pieces, count: int) -> tuple[Floats, Flags]:
    """The direction modulo 90 that holds most of each mark's straight length, and whether it speaks for another
    direction than the axes."""
    dx, dy = pieces.x1 - pieces.x0, pieces.y1 - pieces.y0
    length = np.hypot(dx, dy)
    angle = np.rad2deg(np.arctan2(dy, dx)) % 90.0
    slot_deg = SAME_DIRECTION_DEG
    slots = round(90.0 / slot_deg)
    slot = np.floor(angle / slot_deg).astype(np.int64) % slots
    keys, inverse = np.unique(pieces.mark * slots + slot, return_inverse=True)
    held = np.bincount(inverse, length)
    # A direction on the border of two slots must not lose half its length.
    after = np.searchsorted(keys, np.where(keys % slots == slots - 1, keys - slots + 1, keys + 1))
    neighbour = np.where(keys % slots == slots - 1, keys - slots + 1, keys + 1)
    after = np.minimum(after, len(keys) - 1) if len(keys) else after
    both = held + np.where(keys[after] == neighbour, held[after], 0.0)
    total = np.bincount(pieces.mark, length, count)
    owner = keys // slots
    order = np.lexsort((-both, owner))
    best = order[np.searchsorted(owner[order], np.arange(count))] if len(keys) else order
    middle = ((keys[best] % slots) + 1.0) * slot_deg
    off = (angle - middle[pieces.mark] + 45.0) % 90.0 - 45.0
    inside = np.abs(off) <= slot_deg
    weight = np.bincount(pieces.mark, length * inside, count)
    exact = middle + np.divide(
        np.bincount(pieces.mark, length * inside * off, count), weight, out=np.zeros(count), where=weight > 0
    )
    exact %= 90.0
    from_axis = np.minimum(exact, 90.0 - exact)
    return exact, (weight >= AGREED_SHARE * total) & (from_axis > SAME_DIRECTION_DEG) & (total > 0)


def _peaks(angles: Floats) -> list[float]:
    """Directions that at least two marks speak for, each within half a degree of its marks."""
    ordered = np.sort(angles)
    peaks: list[float] = []
    at = 0
    while at < len(ordered):
        end = int(np.searchsorted(ordered, ordered[at] + SAME_DIRECTION_DEG, side="right"))
        if end - at >= 2:
            peaks.append(float(np.median(ordered[at:end])))
        at = end
    return peaks


def _with_neighbours(box: Floats, chosen: Integers, size: Floats, possible: Integers) -> Integers:
    """The chosen marks that have another chosen one near, and all marks near those."""
    a, b = near_pairs(box[possible], size[possible] * MARK_REACH / 2)
    a, b = possible[a], possible[b]
    speaks = np.zeros(len(box), dtype=np.bool_)
    speaks[chosen] = True
    both = speaks[a] & speaks[b]
    agreed = np.zeros(len(box), dtype=np.bool_)
    agreed[a[both]] = agreed[b[both]] = True
    taken = agreed.copy()
    taken[a[agreed[b]]] = True
    taken[b[agreed[a]]] = True
    return np.flatnonzero(taken)
