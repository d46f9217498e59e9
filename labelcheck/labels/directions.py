"""The directions that text may run in: along the board's axes, and wherever neighbouring marks agree on another."""

from dataclasses import dataclass

import numpy as np

from labelcheck.labels.glyphs import spread
from labelcheck.labels.joining import near_pairs
from labelcheck.labels.marks import SAME_PEN_MM, Marks
from labelcheck.labels.pieces import Pieces, turned_boxes
from labelcheck.trade.shapes import Flags, Floats, Integers

AGREED_SHARE = 0.6
"""A mark speaks for a direction that holds this share of its straight length: stems and bars, not the slant of V."""
SHORT_SHARE = 0.15
"""Pieces shorter than this share of their mark's longest say nothing of its direction."""
SAME_DIRECTION_DEG = 0.5
MOST_ON_AXIS, PAIR_SHARE, PAIR_SLACK_DEG, PAIR_REACH = 0.2, 0.25, 12.0, 1.8
"""Two marks speak together where little of their length lies along the axes, and this share along a direction that
differs no more than the slack from the way between their middles, which are so many sizes apart."""
EXACTLY_DEG = 0.2
"""Text turned by more than this off an axis is measured in a frame of its own."""
MOST_DIRECTIONS = 12
MARK_REACH, HOPS = 1.5, 3
"""Marks within this many heights of those that speak for a direction are read in it too, and so on for some hops."""
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


def frames_along_axes(pieces: Pieces, marks: Marks, asked: Flags) -> list[Frame]:
    """Frames along 0 and 90 degrees for all of the marks asked for (m,) that may be characters."""
    possible = np.flatnonzero(asked & (_sizes(marks) <= LARGEST_MM))
    return [_frame(pieces, possible, 0.0), _frame(pieces, possible, 90.0)]


def frames_aslant(pieces: Pieces, marks: Marks, settled: Flags) -> list[Frame]:
    """Two frames for each other direction that marks speak for; `settled` marks (m,) are of no more interest.

    Text along the axes holds strokes of every slant: it is read first, and says nothing here once it is settled.
    """
    size = _sizes(marks)
    possible = np.flatnonzero((size <= LARGEST_MM) & ~settled)
    frames: list[Frame] = []
    a, b = near_pairs(marks.box[possible], size[possible] * MARK_REACH / 2)
    pairs = possible[a], possible[b]
    alike = _alike(marks, size, pairs)
    beside_alike = np.zeros(len(marks), dtype=np.bool_)
    beside_alike[pairs[0][alike]] = beside_alike[pairs[1][alike]] = True
    spoken = (_by_themselves(pieces, len(marks)), _in_pairs(pieces, marks))
    mark, angle = (np.concatenate(parts) for parts in zip(*spoken, strict=True))
    told = beside_alike[mark] & ~settled[mark]
    mark, angle = mark[told], angle[told]
    for direction in _peaks(angle):
        speaks = np.zeros(len(marks), dtype=np.bool_)
        speaks[mark[np.abs(_off(angle, direction)) <= SAME_DIRECTION_DEG]] = True
        near = _with_neighbours(speaks, pairs)
        frames += [_frame(pieces, near, direction), _frame(pieces, near, direction + 90.0)]
    return frames


def _sizes(marks: Marks) -> Floats:
    return (marks.box[:, 2:] - marks.box[:, :2]).max(axis=1, initial=0.0)


def _frame(pieces: Pieces, marks: Integers, turned_deg: float) -> Frame:
    return Frame(turned_deg, marks, turned_boxes(pieces, marks, turned_deg))


def _off(angle: Floats, direction: Floats | float) -> Floats:
    """Difference of directions modulo 90 degrees, between -45 and 45."""
    return np.asarray((angle - direction + 45.0) % 90.0 - 45.0)


def _angles(pieces: Pieces) -> tuple[Floats, Floats]:
    """Direction modulo 90 degrees, and length, of every piece that tells of its mark's form."""
    dx, dy = pieces.x1 - pieces.x0, pieces.y1 - pieces.y0
    length = np.hypot(dx, dy) * pieces.outlines
    longest = np.zeros(int(pieces.mark.max(initial=-1)) + 1)
    np.maximum.at(longest, pieces.mark, length)
    # The short sides of rounded ends and bowls run every way.
    length[length < SHORT_SHARE * longest[pieces.mark]] = 0.0
    return np.rad2deg(np.arctan2(dy, dx)) % 90.0, length


def _by_themselves(pieces: Pieces, count: int) -> tuple[Integers, Floats]:
    """Marks most of whose straight length lies along one direction off the axes, and that direction modulo 90."""
    angle, length = _angles(pieces)
    best, held, total = _strongest(pieces.mark, angle, length, count)
    speaks = (held >= AGREED_SHARE * total) & (total > 0) & (np.abs(_off(best, 0.0)) > SAME_DIRECTION_DEG)
    return np.flatnonzero(speaks), best[speaks]


def along_axes(pieces: Pieces, count: int) -> Flags:
    """Marks a fair share of whose straight length lies along the axes, and not a little aslant of them."""
    angle, length = _angles(pieces)
    on_axis = np.bincount(pieces.mark, length * (np.abs(_off(angle, 0.0)) <= EXACTLY_DEG), count)
    total = np.bincount(pieces.mark, length, count)
    return (on_axis > MOST_ON_AXIS * total) & (total > 0)


def _in_pairs(pieces: Pieces, marks: Marks) -> tuple[Integers, Floats]:
    """Marks that follow one another in the file along a direction off the axes that some of their strokes share.

    Round characters by themselves speak for no direction; two of them do.
    """
    angle, length = _angles(pieces)
    count = len(marks)
    on_axis = np.bincount(pieces.mark, length * (np.abs(_off(angle, 0.0)) <= 1.0), count)
    total = np.bincount(pieces.mark, length, count)
    size = (marks.box[:, 2:] - marks.box[:, :2]).max(axis=1, initial=0.0)
    aslant = (on_axis <= MOST_ON_AXIS * total) & (total > 0) & (marks.parent < 0) & (size <= LARGEST_MM)
    order = np.flatnonzero(aslant & ~np.isnan(marks.pen_mm))
    order = order[np.argsort(marks.member[marks.first[order]], kind="stable")]
    a, b = order[:-1], order[1:]
    middle = (marks.box[:, :2] + marks.box[:, 2:]) / 2
    step = middle[b] - middle[a]
    larger, smaller = np.maximum(size[a], size[b]), np.minimum(size[a], size[b])
    near = (np.hypot(step[:, 0], step[:, 1]) <= PAIR_REACH * larger) & (smaller >= 0.5 * larger)
    near &= np.abs(marks.pen_mm[a] - marks.pen_mm[b]) <= SAME_PEN_MM
    way = np.rad2deg(np.arctan2(step[:, 1], step[:, 0])) % 90.0
    near &= np.abs(_off(way, 0.0)) > PAIR_SLACK_DEG / 2
    a, b, way = a[near], b[near], way[near]
    start = np.searchsorted(pieces.mark, np.concatenate((a, b)))
    size_of = np.searchsorted(pieces.mark, np.concatenate((a, b)), side="right") - start
    piece = spread(start, size_of)
    pair = np.repeat(np.tile(np.arange(len(a)), 2), size_of)
    along = np.abs(_off(angle[piece], way[pair])) <= PAIR_SLACK_DEG
    best, held, _ = _strongest(pair[along], angle[piece[along]], length[piece[along]], len(a))
    speaks = held >= PAIR_SHARE * (total[a] + total[b])
    return np.concatenate((a[speaks], b[speaks])), np.concatenate((best[speaks], best[speaks]))


def _strongest(group: Integers, angle: Floats, length: Floats, count: int) -> tuple[Floats, Floats, Floats]:
    """The direction modulo 90 that holds most length of each group, how much it holds, and the whole length."""
    slots = round(90.0 / SAME_DIRECTION_DEG)
    slot = np.floor(angle / SAME_DIRECTION_DEG).astype(np.int64) % slots
    total = np.bincount(group, length, count).astype(np.float64)
    if len(group) == 0:
        return np.zeros(count), np.zeros(count), total
    keys, inverse = np.unique(group * slots + slot, return_inverse=True)
    held = np.bincount(inverse, length)
    # A direction on the border of two slots must not lose half its length.
    following = np.where(keys % slots == slots - 1, keys - slots + 1, keys + 1)
    place = np.minimum(np.searchsorted(keys, following), len(keys) - 1)
    both = held + np.where(keys[place] == following, held[place], 0.0)
    owner = keys // slots
    order = np.lexsort((-both, owner))
    known = np.unique(owner)
    middle = np.zeros(count)
    middle[known] = (keys[order[np.searchsorted(owner[order], known)]] % slots + 1.0) * SAME_DIRECTION_DEG
    off = _off(angle, middle[group])
    inside = np.abs(off) <= SAME_DIRECTION_DEG
    weight = np.bincount(group, length * inside, count).astype(np.float64)
    lean = np.divide(np.bincount(group, length * inside * off, count), weight, out=np.zeros(count), where=weight > 0)
    return (middle + lean) % 90.0, weight, total


def _peaks(angles: Floats) -> list[float]:
    """Directions that marks speak for, each within half a degree of its marks, most spoken for first."""
    ordered = np.sort(angles)
    peaks: list[tuple[int, float]] = []
    at = 0
    while at < len(ordered):
        end = int(np.searchsorted(ordered, ordered[at] + SAME_DIRECTION_DEG, side="right"))
        peaks.append((at - end, float(np.median(ordered[at:end]))))
        at = end
    return [direction for _, direction in sorted(peaks)[:MOST_DIRECTIONS]]


def _alike(marks: Marks, size: Floats, pairs: tuple[Integers, Integers]) -> Flags:
    """Pairs of marks drawn with one pen, or both filled, one not twice as large as the other."""
    a, b = pairs
    # Not as a ratio: an area that is a single point has no size.
    comparable = (2 * size[a] >= size[b]) & (size[a] <= 2 * size[b])
    pen = np.nan_to_num(marks.pen_mm)
    return comparable & (np.abs(pen[a] - pen[b]) <= SAME_PEN_MM)


def _with_neighbours(speaks: Flags, pairs: tuple[Integers, Integers]) -> Integers:
    """The marks that speak for a direction, and all marks in their neighbourhood."""
    a, b = pairs
    taken = speaks
    for _ in range(HOPS):
        wider = taken.copy()
        wider[a[taken[b]]] = True
        wider[b[taken[a]]] = True
        taken = wider
    return np.flatnonzero(taken)
