"""Aperture definitions: text -> template (clauses 4.3-4.5)."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from labelcheck.formats.gerber.arcs import circle_ring
from labelcheck.formats.gerber.artwork import Aperture
from labelcheck.formats.gerber.bounds import MOST_CORNERS
from labelcheck.formats.gerber.templates import Floats, Template, without

_DEFINITION = re.compile(r"D?\s*0*(\d{1,9})(?!\d)\s*([^,\s]+)\s*(?:,(.*))?", re.IGNORECASE | re.DOTALL)
_NUMBER = re.compile(r"[-+]?(?:\d{1,18}\.?\d{0,18}|\.\d{1,18})")
_LENGTHS: Mapping[str, tuple[bool, ...]] = {
    "C": (True, True, True),
    "R": (True, True, True, True),
    "O": (True, True, True, True),
    "P": (True, False, False, True, True),
}
"""For the standard templates: which parameters are lengths."""
_NEEDED: Mapping[str, int] = {"C": 1, "R": 2, "O": 2, "P": 2}


@dataclass(frozen=True, slots=True)
class Definition:
    """One AD command as written."""

    code: int
    template: str
    numbers: tuple[float, ...]


def parse_definition(text: str) -> Definition | None:
    """Read what follows AD, such as `D10C,0.1X0.05`; None where it is no definition."""
    found = _DEFINITION.fullmatch(text)
    if found is None:
        return None
    code, template, parameters = found.groups()
    numbers: list[float] = []
    for part in re.split("[Xx]", parameters or ""):
        part = part.strip()
        if not part:
            continue
        if _NUMBER.fullmatch(part) is None:
            return None
        numbers.append(float(part))
    return Definition(int(code), template, tuple(numbers))


def is_standard(template: str) -> bool:
    """Whether a template is one of C, R, O, P."""
    return template in _LENGTHS


def enough_parameters(definition: Definition) -> bool:
    """Whether a standard template has the parameters it cannot do without; a macro needs none."""
    return len(definition.numbers) >= _NEEDED.get(definition.template, 0)


def in_millimetres(definition: Definition, unit_mm: float) -> tuple[float, ...]:
    """Parameters of a standard template: lengths converted, counts and angles untouched."""
    lengths = _LENGTHS[definition.template]
    return tuple(
        number * unit_mm if is_length else number
        for number, is_length in zip(definition.numbers, lengths, strict=False)
    )


def standard_template(aperture: Aperture) -> Template | None:
    """Template of C, R, O or P; None where a polygon has no possible number of corners."""
    numbers = aperture.parameters
    if aperture.template == "C":
        outer, hole = Template(((0, 0, 0, 0, abs(numbers[0])),)), numbers[1:]
    elif aperture.template == "R":
        outer, hole = Template(rings=(_centred(numbers[0], numbers[1]),)), numbers[2:]
    elif aperture.template == "O":
        outer, hole = _obround(abs(numbers[0]), abs(numbers[1])), numbers[2:]
    else:
        corners = round(numbers[1])
        if not 3 <= corners <= MOST_CORNERS:
            return None
        turn = np.radians(numbers[2]) if len(numbers) > 2 else 0.0
        angle = turn + np.arange(corners) * (2 * np.pi / corners)
        radius = abs(numbers[0]) / 2
        outer = Template(rings=(np.column_stack((radius * np.cos(angle), radius * np.sin(angle))),))
        hole = numbers[3:]
    if not hole or hole[0] == 0:
        return outer
    # One hole parameter makes it round; a second one, deprecated, makes it a rectangle in old files.
    is_round = len(hole) == 1 or hole[1] == 0
    return without(outer, circle_ring(0, 0, hole[0]) if is_round else _centred(hole[0], hole[1]))


def pen_of(template: str, parameters: tuple[float, ...]) -> float | None:
    """Diameter of the round pen that an aperture is, or None; a hole does not show in strokes."""
    if template == "C" or (template == "O" and parameters[0] == parameters[1]):
        return abs(parameters[0])
    return None


def _centred(width: float, height: float) -> Floats:
    x, y = abs(width) / 2, abs(height) / 2
    return np.array([[-x, -y], [x, -y], [x, y], [-x, y]])


def _obround(width: float, height: float) -> Template:
    if width >= height:
        reach = (width - height) / 2
        return Template(((-reach, 0, reach, 0, height),))
    reach = (height - width) / 2
    return Template(((0, -reach, 0, reach, width),))
