"""Aperture macros: statements with expressions -> the template of an aperture (clause 4.5)."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from labelcheck.formats.gerber.expressions import Expression, WrongExpression, compile_expression, work_out
from labelcheck.formats.gerber.primitives import OFF, ON, PRIMITIVES, Part
from labelcheck.formats.gerber.templates import Bar, Template, rings_of

_ASSIGNMENT = re.compile(r"\$\s*(\d{1,9})\s*=(.*)", re.DOTALL)


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
    parts: list[Part] = []
    passed_over: list[tuple[int, str]] = []
    for step in macro:
        try:
            if isinstance(step, Assignment):
                variables[step.number] = work_out(step.value, variables)
                continue
            values = [work_out(modifier, variables) for modifier in step.modifiers]
        except WrongExpression as wrong:
            raise WrongMacro(step.at, str(wrong)) from wrong
        known = PRIMITIVES.get(step.code)
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


def compose(parts: Sequence[Part]) -> Template:
    """Lay primitives over one another; exposure off cuts only what the macro drew before (clause 4.5.2)."""
    if all(part.exposure == ON for part in parts):
        bars, flat = _bars_and_others(parts)
        if len(flat) == 1 and flat[0].ring is not None:
            return Template(bars, (np.array(flat[0].ring),))
        return Template(bars, rings_of(shapely.union_all([part.shape() for part in flat])))
    image: BaseGeometry = shapely.Polygon()
    waiting: list[BaseGeometry] = []
    for part in parts:
        if part.exposure == ON:
            waiting.append(part.shape())
            continue
        image, waiting = shapely.union_all([image, *waiting]), []
        cut = shapely.difference if part.exposure == OFF else shapely.symmetric_difference
        image = cut(image, part.shape())
    return Template(rings=rings_of(shapely.union_all([image, *waiting])))


def _bars_and_others(parts: Sequence[Part]) -> tuple[tuple[Bar, ...], list[Part]]:
    """Discs and lines with a disc as wide on both ends are round-ended bars; the other parts stay polygons."""
    discs = [part.disc for part in parts if part.disc is not None]
    ends = {(_near(x), _near(y), _near(diameter)) for x, y, diameter in discs}
    bars: list[Bar] = []
    others: list[Part] = []
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
