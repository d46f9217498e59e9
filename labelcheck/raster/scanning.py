"""Bars and rings cut along the lines of a lattice: one interval a line for a bar, even-odd pairs for rings.

A bar is convex, so each line meets it in one interval. Its left border on a line belongs to the disc, among all
those swept from one end to the other, that reaches farthest left there: the disc at that fraction of the way whose
own border is tangent to the bar's flank on that line, or else the nearest end. So each border costs one square root.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from typing import Self, TypeVar

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.intervals import Keys
from labelcheck.raster.lattice import Floats, Grid, Integers, Lattice
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import Shapes

CHUNK = 50_000
"""Rows of shapes worked on at a time: the arrays of one step then stay in the processor's cache."""

STEEP = 1000.0
"""Columns a line: beyond that, rounding could carry a crossing past the end of its edge."""

MOST_ROWS = 200_000_000
"""Rows of shapes altogether, about twenty seconds of work; a full production panel has about ten million."""

PlaceType = np.dtype[np.int32] | np.dtype[np.int64]
Cut = tuple[Integers, Keys, Keys]
"""Level, start place and end place of each interval."""


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """Things to be cut, as columns of shape (n,): `level` of the object, lines `low` up to, not including, `high`."""

    level: Integers
    low: Integers
    high: Integers

    def rows(self) -> int:
        """How many cuts there are to make."""
        return int(np.sum(self.high - self.low))

    def between(self, low: int, high: int) -> Self:
        """What lies on lines `low` up to, not including, `high`."""
        part = self.take((self.low < high) & (self.high > low))
        return replace(part, low=np.maximum(part.low, low), high=np.minimum(part.high, high))

    def take(self, chosen: NDArray[np.bool_] | slice) -> Self:
        """The chosen rows of the table."""
        return type(self)(**{field.name: getattr(self, field.name)[chosen] for field in fields(self)})


@dataclass(frozen=True, slots=True, eq=False)
class Bars(Table):
    """Bars measured in columns both ways: up from line 0, across from their group's first column; `dy` >= 0."""

    y: Floats
    x: Floats
    dy: Floats
    dx: Floats
    climb: Floats
    """What one column's width upwards adds to the fraction of the way."""
    left: Floats
    """Fraction of the way of the disc that makes the left border, on the line of the lower end."""
    right: Floats
    radius_squared: Floats
    columns: Integers


@dataclass(frozen=True, slots=True, eq=False)
class Edges(Table):
    """Edges of rings, sorted by object: upwards from line `y` and column `x` to `far_x`, `slope` columns a line."""

    ring_object: Integers
    y: Floats
    x: Floats
    slope: Floats
    far_x: Floats
    columns: Integers
    lead: Integers
    """By how much lines are ahead of the numbering in which every line of every object has a number of its own."""


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Shapes ready to be cut along the lines of a lattice."""

    grid: Grid
    lattice: Lattice
    bars: Bars
    edges: Edges
    clipped: bool

    @property
    def line_heights(self) -> Floats | None:
        """Heights of the sampling lines in rows, where they are not those of a plain grid."""
        if self.grid.sampled_at is None:
            return None
        first = int(self.lattice.first_row[0])
        return self.grid.sampled_at[first : first + self.lattice.lines]


def lay(shapes: Shapes, group: Integers, level: Integers, grid: Grid, lattice: Lattice, clipped: bool) -> Scene:
    """Lay shapes on a lattice; `level` and `group` (-1: leave out) hold a number for each object.

    Raises RasterTooLarge where that would be more than any machine should try.
    """
    scene = Scene(
        grid, lattice, _lay_bars(shapes, group, level, grid, lattice),
        _lay_edges(shapes, group, level, grid, lattice), clipped,
    )
    rows = scene.bars.rows() + scene.edges.rows()
    if rows > MOST_ROWS:
        raise RasterTooLarge(
            f"The artwork would need {rows:.2g} raster rows, more than the {MOST_ROWS:.2g} that are reasonable. "
            "Check the unit of the file, or choose a coarser pitch."
        )
    return scene


def _lay_bars(shapes: Shapes, group_of_object: Integers, level: Integers, grid: Grid, lattice: Lattice) -> Bars:
    group = group_of_object[shapes.bar_object]
    kept = np.flatnonzero((group >= 0) & (shapes.width > 0))
    group, owner = group[kept], shapes.bar_object[kept]
    x0, x1 = grid.columns(shapes.x0[kept]), grid.columns(shapes.x1[kept])
    y0, y1 = grid.heights(shapes.y0[kept]), grid.heights(shapes.y1[kept])
    radius, ratio = shapes.width[kept] / (2 * grid.row_mm), grid.row_mm / grid.column_mm
    # As good as horizontal: the left end makes the left border on every line, the right end the right border.
    horizontal = np.abs(y1 - y0) * ratio <= 1e-9 * np.abs(x1 - x0)
    swapped = np.where(horizontal, x1 < x0, y1 < y0)
    x0, x1 = np.where(swapped, x1, x0), np.where(swapped, x0, x1)
    y0, y1 = np.where(swapped, y1, y0), np.where(swapped, y0, y1)
    low, high = _lines(
        grid.first_row(np.minimum(y0, y1) - radius), grid.first_row(np.maximum(y0, y1) + radius), group, lattice
    )
    dx, dy = x1 - x0, np.where(horizontal, 0.0, (y1 - y0) * ratio)
    radius *= ratio
    length = np.hypot(dx, dy)
    climb = np.divide(1.0, dy, out=np.zeros(len(dy)), where=~horizontal)
    lean = np.divide(radius * dx, length, out=np.zeros(len(dy)), where=length > 0) * climb
    return Bars(
        level=level[owner], low=low, high=high,
        y=(y0 + _rise(grid, lattice)[group]) * ratio,
        x=x0 - lattice.first_column[group], dy=dy, dx=dx, climb=climb,
        left=-lean, right=np.where(horizontal, 1.0, lean),
        radius_squared=radius * radius, columns=lattice.columns[group],
    )


def _lay_edges(shapes: Shapes, group_of_object: Integers, level: Integers, grid: Grid, lattice: Lattice) -> Edges:
    owner = np.repeat(shapes.ring_object, np.diff(shapes.ring_start))
    following = next_vertex(shapes)
    y = grid.heights(shapes.vy)
    row = grid.first_row(y)
    group = group_of_object[owner]
    kept = np.flatnonzero((row != row[following]) & (group >= 0))
    after = following[kept]
    upwards = row[kept] < row[after]
    lower, upper = np.where(upwards, kept, after), np.where(upwards, after, kept)
    group, owner = group[kept], owner[kept]
    x = grid.columns(shapes.vx)
    low, high = _lines(row[lower], row[upper], group, lattice)
    return Edges(
        level=level[owner], low=low, high=high, ring_object=owner,
        y=y[lower] + _rise(grid, lattice)[group],
        x=x[lower] - lattice.first_column[group], slope=(x[upper] - x[lower]) / (y[upper] - y[lower]),
        far_x=x[upper] - lattice.first_column[group], columns=lattice.columns[group], lead=np.zeros_like(low),
    )


def next_vertex(shapes: Shapes) -> Integers:
    """For each vertex the one that follows it around its ring, shape (v,)."""
    filled = np.diff(shapes.ring_start) > 0
    following = np.arange(1, len(shapes.vx) + 1)
    following[shapes.ring_start[1:][filled] - 1] = shapes.ring_start[:-1][filled]
    return following


def _lines(low_row: Integers, high_row: Integers, group: Integers, lattice: Lattice) -> tuple[Integers, Integers]:
    """Rows as lines, cut off where the group's lines end."""
    first = lattice.first_line[group]
    low = np.maximum(low_row - lattice.first_row[group] + first, first)
    high = np.minimum(high_row - lattice.first_row[group] + first, lattice.first_line[group + 1])
    return low, np.maximum(high, low)


def _rise(grid: Grid, lattice: Lattice) -> Integers:
    """What to add to heights above the grid's origin, group by group, to have them above line 0."""
    if grid.sampled_at is not None:
        return np.zeros(len(lattice.first_row), dtype=np.int64)  # lines have heights of their own
    return lattice.first_line[:-1] - lattice.first_row


def intervals_of(scene: Scene, low: int, high: int, with_levels: bool) -> Cut:
    """Intervals of everything on lines `low` up to, not including, `high`; places are counted from line `low`.

    Levels are empty unless asked for. Places are int32 where they fit, which sorts twice as fast.
    """
    fits = (high - low) << scene.lattice.shift < 2**31
    dtype: PlaceType = np.dtype(np.int32) if fits else np.dtype(np.int64)
    bars, edges = scene.bars.between(low, high), scene.edges.between(low, high)
    upright = bars.dx == 0
    pieces = [
        _cut_bars(chunk, scene, low, dtype)
        for kind in (bars.take(upright), bars.take(~upright))
        for chunk in _chunks(kind)
    ]
    if len(edges.low):
        pieces.append(_cut_edges(edges, scene, low, dtype))
    levels = [np.repeat(level, counts) for level, counts, _, _ in pieces] if with_levels else []
    none = np.zeros(0, dtype=dtype)
    return (
        np.concatenate([*levels, np.zeros(0, dtype=np.int64)]),
        np.concatenate([none, *(piece[2] for piece in pieces)]),
        np.concatenate([none, *(piece[3] for piece in pieces)]),
    )


Piece = tuple[Integers, Integers, Keys, Keys]
"""Levels, how many intervals each stands for, starts, ends."""


AnyTable = TypeVar("AnyTable", bound=Table)


def _chunks(table: AnyTable) -> Iterator[AnyTable]:
    """A table's parts in order, each of about CHUNK cuts and at least one row."""
    total = np.cumsum(table.high - table.low)
    first = 0
    while first < len(total):
        done = int(total[first - 1]) if first else 0
        last = max(first + 1, int(np.searchsorted(total, done + CHUNK, side="right")))
        yield table.take(slice(first, last))
        first = last


def _cut_bars(bars: Bars, scene: Scene, origin: int, dtype: PlaceType) -> Piece:
    """Intervals of bars, one a line."""
    counts = bars.high - bars.low
    lead = bars.low - (np.cumsum(counts) - counts)
    step = np.arange(int(counts.sum()))
    ratio, shift = scene.grid.row_mm / scene.grid.column_mm, scene.lattice.shift
    base = np.repeat(((lead - origin) << shift).astype(dtype), counts)
    base += (step << shift).astype(dtype)
    up: Floats = np.empty(len(step))
    if scene.line_heights is None:
        np.multiply(step, ratio, out=up)
        up += np.repeat(lead * ratio - bars.y, counts)
    else:
        np.multiply(scene.line_heights[step + np.repeat(lead, counts)], ratio, out=up)
        up -= np.repeat(bars.y, counts)
    upright = not bars.dx.any()
    borders = _borders_of_upright(bars, counts, up) if upright else _borders(bars, counts, up)
    places = []
    for border in borders:
        np.ceil(border, out=border)
        if scene.clipped:
            np.clip(border, 1, np.repeat(bars.columns - 1, counts), out=border)
        places.append(base + border.astype(dtype))
    start, end = places
    return bars.level, counts, start, np.maximum(end, start, out=end)


def _borders(bars: Bars, counts: Integers, up: Floats) -> Iterator[Floats]:
    """Left and right border of bars, in columns, at heights `up` above their lower ends."""
    way = up * np.repeat(bars.climb, counts)
    x, dx, dy, radius_squared = (np.repeat(c, counts) for c in (bars.x, bars.dx, bars.dy, bars.radius_squared))
    for fraction, outwards in ((bars.left, np.subtract), (bars.right, np.add)):
        t = way + np.repeat(fraction, counts)
        np.clip(t, 0.0, 1.0, out=t)
        away = t * dy
        np.subtract(up, away, out=away)  # height above the centre of the disc that makes the border
        half = _half_chord(radius_squared, away)
        t *= dx
        t += x
        yield outwards(t, half, out=t)


def _borders_of_upright(bars: Bars, counts: Integers, up: Floats) -> Iterator[Floats]:
    """The same for discs and bars that stand upright, which need only one square root for both borders."""
    away = np.clip(up, 0.0, np.repeat(bars.dy, counts))
    np.subtract(up, away, out=away)
    half = _half_chord(np.repeat(bars.radius_squared, counts), away)
    x = np.repeat(bars.x, counts)
    yield x - half
    yield np.add(x, half, out=x)


def _half_chord(radius_squared: Floats, away: Floats) -> Floats:
    """Half the width of discs at a distance from their centres, which it overwrites; 0 beyond their rims."""
    np.multiply(away, away, out=away)
    np.subtract(radius_squared, away, out=away)
    np.maximum(away, 0.0, out=away)
    return np.sqrt(away, out=away)


def _cut_edges(edges: Edges, scene: Scene, origin: int, dtype: PlaceType) -> Piece:
    """Intervals of rings, even-odd among the rings of one object."""
    # Crossings pair up within one line of one object: number those lines, object after object.
    first = np.flatnonzero(np.diff(edges.ring_object, prepend=-1))
    low, high = np.minimum.reduceat(edges.low, first), np.maximum.reduceat(edges.high, first)
    lead = low - (np.cumsum(high - low) - (high - low))
    numbered = replace(edges, lead=np.repeat(lead, np.diff(np.append(first, len(edges.low)))))
    key = np.concatenate([_crossings(chunk, scene) for chunk in _chunks(numbered)])
    key.sort()
    pairs = np.add.reduceat(edges.high - edges.low, first) // 2
    moved = np.repeat((lead - origin) << scene.lattice.shift, pairs)
    return edges.level[first], pairs, (key[0::2] + moved).astype(dtype), (key[1::2] + moved).astype(dtype)


def _crossings(edges: Edges, scene: Scene) -> Integers:
    """Places where edges cross the lines that they reach."""
    counts = edges.high - edges.low
    lead = edges.low - (np.cumsum(counts) - counts)
    step = np.arange(int(counts.sum()))
    if scene.line_heights is None:
        x = step + np.repeat(lead - edges.y, counts)
    else:
        x = scene.line_heights[step + np.repeat(lead, counts)] - np.repeat(edges.y, counts)
    x *= np.repeat(edges.slope, counts)
    x += np.repeat(edges.x, counts)
    if np.abs(edges.slope).max() > STEEP:
        least, most = np.minimum(edges.x, edges.far_x), np.maximum(edges.x, edges.far_x)
        np.clip(x, np.repeat(least, counts), np.repeat(most, counts), out=x)
    np.ceil(x, out=x)
    if scene.clipped:
        np.clip(x, 1, np.repeat(edges.columns - 1, counts), out=x)
    shift = scene.lattice.shift
    key = np.repeat((lead - edges.lead) << shift, counts)
    key += step << shift
    key += x.astype(np.int64)
    return key
