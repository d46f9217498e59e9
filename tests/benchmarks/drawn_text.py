"""Where a text stands on a legend, decided without any reader: by the very strokes of the face it is drawn in.

Many real legends are drawn in one public stroke face, the one that comes with the test extra gerbonara. A text in it
is a row of strokes known beforehand; wherever that row of strokes lies in the file, in this order, moved, turned and
stretched, the text stands there, surely and to some micrometres.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from gerbonara.newstroke import Newstroke

from labelcheck.trade.shapes import Kind, Shapes

FIT_MM = 0.012
"""Strokes lie where the face puts them; files round to 1 µm or 0.0001 inch (2.5 µm), corners twice."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Straight strokes of a legend in file order: ends (n, 4), pens (n,), as read on their own side."""

    ends: np.ndarray
    pen: np.ndarray
    mirrored: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """One place where a text stands; its box as seen from the top."""

    text: str
    box_mm: Box
    turned_deg: float
    first: int
    count: int
    """Strokes of the file: the first one, and how many."""


def strokes_of(shapes: Shapes, mirrored: bool) -> Strokes:
    """All strokes of one bar, in file order."""
    bars = np.bincount(shapes.bar_object, minlength=len(shapes))
    single = (shapes.kind == Kind.STROKE) & shapes.dark & (bars == 1)
    bar = np.searchsorted(shapes.bar_object, np.flatnonzero(single))
    side = -1.0 if mirrored else 1.0
    ends = np.stack([side * shapes.x0[bar], shapes.y0[bar], side * shapes.x1[bar], shapes.y1[bar]], axis=1)
    return Strokes(ends, shapes.width[bar], mirrored)


def standing(text: str, strokes: Strokes) -> list[Standing]:
    """Every place where the text stands, also as a part of a longer one."""
    pattern = _pattern(text)
    count, there = len(pattern), len(strokes.ends)
    if count < 2 or there < count:
        return []
    points = pattern.reshape(-1, 2)
    design = np.hstack((points, np.ones((2 * count, 1))))
    solve = np.linalg.pinv(design)
    null = np.linalg.svd(design.T)[2][3:].T
    windows = np.lib.stride_tricks.sliding_window_view(strokes.ends.reshape(-1, 2), 2 * count, axis=0)[::2]
    at = np.arange(len(windows))
    for part in (null[:, :3], null):  # most windows fall at the first three of the conditions
        off = np.abs(windows[at] @ part).max(axis=(1, 2)) if part.shape[1] else np.zeros(len(at))
        at = at[off < FIT_MM * np.sqrt(2 * count)]
    found = []
    for first in at.tolist():
        fit = solve @ windows[first].T
        if np.abs(design @ fit - windows[first].T).max() < FIT_MM and _upright(fit[:2]):
            place = slice(first, first + count)
            if np.ptp(strokes.pen[place]) < 1e-6:
                found.append(_standing(text, strokes, place, fit[:2]))
    return found


def whole(places: list[Standing], strokes: Strokes) -> list[Standing]:
    """Those that are no part of another one among them and have no further character before or behind."""
    spans = [(place.first, place.first + place.count) for place in places]
    kept = []
    for place, (first, last) in zip(places, spans, strict=True):
        if any(a <= first and last <= b and b - a > last - first for a, b in spans):
            continue
        if not any(_continues(place, strokes, other) for other in (first - 1, last)):
            kept.append(place)
    return kept


def _pattern(text: str) -> np.ndarray:
    """Strokes (n, 4) of a text in the face, 1 high, y up."""
    glyphs, at, rows = Newstroke.load().glyphs, 0.0, []
    for character in text:
        if character not in glyphs:
            return np.zeros((0, 4))
        width, paths = glyphs[character]
        for path in paths:
            moved = [(x + at, -y) for x, y in path]
            ends = list(pairwise(moved)) or [(start, start) for start in moved]
            rows += [(*start, *end) for start, end in ends]
        at += width
    return np.array(rows).reshape(-1, 4)


def _upright(matrix: np.ndarray) -> bool:
    """Whether a fit moves, turns and stretches, but neither mirrors nor slants."""
    along, up = np.linalg.norm(matrix, axis=1)
    if not (0.1 < along < 8 and 0.1 < up < 8):
        return False
    return bool(np.linalg.det(matrix) > 0 and abs(matrix[0] @ matrix[1]) < 0.04 * along * up)


def _standing(text: str, strokes: Strokes, place: slice, matrix: np.ndarray) -> Standing:
    ends, half = strokes.ends[place], strokes.pen[place][0] / 2
    x, y = ends[:, [0, 2]] * (-1.0 if strokes.mirrored else 1.0), ends[:, [1, 3]]
    box = (float(x.min() - half), float(y.min() - half), float(x.max() + half), float(y.max() + half))
    turned = float(np.rad2deg(np.arctan2(matrix[0, 1], matrix[0, 0]))) % 360
    return Standing(text, box, turned, place.start, place.stop - place.start)


def _continues(place: Standing, strokes: Strokes, other: int) -> bool:
    """Whether the stroke next in the file is a character next on the line."""
    own = slice(place.first, place.first + place.count)
    if not 0 <= other < len(strokes.ends) or abs(strokes.pen[other] - strokes.pen[own][0]) > 1e-6:
        return False
    turn = np.deg2rad(place.turned_deg)
    axes = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    ink, more = strokes.ends[own].reshape(-1, 2) @ axes, strokes.ends[other].reshape(-1, 2) @ axes
    height = np.ptp(ink[:, 1])
    gap = max(more[:, 0].min() - ink[:, 0].max(), ink[:, 0].min() - more[:, 0].max())
    level = more[:, 1].min() > ink[:, 1].min() - 0.3 * height and more[:, 1].max() < ink[:, 1].max() + 0.3 * height
    return bool(level and -0.3 * height < gap < 0.45 * height)
