"""Closed contours out of drawn lines: what an outline, a cut-out or a frame is made of.

Lines count along their middle, whatever their width. Ends that nearly meet are joined up to a stated gap; lines
that cross are cut where they cross. Contours that touch make one contour, so scoring lines and the sides of
neighbours in a panel do not divide a board.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from labelcheck.trade.shapes import Floats, Kind, Shapes

GRID_MM = 0.001
"""Coordinates closer than this are the same: the resolution of common artwork."""

GAP_MM = 0.3
"""Open ends closer than this are joined: less than any router bit could pass (common practice)."""

UNSPOKEN_GAP_MM = 0.02
"""Smaller gaps are rounding of arcs and no matter for a remark."""

LINES_AT_MOST = 20_000
"""More lines than any outline has: a layer with more is not searched."""

CROSSINGS_AT_MOST = 300_000
"""Estimated crossings beyond which a drawing is a tangle, no outline; cutting all lines there would take minutes."""

SAMPLED_LINES = 200
"""Lines whose crossings are counted for that estimate."""

REGIONS_AT_MOST = 5_000
"""The same for regions."""

EDGES_AT_MOST = 200_000
"""The same for the sides of regions."""

FARTHEST_MM = 100_000.0
"""Lines that reach farther are damage, and would spoil the reckoning of the others."""


@dataclass(frozen=True, slots=True, eq=False)
class Contour:
    """One closed contour, filled."""

    polygon: Polygon
    depth: int
    """Number of contours around it."""
    loose_ends: bool
    """Whether lines with open ends hang on it, as on letters and dimension lines."""


@dataclass(frozen=True, slots=True, eq=False)
class Contours:
    """All closed contours of a drawing, the largest first."""

    closed: tuple[Contour, ...]
    widest_gap_mm: float
    """The widest gap that was joined."""
    open_sizes_mm: tuple[float, ...]
    """Larger side of the box of each piece of drawing that closes nothing."""


def centre_lines(shapes: Shapes) -> Floats:
    """Middle lines of all dark strokes as (n, 4) of x0, y0, x1, y1; strokes of no length are left out."""
    drawn = (shapes.kind == Kind.STROKE) & shapes.dark
    chosen = drawn[shapes.bar_object]
    lines = np.column_stack((shapes.x0, shapes.y0, shapes.x1, shapes.y1))[chosen]
    swept = [
        _long_axis(np.column_stack((shapes.vx[a:b], shapes.vy[a:b])))
        for owner, a, b in zip(shapes.ring_object, shapes.ring_start, shapes.ring_start[1:], strict=False)
        if drawn[owner] and b - a >= 3
    ][:LINES_AT_MOST]
    if swept:
        lines = np.concatenate((lines, np.array(swept)))
    finite = (np.abs(lines) < FARTHEST_MM).all(axis=1)
    long = np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1]) > GRID_MM / 2
    return lines[finite & long]


def _long_axis(points: Floats) -> tuple[float, float, float, float]:
    """Middle line of a stroke that an angular aperture swept: the long axis of its box, shortened by the pen."""
    box = shapely.minimum_rotated_rectangle(shapely.MultiPoint(points))
    if box.geom_type != "Polygon":
        return (0.0, 0.0, 0.0, 0.0)
    corners = np.asarray(box.exterior.coords)[:4]
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    first = int(sides[0] < sides[1])
    ends = np.array(
        [
            (corners[first] + corners[(first + 3) % 4]) / 2,
            (corners[(first + 1) % 4] + corners[(first + 2) % 4]) / 2,
        ]
    )
    along = (ends[1] - ends[0]) / max(sides.max(), GRID_MM)
    inset = along * min(sides.min(), sides.max()) / 2
    (x0, y0), (x1, y1) = ends[0] + inset, ends[1] - inset
    return float(x0), float(y0), float(x1), float(y1)


def find_contours(lines: Floats) -> Contours:
    """Every closed contour that the lines make, gaps up to `GAP_MM` joined; none where there are too many lines."""
    if len(lines) == 0 or len(lines) > LINES_AT_MOST or _is_tangle(lines):
        return Contours((), 0.0, ())
    noded = _noded(shapely.linestrings(lines.reshape(-1, 2, 2)))
    bridges, widest = _bridges(noded)
    if bridges:
        noded = _noded([*noded, *bridges])
    parts = _parts(noded)
    ends = _loose_ends(noded)
    closed: list[tuple[Polygon, bool]] = []
    open_sizes: list[float] = []
    for part in parts:
        filled = _filled(part)
        loose = bool(ends & {point for line in part for point in (line.coords[0], line.coords[-1])})
        if filled:
            closed += [(polygon, loose) for polygon in filled]
        else:
            x0, y0, x1, y1 = shapely.total_bounds(np.array(part))
            open_sizes.append(float(max(x1 - x0, y1 - y0)))
    return Contours(_nested(closed), widest, tuple(sorted(open_sizes)))


def _is_tangle(lines: Floats) -> bool:
    """Whether the lines (n, 4) cross each other too often, judged by evenly spaced samples."""
    drawn = shapely.linestrings(lines.reshape(-1, 2, 2))
    sampled = drawn[:: max(1, len(drawn) // SAMPLED_LINES)]
    hits, _ = shapely.STRtree(drawn).query(sampled, predicate="intersects")
    return len(hits) / len(sampled) * len(drawn) / 2 > CROSSINGS_AT_MOST


def _noded(lines: Iterable[BaseGeometry]) -> list[LineString]:
    """Lines cut where they cross, duplicates once, on the grid."""
    union = shapely.union_all(np.array(list(lines)), grid_size=GRID_MM)
    return [line for line in shapely.get_parts(union) if line.geom_type == "LineString" and not line.is_empty]


def _loose_ends(lines: Iterable[LineString]) -> set[tuple[float, ...]]:
    """End points at which only one line ends."""
    counted = Counter(point for line in lines for point in (line.coords[0], line.coords[-1]))
    return {point for point, count in counted.items() if count == 1}


def _bridges(lines: Sequence[LineString]) -> tuple[list[LineString], float]:
    """Short lines between loose ends that nearly meet (the nearest pairs first), and the longest of them."""
    loose = sorted(_loose_ends(lines))
    if not loose:
        return [], 0.0
    points = shapely.points(np.array(loose))
    tree = shapely.STRtree(points)
    left, right = tree.query(points, predicate="dwithin", distance=GAP_MM)
    pairs = sorted(
        (float(shapely.distance(points[i], points[j])), int(i), int(j))
        for i, j in zip(left, right, strict=True)
        if i < j
    )
    taken: set[int] = set()
    bridges: list[LineString] = []
    widest = 0.0
    for distance, i, j in pairs:
        if i not in taken and j not in taken:
            taken |= {i, j}
            bridges.append(LineString([loose[i], loose[j]]))
            widest = max(widest, distance)
    # An end that stops just short of another line's middle.
    nearby = shapely.STRtree(np.array(lines))
    for index in range(len(loose)):
        if index in taken:
            continue
        bridge = _to_nearest_line(points[index], nearby, lines)
        if bridge is not None:
            bridges.append(bridge)
            widest = max(widest, bridge.length)
    return bridges, widest


def _to_nearest_line(point: Point, tree: shapely.STRtree, lines: Sequence[LineString]) -> LineString | None:
    best: LineString | None = None
    for index in sorted(tree.query(point, predicate="dwithin", distance=GAP_MM)):
        line = lines[index]
        if point.coords[0] in (line.coords[0], line.coords[-1]):
            continue
        bridge = shapely.shortest_line(point, line)
        if bridge.length > 0 and (best is None or bridge.length < best.length):
            best = bridge
    return best


def _parts(lines: Sequence[LineString]) -> list[list[LineString]]:
    """Lines grouped by touching ends, in order of their first line."""
    parent = list(range(len(lines)))

    def root(index: int) -> int:
        while parent[index] != index:
            parent[index] = parent[parent[index]]
            index = parent[index]
        return index

    first_at: dict[tuple[float, ...], int] = {}
    for index, line in enumerate(lines):
        for point in (line.coords[0], line.coords[-1]):
            other = first_at.setdefault(point, index)
            a, b = root(index), root(other)
            parent[max(a, b)] = min(a, b)
    parts: dict[int, list[LineString]] = defaultdict(list)
    for index, line in enumerate(lines):
        parts[root(index)].append(line)
    return list(parts.values())


def _filled(part: Sequence[LineString]) -> list[Polygon]:
    """The areas that one connected drawing closes, filled; neighbours that share an edge are one."""
    faces = shapely.get_parts(shapely.polygonize(part))
    if len(faces) == 0:
        return []
    union = shapely.union_all([Polygon(face.exterior) for face in faces], grid_size=GRID_MM)
    return [Polygon(area.exterior) for area in polygons_of(union)]


def polygons_of(geometry: BaseGeometry) -> list[Polygon]:
    """The polygons of any geometry, those without area left out."""
    parts = shapely.get_parts(shapely.get_parts(geometry))
    return [part for part in parts if part.geom_type == "Polygon" and part.area > 0]


def _nested(closed: list[tuple[Polygon, bool]]) -> tuple[Contour, ...]:
    ordered = sorted(closed, key=lambda item: (-item[0].area, item[0].bounds))
    found: list[Contour] = []
    prepared = [polygon for polygon, _ in ordered]
    shapely.prepare(prepared)
    for index, (polygon, loose) in enumerate(ordered):
        inside = polygon.representative_point()
        depth = int(np.count_nonzero(shapely.contains(prepared[:index], inside))) if index else 0
        found.append(Contour(polygon, depth, loose))
    return tuple(found)


def region_area(shapes: Shapes) -> MultiPolygon:
    """What the regions of a drawing cover: dark ones added, clear ones removed, in drawing order."""
    covered: BaseGeometry = MultiPolygon()
    regions = np.flatnonzero(shapes.kind == Kind.REGION)
    edges = _region_edges(shapes)
    if len(regions) > REGIONS_AT_MOST or len(edges) > EDGES_AT_MOST or (len(edges) and _is_tangle(edges)):
        return MultiPolygon()
    turns = np.flatnonzero(np.diff(shapes.dark[regions])) + 1
    for run in np.split(regions, turns):
        if len(run) == 0:
            continue
        drawn = shapely.union_all([_region(shapes, int(number)) for number in run], grid_size=GRID_MM)
        combine = shapely.union if shapes.dark[run[0]] else shapely.difference
        covered = combine(covered, drawn, grid_size=GRID_MM)
    return MultiPolygon(polygons_of(covered))


def _region_edges(shapes: Shapes) -> Floats:
    """All sides of all rings, (n, 4)."""
    if len(shapes.ring_object) == 0:
        return np.zeros((0, 4))
    following = np.arange(1, len(shapes.vx) + 1)
    following[shapes.ring_start[1:] - 1] = shapes.ring_start[:-1]
    edges = np.column_stack((shapes.vx, shapes.vy, shapes.vx[following], shapes.vy[following]))
    return edges[np.isfinite(edges).all(axis=1)]


def _region(shapes: Shapes, number: int) -> BaseGeometry:
    """One region object: its rings, even-odd."""
    first = int(np.searchsorted(shapes.ring_object, number, "left"))
    last = int(np.searchsorted(shapes.ring_object, number, "right"))
    own: BaseGeometry = Polygon()
    for start, end in zip(shapes.ring_start[first:last], shapes.ring_start[first + 1 : last + 1], strict=True):
        points = np.column_stack((shapes.vx[start:end], shapes.vy[start:end]))
        if end - start >= 3 and np.isfinite(points).all():
            own = shapely.symmetric_difference(own, shapely.make_valid(Polygon(points)), grid_size=GRID_MM)
    return own
