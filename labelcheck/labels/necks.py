"""Necks: where two edges face each other across clear space, or across ink, with nothing between.

A disc that touches both edges at the ends of its diameter and holds nothing else marks a neck: a saddle of the
distance to the edge. Clear necks are where spreading ink first joins two strokes (the mouth of C, the arms of E);
inked necks are where a stroke is thinnest. The narrowing corner of V or A holds no such disc and is no neck. Nor is
the blunt end of such a corner, as where the stroke of 6 meets its bowl: behind a clear neck the clear space goes on.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from labelcheck.labels.glyphs import spread
from labelcheck.trade.shapes import Flags, Floats, Integers

LEAST_MM = 0.0005
"""Edges nearer than this meet."""
TOUCHING_MM = 0.01
"""Ink this near touches: it leaves no clear line on any legend, and lettering that meets by design is often off by
as much (the tail of Q, kerned neighbours)."""
FACING = 0.25
"""Cosine between the way across and the outward normal of an edge, below which it does not face across."""
PARALLEL = 0.03
BEHIND_STROKES = 0.25
"""Clear space goes on behind the disc of a neck for so much of a stroke; without that nothing is lost where it fills.
The mouth of 6 goes on for half a stroke even in thick lettering."""
MOST_PAIRS = 400_000
"""Pairs held in memory at a time."""


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Edges of n groups, sorted by group: centre lines with a radius, or sides of an area with radius 0.

    Sides have ink on their left.
    """

    group: Integers
    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    radius: Floats

    def take(self, chosen: Integers | Flags) -> "Edges":
        """The chosen edges only."""
        columns = (self.group, self.x0, self.y0, self.x1, self.y1, self.radius)
        return Edges(*(column[chosen] for column in columns))  # type: ignore[arg-type]  # in order of the fields

    def with_others(self, other: "Edges") -> "Edges":
        """These edges and those of other groups."""
        order = np.argsort(np.concatenate((self.group, other.group)), kind="stable")
        return Edges(*(
            np.concatenate((getattr(self, name), getattr(other, name)))[order]
            for name in ("group", "x0", "y0", "x1", "y1", "radius")
        ))


Points = tuple[Floats, Floats, Floats, Floats]
"""x and y on the first edge, x and y on the second."""


@dataclass(frozen=True, slots=True, eq=False)
class Crossings:
    """Ways across between two edges: the group, the width, the point halfway, and the way through between them."""

    group: Integers
    width: Floats
    x: Floats
    y: Floats
    along_x: Floats
    """Of length 1, square to the way across."""
    along_y: Floats

    def take(self, chosen: Integers | Flags) -> "Crossings":
        """The chosen ways only."""
        columns = (self.group, self.width, self.x, self.y, self.along_x, self.along_y)
        return Crossings(*(column[chosen] for column in columns))  # type: ignore[arg-type]  # in order of the fields


@dataclass(frozen=True, slots=True, eq=False)
class Necks:
    """The narrowest neck of each of n groups: its width, the middle of its disc, and the way through, of length 1.

    Where `x` is nan there is no neck narrower than the width.
    """

    width: Floats
    x: Floats
    y: Floats
    along_x: Floats
    along_y: Floats

    @staticmethod
    def none_below(width: Floats) -> "Necks":
        """No neck found yet that is narrower than these widths."""
        return Necks(width.copy(), *(np.full(len(width), np.nan) for _ in range(4)))

    def copy(self) -> "Necks":
        """The same, to be lowered."""
        return Necks(*(column.copy() for column in (self.width, self.x, self.y, self.along_x, self.along_y)))

    def as_ways(self, groups: Integers) -> "Crossings":
        """The necks of the chosen groups as ways across."""
        return Crossings(groups, *(
            column[groups] for column in (self.width, self.x, self.y, self.along_x, self.along_y)
        ))


Matters = Callable[["Crossings"], Flags]
"""Whether a reader would miss the clear space of each way across."""


def narrowest_ink(sides: Edges, below: Floats) -> Floats:
    """Width of the narrowest inked neck between the sides of each group's area, shape (n,); `below` (n,) where none
    is narrower than that."""
    return _narrowest(sides, Necks.none_below(below), None, None).width


def narrowest_clear(edges: Edges, found: Necks, stroke: Floats, matters: Matters) -> Necks:
    """The narrowest clear neck that matters between the edges of each group, where it is narrower than what is
    `found` already. `stroke` (n,) is the width of the group's strokes."""
    return _narrowest(edges, found, BEHIND_STROKES * stroke, matters)


def _narrowest(edges: Edges, known: Necks, behind: Floats | None, matters: Matters | None) -> Necks:
    """See `narrowest_ink`, and `narrowest_clear` where clear space must go on by `behind` (n,) beyond each disc."""
    across_ink = behind is None
    count = len(known.width)
    size = np.bincount(edges.group, minlength=count)
    first = np.cumsum(size) - size
    partners = size[edges.group] - (np.arange(len(edges.group)) - first[edges.group]) - 1
    total = np.concatenate(([0], np.cumsum(partners)))
    found = known.copy()
    start = 0
    while start < len(partners):
        end = max(int(np.searchsorted(total, total[start] + MOST_PAIRS, side="right")) - 1, start + 1)
        a = np.repeat(np.arange(start, end), partners[start:end])
        b = spread(np.arange(start, end) + 1, partners[start:end])
        near = _least_apart(edges, a, b) < found.width[edges.group[a]]
        a, b = a[near], b[near]
        if across_ink or not edges.radius.any():
            before = _before(edges, a, b, across_ink) & _before(edges, b, a, across_ink)
            a, b = a[before], b[before]
        _lower(found, edges, (first, size), _crossings(edges, a, b, across_ink, found.width), (behind, matters))
        start = end
    return found


def _least_apart(edges: Edges, a: Integers, b: Integers) -> Floats:
    """No more than the width between two edges: that between the discs around them."""
    x, y = (edges.x0 + edges.x1) / 2, (edges.y0 + edges.y1) / 2
    reach = np.hypot(edges.x1 - edges.x0, edges.y1 - edges.y0) / 2 + edges.radius
    return np.hypot(x[b] - x[a], y[b] - y[a]) - reach[a] - reach[b]


def _before(edges: Edges, a: Integers, b: Integers, across_ink: bool) -> Flags:
    """Whether some of side b lies on the clear side of a, or on its inked side."""
    ux, uy = (edges.x1 - edges.x0)[a], (edges.y1 - edges.y0)[a]
    depth = [uy * (x[b] - edges.x0[a]) - ux * (y[b] - edges.y0[a])
             for x, y in ((edges.x0, edges.y0), (edges.x1, edges.y1))]
    return np.minimum(*depth) < 0 if across_ink else np.maximum(*depth) > 0


def _crossings(edges: Edges, a: Integers, b: Integers, across_ink: bool, below: Floats) -> Crossings:
    """The shortest way across of each pair of edges that face each other; both ends of a common parallel run.

    Only those that are narrower than `below` (n,) of their group, and that the edges next in the file leave free.
    """
    beside, *ways = _closest_points(edges, a, b)
    owner = np.concatenate((np.arange(len(a)), np.flatnonzero(beside)))
    px, py, qx, qy = (np.concatenate((near, far[beside])) for near, far in zip(ways[0], ways[1], strict=True))
    a, b = a[owner], b[owner]
    apart = np.hypot(qx - px, qy - py)
    width = apart - edges.radius[a] - edges.radius[b]
    kept = (width > (LEAST_MM if across_ink else TOUCHING_MM)) & (width < below[edges.group[a]])
    kept &= _faces(edges, a, qx - px, qy - py, apart, across_ink)
    kept &= _faces(edges, b, px - qx, py - qy, apart, across_ink)
    a, b = a[kept], b[kept]
    px, py, qx, qy, apart, width = (column[kept] for column in (px, py, qx, qy, apart, width))
    share = (edges.radius[a] + width / 2) / apart
    x, y = px + share * (qx - px), py + share * (qy - py)
    free = ~_blocked_by_next(edges, (a, b), x, y, width)
    return Crossings(edges.group[a], width, x, y, (py - qy) / apart, (qx - px) / apart).take(free)


def _blocked_by_next(edges: Edges, pair: tuple[Integers, Integers], x: Floats, y: Floats, width: Floats) -> Flags:
    """Whether an edge next to one of the two reaches into the disc across each way: most ways that are no necks are
    chords of a corner or of a round end, and are seen to be without a look at all other edges."""
    blocked = np.zeros(len(x), dtype=np.bool_)
    for edge in pair:
        for step in (-1, 1):
            other = np.clip(edge + step, 0, len(edges.group) - 1)
            other = np.where(edges.group[other] == edges.group[edge], other, edge)
            blocked |= _reaches_into(edges, other, x, y, width)
    return blocked


def _reaches_into(edges: Edges, which: Integers, x: Floats, y: Floats, width: Floats) -> Flags:
    """Whether an edge comes nearer to (x, y) than half the width."""
    fx, fy = _foot(edges, which, x, y)
    return np.asarray(np.hypot(fx - x, fy - y) - edges.radius[which] < width / 2 * 0.99 - LEAST_MM)


def _lower(
    found: Necks, edges: Edges, groups: tuple[Integers, Integers], ways: Crossings,
    asked: tuple[Floats | None, Matters | None],
) -> None:
    """Lower `found` to the narrowest way of each group whose disc holds nothing else.

    Ways are tried from the narrowest up, a few of each group at a time, until one of them is free.
    """
    behind, matters = asked
    ways = ways.take(np.lexsort((ways.width, ways.group)))
    ways = ways.take(ways.width < found.width[ways.group])
    batch = 3
    while len(ways.group):
        rank = np.arange(len(ways.group)) - np.searchsorted(ways.group, ways.group)
        tried = ways.take(rank < batch)
        free = np.flatnonzero(_is_free(edges, groups, tried, behind is None))
        if behind is not None:
            free = free[_goes_on(edges, groups, tried.take(free), behind)]
        if matters is not None:
            free = free[matters(tried.take(free))]
        group, narrowest = np.unique(tried.group[free], return_index=True)
        best = tried.take(free[narrowest])
        for column, value in (
            (found.width, best.width), (found.x, best.x), (found.y, best.y),
            (found.along_x, best.along_x), (found.along_y, best.along_y),
        ):
            column[group] = value
        ways = ways.take((rank >= batch) & (ways.width < found.width[ways.group]))
        batch *= 4


def _is_free(edges: Edges, groups: tuple[Integers, Integers], ways: Crossings, across_ink: bool) -> Flags:
    """Whether the disc across each way holds no other edge, and lies in clear space or in ink as its edges face."""
    first, size = groups
    other = spread(first[ways.group], size[ways.group])
    owner = np.repeat(np.arange(len(ways.group)), size[ways.group])
    x, y, count = ways.x[owner], ways.y[owner], len(ways.group)
    blocked = _reaches_into(edges, other, x, y, ways.width[owner])
    free = np.bincount(owner, blocked, count) == 0
    asked = free[owner]
    crossed = _crosses_ray(edges, other[asked], x[asked], y[asked])
    inked = np.bincount(owner[asked], crossed, count) % 2 == 1
    return free & (inked == across_ink)


def _goes_on(edges: Edges, groups: tuple[Integers, Integers], ways: Crossings, behind: Floats) -> Flags:
    """Whether there is no ink so far `behind` the disc across each way, to both sides of it."""
    first, size = groups
    other = spread(first[ways.group], size[ways.group])
    count = len(ways.group)
    owner = np.repeat(np.arange(count), size[ways.group])
    clear = np.ones(count, dtype=np.bool_)
    for sign in (1.0, -1.0):
        away = sign * (ways.width / 2 + behind[ways.group])
        x, y = (ways.x + away * ways.along_x)[owner], (ways.y + away * ways.along_y)[owner]
        fx, fy = _foot(edges, other, x, y)
        inked = np.bincount(owner, np.hypot(fx - x, fy - y) < edges.radius[other], count) > 0
        inked |= np.bincount(owner, _crosses_ray(edges, other, x, y), count) % 2 == 1
        clear &= ~inked
    return clear


def _faces(edges: Edges, which: Integers, dx: Floats, dy: Floats, apart: Floats, across_ink: bool) -> Flags:
    """Whether the way (dx, dy) leaves the edge on its clear side, or through ink; always for centre lines."""
    ux, uy = (edges.x1 - edges.x0)[which], (edges.y1 - edges.y0)[which]
    outward = (uy * dx - ux * dy) * (-1.0 if across_ink else 1.0)
    return (edges.radius[which] > 0) | (outward >= FACING * np.hypot(ux, uy) * apart)


def _closest_points(edges: Edges, a: Integers, b: Integers) -> tuple[Flags, Points, Points]:
    """The nearest points of two edges that do not cross.

    Where edges run parallel beside each other any place would do: they are open at one end at least unless they
    bound a counter, so both ends of the common run are given, and whether there is one.
    """
    best = np.full(len(a), np.inf)
    near = tuple(np.zeros(len(a)) for _ in range(4))
    for one, other, swap in ((a, b, False), (b, a, True)):
        for x, y in ((edges.x0[one], edges.y0[one]), (edges.x1[one], edges.y1[one])):
            fx, fy = _foot(edges, other, x, y)
            apart = np.hypot(fx - x, fy - y)
            nearer = apart < best
            best = np.where(nearer, apart, best)
            for point, value in zip(near, (fx, fy, x, y) if swap else (x, y, fx, fy), strict=True):
                point[nearer] = value[nearer]
    ux, uy = (edges.x1 - edges.x0)[a], (edges.y1 - edges.y0)[a]
    vx, vy = (edges.x1 - edges.x0)[b], (edges.y1 - edges.y0)[b]
    square = ux * ux + uy * uy
    parallel = np.abs(ux * vy - uy * vx) <= PARALLEL * np.sqrt(square * (vx * vx + vy * vy))
    with np.errstate(invalid="ignore", divide="ignore"):
        at = [((x[b] - edges.x0[a]) * ux + (y[b] - edges.y0[a]) * uy) / square
              for x, y in ((edges.x0, edges.y0), (edges.x1, edges.y1))]
        low, high = np.maximum(np.minimum(*at), 0.0), np.minimum(np.maximum(*at), 1.0)
        beside = parallel & (high > low) & (square > 0)
    ends = []
    for share in (low, high):
        mx, my = edges.x0[a] + np.where(beside, share, 0.0) * ux, edges.y0[a] + np.where(beside, share, 0.0) * uy
        ends.append((mx, my, *_foot(edges, b, mx, my)))
    for point, value in zip(near, ends[0], strict=True):
        point[beside] = value[beside]
    return beside, (near[0], near[1], near[2], near[3]), ends[1]


def _foot(edges: Edges, which: Integers, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """The point of an edge that is nearest to (x, y)."""
    x0, y0 = edges.x0[which], edges.y0[which]
    dx, dy = edges.x1[which] - x0, edges.y1[which] - y0
    square = dx * dx + dy * dy
    along = (x - x0) * dx + (y - y0) * dy
    share = np.clip(np.divide(along, square, out=np.zeros_like(along), where=square > 0), 0.0, 1.0)
    return x0 + share * dx, y0 + share * dy


def _crosses_ray(edges: Edges, which: Integers, x: Floats, y: Floats) -> Flags:
    """Whether a side of an area crosses the ray from (x, y) to the right; centre lines never do."""
    y0, y1 = edges.y0[which], edges.y1[which]
    across = (edges.radius[which] == 0) & ((y0 > y) != (y1 > y))
    with np.errstate(invalid="ignore", divide="ignore"):
        at = edges.x0[which] + (y - y0) / (y1 - y0) * (edges.x1 - edges.x0)[which]
    return across & (at > x)
