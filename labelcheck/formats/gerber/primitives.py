"""The shapes that aperture macros are made of (clause 4.5.1; 2, 22 and 6 are deprecated, chapter 8)."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from labelcheck.formats.gerber.arcs import circle_ring
from labelcheck.formats.gerber.bounds import MOST_CORNERS, MOST_RINGS
from labelcheck.formats.gerber.expressions import WrongExpression
from labelcheck.formats.gerber.templates import Bar, polygon_of

OFF, ON, TOGGLE = 0, 1, 2
"""Exposures; toggling is found in old files only."""
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One primitive worked out, millimetres: a disc, one ring, or an area of several rings."""

    exposure: int
    disc: tuple[float, float, float] | None = None
    """x, y, diameter."""
    ring: Sequence[Point] | None = None
    area: BaseGeometry | None = None
    axis: Bar | None = None
    """Of a vector line, besides its ring."""

    def shape(self) -> BaseGeometry:
        """As a polygon."""
        if self.area is not None:
            return self.area
        if self.disc is not None:
            return polygon_of(circle_ring(*self.disc))
        return polygon_of(np.array(self.ring))


def _exposure(value: float) -> int:
    return min(abs(round(value)), TOGGLE)


def _placed(points: Sequence[Point], degrees: float, unit: float) -> list[Point]:
    """Turned about the macro's origin, counter-clockwise, and in millimetres."""
    if degrees == 0:
        return [(x * unit, y * unit) for x, y in points]
    cos, sin = math.cos(math.radians(degrees)) * unit, math.sin(math.radians(degrees)) * unit
    return [(x * cos - y * sin, x * sin + y * cos) for x, y in points]


def _box(x0: float, y0: float, x1: float, y1: float) -> list[Point]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _centred_box(x: float, y: float, width: float, height: float) -> list[Point]:
    return _box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _area(points: Sequence[Point]) -> BaseGeometry:
    return polygon_of(np.array(points))


def _circle(values: list[float], unit: float) -> Part:
    exposure, diameter, x, y, degrees, *_ = values
    ((x, y),) = _placed([(x, y)], degrees, unit)
    return Part(_exposure(exposure), disc=(x, y, abs(diameter) * unit))


def _vector_line(values: list[float], unit: float) -> Part:
    exposure, width, x0, y0, x1, y1, degrees, *_ = values
    length = math.hypot(x1 - x0, y1 - y0)
    half = width / 2 / length if length > 0 else 0.0
    dx, dy = (y0 - y1) * half, (x1 - x0) * half
    corners = [(x0 - dx, y0 - dy), (x1 - dx, y1 - dy), (x1 + dx, y1 + dy), (x0 + dx, y0 + dy)]
    *ring, start, end = _placed([*corners, (x0, y0), (x1, y1)], degrees, unit)
    return Part(_exposure(exposure), ring=ring, axis=(*start, *end, abs(width) * unit))


def _center_line(values: list[float], unit: float) -> Part:
    exposure, width, height, x, y, degrees, *_ = values
    return Part(_exposure(exposure), ring=_placed(_centred_box(x, y, width, height), degrees, unit))


def _lower_left_line(values: list[float], unit: float) -> Part:
    exposure, width, height, x, y, degrees, *_ = values
    return Part(_exposure(exposure), ring=_placed(_box(x, y, x + width, y + height), degrees, unit))


def _outline(values: list[float], unit: float) -> Part:
    exposure, count, *rest = values
    points = round(count) + 1
    # One value more than written always stands at the end: the rotation, where it is left out.
    if points < 2 or len(rest) <= 2 * points:
        raise WrongExpression(f"an outline of {count:g} sides has {(len(rest) - 1) // 2} points")
    corners = list(zip(rest[0 : 2 * points : 2], rest[1 : 2 * points : 2], strict=True))
    if corners[0] == corners[-1]:
        corners.pop()
    return Part(_exposure(exposure), ring=_placed(corners, rest[2 * points], unit))


def _polygon(values: list[float], unit: float) -> Part:
    exposure, count, x, y, diameter, degrees, *_ = values
    whole = round(count)
    if not 3 <= whole <= MOST_CORNERS:
        raise WrongExpression(f"a polygon has {count:g} corners")
    # The first corner lies to the right of the centre.
    turns = [math.tau * corner / whole for corner in range(whole)]
    corners = [(x + diameter / 2 * math.cos(turn), y + diameter / 2 * math.sin(turn)) for turn in turns]
    return Part(_exposure(exposure), ring=_placed(corners, degrees, unit))


def _moire(values: list[float], unit: float) -> Part:
    x, y, diameter, thickness, gap, count, cross_width, cross_length, degrees, *_ = values
    ((centre_x, centre_y),) = _placed([(x, y)], degrees, unit)
    shapes: list[BaseGeometry] = []
    for _ in range(min(max(round(count), 0), MOST_RINGS)):
        if diameter <= 0:
            break
        ring = polygon_of(circle_ring(centre_x, centre_y, diameter * unit))
        inner = diameter - 2 * thickness
        if inner > 0:
            ring = shapely.difference(ring, polygon_of(circle_ring(centre_x, centre_y, inner * unit)))
        shapes.append(ring)
        diameter = inner - 2 * gap
    for width, height in ((cross_length, cross_width), (cross_width, cross_length)):
        shapes.append(_area(_placed(_centred_box(x, y, width, height), degrees, unit)))
    return Part(ON, area=shapely.union_all(shapes))


def _thermal(values: list[float], unit: float) -> Part:
    x, y, outer, inner, gap, degrees, *_ = values
    ((centre_x, centre_y),) = _placed([(x, y)], degrees, unit)
    cuts = [polygon_of(circle_ring(centre_x, centre_y, inner * unit))] if inner > 0 else []
    for width, height in ((2 * abs(outer), gap), (gap, 2 * abs(outer))):
        cuts.append(_area(_placed(_centred_box(x, y, width, height), degrees, unit)))
    disc = polygon_of(circle_ring(centre_x, centre_y, outer * unit))
    return Part(ON, area=shapely.difference(disc, shapely.union_all(cuts)))


PRIMITIVES: dict[int, tuple[int, Callable[[list[float], float], Part]]] = {
    1: (4, _circle),
    2: (6, _vector_line),
    20: (6, _vector_line),
    21: (5, _center_line),
    22: (5, _lower_left_line),
    4: (6, _outline),
    5: (5, _polygon),
    6: (8, _moire),
    7: (5, _thermal),
}
"""Code -> fewest modifiers (rotation may be left out) and what draws it from modifiers and one 0 more."""
