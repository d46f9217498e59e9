"""The ways in which programs draw the same label: with a pen, filled, by scan lines, knocked out of a box."""

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from shapely import affinity, unary_union
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from boards.alphabet import Stroke
from boards.design import Drawn, Label, Line, Region
from boards.geometry import line_shape

SCAN_PEN_MM = 0.04
HAIRLINE_MM = 0.05
BOX_MARGIN = 0.45
"""The box around knocked-out text reaches this share of its height past it."""
FINE = 1e-6


def drawn_label(label: Label) -> list[Drawn]:
    """The objects of a label in drawing order, marked as lettering."""
    pen, component = label.lettering.pen_mm, label.component
    strokes = [stroke for strokes in label.characters for stroke in strokes]
    lines: list[Drawn] = [Line(stroke, pen, component, lettering=True) for stroke in strokes]
    if label.drawn_as == "strokes":
        return lines
    if label.drawn_as == "knocked out":
        box = Region(_box_around(label), component=component, lettering=True)
        return [box, *(replace(line, dark=False) for line in lines if isinstance(line, Line))]
    drawn: list[Drawn] = []
    for character in label.characters:
        if not character:
            continue
        if label.drawn_as == "hairlines":
            pieces = [(piece, HAIRLINE_MM if level else pen) for one in character for piece, level in _straight(one)]
        else:
            pieces = [(stroke, pen) for stroke in character]
        shape = unary_union([line_shape(piece, width) for piece, width in pieces])
        for part in getattr(shape, "geoms", [shape]):
            drawn += _scanned(part, component) if label.drawn_as == "scanned" else [_filled(part, label)]
    return drawn


def _straight(stroke: Stroke) -> Iterator[tuple[Stroke, bool]]:
    """The straight pieces of a stroke, and whether each is level; a dot is its own piece."""
    if len(stroke) == 1:
        yield stroke, False
    for start, end in pairwise(stroke):
        yield (start, end), abs(start[1] - end[1]) < FINE < abs(start[0] - end[0])


def _filled(shape: Polygon, label: Label) -> Region:
    holes = tuple(_ring(hole.coords) for hole in shape.interiors)
    return Region(_ring(shape.exterior.coords), holes, label.drawn_as == "clear", label.component, lettering=True)


def _ring(coordinates: object) -> Stroke:
    """Corners without the repeated last one."""
    points = [(x, y) for x, y in coordinates]  # type: ignore[attr-defined]  # a sequence of coordinates
    return tuple(points[:-1])


def _scanned(shape: BaseGeometry, component: str | None) -> list[Drawn]:
    """Horizontal lines of a thin pen that cover the shape without reaching past it."""
    core = shape.buffer(FINE - SCAN_PEN_MM / 2)
    _, low, _, high = core.bounds
    rows = max(1, math.ceil((high - low) / (0.6 * SCAN_PEN_MM)))
    drawn: list[Drawn] = []
    for row in range(rows + 1):
        y = low + (high - low) * row / rows
        drawn += [Line(piece, SCAN_PEN_MM, component, lettering=True) for piece in _pieces(core, y)]
    return drawn


def _pieces(core: BaseGeometry, y: float) -> Iterator[Stroke]:
    left, _, right, _ = core.bounds
    cut = core.intersection(LineString([(left - 1, y), (right + 1, y)]))
    for piece in getattr(cut, "geoms", [cut]):
        points = list(piece.coords)
        if points:
            yield (points[0], points[-1]) if points[0] != points[-1] else (points[0],)


def _box_around(label: Label) -> Stroke:
    margin = BOX_MARGIN * label.lettering.height_mm
    points = [point for strokes in label.characters for stroke in strokes for point in stroke]
    flipped = (label.side == "bottom") != label.mirrored
    turned = -label.turned_deg if flipped else label.turned_deg
    upright = affinity.rotate(LineString(points), -turned, origin=(0, 0))
    frame = affinity.rotate(upright.envelope.buffer(margin, join_style="mitre"), turned, origin=(0, 0))
    return _ring(frame.exterior.coords)
