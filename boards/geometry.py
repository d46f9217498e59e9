"""What the generator knows of its own boards: exact shapes of ink, openings, holes and laminate.

Expected findings rest on this alone, never on a run of the checker.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import combinations, pairwise

from shapely import unary_union
from shapely.geometry import LineString, MultiPoint, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from boards.alphabet import Lettering, leaning
from boards.design import Arc, Contour, Design, Drawn, Flash, Hole, Label, Line, Region, Side

ROUND = 16
"""Straight pieces a quarter circle: a 2 mm circle is true to 3 µm."""


CLOSING_ROUND = 6
"""The same where passages are closed, which asks for speed."""
HAIR = 0.01
"""Half the width of a bare line, in grid units, where its passages are measured."""
STEP_UNITS = 0.2
SPECK = 0.0002
"""Rooms under this area, in square grid units, are the roundness of the polygons."""
CHANNEL = 2.0
"""A wedge fills little by little, a channel at once: by much more than in the step before, in square grid units."""
WIDEST_UNITS = 4.0
"""Wider passages are never too narrow and are not measured."""


def laminate(design: Design) -> Polygon:
    """The board: the first contour without the others."""
    outer, *cut_outs = [contour_polygon(contour) for contour in design.outline]
    return outer.difference(unary_union(cut_outs)) if cut_outs else outer


def contour_polygon(contour: Contour) -> Polygon:
    """A contour with its right-angled corners rounded."""
    points: list[tuple[float, float]] = []
    corners = contour.corners
    for index, (x, y, radius) in enumerate(corners):
        if radius == 0:
            points.append((x, y))
            continue
        before, after = corners[index - 1], corners[(index + 1) % len(corners)]
        away = [math.atan2(side[1] - y, side[0] - x) for side in (before, after)]
        a, b = ((math.cos(angle), math.sin(angle)) for angle in away)
        centre = x + (a[0] + b[0]) * radius, y + (a[1] + b[1]) * radius
        first = math.atan2(-b[1], -b[0])
        sweep = math.remainder(math.atan2(-a[1], -a[0]) - first, math.tau)
        points += [(centre[0] + radius * math.cos(first + sweep * k / ROUND),
                    centre[1] + radius * math.sin(first + sweep * k / ROUND)) for k in range(ROUND + 1)]
    return Polygon([point for i, point in enumerate(points) if math.dist(point, points[i - 1]) > 1e-6])


def shape_of(drawn: Drawn) -> BaseGeometry:
    """The area that one object covers."""
    if isinstance(drawn, Line):
        return line_shape(drawn.points, drawn.pen_mm)
    if isinstance(drawn, Arc):
        steps = max(2, math.ceil(drawn.sweep_deg / 90 * ROUND))
        angles = [math.radians(drawn.start_deg + drawn.sweep_deg * k / steps) for k in range(steps + 1)]
        points = [(drawn.x + drawn.radius_mm * math.cos(a), drawn.y + drawn.radius_mm * math.sin(a)) for a in angles]
        return LineString(points).buffer(drawn.pen_mm / 2, ROUND)
    if isinstance(drawn, Region):
        return Polygon(drawn.outer, drawn.holes)
    return _flash(drawn)


def line_shape(points: Iterable[tuple[float, float]], pen_mm: float) -> BaseGeometry:
    """A polyline drawn with a round pen; one point is a disc."""
    corners = list(points)
    path = LineString(corners) if len(corners) > 1 else Point(corners[0])
    return path.buffer(pen_mm / 2, ROUND)


def _flash(flash: Flash) -> BaseGeometry:
    x, y, w, h = flash.x, flash.y, flash.width_mm / 2, flash.height_mm / 2
    if flash.shape == "circle":
        return Point(x, y).buffer(w, ROUND)
    inset = {"rectangle": 0.0, "obround": min(w, h), "rounded": flash.corner_mm}[flash.shape]
    if inset == 0:
        return box(x - w, y - h, x + w, y + h)
    if flash.shape == "obround":
        ends = [(x - w + inset, y - h + inset), (x + w - inset, y + h - inset)]
        return LineString(ends).buffer(inset, ROUND) if ends[0] != ends[1] else Point(ends[0]).buffer(inset, ROUND)
    return box(x - w + inset, y - h + inset, x + w - inset, y + h - inset).buffer(inset, ROUND)


def openings(design: Design, side: Side) -> BaseGeometry:
    """Where the mask of a side is open."""
    return unary_union(opening_shapes(design, side))


def opening_shapes(design: Design, side: Side) -> list[BaseGeometry]:
    """Every opening by itself."""
    return [shape_of(drawn) for drawn in design.layers.get(("mask", side), [])]


def hole_shape(hole: Hole) -> BaseGeometry:
    """A hole as a disc, a slot as a bar."""
    end = (hole.x, hole.y) if hole.to_x is None or hole.to_y is None else (hole.to_x, hole.to_y)
    return MultiPoint([(hole.x, hole.y), end]).convex_hull.buffer(hole.diameter_mm / 2, ROUND)


def ink_of(label: Label) -> BaseGeometry:
    """All ink of a label."""
    return unary_union([line_shape(stroke, label.lettering.pen_mm)
                        for strokes in label.characters for stroke in strokes])


def drawings(design: Design, side: Side) -> BaseGeometry:
    """All legend ink of a side that belongs to no label."""
    return unary_union(drawing_shapes(design, side))


def drawing_shapes(design: Design, side: Side) -> list[BaseGeometry]:
    """Every drawn object of a legend that belongs to no label, by itself."""
    return [shape_of(drawn) for drawn in design.layers.get(("legend", side), [])
            if not (isinstance(drawn, Line | Region) and drawn.lettering)]


def narrowest_gap(label: Label) -> float:
    """Narrowest clear space inside a character or between neighbours, in mm; spaces part words and do not count."""
    inside = min((character_gap(char, label.lettering) for char in label.text if char != " "), default=math.inf)
    shapes = [unary_union([line_shape(stroke, label.lettering.pen_mm) for stroke in strokes]) if strokes else None
              for strokes in label.characters]
    between = min((a.distance(b) for a, b in pairwise(shapes) if a is not None and b is not None), default=math.inf)
    return min(inside, between)


def character_gap(character: str, lettering: Lettering) -> float:
    """Narrowest clear space inside one character in mm; inf where it has none worth measuring.

    A pen takes half its width from either side of a passage, so that the passages of the bare lines tell it all.
    """
    return passage_units(character, lettering.width, lettering.slant) * lettering.unit_mm - lettering.pen_mm


@cache
def passage_units(character: str, width: float, slant: float) -> float:
    """Narrowest passage between the bare lines of a character, in grid units to 0.01; inf where wider than 4.

    A passage is as wide as the pen that bars it, fills a counter, or fills the channel between parallel lines. The
    wedge where two strokes meet is none.
    """
    lines = [LineString(stroke) if len(stroke) > 1 else Point(stroke[0])
             for stroke in leaning(character, width, slant)]
    bare = unary_union([line.buffer(HAIR) for line in lines])
    apart = min((a.distance(b) for a, b in combinations(getattr(bare, "geoms", [bare]), 2)), default=math.inf)
    before, growth = _Spread.of(bare, 0.0), 0.0
    low, high = 0.0, STEP_UNITS
    while not (after := _Spread.of(bare, high)).barred_since(before, growth):
        if high + STEP_UNITS > min(apart, WIDEST_UNITS):
            return apart + 2 * HAIR if apart <= WIDEST_UNITS else math.inf
        low, high, before, growth = high, high + STEP_UNITS, after, after.filled - before.filled
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (low, middle) if _Spread.of(bare, middle).barred_since(before, growth) else (middle, high)
    return (low + high) / 2 + 2 * HAIR


@dataclass(frozen=True, slots=True)
class _Spread:
    """What becomes of lines that spread by half a width to either side."""

    rooms: int
    """Areas that are closed in."""
    filled: float
    """Area that no pen of this width could enter, the lines included."""

    @classmethod
    def of(cls, bare: BaseGeometry, width: float) -> "_Spread":
        """Spread lines; areas in square grid units."""
        grown = bare.buffer(width / 2, CLOSING_ROUND)
        rings = [ring for part in getattr(grown, "geoms", [grown]) for ring in part.interiors]
        rooms = sum(Polygon(ring).area > SPECK for ring in rings)
        return cls(rooms, grown.buffer(-width / 2, CLOSING_ROUND).area)

    def barred_since(self, before: "_Spread", growth: float) -> bool:
        """Whether a room was shut or filled up, or a channel between parallel lines filled all at once.

        `growth` is how much more was filled in the step before.
        """
        return self.rooms != before.rooms or self.filled - before.filled > CHANNEL + 2 * growth
