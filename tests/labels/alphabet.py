"""A small stroke alphabet for drawing test labels, of our own making: capitals, digits, lower case, signs.

On a grid of 6 units of capital height: x height 4, descenders to -2. A point is `xy` where x is one digit,
else `x,y`; blanks part points, `/` lifts the pen; a path of a single point is a dot.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from labelcheck.trade.shapes import Shapes, bars

GRID = 6.0

LETTERS = {
    "A": "00 26 40 / 0.7,2 3.3,2",
    "B": "00 06 36 45.4 44 33 03 / 33 42 4.0,0.7 30 00",
    "C": "45 3.4,6 0.8,6 05 01 0.8,0 3.4,0 41",
    "D": "00 06 26 44.4 41.6 20 00",
    "E": "40 00 06 46 / 03 33",
    "F": "00 06 46 / 03 33",
    "G": "45 3.4,6 0.8,6 05 01 0.8,0 3.4,0 41 43 2.4,3",
    "H": "00 06 / 40 46 / 03 43",
    "I": "10 16",
    "J": "36 31 2.4,0 0.8,0 01",
    "K": "00 06 / 46 02 / 1.2,3.2 40",
    "L": "06 00 3.6,0",
    "M": "00 06 2.5,2 56 50",
    "N": "00 06 40 46",
    "O": "10 01 05 16 36 45 41 30 10",
    "P": "00 06 36 45 44 33 03",
    "Q": "10 01 05 16 36 45 41 30 10 / 2.6,1.6 4.2,-0.4",
    "R": "00 06 36 45 44 33 03 / 2,3 40",
    "S": "45 3.2,6 0.8,6 05.2 04 0.8,3 3.2,3 42 40.8 3.2,0 0.8,0 01",
    "T": "06 46 / 26 20",
    "U": "06 01 10 30 41 46",
    "V": "06 20 46",
    "W": "06 1.3,0 2.6,4 3.9,0 5.2,6",
    "X": "00 46 / 06 40",
    "Y": "06 23 46 / 23 20",
    "Z": "06 46 00 40",
    "0": "10 01 05 16 36 45 41 30 10",
    "1": "04.6 1.6,6 1.6,0",
    "2": "05 1,6 3,6 45 43.6 00 40",
    "3": "05.4 0.9,6 3,6 45.2 44 33.1 1.4,3.1 / 33.1 42 40.9 30 0.9,0 00.6",
    "4": "30 36 02 42",
    "5": "46 0.4,6 03.4 2.8,3.6 42.6 41 30 0.8,0 00.8",
    "6": "3.6,5.6 2.6,6 1,6 04.6 01 10 30 41 42.4 33.4 1,3.4 02.4",
    "7": "06 46 1.4,0",
    "8": "13.2 04 05 16 36 45 44 33.2 13.2 02.2 01 10 30 41 42.2 33.2",
    "9": "0.4,0.4 1.4,0 30 41.4 45 36 16 05 03.6 12.6 32.6 43.6",
    "a": "0.4,3.7 1,4 2.4,4 33.2 30 / 32.3 0.8,2.3 01.5 00.7 0.8,0 2.2,0 30.8",
    "b": "06 00 / 01 10 20 31 33 24 14 03",
    "c": "3,3.5 24 14 03 01 10 20 3,0.5",
    "d": "36 30 / 31 20 10 01 03 14 24 33",
    "e": "02 32 33 24 14 03 01 10 20 3,0.5",
    "g": "34 3,-1 2,-2 0.6,-2 / 33 24 14 03 01 10 20 31",
    "h": "06 00 / 03 14 24 33 30",
    "i": "04 00 / 05.6",
    "k": "06 00 / 34 01.4 / 1,2.2 30",
    "l": "06 00",
    "m": "04 00 / 03 14 1.6,4 2.4,3 2.4,0 / 2.4,3 3.4,4 4,4 4.8,3 4.8,0",
    "n": "04 00 / 03 14 24 33 30",
    "o": "10 01 03 14 24 33 31 20 10",
    "p": "04 0,-2 / 03 14 24 33 31 20 10 01",
    "r": "04 00 / 03 14 2,4",
    "s": "3,3.6 24 0.8,4 03.2 0.8,2.1 2.2,1.9 30.9 20 0.8,0 00.5",
    "t": "16 11 20 2.6,0.2 / 04 2.4,4",
    "u": "04 01 10 20 31 / 34 30",
    "v": "04 1.5,0 34",
    "w": "04 1.1,0 2.2,3 3.3,0 4.4,4",
    "x": "00 34 / 04 30",
    "y": "04 1.6,0 / 34 1.2,-1.4 0,-2",
    "z": "04 34 00 30",
    "+": "03 43 / 21 25",
    "-": "03 33",
    "/": "00 46",
    ".": "00",
    ",": "0.5,0.2 0,-1",
    ":": "00 / 04",
    "_": "0,-1 4,-1",
    "(": "16 04 02 10",
    ")": "06 14 12 00",
    "=": "02 42 / 04 44",
    "%": "00 46 / 0.7,4.6 0.7,5.6 1.5,5.6 1.5,4.6 0.7,4.6 / 2.6,0.4 2.6,1.4 3.4,1.4 3.4,0.4 2.6,0.4",
    "<": "45 03 41",
    ">": "05 43 01",
    "*": "23 25 / 23 0.4,4 / 23 3.6,4 / 23 0.8,1.4 / 23 3.2,1.4",
    "#": "10 16 / 30 36 / 02 42 / 04 44",
    "Ω": "00 10 11 03 04.6 16 36 44.6 43 31 30 40",
    "µ": "04 0,-2 / 01 10 20 31 / 34 30",
    "°": "04.6 05.6 16 26 35.6 34.6 24 14 04.6",
}

Polyline = list[tuple[float, float]]


def _point(token: str) -> tuple[float, float]:
    if "," in token:
        x, y = token.split(",")
        return float(x), float(y)
    return float(token[0]), float(token[1:])


def polylines(character: str) -> list[Polyline]:
    """Pen paths of a character in grid units."""
    return [[_point(token) for token in path.split()] for path in LETTERS[character].split("/")]


@dataclass(frozen=True)
class Lettering:
    """How text is drawn: sizes in millimetres, ink to ink for the height."""

    height_mm: float = 1.0
    pen_mm: float = 0.15
    spacing: float = 1.6
    """Clear grid units between the paths of neighbours."""
    blank: float = 3.5
    """Grid units added by a blank."""

    @property
    def unit_mm(self) -> float:
        """Length of one grid unit: the pen adds its width to the height."""
        return (self.height_mm - self.pen_mm) / GRID


def text_paths(text: str, lettering: Lettering) -> list[list[np.ndarray]]:
    """Pen paths of each character of one line, in millimetres from the start of its base line; blanks left out."""
    at, lines = 0.0, []
    for character in text:
        if character == " ":
            at += lettering.blank
            continue
        paths = [np.array(path) for path in polylines(character)]
        left = min(path[:, 0].min() for path in paths)
        right = max(path[:, 0].max() for path in paths)
        lines.append([(path + np.array((at - left, 0.0))) * lettering.unit_mm for path in paths])
        at += right - left + lettering.spacing + lettering.pen_mm / lettering.unit_mm * 0.5
    return lines


def turn(points: np.ndarray, angle_deg: float, mirrored: bool = False) -> np.ndarray:
    """Points turned counter-clockwise as seen on their own side; mirrored for the bottom."""
    angle = np.deg2rad(angle_deg)
    turned = points @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    return turned * (-1, 1) if mirrored else turned


def strokes_of(paths: Iterable[np.ndarray], pen_mm: float) -> Shapes:
    """One stroke object a segment; a dot is a zero-length stroke."""
    starts, ends = [], []
    for path in paths:
        if len(path) == 1:
            starts.append(path)
            ends.append(path)
        else:
            starts.append(path[:-1])
            ends.append(path[1:])
    start, end = np.concatenate(starts), np.concatenate(ends)
    return bars(start[:, 0], start[:, 1], end[:, 0], end[:, 1], pen_mm)


def draw_text(
    text: str,
    at: tuple[float, float] = (0.0, 0.0),
    lettering: Lettering | None = None,
    angle_deg: float = 0.0,
    mirrored: bool = False,
) -> Shapes:
    """A line of text as strokes; `at` is the start of its base line, seen from the top."""
    style = Lettering() if lettering is None else lettering
    paths = [path for character in text_paths(text, style) for path in character]
    return strokes_of([turn(path, angle_deg, mirrored) + at for path in paths], style.pen_mm)
