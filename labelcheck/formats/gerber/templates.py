"""What one flash of an aperture draws, about the aperture's origin."""

from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from labelcheck.formats.gerber.arcs import circle_ring

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
        for x0, y0, x1, y1, width in self.bars:
            points += [circle_ring(x0, y0, width), circle_ring(x1, y1, width)]
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


def without(outer: Template, hole: Floats) -> Template:
    """An aperture with a hole cut out; the hole shows what lies beneath (clause 4.4.6)."""
    shapes = [polygon_of(ring) for ring in outer.rings]
    for x0, y0, x1, y1, width in outer.bars:
        ends = np.concatenate((circle_ring(x0, y0, width), circle_ring(x1, y1, width)))
        shapes.append(shapely.convex_hull(shapely.multipoints(ends)))
    return Template(rings=rings_of(shapely.difference(shapely.union_all(shapes), polygon_of(hole))))
