"""Aperture macros: primitives with expressions -> the template of an aperture (clause 4.5, old ones in chapter 8)."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from labelcheck.formats.gerber.arcs import circle_ring
from labelcheck.formats.gerber.bounds import MOST_CORNERS, MOST_RINGS
from labelcheck.formats.gerber.expressions import Expression, WrongExpression, compile_expression, work_out
from labelcheck.formats.gerber.templates import Bar, Template, polygon_of, rings_of

Floats = NDArray[np.float64]

_ASSIGNMENT = re.compile(r"\$\s*(\d{1,9})\s*=(.*)", re.DOTALL)
_OFF, _ON, _TOGGLE = 0, 1, 2


class WrongMacro(Exception):
    """A macro that cannot be worked out; `at` is the byte offset of the statement."""

    def __init__(self, at: int, reason: str) -> None:
        super().__init__(reason)
        self.at = at


@dataclass(frozen=True, slots=True)
class Assignment:
    """`$n=…`"""

    at: int
    number: int
    value: Expression


@dataclass(frozen=True, slots=True)
class Primitive:
    """One shape: its code and its modifiers."""

    at: int
    code: int
    modifiers: tuple[Expression, ...]


Macro = tuple[Assignment | Primitive, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """One primitive worked out: a disc, one ring, or an area of several rings."""

    exposure: int
    disc: tuple[float, float, float] | None = None
    ring: Floats | None = None
    area: BaseGeometry | None = None
    axis: Bar | None = None
    """Of a vector line, besides its ring."""

    def shape(self) -> BaseGeometry:
        if self.area is not None:
            return self.area
        if self.disc is not None:
            return polygon_of(circle_ring(*self.disc))
        return polygon_of(self.ring) if self.ring is not None else shapely.Polygon()


def compile_macro(body: Sequence[tuple[int, str]]) -> Macro:
    """Read the statements of a macro definition; raises `WrongMacro`."""
    steps: list[Assignment | Primitive] = []
    for at, text in body:
        if text[0] == "0" and (len(text) == 1 or not text[1].isdigit()):
            continue  # a comment
        try:
            assigned = _ASSIGNMENT.match(text)
            if assigned is not None:
                steps.append(Assignment(at, int(assigned.group(1)), compile_expression(assigned.group(2))))
                continue
            code, *modifiers = text.rstrip(", ").split(",")
            if not code.strip().isascii() or not code.strip().isdigit():
                raise WrongExpression(f"'{code[:12]}' is no primitive")
            steps.append(Primitive(at, int(code), tuple(compile_expression(part) for part in modifiers)))
        except WrongExpression as wrong:
            raise WrongMacro(at, str(wrong)) from wrong
    return tuple(steps)


def work_out_macro(
    macro: Macro, arguments: Sequence[float], unit_mm: float
) -> tuple[Template, list[tuple[int, str]]]:
    """Template of an aperture made of `macro`, millimetres, and what was passed over as (offset, reason)."""
    variables = {number: value for number, value in enumerate(arguments, start=1)}
    parts: list[_Part] = []
    passed_over: list[tuple[int, str]] = []
    for step in macro:
        try:
            if isinstance(step, Assignment):
                variables[step.number] = work_out(step.value, variables)
                continue
            values = [work_out(modifier, variables) for modifier in step.modifiers]
        except WrongExpression as wrong:
            raise WrongMacro(step.at, str(wrong)) from wrong
        known = _PRIMITIVES.get(step.code)
        if known is None:
            passed_over.append((step.at, f"primitive {step.code} is not known"))
            continue
        needed, draw = known
        if len(values) < needed:
            raise WrongMacro(step.at, f"primitive {step.code} has {len(values)} values, {needed} are needed")
        try:
            parts.append(draw([*values, 0.0], unit_mm))
        except WrongExpression as wrong:
            raise WrongMacro(step.at, str(wrong)) from wrong
    return compose(parts), passed_over


def compose(parts: Sequence[_Part]) -> Template:
    """Lay primitives over one another; exposure off cuts only what the macro drew before (clause 4.5.2)."""
    if all(part.exposure == _ON for part in parts):
        bars, flat = _bars_and_others(parts)
        if len(flat) == 1 and flat[0].ring is not None:
            return Template(bars, (flat[0].ring,))
        return Template(bars, rings_of(shapely.union_all([part.shape() for part in flat])))
    image: BaseGeometry = shapely.Polygon()
    waiting: list[BaseGeometry] = []
    for part in parts:
        if part.exposure == _ON:
            waiting.append(part.shape())
            continue
        image, waiting = shapely.union_all([image, *waiting]), []
        cut = shapely.difference if part.exposure == _OFF else shapely.symmetric_difference
        image = cut(image, part.shape())
    return Template(rings=rings_of(shapely.union_all([image, *waiting])))


def _bars_and_others(parts: Sequence[_Part]) -> tuple[tuple[Bar, ...], list[_Part]]:
    """Discs and lines with a disc as wide on both ends are round-ended bars; the other parts stay polygons."""
    discs = [part.disc for part in parts if part.disc is not None]
    ends = {(_near(x), _near(y), _near(diameter)) for x, y, diameter in discs}
    bars: list[Bar] = []
    others: list[_Part] = []
    covered: set[tuple[int, int, int]] = set()
    for part in parts:
        if part.axis is not None:
            x0, y0, x1, y1, width = part.axis
            caps = {(_near(x0), _near(y0), _near(width)), (_near(x1), _near(y1), _near(width))}
            if caps <= ends:
                bars.append(part.axis)
                covered |= caps
                continue
        if part.disc is None:
            others.append(part)
    bars += [(x, y, x, y, d) for x, y, d in discs if (_near(x), _near(y), _near(d)) not in covered]
    return tuple(bars), others


def _near(length_mm: float) -> int:
    """A length in whole nanometres."""
    return round(length_mm * 1e6)


def _exposure(value: float) -> int:
    return min(abs(round(value)), _TOGGLE)


def _turned(points: Floats, degrees: float) -> Floats:
    """Turn about the macro's origin, counter-clockwise."""
    if degrees == 0:
        return points
    angle = np.radians(degrees)
    x, y = points[:, 0], points[:, 1]
    return np.column_stack((x * np.cos(angle) - y * np.sin(angle), x * np.sin(angle) + y * np.cos(angle)))


def _box(x0: float, y0: float, x1: float, y1: float) -> Floats:
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def _corners(count: float, x: float, y: float, diameter: float) -> Floats:
    """Regular polygon; the first corner lies to the right of its centre."""
    whole = round(count)
    if not 3 <= whole <= MOST_CORNERS:
        raise WrongExpression(f"a polygon has {count:g} corners")
    angle = np.arange(whole) * (2 * np.pi / whole)
    return np.column_stack((x + diameter / 2 * np.cos(angle), y + diameter / 2 * np.sin(angle)))


def _circle(values: list[float], unit: float) -> _Part:
    exposure, diameter, x, y, degrees, *_ = [*values, 0.0]
    (centre,) = _turned(np.array([[x * unit, y * unit]]), degrees)
    return _Part(_exposure(exposure), disc=(float(centre[0]), float(centre[1]), abs(diameter) * unit))


def _vector_line(values: list[float], unit: float) -> _Part:
    exposure, width, x0, y0, x1, y1, degrees, *_ = values
    length = float(np.hypot(x1 - x0, y1 - y0))
    across = np.array([y0 - y1, x1 - x0]) / length * width / 2 if length > 0 else np.array([0.0, width / 2])
    start, end = np.array([x0, y0]), np.array([x1, y1])
    ring = _turned(np.array([start - across, end - across, end + across, start + across, start, end]), degrees) * unit
    (ax, ay), (bx, by) = ring[4:].tolist()
    return _Part(_exposure(exposure), ring=ring[:4], axis=(ax, ay, bx, by, abs(width) * unit))


def _center_line(values: list[float], unit: float) -> _Part:
    exposure, width, height, x, y, degrees, *_ = values
    ring = _box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
    return _Part(_exposure(exposure), ring=_turned(ring, degrees) * unit)


def _lower_left_line(values: list[float], unit: float) -> _Part:
    exposure, width, height, x, y, degrees, *_ = values
    return _Part(_exposure(exposure), ring=_turned(_box(x, y, x + width, y + height), degrees) * unit)


def _outline(values: list[float], unit: float) -> _Part:
    exposure, count, *rest = values[:-1]
    points = round(count) + 1
    if points < 2 or len(rest) < 2 * points:
        raise WrongExpression(f"an outline of {count:g} sides has {len(rest) // 2} points")
    degrees = rest[2 * points] if len(rest) > 2 * points else 0.0
    ring = np.array(rest[: 2 * points]).reshape(-1, 2)
    ring = ring[:-1] if (ring[0] == ring[-1]).all() else ring
    return _Part(_exposure(exposure), ring=_turned(ring, degrees) * unit)


def _polygon(values: list[float], unit: float) -> _Part:
    exposure, count, x, y, diameter, degrees, *_ = values
    return _Part(_exposure(exposure), ring=_turned(_corners(count, x, y, diameter), degrees) * unit)


def _moire(values: list[float], unit: float) -> _Part:
    x, y, diameter, thickness, gap, count, cross_width, cross_length, degrees, *_ = values
    shapes: list[BaseGeometry] = []
    (centre,) = _turned(np.array([[x, y]]), degrees) * unit
    rings = min(max(round(count), 0), MOST_RINGS)
    for _ in range(rings):
        if diameter <= 0:
            break
        ring = polygon_of(circle_ring(centre[0], centre[1], diameter * unit))
        inner = diameter - 2 * thickness
        if inner > 0:
            ring = shapely.difference(ring, polygon_of(circle_ring(centre[0], centre[1], inner * unit)))
        shapes.append(ring)
        diameter = inner - 2 * gap
        if thickness + gap <= 0:
            break
    for width, height in ((cross_length, cross_width), (cross_width, cross_length)):
        box = _box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
        shapes.append(polygon_of(_turned(box, degrees) * unit))
    return _Part(_ON, area=shapely.union_all(shapes))


def _thermal(values: list[float], unit: float) -> _Part:
    x, y, outer, inner, gap, degrees, *_ = values
    (centre,) = _turned(np.array([[x, y]]), degrees) * unit
    shape = polygon_of(circle_ring(centre[0], centre[1], outer * unit))
    cuts = [polygon_of(circle_ring(centre[0], centre[1], inner * unit))] if inner > 0 else []
    half, reach = gap / 2, abs(outer)
    for box in (_box(x - reach, y - half, x + reach, y + half), _box(x - half, y - reach, x + half, y + reach)):
        cuts.append(polygon_of(_turned(box, degrees) * unit))
    return _Part(_ON, area=shapely.difference(shape, shapely.union_all(cuts)))


_PRIMITIVES: dict[int, tuple[int, Callable[[list[float], float], _Part]]] = {
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
"""Code -> fewest modifiers (rotation may be missing) and what draws it."""
