"""Marks to lines: far more hypotheses than there are labels, so that the true ones are among them.

Within a frame, marks are linked to neighbours of the same pen that stand on one base line. What hangs together at
several widths of gap, with and without regard to the order of the file, with and without small marks and lower
case, is a hypothesis each; so are single marks, and lines without their first or last glyph.
"""

from dataclasses import dataclass

import numpy as np

from labelcheck.labels.directions import Frame
from labelcheck.labels.glyphs import spread
from labelcheck.labels.ink import scattered_numbers
from labelcheck.labels.joining import boxes_within, components
from labelcheck.labels.marks import COARSE_VIEW, FINE_VIEW, SAME_PEN_MM, Drawn, Marks
from labelcheck.trade.shapes import Flags, Floats, Integers

LEAST_HEIGHT_MM = 0.3
LEAST_PENS_HIGH = 3.0
"""A capital is at least this many pens high: below, its strokes run into one another."""
WIDEST_HEIGHTS = 2.2
SAME_HEIGHT = 0.18
ALIGNED = 0.12
"""Base or top of neighbours differ by no more than this share of the height."""
LOOSE_RATIO = 0.5
"""Lower case beside capitals is at least this high."""
DOT_ABOVE = 1.6
"""Middle of a dot above its own stem, in heights of the stem."""
WIDEST_GAP, WIDEST_IN_ORDER = (1.4, 0.6, 1.0), (1.4, 1.1, 1.0)
"""Gap in heights to an alike mark, to lower case beside capitals, to a small mark, as a dash between blanks; and
where they follow one another in the file."""
CONSECUTIVE = 4
"""Marks of one text follow one another within this many objects of the file."""
TIGHT, TIGHT_SMALL = 0.28, 0.15
"""Gap in heights below which marks that follow one another in the file are of one word: alike ones, others."""
INSIDE_MM, INSIDE_HEIGHTS = 0.05, 0.3
"""How far a mark may reach out of a line, along and across it, and still stand among its glyphs: `_`, a comma."""
LONGEST = 120
"""Marks in a line; more is hatching."""


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Hypotheses as columns: `mark` (k,) from left to right, `box` (k, 4) of each in the frame, `first` (n + 1,),
    `frame` (n,) which frame each lies in."""

    mark: Integers
    box: Floats
    first: Integers
    frame: Integers

    def __len__(self) -> int:
        return len(self.first) - 1

    def take(self, chosen: Flags | Integers) -> "Lines":
        """The chosen hypotheses only."""
        count = np.diff(self.first)[chosen]
        member = spread(self.first[:-1][chosen], count)
        return Lines(
            self.mark[member], self.box[member], np.concatenate(([0], np.cumsum(count))).astype(np.int64),
            self.frame[chosen],
        )


@dataclass(frozen=True, slots=True, eq=False)
class Links:
    """Pairs of marks of a frame (rows of the frame's columns) that may stand in one line.

    `gap` is the clear space between them in heights, `kind` 0 alike, 1 lower case beside capitals, 2 small marks;
    `consecutive` whether they follow one another in the file.
    """

    first: Integers
    second: Integers
    gap: Floats
    kind: Integers
    consecutive: Flags


FAMILIES = (
    # kinds up to, gap in heights, only consecutive marks
    (2, 0.3, False), (2, 0.5, False), (2, 0.75, False), (2, 1.0, False), (2, 1.35, False),
    (2, 0.75, True), (2, 1.35, True),
    (1, 0.5, False), (1, 1.0, False),
    (0, 0.5, False), (0, 0.75, False), (0, 1.35, False),
)
SHOWN_WITH = {FINE_VIEW: 1 << COARSE_VIEW | 1 << FINE_VIEW}
"""Where marks are taken apart finely, those stand too that came apart coarsely: of two words printed over one another
some letters do, some do not."""
FEW_FAMILIES = ((2, 0.5, False), (2, 1.0, False), (2, 1.35, True), (0, 0.75, False))
"""For views in which some marks are taken apart."""


def find_lines(frames: list[Frame], links: list[Links], marks: Marks, first: int = 0) -> Lines:
    """All hypotheses in all frames, each set of marks once a frame; the frames are numbered from `first`."""
    return joined_lines([
        _lines_of(number, frame, linked, marks)
        for number, (frame, linked) in enumerate(zip(frames, links, strict=True), first)
    ])


def joined_lines(parts: list[Lines]) -> Lines:
    """The hypotheses of all parts, one after the other."""
    sizes = np.concatenate([np.diff(part.first) for part in parts])
    return Lines(
        np.concatenate([part.mark for part in parts]),
        np.concatenate([part.box for part in parts]),
        np.concatenate(([0], np.cumsum(sizes))).astype(np.int64),
        np.concatenate([part.frame for part in parts]),
    )


def tall_enough(box: Floats, pen_mm: Floats) -> Flags:
    """Marks (in their frame) that may be a capital, digit or letter by themselves."""
    width, height = box[:, 2] - box[:, 0], box[:, 3] - box[:, 1]
    high = np.isnan(pen_mm) | (height >= LEAST_PENS_HIGH * pen_mm)
    return (height >= LEAST_HEIGHT_MM) & high & (width <= WIDEST_HEIGHTS * height)


def _lines_of(number: int, frame: Frame, links: Links, marks: Marks) -> Lines:
    """Hypotheses of one frame."""
    tall = tall_enough(frame.box, marks.pen_mm[frame.mark])
    count = len(frame.mark)
    labels: list[Integers] = []
    if count == 0:
        none = np.zeros(0, dtype=np.int64)
        return Lines(none, np.zeros((0, 4)), np.zeros(1, dtype=np.int64), none)
    views = marks.views[frame.mark]
    for view in range(int(views.max(initial=0)).bit_length()):
        parts = (views & SHOWN_WITH.get(view, 1 << view)).astype(np.bool_)
        hosts = marks.parent[frame.mark[parts & (marks.parent[frame.mark] >= 0)]] if view else np.zeros(0, np.int64)
        seen = (parts | (views & 1).astype(np.bool_)) & ~np.isin(frame.mark, hosts)
        for kinds, widest, consecutive in FAMILIES if view == 0 else FEW_FAMILIES if parts.any() else ():
            kept = seen[links.first] & seen[links.second] & (links.kind <= kinds)
            most = np.array(WIDEST_IN_ORDER if consecutive else WIDEST_GAP)
            kept &= links.gap <= np.minimum(widest, most[links.kind])
            kept &= links.consecutive | (not consecutive)
            labels.append(components(count, links.first[kept], links.second[kept]))
    return _distinct(number, frame, tall, labels)


def find_links(frame: Frame, marks: Marks) -> Links:
    """Every pair of neighbours that may stand in one line; at least one of them is tall."""
    tall = tall_enough(frame.box, marks.pen_mm[frame.mark])
    box, mark = frame.box, frame.mark
    width, height = box[:, 2] - box[:, 0], box[:, 3] - box[:, 1]
    big = np.flatnonzero(tall)
    reach = 1.4 * height[big]
    around = np.column_stack((
        box[big, 0] - reach, box[big, 1] - 0.4 * height[big], box[big, 2] + reach, box[big, 3] + 0.2 * height[big],
    ))
    a, b = boxes_within(around, box)
    a = big[a]
    kept = _same_pen(marks, mark[a], mark[b]) & (a != b)
    # Of two tall ones the higher comes first; of equals the earlier.
    kept &= ~tall[b] | (height[a] > height[b]) | ((height[a] == height[b]) & (a < b))
    a, b = a[kept], b[kept]
    high = height[a]
    gap = np.maximum(box[b, 0] - box[a, 2], box[a, 0] - box[b, 2]) / high
    base, top = np.abs(box[a, 1] - box[b, 1]) / high, np.abs(box[a, 3] - box[b, 3]) / high
    aligned = np.minimum(base, top) <= ALIGNED
    shared = np.minimum(box[a, 3], box[b, 3]) - np.maximum(box[a, 1], box[b, 1])
    beside = gap >= -0.25
    alike = tall[b] & (height[b] >= (1 - SAME_HEIGHT) * high) & aligned & beside
    loose = tall[b] & (height[b] >= LOOSE_RATIO * high) & (aligned | (shared >= 0.6 * height[b])) & beside
    middle = ((box[b, 1] + box[b, 3]) / 2 - box[a, 1]) / high
    largest = np.maximum(width[b], height[b]) / high
    above = (box[b, 1] >= box[a, 3]) | (box[b, 3] <= box[a, 1])
    highest = np.where(above & (gap < 0), DOT_ABOVE, 1.3)
    small = (height[b] <= 0.55 * high) & (largest <= 1.0) & (middle >= -0.3) & (middle <= highest)
    small &= (gap >= -0.1) | (above & (gap < 0))
    kind = np.where(alike, 0, np.where(loose, 1, np.where(small, 2, 3)))
    linked = kind < 3
    a, b, gap, kind = a[linked], b[linked], np.maximum(gap[linked], 0.0), kind[linked]
    start, end = marks.member[marks.first[:-1]], marks.member[marks.first[1:] - 1]
    apart = np.maximum(start[mark[b]] - end[mark[a]], start[mark[a]] - end[mark[b]])
    return Links(a, b, gap, kind, apart <= CONSECUTIVE)


def _same_pen(marks: Marks, a: Integers, b: Integers) -> Flags:
    """Marks of one pen, or both filled, and drawn alike."""
    with np.errstate(invalid="ignore"):
        equal = np.abs(marks.pen_mm[a] - marks.pen_mm[b]) <= SAME_PEN_MM
    alike = equal | (np.isnan(marks.pen_mm[a]) & np.isnan(marks.pen_mm[b]))
    return alike & ((marks.drawn[a] == Drawn.KNOCKED_OUT) == (marks.drawn[b] == Drawn.KNOCKED_OUT))


def _distinct(number: int, frame: Frame, tall: Flags, labels: list[Integers]) -> Lines:
    """Each set of marks once, from left to right, those that hold a tall mark and are not too long; and trimmed."""
    count = len(frame.mark)
    across = np.argsort(frame.box[:, 0], kind="stable")
    group = np.concatenate([label[across] + place * count for place, label in enumerate(labels)])
    order = np.argsort(group, kind="stable")
    member, group = np.tile(across, len(labels))[order], group[order]
    first = np.flatnonzero(np.concatenate(([True], np.diff(group) != 0))) if len(group) else group
    first = np.append(first, len(group))
    member, first = _known_once(member, first, tall)
    longer = np.diff(first) >= 3
    trimmed = [
        (spread(first[:-1][longer] + left, np.diff(first)[longer] - 1), np.diff(first)[longer] - 1) for left in (0, 1)
    ]
    sizes = np.concatenate([np.diff(first), *(size for _, size in trimmed)])
    member = np.concatenate([member, *(member[places] for places, _ in trimmed)])
    member, first = _known_once(member, np.concatenate(([0], np.cumsum(sizes))), tall)
    return Lines(frame.mark[member], frame.box[member], first, np.full(len(first) - 1, number))


def _known_once(member: Integers, first: Integers, tall: Flags) -> tuple[Integers, Integers]:
    """Drop sets that came before, that hold no tall mark, or that are too long."""
    if len(member) == 0:
        return member, np.zeros(1, dtype=np.int64)
    scatter = scattered_numbers(len(tall))
    key = np.add.reduceat(scatter[member], first[:-1])
    fresh = np.zeros(len(key), dtype=np.bool_)
    fresh[np.unique(key, return_index=True)[1]] = True
    size = np.diff(first)
    fresh &= np.add.reduceat(tall[member].astype(np.int64), first[:-1]) > 0
    fresh &= size <= LONGEST
    kept = spread(first[:-1][fresh], size[fresh])
    return member[kept], np.concatenate(([0], np.cumsum(size[fresh]))).astype(np.int64)


def passed_over(lines: Lines, frames: list[Frame], marks: Marks) -> Integers:
    """How many marks of its pen stand within each line's box but are no part of it, shape (n,)."""
    count = np.zeros(len(lines), dtype=np.int64)
    if len(lines) == 0:
        return count
    start = lines.first[:-1]
    boxes = np.hstack((
        np.minimum.reduceat(lines.box[:, :2], start), np.maximum.reduceat(lines.box[:, 2:], start)
    ))
    for number, frame in enumerate(frames):
        chosen = np.flatnonzero((lines.frame == number) & (np.diff(lines.first) > 1))
        if len(chosen) == 0:
            continue
        line, row = boxes_within(boxes[chosen], frame.box)
        line = chosen[line]
        height = boxes[line, 3] - boxes[line, 1]
        slack = np.column_stack((np.full(len(line), INSIDE_MM), INSIDE_HEIGHTS * height))
        inside = (frame.box[row, :2] >= boxes[line, :2] - slack).all(axis=1)
        inside &= (frame.box[row, 2:] <= boxes[line, 2:] + slack).all(axis=1)
        inside &= _same_pen(marks, frame.mark[row], lines.mark[start[line]])
        inside &= marks.parent[frame.mark[row]] < 0
        np.add.at(count, line[inside], 1)
    own = np.add.reduceat(marks.parent[lines.mark] < 0, start, dtype=np.int64)
    return count - np.where(np.diff(lines.first) > 1, own, 0)


def cut_short(lines: Lines, frames: list[Frame], links: list[Links], marks: Marks) -> Integers:
    """How many marks outside each line stand so close to one of its marks, and so alike, that they belong to it."""
    count = len(marks)
    cuts = np.zeros(len(lines), dtype=np.int64)
    owner = np.repeat(np.arange(len(lines)), np.diff(lines.first))
    held = np.sort(owner * count + lines.mark)
    for number, (frame, link) in enumerate(zip(frames, links, strict=True)):
        tight = link.consecutive & (link.gap <= np.where(link.kind == 0, TIGHT, TIGHT_SMALL))
        a, b = frame.mark[link.first[tight]], frame.mark[link.second[tight]]
        alike = link.kind[tight] < 2
        # A small mark belongs to the tall one beside it, not the other way: a plus stands beside a circle.
        near, other = np.concatenate((a, b[alike])), np.concatenate((b, a[alike]))
        near, other = near[marks.parent[other] < 0], other[marks.parent[other] < 0]
        order = np.argsort(near, kind="stable")
        near, other = near[order], other[order]
        member = np.flatnonzero(lines.frame[owner] == number)
        start = np.searchsorted(near, lines.mark[member])
        size = np.searchsorted(near, lines.mark[member], side="right") - start
        key = np.repeat(owner[member] * count, size) + other[spread(start, size)]
        place = np.minimum(np.searchsorted(held, key), len(held) - 1)
        outside = np.unique(key[held[place] != key])
        np.add.at(cuts, outside // count, 1)
    return cuts


def not_only(straight: Flags, lines: Lines) -> Flags:
    """Lines of more than bars: a row of bars is hatching, plates of a symbol, teeth of a connector."""
    if len(lines) == 0:
        return np.zeros(0, dtype=np.bool_)
    return np.logical_or.reduceat(~straight[lines.mark], lines.first[:-1])
