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
    lone = _lone_discs(shapes)
    circles = np.column_stack((shapes.x0[lone], shapes.y0[lone], shapes.width[lone] / 2))
    alone = np.zeros(len(shapes), dtype=np.bool_)
    if shapes.dark.all() and lone.any():
        discs = shapely.buffer(shapely.points(circles[:, :2]), circles[:, 2])
        rest = ~np.isin(np.arange(len(shapes)), shapes.bar_object[lone])
        others = np.array(_parts(shapes.take(rest)), dtype=object)
        circles, kept = _untouched(circles, discs, others)
        alone[shapes.bar_object[lone][kept]] = True
    else:
        circles = circles[:0]
    covered = _covered(shapes.take(~alone))
    return Edges(circles, tuple(_rings(covered)))


def _lone_discs(shapes: Shapes) -> Flags:
    """The bars (b,) that are all of their object, and round."""
    counts = np.bincount(shapes.bar_object, minlength=len(shapes))
    counts += np.bincount(shapes.ring_object, minlength=len(shapes))
    round_ = (shapes.x0 == shapes.x1) & (shapes.y0 == shapes.y1) & (shapes.width > 0)
    return round_ & (counts[shapes.bar_object] == 1)


def _untouched(circles: Floats, discs: np.ndarray, others: np.ndarray) -> tuple[Floats, Flags]:
    """The circles that meet nothing else, and which (n,) they are."""
    tree = shapely.STRtree(np.concatenate((discs, others)))
    one, other = tree.query(discs, predicate="intersects")
    met = np.zeros(len(discs), dtype=np.bool_)
    met[one[one != other]] = True
    return circles[~met], ~met


def _covered(shapes: Shapes) -> shapely.Geometry:
    """The covered area, dark objects added and clear ones removed in drawing order."""
    covered: shapely.Geometry = shapely.Polygon()
    turns = np.flatnonzero(np.diff(shapes.dark)) + 1
    for run in np.split(np.arange(len(shapes)), turns):
        if len(run) == 0:
            continue
        drawn = shapely.union_all(_parts(shapes.take(run)))
        combine = shapely.union if shapes.dark[run[0]] else shapely.difference
        covered = combine(covered, drawn)
    return shapely.simplify(covered, _SMOOTHING_MM)


def _parts(shapes: Shapes) -> list[shapely.Geometry]:
    """Every bar and every filled object as an area."""
    inked = np.flatnonzero(shapes.width > 0)
    ends = np.stack((shapes.x0, shapes.y0, shapes.x1, shapes.y1), axis=1)[inked].reshape(-1, 2, 2)
    # A line without length has no buffer everywhere: a nanometre gives it one.
    ends[(ends[:, 0] == ends[:, 1]).all(axis=1), 1, 0] += 1e-6
    steps = _ROUND_STEPS if len(inked) <= _MANY_BARS else _COARSE_STEPS
    bars = shapely.buffer(shapely.linestrings(ends), shapes.width[inked] / 2, quad_segs=steps)
    return [*bars, *_filled(shapes)]


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


def _rings(covered: shapely.Geometry) -> Iterator[Floats]:
    parts = shapely.get_parts(shapely.get_parts(covered))
    for ring in shapely.get_rings(parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]):
        yield shapely.get_coordinates(ring)[:-1]
