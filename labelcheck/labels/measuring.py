"""Measuring labels: stroke width least and typical, and the narrowest gap.

Where glyphs are drawn with one pen, its width is exact and nothing is measured. Filled, painted or cut ink is
measured on its exact outline: the typical stroke is the median over the outline of the largest disc that touches
it there from within, the least stroke is the narrowest inked neck. The gap of a label is the least diameter of

* the largest disc in a counter (A, 8, e): ink that spreads by half of it closes the counter;
* a clear neck inside a glyph (the mouth of C, the arms of E, the dot of i): see `necks`;
* the clear space along which neighbours run that do not touch: see `neighbours`.

Ink nearer than 10 µm touches. That neighbours touch is no gap: kerned pairs and ligatures do by design, and what
reading suffers where others do is the reader's to tell.

Each glyph is measured once however often it stands on the side.
"""

from dataclasses import dataclass, replace

import numpy as np
import shapely

from labelcheck.labels.alike import alike, some_glyphs
from labelcheck.labels.areas import (
    COARSE_STEPS,
    FINE_STEPS,
    PAINTED_STEPS,
    counters_of,
    ink_areas,
    sides_of,
    smoothed,
)
from labelcheck.labels.discs import largest_discs
from labelcheck.labels.gaps import COUNTER, MOUTH, PIECES, Gaps, round_gaps, together
from labelcheck.labels.glyphs import Glyphs, contents_of, spread
from labelcheck.labels.necks import TOUCHING_MM, Crossings, Edges, Matters, Necks, narrowest_clear, narrowest_ink
from labelcheck.labels.neighbours import gaps_between
from labelcheck.labels.pockets import LEAST_POCKET, NARROW_MM, shares_shut_in, widths_behind
from labelcheck.trade.remembering import each_remembered, is_remembering
from labelcheck.trade.shapes import Flags, Floats, Integers

SAMPLE_MM = 0.03
"""Distance between the points of an outline at which the stroke is measured; 2 µm too wide at a stroke of 0.1 mm."""
MOST_SAMPLES, MOST_DISCS = 240, 48
"""Points on one outline: large glyphs have wide strokes and need them no denser; and those whose disc is drawn."""
SCALLOP_PENS = 0.5
"""Scan lines leave scallops and slits at the edges they paint, half a pen deep: these are smoothed away."""
STEPPED_PENS = 4.0
"""Painted ink has no clear necks narrower than so many of its pens."""
NECK_SHARE = 0.98
"""A stroke this near its typical width is of even width."""
CONVEX = 0.97
"""Share of its convex hull that a convex part fills at least, rounding apart."""
LEAST_COUNTER_MM = 0.01
"""Clear spaces smaller than this are crumbs left by rounding, not counters."""


SPLINTER_SHARE = 0.6
"""A glyph thinner than this share of the painted ones beside it is a scan line of them."""


@dataclass(frozen=True, slots=True, eq=False)
class Sizes:
    """Least and typical stroke and the narrowest gap, one entry a glyph or label; inf for no gap.

    `narrow` holds the clear spaces that a process might close, sorted by glyph.
    """

    least: Floats
    typical: Floats
    gap: Floats
    narrow: Gaps


def measure_lines(glyphs: Glyphs, painted: Flags, first: Integers) -> Sizes:
    """Sizes of each line of glyphs; `first` (n + 1,) where each line starts, glyphs from left to right.

    `painted` (g,) marks glyphs whose bars paint an area, so that their pen says nothing.
    """
    lead, kind = alike(glyphs)
    unique = some_glyphs(glyphs, lead)
    between = gaps_between(glyphs, first)
    starts = first[:-1]
    line = np.repeat(np.arange(len(starts)), np.diff(first))
    # Wider gaps than a line has between its glyphs do not matter within them.
    usual = np.full(len(starts), np.inf)
    np.minimum.at(usual, line[between.glyph], between.width)
    enough = np.zeros(len(lead))
    np.maximum.at(enough, kind, usual[line])
    single = _measured_once(unique, painted[lead], np.maximum(enough, NARROW_MM))
    gaps = together([_of_all(single.narrow, kind, glyphs, unique), between])
    gaps = gaps.take(np.argsort(gaps.glyph, kind="stable"))
    gap = np.full(len(starts), np.inf)
    np.minimum.at(gap, line[gaps.glyph], gaps.width)
    least, typical = _without_splinters(single.least[kind], single.typical[kind], painted, first)
    return Sizes(
        least=np.minimum.reduceat(least, starts) if len(starts) else np.zeros(0),
        typical=_medians(typical, first),
        gap=gap,
        narrow=gaps.take(gaps.width <= NARROW_MM),
    )


def _measured_once(glyphs: Glyphs, painted: Flags, enough: Floats) -> Sizes:
    """As `measure_glyphs`; those of an earlier check are not measured again."""
    if not is_remembering():
        return measure_glyphs(glyphs, painted, enough)

    def make(places: list[int]) -> list[bytes]:
        chosen = np.array(places, dtype=np.int64)
        return _as_rows(measure_glyphs(some_glyphs(glyphs, chosen), painted[chosen], enough[chosen]))

    asked = np.column_stack((painted, enough))
    contents = [one.tobytes() + content for one, content in zip(asked, contents_of(glyphs), strict=True)]
    return _of_rows(each_remembered(measure_glyphs, contents, make))


def _as_rows(sizes: Sizes) -> list[bytes]:
    """Sizes of each glyph as bytes: least, typical and gap, then its gaps one by one."""
    narrow = sizes.narrow
    gaps = np.column_stack((narrow.kind, narrow.width, narrow.behind, narrow.box))
    own = np.column_stack((sizes.least, sizes.typical, sizes.gap))
    order = np.argsort(narrow.glyph, kind="stable")
    first = np.searchsorted(narrow.glyph[order], np.arange(len(own) + 1)).tolist()
    return [
        own[place].tobytes() + gaps[order[first[place] : first[place + 1]]].tobytes() for place in range(len(own))
    ]


def _of_rows(rows: list[bytes]) -> Sizes:
    """The sizes that `_as_rows` made rows of."""
    values = [np.frombuffer(row) for row in rows]
    own = np.array([value[:3] for value in values]).reshape(-1, 3)
    gaps = np.concatenate([np.zeros(0), *(value[3:] for value in values)]).reshape(-1, 7)
    count = np.array([(len(value) - 3) // 7 for value in values], dtype=np.int64)
    narrow = Gaps(
        np.repeat(np.arange(len(rows)), count), gaps[:, 0].astype(np.int64), gaps[:, 1], gaps[:, 2], gaps[:, 3:]
    )
    return Sizes(own[:, 0], own[:, 1], own[:, 2], narrow)


def _of_all(gaps: Gaps, kind: Integers, glyphs: Glyphs, unique: Glyphs) -> Gaps:
    """The gaps of each kind of glyph as gaps of all glyphs of that kind, moved to where those stand."""
    order = np.argsort(kind, kind="stable")
    first = np.searchsorted(kind[order], np.arange(len(unique) + 1))
    count = np.diff(first)[gaps.glyph]
    which = np.repeat(np.arange(len(gaps)), count)
    glyph = order[spread(first[gaps.glyph], count)]
    moved = gaps.take(which)
    shift = glyphs.box[glyph, :2] - unique.box[moved.glyph, :2]
    return replace(moved, glyph=glyph, box=moved.box + np.tile(shift, 2))


def _without_splinters(least: Floats, typical: Floats, painted: Flags, first: Integers) -> tuple[Floats, Floats]:
    """Strokes of glyphs, with the median of the painted ones for lone scan lines beside painted glyphs.

    The tip of a painted letter may be a single scan line that lies apart from the rest: its pen is no stroke.
    """
    least, typical = least.copy(), typical.copy()
    for line in np.flatnonzero(np.bincount(np.repeat(np.arange(len(first) - 1), np.diff(first)), painted)).tolist():
        glyphs = slice(int(first[line]), int(first[line + 1]))
        usual = float(np.median(typical[glyphs][painted[glyphs]]))
        splinter = ~painted[glyphs] & (typical[glyphs] < SPLINTER_SHARE * usual)
        least[glyphs] = np.where(splinter, usual, least[glyphs])
        typical[glyphs] = np.where(splinter, usual, typical[glyphs])
    return least, typical


def _medians(value: Floats, first: Integers) -> Floats:
    """Median of each run of values; `first` (n + 1,) where each run starts."""
    size = np.diff(first)
    ranked = value[np.lexsort((value, np.repeat(np.arange(len(size)), size)))]
    return (ranked[first[:-1] + (size - 1) // 2] + ranked[first[:-1] + size // 2]) / 2


def measure_glyphs(glyphs: Glyphs, painted: Flags, enough: Floats | None = None) -> Sizes:
    """Sizes of each glyph by itself; gaps that are no narrower than `enough` (n,) are not looked for."""
    count = len(glyphs)
    least, most = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(least, glyphs.bar_glyph, 2 * glyphs.radius)
    np.maximum.at(most, glyphs.bar_glyph, 2 * glyphs.radius)
    has_rings = np.bincount(glyphs.edge_glyph, minlength=count) > 0
    cut = np.bincount(glyphs.bar_glyph, glyphs.bar_layer > 0, count) > 0
    by_pen = ~has_rings & ~cut & ~painted
    scan_lines = ~has_rings & ~cut & painted
    scallop = np.where(painted, SCALLOP_PENS * _mean_pen(glyphs, count), 0.0)
    # Pens a little wider, so that strokes that all but touch enclose a counter; scan lines so that none lies apart.
    wider = np.where(by_pen, TOUCHING_MM / 2, np.where(scan_lines, scallop, 0.0))[glyphs.bar_glyph]
    steps = np.where(by_pen, COARSE_STEPS, np.where(scan_lines, PAINTED_STEPS, FINE_STEPS))
    areas = ink_areas(replace(glyphs, radius=glyphs.radius + wider), steps)
    filled = np.flatnonzero(~by_pen)
    areas[filled] = smoothed(areas[filled], scallop[filled], scan_lines[filled])
    pens = Edges(glyphs.bar_glyph, glyphs.x0, glyphs.y0, glyphs.x1, glyphs.y1, glyphs.radius)
    pens = pens.take(by_pen[glyphs.bar_glyph])
    sides = sides_of(areas[filled])
    sides = replace(sides, group=filled[sides.group])
    typical = np.where(least == most, least, _mean_pen(glyphs, count))
    if len(filled):
        typical[filled] = _typical_strokes(sides, count)[filled]
        blob, width = _blobs(areas[filled])
        typical[filled[blob]] = width
        thinnest = narrowest_ink(sides, NECK_SHARE * typical)[filled]
        least[filled] = np.where(thinnest < NECK_SHARE * typical[filled], thinnest, typical[filled])
    below = np.full(count, np.inf) if enough is None else enough
    # What dots and scan lines paint has steps, and in the narrowing corner of an A they look like necks.
    stepped = STEPPED_PENS * np.where(painted, _mean_pen(glyphs, count), 0.0)
    gaps = _gaps_within(Inked(areas, typical, pens, sides), below, stepped)
    return Sizes(np.where(np.isfinite(least), least, 0.0), typical, gaps.least(count), gaps)


@dataclass(frozen=True, slots=True, eq=False)
class Inked:
    """The ink of n glyphs: areas, typical strokes, and the edges of those drawn with pens and of all others."""

    areas: np.ndarray
    stroke: Floats
    pens: Edges
    sides: Edges

    def narrowest(self, below: Floats, matters: Matters) -> Necks:
        """The narrowest clear neck of each glyph that matters."""
        asked = below > 0
        sides, pens = (edges.take(asked[edges.group]) for edges in (self.sides, self.pens))
        necks = narrowest_clear(sides, Necks.none_below(below), self.stroke, matters)
        return narrowest_clear(pens, necks, self.stroke, matters)


def _gaps_within(inked: Inked, below: Floats, stepped: Floats) -> Gaps:
    """The narrowest mouth and counter of each glyph, and the narrowest way between its pieces, narrower than `below`.

    Necks narrower than `stepped` do not count.
    """
    areas, stroke, edges = inked.areas, inked.stroke, inked.pens.with_others(inked.sides)

    def shuts_in(ways: Crossings) -> Flags:
        share = shares_shut_in(areas, stroke, ways)
        return (ways.width >= stepped[ways.group]) & (share >= LEAST_POCKET) & np.isfinite(share)

    def joins(ways: Crossings) -> Flags:
        return (ways.width >= stepped[ways.group]) & np.isinf(shares_shut_in(areas, stroke, ways))

    mouths = inked.narrowest(below, shuts_in)
    several = shapely.get_num_geometries(areas) > 1
    apart = inked.narrowest(np.where(several, np.minimum(mouths.width, NARROW_MM), 0.0), joins)
    enough = np.maximum(mouths.width, NARROW_MM)
    counters, owner = counters_of(areas, stroke, enough)
    disc, middle = _discs_within(counters, owner, inked.pens, enough)
    closable = (disc >= LEAST_COUNTER_MM) & (disc < enough[owner])
    found, pieces = (np.flatnonzero(np.isfinite(necks.x)) for necks in (mouths, apart))
    behind = widths_behind(areas, stroke, edges, mouths.as_ways(found))
    return together([
        replace(_round_necks(MOUTH, mouths, found), behind=behind),
        round_gaps(COUNTER, owner[closable], disc[closable], middle[closable]),
        _round_necks(PIECES, apart, pieces),
    ])


def _discs_within(counters: Edges, owner: Integers, pens: Edges, enough: Floats) -> tuple[Floats, Floats]:
    """The largest disc in each counter: between its own sides where it lies in an area, else between the pens that
    draw it, for the areas of those are coarse."""
    by_pen = np.isin(owner, pens.group)
    disc, middle = np.zeros(len(owner)), np.full((len(owner), 2), np.nan)
    for chosen, edges in ((by_pen, pens), (~by_pen, counters)):
        which = np.flatnonzero(chosen)
        place = np.cumsum(chosen) - 1
        own = counters.take(chosen[counters.group])
        own = replace(own, group=place[own.group])
        found = largest_discs(own, owner[which] if edges is pens else which, edges, enough[owner[which]])
        disc[which], middle[which] = found
    return disc, middle


def _round_necks(kind: int, necks: Necks, chosen: Integers) -> Gaps:
    return round_gaps(kind, chosen, necks.width[chosen], np.column_stack((necks.x, necks.y))[chosen])


def _mean_pen(glyphs: Glyphs, count: int) -> Floats:
    """The pen of each glyph, weighted by length."""
    weight = np.hypot(glyphs.x1 - glyphs.x0, glyphs.y1 - glyphs.y0) + glyphs.radius
    total = np.bincount(glyphs.bar_glyph, weight, count)
    drawn = np.bincount(glyphs.bar_glyph, weight * 2 * glyphs.radius, count)
    return np.divide(drawn, total, out=np.zeros(count), where=total > 0)


def _typical_strokes(sides: Edges, count: int) -> Floats:
    """Median over the outline of the diameter of the largest disc touching it from within; 0 without an outline."""
    dx, dy = sides.x1 - sides.x0, sides.y1 - sides.y0
    length = np.hypot(dx, dy)
    step = np.maximum(np.bincount(sides.group, length, count) / MOST_SAMPLES, SAMPLE_MM)
    pieces = np.maximum(np.ceil(length / step[sides.group]), 1).astype(np.int64)
    side = np.repeat(np.arange(len(length)), pieces)
    share = (spread(np.zeros(len(pieces), dtype=np.int64), pieces) + 0.5) / pieces[side]
    group, weight = sides.group[side], length[side] / pieces[side]
    x, y = sides.x0[side] + share * dx[side], sides.y0[side] + share * dy[side]
    with np.errstate(invalid="ignore", divide="ignore"):
        inward_x, inward_y = -(dy / length)[side], (dx / length)[side]
    typical = np.zeros(count)
    first = np.searchsorted(group, np.arange(count + 1))
    for number in np.flatnonzero(np.diff(first)).tolist():
        part = slice(first[number], first[number + 1])
        passed = np.cumsum(weight[part])
        number_of_discs = min(len(passed), MOST_DISCS)
        evenly = (np.arange(number_of_discs) + 0.5) / number_of_discs * passed[-1]
        some = first[number] + np.minimum(np.searchsorted(passed, evenly), len(passed) - 1)
        across_x, across_y = x[part] - x[some][:, None], y[part] - y[some][:, None]
        depth = across_x * inward_x[some][:, None] + across_y * inward_y[some][:, None]
        square = across_x * across_x + across_y * across_y
        with np.errstate(invalid="ignore", divide="ignore"):
            disc = np.where(depth > 1e-9, square / depth, np.inf).min(axis=1)
        typical[number] = np.sort(disc)[number_of_discs // 2]
    return typical


def _blobs(areas: np.ndarray) -> tuple[Integers, Floats]:
    """The areas of convex parts only, as full stops, colons and dashes, and the least largest disc in their parts.

    The facets of a round dot turn as sharply as it is wide, so that discs touching it from within are too small.
    """
    parts, area = shapely.get_parts(areas, return_index=True)
    convex = shapely.area(parts) >= CONVEX * shapely.area(shapely.convex_hull(parts))
    blob = np.bincount(area, ~convex, len(areas)) == 0
    blob &= np.bincount(area, minlength=len(areas)) > 0
    chosen = blob[area]
    sides = sides_of(parts[chosen])
    discs, _ = largest_discs(sides, np.arange(int(chosen.sum())), sides, np.full(int(chosen.sum()), np.inf))
    width = np.full(len(areas), np.inf)
    np.minimum.at(width, area[chosen], discs)
    return np.flatnonzero(blob), width[blob]
