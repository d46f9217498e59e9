"""The edges of what a layer covers: circles where discs stand alone, closed lines elsewhere."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from labelcheck.trade.shapes import Flags, Floats, Shapes

_ROUND_STEPS = 12
"""Sides of a quarter of a round end: 0.2 % of its radius short of round, less than a printer shows."""
_MANY_BARS, _COARSE_STEPS = 20_000, 3
"""A layer painted line by line is not worth fine ends."""
_SMOOTHING_MM = 0.004
"""How far a vertex may be moved to save it."""


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """What to draw around the covered area; millimetres."""

    circles: Floats
    """(n, 3): x, y, radius."""
    rings: tuple[Floats, ...]
    """Each (k, 2), without a repeated vertex: outer edges and the edges of what is left open inside."""


def edges_of(shapes: Shapes) -> Edges:
    """The edges of what dark objects cover and later clear ones do not take away again."""
    if not shapes.dark.all():
        return Edges(np.zeros((0, 3)), tuple(_rings(np.array([_covered(shapes)]))))
    # What meets nothing else needs no union, and a disc among it stays round.
    parts, discs = _parts(shapes)
    one, other = shapely.STRtree(parts).query(parts, predicate="intersects")
    met = np.zeros(len(parts), dtype=np.bool_)
    met[one[one != other]] = True
    alone = ~met
    alone[: len(discs)] &= ~_is_round(discs)
    joined = [shapely.union_all(parts[met])] if met.any() else []
    circles = discs[_is_round(discs) & ~met[: len(discs)], :3]
    return Edges(circles, tuple(_rings(np.array([*parts[alone], *joined], dtype=object))))


def _is_round(discs: Floats) -> Flags:
    return np.asarray(discs[:, 3] == 0)


def _covered(shapes: Shapes) -> shapely.Geometry:
    """The covered area, dark objects added and clear ones removed in drawing order."""
    covered: shapely.Geometry = shapely.Polygon()
    turns = np.flatnonzero(np.diff(shapes.dark)) + 1
    for run in np.split(np.arange(len(shapes)), turns):
        if len(run) == 0:
            continue
        drawn = shapely.union_all(_parts(shapes.take(run))[0])
        combine = shapely.union if shapes.dark[run[0]] else shapely.difference
        covered = combine(covered, drawn)
    return covered


def _parts(shapes: Shapes) -> tuple[np.ndarray, Floats]:
    """Every bar and every filled object as an area; and of the bars, which come first, x, y, radius and length."""
    inked = np.flatnonzero(shapes.width > 0)
    ends = np.stack((shapes.x0, shapes.y0, shapes.x1, shapes.y1), axis=1)[inked].reshape(-1, 2, 2)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    discs = np.column_stack((ends[:, 0], shapes.width[inked] / 2, length))
    # A line without length has no buffer everywhere: a nanometre gives it one.
    ends[length == 0, 1, 0] += 1e-6
    steps = _ROUND_STEPS if len(inked) <= _MANY_BARS else _COARSE_STEPS
    bars = shapely.buffer(shapely.linestrings(ends), discs[:, 2], quad_segs=steps)
    return np.array([*bars, *_filled(shapes)], dtype=object), discs


def _filled(shapes: Shapes) -> Iterator[shapely.Geometry]:
    """The area of each object that has rings, even-odd among them."""
    points = np.column_stack((shapes.vx, shapes.vy))
    areas: dict[int, shapely.Geometry] = {}
    for number, owner in enumerate(shapes.ring_object.tolist()):
        ring = points[shapes.ring_start[number] : shapes.ring_start[number + 1]]
        if len(ring) < 3:
            continue
        area = shapely.make_valid(shapely.Polygon(ring))
        areas[owner] = area if owner not in areas else shapely.symmetric_difference(areas[owner], area)
    yield from areas.values()


def _rings(areas: np.ndarray) -> Iterator[Floats]:
    """Every ring of every area, without vertices that make no difference."""
    parts = shapely.get_parts(shapely.get_parts(areas))
    rings = shapely.get_rings(parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON])
    for ring in shapely.simplify(rings, _SMOOTHING_MM, preserve_topology=False):
        if len(points := shapely.get_coordinates(ring)[:-1]) > 2:
            yield points
