"""The workshop's own stroke alphabet: single lines, proportions after ISO 3098 type B.

Each character is a few strokes on a grid: capitals and digits stand 9 units high along the middle of the
line, small letters 6, descenders reach 3 below. A stroke is a list of corners `x,y`; `x,y~r` rounds the
corner with radius r; a stroke of one corner is a dot. Strokes are parted by `|`.

Height means ink to ink, as ISO 3098-0 defines the nominal size h: a line of width d follows the middle, so
the grid's 9 units span h - d. For d = h/10 one unit is exactly d, as in the standard's table.
"""

import math
from dataclasses import dataclass
from functools import cache

Point = tuple[float, float]
Stroke = tuple[Point, ...]

CAPITAL_UNITS = 9.0
SPACE = 0.6
"""Clear space between words over height: ISO 3098-0, e = 6h/10."""
GAP = 0.2
"""Clear space between characters over height: ISO 3098-0, a = 2h/10."""
LINE_PITCH = 1.5
"""Base line to base line over height: ISO 3098-0, b2 = 15h/10."""
QUARTER_STEPS = 3
"""Straight pieces that a rounded quarter turn is drawn with."""

_BOWL_RIGHT = "0,2.2 0,0~2.1 4.4,0~2.2 4.4,6~2.2 0,6~2.1 0,3.8"
_BOWL_LEFT = "4.4,3.8 4.4,6~2.1 0,6~2.2 0,0~2.2 4.4,0~2.1 4.4,2.2"
_O = "2.8,9 5.6,9~2.8 5.6,0~2.8 0,0~2.8 0,9~2.8 2.8,9"

DRAWN = {
    "A": "0,0 2.7,9 5.4,0 | 0.78,2.6 4.62,2.6",
    "B": "0,0 0,9 4.5,9~2.15 4.5,4.7~2.15 0,4.7 | 2.3,4.7 5,4.7~2.35 5,0~2.35 0,0",
    "C": "5,6.8 5,9~2.2 0,9~2.5 0,0~2.5 5,0~2.2 5,2.2",
    "D": "0,0 0,9 5.2,9~3.2 5.2,0~3.2 0,0",
    "E": "4.6,9 0,9 0,0 4.6,0 | 0,4.7 3.8,4.7",
    "F": "4.6,9 0,9 0,0 | 0,4.7 3.8,4.7",
    "G": "5,7.1 5,9~1.9 0,9~2.5 0,0~2.5 5,0~2.2 5,4 2.8,4",
    "H": "0,0 0,9 | 5,0 5,9 | 0,4.7 5,4.7",
    "I": "0,0 0,9",
    "J": "3.8,9 3.8,0~2 0,0~1.8 0,2",
    "K": "0,0 0,9 | 4.8,9 0,3.6 | 1.6,5.4 5,0",
    "L": "0,9 0,0 4.5,0",
    "M": "0,0 0,9 3.1,3 6.2,9 6.2,0",
    "N": "0,0 0,9 5.2,0 5.2,9",
    "O": _O,
    "P": "0,0 0,9 5,9~2.4 5,4.2~2.4 0,4.2",
    "Q": _O + " | 3.4,2.3 5.9,-0.7",
    "R": "0,0 0,9 5,9~2.4 5,4.2~2.4 0,4.2 | 2.4,4.2 5.2,0",
    "S": "4.8,7.2 4.8,9~1.8 0.1,9~2.1 0.1,4.7~2.1 5,4.7~2.35 5,0~2.35 0,0~2.1 0,2.1",
    "T": "0,9 5.2,9 | 2.6,9 2.6,0",
    "U": "0,9 0,0~2.6 5.2,0~2.6 5.2,9",
    "V": "0,9 2.7,0 5.4,9",
    "W": "0,9 1.9,0 3.8,7.2 5.7,0 7.6,9",
    "X": "0,0 5.2,9 | 0,9 5.2,0",
    "Y": "0,9 2.7,4.3 5.4,9 | 2.7,4.3 2.7,0",
    "Z": "0,9 5,9 0,0 5,0",
    "a": "4.4,6 4.4,0 | " + _BOWL_LEFT,
    "b": "0,9 0,0 | " + _BOWL_RIGHT,
    "c": "4.1,4.6 4.1,6~1.5 0,6~2.1 0,0~2.1 4.1,0~1.5 4.1,1.4",
    "d": "4.4,9 4.4,0 | " + _BOWL_LEFT,
    "e": "0,3.1 4.4,3.1 4.4,6~2.2 0,6~2.2 0,0~2.2 3.9,0.2",
    "f": "3.6,9 1.2,9~1.9 1.2,0 | 0,6 3.2,6",
    "g": "4.4,6 4.4,-2.8~2.1 0.6,-2.8 | " + _BOWL_LEFT,
    "h": "0,9 0,0 | 0,3.6 0,6~2.2 4.3,6~2.1 4.3,0",
    "i": "0,6 0,0 | 0,8.8",
    "j": "1.7,6 1.7,-2.8~1.6 0,-2.8 | 1.7,8.8",
    "k": "0,9 0,0 | 4,6 0,2.2 | 1.4,3.53 4.2,0",
    "l": "0,9 0,0~1.5 1.8,0",
    "m": "0,6 0,0 | 0,3.8 0,6~2 3.5,6~1.7 3.5,0 | 3.5,3.8 3.5,6~2 7,6~1.7 7,0",
    "n": "0,6 0,0 | 0,3.6 0,6~2.2 4.3,6~2.1 4.3,0",
    "o": "2.2,6 4.4,6~2.2 4.4,0~2.2 0,0~2.2 0,6~2.2 2.2,6",
    "p": "0,6 0,-2.8 | " + _BOWL_RIGHT,
    "q": "4.4,6 4.4,-2.8 | " + _BOWL_LEFT,
    "r": "0,6 0,0 | 0,3.4 0,6~2.3 3,6",
    "s": "3.9,5.9 0.1,6~1.5 0.1,3.1~1.4 4.2,3.1~1.55 4.2,0~1.55 0,0.1",
    "t": "1.3,8.4 1.3,0~1.8 3.5,0 | 0,6 3.3,6",
    "u": "0,6 0,0~2.1 4.3,0~2.2 4.3,2.4 | 4.3,6 4.3,0",
    "v": "0,6 2.3,0 4.6,6",
    "w": "0,6 1.7,0 3.4,5 5.1,0 6.8,6",
    "x": "0,0 4.4,6 | 0,6 4.4,0",
    "y": "0,6 2.3,0 | 4.6,6 1.23,-2.8",
    "z": "0,6 4.3,6 0,0 4.3,0",
    "0": "2.3,9 4.6,9~2.3 4.6,0~2.3 0,0~2.3 0,9~2.3 2.3,9",
    "1": "0,7.2 2.1,9 2.1,0",
    "2": "0,6.8 0,9~2.2 4.7,9~2.35 4.7,5.2~1.8 0,0 4.9,0",
    "3": "0.1,7.2 0.1,9~1.8 4.6,9~2.15 4.6,4.8~2.05 1.9,4.8 | 2.5,4.8 4.9,4.8~2.4 4.9,0~2.4 0,0~2.1 0,2.1",
    "4": "3.8,0 3.8,9 0,2.6 5.2,2.6",
    "5": "4.5,9 0.4,9 0.1,5.2 4.9,5.5~2.6 4.9,0~2.6 0,0~2.2 0,1.9",
    "6": "4,9 0,6.4~4 0,0~2.4 4.8,0~2.4 4.8,5.3~2.4 0,5.3~2.4 0,2.6",
    "7": "0,9 4.8,9 1.5,0",
    "8": "2.4,4.8 0.3,4.8~2.1 0.3,9~2.1 4.5,9~2.1 4.5,4.8~2.1 2.4,4.8"
    " 0,4.8~2.4 0,0~2.4 4.8,0~2.4 4.8,4.8~2.4 2.4,4.8",
    "9": "0.8,0 4.8,2.6~4 4.8,9~2.4 0,9~2.4 0,3.7~2.4 4.8,3.7~2.4 4.8,6.4",
    "+": "0,4.5 5,4.5 | 2.5,2 2.5,7",
    "-": "0,4.5 4,4.5",
    "/": "0,0 4.2,9",
    ".": "0,0",
    ",": "0.7,0.4 0,-1.6",
    ":": "0,1.2 | 0,5.2",
    "_": "0,-1 5.5,-1",
    "(": "1.8,10 0,7.4~4 0,1.6~4 1.8,-1",
    ")": "0,10 1.8,7.4~4 1.8,1.6~4 0,-1",
    "#": "1.4,0 2.6,9 | 4.9,0 6.1,9 | 0.4,6.2 7.5,6.2 | 0,2.8 7.1,2.8",
    "&": "5.8,0 0.7,6.3~1.8 0.7,9~1.6 4,9~1.6 4,6~1.6 0,3.9~1.9 0,0~2 4.4,0~3 5.8,4",
    "%": "1.5,9 3,9~1.5 3,6~1.5 0,6~1.5 0,9~1.5 1.5,9 | 6.9,3 8.4,3~1.5 8.4,0~1.5 5.4,0~1.5 5.4,3~1.5 6.9,3"
    " | 1.8,0 6.6,9",
    "=": "0,3 5,3 | 0,6 5,6",
    "<": "5,8 0,4.5 5,1",
    ">": "0,8 5,4.5 0,1",
    "*": "2.3,3.6 2.3,8.4 | 0.2,4.8 4.4,7.2 | 0.2,7.2 4.4,4.8",
    "~": "0,3.8 1.5,5.6~1.3 3.7,3.4~1.3 5.2,5.2",
    "!": "0,9 0,3 | 0,0",
    "µ": "0,6 0,-2.8 | 0,2.4 0,0~2.1 4.3,0~2.2 4.3,2.4 | 4.3,6 4.3,0",
    "Ω": "0,0 1.9,0 0.2,3.4~3 0.2,9~3 6.4,9~3 6.4,3.4~3 4.7,0 6.6,0",
    "°": "1.6,9 3.2,9~1.6 3.2,5.8~1.6 0,5.8~1.6 0,9~1.6 1.6,9",
}
"""Every character that the boards may carry, besides the space."""


@dataclass(frozen=True, slots=True)
class Lettering:
    """How a text is drawn: height ink to ink, pen, width factor, and the clear gap between characters."""

    height_mm: float
    pen_mm: float
    width: float = 1.0
    gap_mm: float | None = None
    """None gives ISO 3098's 2h/10."""
    slant: float = 0.0
    """How far a character leans to the right over its height: 0.27 is the standard's 15 degrees."""

    @property
    def unit_mm(self) -> float:
        """Millimetres a grid unit, upright."""
        return (self.height_mm - self.pen_mm) / CAPITAL_UNITS

    @property
    def between_mm(self) -> float:
        """The clear gap between neighbours, ink to ink along the line."""
        return GAP * self.height_mm if self.gap_mm is None else self.gap_mm


def rounded(corners: tuple[tuple[float, float, float], ...]) -> Stroke:
    """Corners (x, y, radius) as a polyline; a radius too large for its sides is cut to what fits."""
    line: list[Point] = []
    for index, (x, y, radius) in enumerate(corners):
        if radius == 0 or index in (0, len(corners) - 1):
            line.append((x, y))
            continue
        line.extend(_turn(corners[index - 1], (x, y, radius), corners[index + 1]))
    return tuple(point for i, point in enumerate(line) if i == 0 or math.dist(point, line[i - 1]) > 1e-9)


def _turn(before: tuple[float, float, float], corner: tuple[float, float, float],
          after: tuple[float, float, float]) -> list[Point]:
    """The rounded corner itself, both ends included."""
    x, y, radius = corner
    into, out = math.atan2(y - before[1], x - before[0]), math.atan2(after[1] - y, after[0] - x)
    turn = math.remainder(out - into, math.tau)
    room = [math.dist(side[:2], (x, y)) - _reach(side, corner) for side in (before, after)]
    reach = min(radius * math.tan(abs(turn) / 2), *room)
    radius = reach / math.tan(abs(turn) / 2)
    left = math.copysign(1.0, turn)
    start = (x - reach * math.cos(into), y - reach * math.sin(into))
    centre = (start[0] - left * radius * math.sin(into), start[1] + left * radius * math.cos(into))
    steps = max(1, round(QUARTER_STEPS * abs(turn) / (math.pi / 2)))
    angles = [into - left * math.pi / 2 + turn * step / steps for step in range(steps + 1)]
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]


def _reach(neighbour: tuple[float, float, float], corner: tuple[float, float, float]) -> float:
    """What a rounded neighbour takes of the side between the two, in the share of the radii, at most half."""
    if neighbour[2] == 0:
        return 0.0
    share = neighbour[2] / (neighbour[2] + corner[2])
    return share * math.dist(neighbour[:2], corner[:2]) if share > 0 else 0.0


@cache
def strokes_of(character: str) -> tuple[Stroke, ...]:
    """The strokes of one character on the grid; KeyError for a character that the alphabet lacks."""
    strokes = []
    for drawn in DRAWN[character].split("|"):
        corners = []
        for word in drawn.split():
            place, _, radius = word.partition("~")
            x, y = place.split(",")
            corners.append((float(x), float(y), float(radius or 0)))
        strokes.append(rounded(tuple(corners)))
    return tuple(strokes)


@cache
def leaning(character: str, width: float, slant: float) -> tuple[Stroke, ...]:
    """The strokes of one character on the grid, widened and slanted."""
    return tuple(tuple((x * width + y * slant, y) for x, y in stroke) for stroke in strokes_of(character))


def lay(text: str, lettering: Lettering) -> tuple[tuple[Stroke, ...], ...]:
    """The strokes of each character of one line, in mm; ink starts at x = 0, capitals stand on ink y = 0.

    A space gives an empty character.
    """
    up = lettering.unit_mm
    half = lettering.pen_mm / 2
    cursor = 0.0
    laid: list[tuple[Stroke, ...]] = []
    for character in text:
        if character == " ":
            cursor += SPACE * lettering.height_mm - lettering.between_mm
            laid.append(())
            continue
        strokes = leaning(character, lettering.width, lettering.slant)
        left = min(x for stroke in strokes for x, _ in stroke)
        right = max(x for stroke in strokes for x, _ in stroke)
        shift = cursor + half - left * up
        laid.append(tuple(tuple((x * up + shift, y * up + half) for x, y in stroke) for stroke in strokes))
        cursor += (right - left) * up + lettering.pen_mm + lettering.between_mm
    return tuple(laid)


def width_of(text: str, lettering: Lettering) -> float:
    """Ink width of one line in mm."""
    ends = [x for strokes in lay(text, lettering) for stroke in strokes for x, _ in stroke]
    return max(ends) - min(ends) + lettering.pen_mm
