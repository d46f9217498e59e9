"""What one flash of an aperture draws, about the aperture's origin."""

from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from labelcheck.formats.gerber.arcs import KEEPS_AREA, Arcs, chords, circle_ring

Floats = NDArray[np.float64]
Bar = tuple[float, float, float, float, float]
"""x0, y0, x1, y1, width."""


@dataclass(frozen=True, slots=True, eq=False)
class Template:
    """Bars and rings (k, 2), as in `Shapes`: the union of bars and of even-odd rings."""

    bars: tuple[Bar, ...] = ()
    rings: tuple[Floats, ...] = field(default=())

    def hull(self) -> Floats:
        """Convex hull as (k, 2), counter-clockwise; one point where there is no extent."""
        points = [np.zeros((0, 2)), *self.rings]
        points += [bar_ring(bar) for bar in self.bars]
        hull = shapely.convex_hull(shapely.multipoints(np.concatenate(points)))
        if hull.geom_type != "Polygon":
            corners = shapely.get_coordinates(hull)[:2]
            return corners if len(corners) else np.zeros((1, 2))
        corners = shapely.get_coordinates(hull)[:-1]
        return corners if shapely.is_ccw(shapely.get_exterior_ring(hull)) else corners[::-1]


def rings_of(shape: BaseGeometry) -> tuple[Floats, ...]:
    """Outlines and holes of all polygons in a shape."""
    polygons = [part for part in shapely.get_parts(shape, return_index=False) if part.geom_type == "Polygon"]
    rings = shapely.get_rings(polygons) if polygons else []
    return tuple(shapely.get_coordinates(ring)[:-1] for ring in rings)


def polygon_of(ring: Floats) -> BaseGeometry:
    """A valid shape from a ring; one that crosses itself is filled even-odd."""
    if len(ring) < 3:
        return shapely.Polygon()
    polygon = shapely.polygons(ring)
    return polygon if shapely.is_valid(polygon) else shapely.make_valid(polygon)


def bar_ring(bar: Bar) -> Floats:
    """Outline of a round-ended bar; its sides are exact, its ends as good as any arc."""
    x0, y0, x1, y1, width = bar
    length = float(np.hypot(x1 - x0, y1 - y0))
    if length == 0:
        return circle_ring(x0, y0, width)
    aside = np.array([y0 - y1, x1 - x0]) / length * abs(width) / 2
    start, end = np.array([x0, y0]), np.array([x1, y1])
    tips = np.array([end - aside, end + aside, start + aside, start - aside])
    (ax, ay), (bx, by) = tips[[0, 2]].T, tips[[1, 3]].T
    ends = Arcs(ax, ay, bx, by, np.array([x1, x0]), np.array([y1, y0]), np.array([np.pi, np.pi]))
    counts, x, y = chords(ends, KEEPS_AREA)
    first, second = np.split(np.column_stack((x, y)), counts[:1])
    return np.concatenate((tips[:1], first, tips[2:3], second))


def without(outer: Template, hole: Floats) -> Template:
    """An aperture with a hole cut out; the hole shows what lies beneath (clause 4.4.6)."""
    shapes = [polygon_of(ring) for ring in (*outer.rings, *(bar_ring(bar) for bar in outer.bars))]
    return Template(rings=rings_of(shapely.difference(shapely.union_all(shapes), polygon_of(hole))))
