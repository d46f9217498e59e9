"""Glyphs as areas: the exact ink of filled, painted or cut glyphs as polygons, and their sides as edges."""

import numpy as np
import shapely

from labelcheck.labels.glyphs import Glyphs
from labelcheck.labels.joining import numbered
from labelcheck.labels.necks import Edges
from labelcheck.trade.shapes import Flags, Floats, Integers

FINE_STEPS = 8
"""Sides of a quarter of a round end: a disc of 0.15 mm is 0.3 µm short of round."""
PAINTED_STEPS = 4
"""A scan line is so thin, and its scallops are smoothed."""
COARSE_STEPS = 2
"""Enough to see where a pen's strokes enclose a counter."""
POLYGON, MULTI_POLYGON = 3, 6
"""Type numbers of shapely (GEOS)."""
SMOOTHING_MM, SCALLOP_LEFT = 0.003, 0.6
"""How far sides may be moved: by so much, and by this share of the depth of scallops."""


def ink_areas(glyphs: Glyphs, steps: Integers) -> np.ndarray:
    """The ink of each glyph as a polygon or multipolygon, shape (n,); `steps` (n,) sides a quarter of round ends."""
    count = len(glyphs)
    areas = np.full(count, shapely.Polygon(), dtype=object)
    layers = int(max(glyphs.bar_layer.max(initial=0), glyphs.edge_layer.max(initial=0))) + 1
    for layer in range(layers):
        drawn = [_bar_areas(glyphs, layer, steps), _ring_areas(glyphs, layer)]
        owner = np.concatenate([owners for owners, _ in drawn])
        parts = np.concatenate([shapes for _, shapes in drawn])
        order = np.argsort(owner, kind="stable")
        owner, parts = owner[order], parts[order]
        for block in np.split(np.arange(len(owner)), np.flatnonzero(np.diff(owner)) + 1):
            if len(block) == 0:
                continue
            glyph = int(owner[block[0]])
            ink = parts[block[0]] if len(block) == 1 else shapely.union_all(parts[block])
            change = shapely.union if layer % 2 == 0 else shapely.difference
            areas[glyph] = ink if layer == 0 else change(areas[glyph], ink)
    return areas


def _bar_areas(glyphs: Glyphs, layer: int, steps: Integers) -> tuple[Integers, np.ndarray]:
    """Glyph and area of each group of bars of one width; a group's bars are one buffered multi line."""
    bars = np.flatnonzero(glyphs.bar_layer == layer)
    if len(bars) == 0:
        return bars, np.zeros(0, dtype=object)
    _, width = np.unique(np.round(glyphs.radius[bars] * 1e5), return_inverse=True)
    group, groups = numbered(glyphs.bar_glyph[bars] * (int(width.max()) + 1) + width)
    order = np.argsort(group, kind="stable")
    bars, group = bars[order], group[order]
    ends = np.stack((glyphs.x0[bars], glyphs.y0[bars], glyphs.x1[bars], glyphs.y1[bars]), axis=1).reshape(-1, 2, 2)
    dots = (ends[:, 0] == ends[:, 1]).all(axis=1)
    # A line without length has no buffer everywhere: a nanometre gives it one.
    ends[dots, 1, 0] += 1e-6
    lines = _chains(ends, group)
    lead = np.searchsorted(group, np.arange(groups))
    owner, radius = glyphs.bar_glyph[bars[lead]], glyphs.radius[bars[lead]]
    areas = np.full(groups, shapely.Polygon(), dtype=object)
    for number in np.unique(steps[owner]).tolist():
        chosen = steps[owner] == number
        areas[chosen] = shapely.buffer(lines[chosen], radius[chosen], quad_segs=number)
    return owner, areas


def _chains(ends: Floats, group: Integers) -> np.ndarray:
    """The lines (n, 2, 2) of each group as one multi line, those that follow on one another as one line.

    A bent line is buffered several times as fast as its parts.
    """
    fresh = np.ones(len(ends), dtype=np.bool_)
    fresh[1:] = (ends[1:, 0] != ends[:-1, 1]).any(axis=1) | (group[1:] != group[:-1])
    chain = np.cumsum(fresh) - 1
    points = np.concatenate((ends[fresh, 0], ends[:, 1]))
    owner = np.concatenate((chain[fresh], chain))
    order = np.argsort(owner, kind="stable")
    lines = shapely.linestrings(points[order], indices=owner[order])
    return np.asarray(shapely.multilinestrings(lines, indices=group[fresh]))


def _ring_areas(glyphs: Glyphs, layer: int) -> tuple[Integers, np.ndarray]:
    """Glyph and area of each filled object, even-odd among its rings."""
    edges = np.flatnonzero(glyphs.edge_layer == layer)
    if len(edges) == 0:
        return edges, np.zeros(0, dtype=object)
    joined = (glyphs.bx[edges[:-1]] == glyphs.ax[edges[1:]]) & (glyphs.by[edges[:-1]] == glyphs.ay[edges[1:]])
    joined &= glyphs.edge_object[edges[:-1]] == glyphs.edge_object[edges[1:]]
    ring = np.concatenate(([0], np.cumsum(~joined)))
    size = np.bincount(ring)
    whole = size[ring] >= 3
    kept, ring = edges[whole], numbered(ring[whole])[0]
    if len(kept) == 0:
        return kept, np.zeros(0, dtype=object)
    points = np.column_stack((glyphs.ax[kept], glyphs.ay[kept]))
    rings = valid_areas(shapely.polygons(shapely.linearrings(points, indices=ring)))
    lead = np.searchsorted(ring, np.arange(len(rings)))
    owner = glyphs.edge_object[kept[lead]]
    areas, glyph = [], []
    for block in np.split(np.arange(len(rings)), np.flatnonzero(np.diff(owner)) + 1):
        total = rings[block[0]]
        for other in block[1:]:
            total = shapely.symmetric_difference(total, rings[other])
        areas.append(total)
        glyph.append(int(glyphs.edge_glyph[kept[lead[block[0]]]]))
    return np.array(glyph, dtype=np.int64), np.array(areas, dtype=object)


def valid_areas(areas: np.ndarray) -> np.ndarray:
    """The areas without crossings of themselves, and without the lines that a contour runs along forth and back."""
    valid = areas.copy()
    # Most are, and to ask is cheaper than to make them so.
    wrong = np.flatnonzero(~shapely.is_valid(areas))
    valid[wrong] = shapely.make_valid(areas[wrong])
    for at in wrong[~np.isin(shapely.get_type_id(valid[wrong]), (POLYGON, MULTI_POLYGON))].tolist():
        parts = shapely.get_parts(shapely.get_parts(valid[at]))
        valid[at] = shapely.union_all(parts[shapely.get_type_id(parts) == POLYGON])
    return valid


def smoothed(areas: np.ndarray, scallop_mm: Floats, grown: Flags) -> np.ndarray:
    """The areas with no more sides than need be; of painted ones the scallops of their scan lines smoothed away.

    Those that are `grown` by their scallops already are only shrunk again.
    """
    painted = scallop_mm > 0
    result, to_grow = areas.copy(), painted & ~grown
    result[to_grow] = shapely.buffer(areas[to_grow], scallop_mm[to_grow], quad_segs=COARSE_STEPS)
    result[painted] = shapely.buffer(result[painted], -scallop_mm[painted], quad_segs=COARSE_STEPS)
    tolerance = np.maximum(SCALLOP_LEFT * scallop_mm, SMOOTHING_MM)
    simple = np.asarray(shapely.simplify(result, tolerance, preserve_topology=False))
    # Where sides come to cross, or a thin part is lost, it is done the careful and slow way.
    broken = ~shapely.is_valid(simple) | (shapely.get_num_geometries(simple) != shapely.get_num_geometries(result))
    broken |= shapely.is_empty(simple)
    simple[broken] = shapely.simplify(result[broken], tolerance[broken])
    return simple


def sides_of(areas: np.ndarray) -> Edges:
    """The sides of each area, ink on their left; the group is the area's place."""
    parts, area = shapely.get_parts(areas, return_index=True)
    polygons = shapely.get_type_id(parts) == POLYGON
    parts, area = parts[polygons], area[polygons]
    rings, part = shapely.get_rings(parts, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    along = np.flatnonzero(np.diff(ring) == 0)
    x0, y0, x1, y1 = points[along, 0], points[along, 1], points[along + 1, 0], points[along + 1, 1]
    turning = np.bincount(ring[along], x0 * y1 - x1 * y0, len(rings))
    hull = np.concatenate(([True], np.diff(part) != 0)) if len(part) else np.zeros(0, dtype=np.bool_)
    against = ((turning > 0) != hull)[ring[along]]
    return Edges(
        group=area[part[ring[along]]].astype(np.int64),
        x0=np.where(against, x1, x0), y0=np.where(against, y1, y0),
        x1=np.where(against, x0, x1), y1=np.where(against, y0, y1),
        radius=np.zeros(len(along)),
    )


LEAST_SPACE = 0.05
"""Share of its character's box that an enclosed space has at least, from the middle of the strokes around it: a bowl
of an 8 has 0.1 however thick the pen, the corner that the tail of a Q cuts off has 0.03."""
LEAST_OF_LARGEST = 0.3
"""And share of the largest space within the same character: a bowl of an 8 has 0.7, what a long tail cuts off from
the bowl of a Q has 0.15."""


def counters_of(areas: np.ndarray, stroke: Floats, enough: Floats) -> tuple[Edges, Integers]:
    """The edges of the enclosed clear spaces of the areas, a group each, and which area each belongs to.

    `stroke` (n,) is the typical stroke of each area. Left out are spaces that would be a tiny share of their area's
    box even if drawn with a thin pen, for a character reads the same when they close; and those that surely hold a
    disc wider than `enough` (n,): any holds one of twice its area over its outline (Bonnesen's inequality).
    """
    parts, area = shapely.get_parts(areas, return_index=True)
    polygons = shapely.get_type_id(parts) == POLYGON
    parts, area = parts[polygons], area[polygons]
    holes = shapely.get_num_interior_rings(parts)
    owner = np.repeat(np.arange(len(parts)), holes)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(holes) - holes, holes)
    spaces = shapely.polygons(shapely.get_interior_ring(parts[owner], number))
    box = shapely.bounds(areas)[area[owner]]
    half = stroke[area[owner]] / 2
    size, outline = shapely.area(spaces), shapely.length(spaces)
    to_middles = size + outline * half + np.pi * half**2
    largest = np.zeros(len(areas))
    np.maximum.at(largest, area[owner], to_middles)
    least = np.maximum(
        LEAST_SPACE * (box[:, 2] - box[:, 0]) * (box[:, 3] - box[:, 1]), LEAST_OF_LARGEST * largest[area[owner]]
    )
    matters = (to_middles >= least) & (2 * size <= enough[area[owner]] * outline)
    return sides_of(spaces[matters]), area[owner][matters].astype(np.int64)
