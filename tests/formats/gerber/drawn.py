"""Read small artworks and turn what was drawn into exact geometry, painted in drawing order."""

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.trade.shapes import Shapes

MM = "%FSLAX46Y46*%\n%MOMM*%\n"
"""Format 4.6, millimetres: X1000000 is 1 mm."""


def read(text: str, head: str = MM, end: str = "M02*\n") -> Artwork:
    """Read an artwork written as text, with a format before it and the end-of-file command behind it."""
    return read_artwork("top.gbr", (head + text + end).encode())


def messages(artwork: Artwork) -> list[str]:
    """Its remarks as a person sees them."""
    return [str(remark) for remark in artwork.remarks]


def picture(shapes: Shapes) -> BaseGeometry:
    """The ink that is left when all objects are painted in order; round ends with 256 corners a turn."""
    ink: BaseGeometry = Polygon()
    for number in range(len(shapes)):
        shape = object_shape(shapes, number)
        ink = ink.union(shape) if shapes.dark[number] else ink.difference(shape)
    return ink


def object_shape(shapes: Shapes, number: int) -> BaseGeometry:
    """One object: the union of its bars, and of its rings even-odd."""
    parts: list[BaseGeometry] = []
    for bar in np.flatnonzero(shapes.bar_object == number):
        ends = [(shapes.x0[bar], shapes.y0[bar]), (shapes.x1[bar], shapes.y1[bar])]
        axis = Point(ends[0]) if ends[0] == ends[1] else LineString(ends)
        parts.append(axis.buffer(shapes.width[bar] / 2, quad_segs=64))
    filled: BaseGeometry = Polygon()
    for ring in np.flatnonzero(shapes.ring_object == number):
        span = slice(shapes.ring_start[ring], shapes.ring_start[ring + 1])
        corners = np.column_stack((shapes.vx[span], shapes.vy[span]))
        # Some versions give what has no area, a line drawn there and back, as a line beside the areas.
        valid = shapely.get_parts(shapely.make_valid(Polygon(corners)))
        filled = filled.symmetric_difference(shapely.union_all(valid[shapely.area(valid) > 0]))
    return shapely.union_all([*parts, filled])


def ink(text: str, head: str = MM) -> BaseGeometry:
    """What an artwork written as text draws."""
    return picture(read(text, head).shapes)


def holds(shape: BaseGeometry, x: float, y: float) -> bool:
    """Whether there is ink at a point."""
    return bool(shape.contains(Point(x, y)))
