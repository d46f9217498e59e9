"""Small pieces of a random board: a label with what stands around it, all of it good."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from random import Random

from boards.alphabet import Lettering, Point
from boards.design import (
    Arc,
    Box,
    Contour,
    Design,
    Drawn,
    DrawnAs,
    Flash,
    Label,
    Line,
    Region,
    Side,
    box_of,
    place_text,
)
from boards.geometry import hole_shape, passage_units
from boards.maker import Maker
from boards.parts import Seat, chip

WORDS = (
    "TRACK", "POINT", "SIGNAL", "BLOCK", "LOOP", "YARD", "HALT", "MAIN", "SPUR", "FEED", "RAIL", "LAMP", "COIL",
    "RELAY", "MOTOR", "FUSE", "POWER", "DATA", "CLOCK", "RESET", "TEST", "GND", "+5V", "+12V", "VIN", "SDA", "SCL",
    "Bus", "Left", "Right", "Red", "Green", "Yellow", "Home", "Distant", "Shunt", "Gate A", "Depot", "16 V~",
    "IN", "OUT", "L", "R", "A", "B", "C", "N/C", "A0", "A1", "D13", "4k7", "10k", "100n", "22 µF", "330Ω", "T 2 A",
    "50 Hz", "60°C", "rev B", "#3", "(2 A)", "1:87", "H0e", "9 mm", "K = 1", "S&D", "<- Up", "ID_4", "9 %", "V1.2",
)
PREFIXES = ("R", "R", "R", "C", "C", "D", "Q", "U", "J", "L", "K", "F", "TP", "SW")
SHAPES = ((1.0, 0.0), (1.0, 0.0), (0.85, 0.0), (1.25, 0.0), (1.0, 0.2))
"""Widths and slants of characters."""
LEAST_GAP_MM = 0.17
LEAST_PEN_MM = 0.155
"""Good labels keep a little from the doubtful limits of a photo-imaged legend, 0.15 mm both."""
LEAST_SCANNED_MM = 0.19
"""Scan lines leave out up to 0.02 mm along slanted edges."""
SMALL_LETTERS = set("abcdefghijklmnopqrstuvwxyz")


@dataclass(frozen=True, slots=True)
class Variety:
    """What random labels may look like."""

    heights_mm: tuple[float, float] = (1.2, 1.7)
    any_angle: float = 0.12
    """Share of labels that stand at any angle."""
    drawn_as: tuple[tuple[DrawnAs, float], ...] = (
        ("strokes", 0.74), ("cut-in", 0.10), ("clear", 0.08), ("scanned", 0.03), ("knocked out", 0.05)
    )
    """Shares of the ways in which labels are drawn."""
    house_style: tuple[Lettering, ...] = ()
    """The only letterings of the board, as most boards have few; none for one of its own for each label."""


HOUSE_STYLE = Variety(
    any_angle=0.0,
    drawn_as=(("strokes", 1.0),),
    house_style=(Lettering(1.2, 0.16), Lettering(1.2, 0.16), Lettering(1.2, 0.16), Lettering(1.5, 0.2)),
)
"""As most boards are lettered: strokes of two sizes, one for nearly all, and nothing at odd angles."""


@dataclass(slots=True)
class Tile:
    """A piece of board about its own origin, and the box that it needs."""

    design: Design
    box: Box
    through: bool
    """Whether it goes through the board, so that nothing may stand behind it."""


@dataclass(slots=True)
class Workbench:
    """What the makers of tiles share: chance, variety, and references that are used once each."""

    chance: Random
    variety: Variety
    numbers: dict[str, int]

    def reference(self) -> str:
        """The next unused designator of a random kind."""
        prefix = self.chance.choice(PREFIXES)
        self.numbers[prefix] = self.numbers.get(prefix, 0) + 1
        return f"{prefix}{self.numbers[prefix]}"

    def words(self) -> str:
        """A text as legends carry it."""
        return self.reference() if self.chance.random() < 0.5 else self.chance.choice(WORDS)

    def turned(self) -> float:
        """A reading direction; mostly from the bottom and from the right."""
        if self.chance.random() < self.variety.any_angle:
            return float(round(self.chance.uniform(0, 360), 1))
        return self.chance.choices((0.0, 90.0, 270.0, 180.0), (70, 24, 4, 2))[0]

    def way_of_drawing(self) -> DrawnAs:
        """Strokes or one of the ways to fill."""
        ways, shares = zip(*self.variety.drawn_as, strict=True)
        return self.chance.choices(ways, shares)[0]

    def lettering(self, text: str) -> Lettering:
        """A good lettering for a text: high, thick and open enough, with a little to spare."""
        if self.variety.house_style:
            return self.chance.choice(self.variety.house_style)
        for _ in range(40):
            height = round(self.chance.uniform(*self.variety.heights_mm), 2)
            pen = round(max(LEAST_PEN_MM, height * self.chance.uniform(0.10, 0.165)), 3)
            gap = round(max(LEAST_GAP_MM, height * self.chance.uniform(0.13, 0.28)), 3)
            width, slant = self.chance.choice(SHAPES)
            lettering = Lettering(height, pen, width, gap, slant)
            if inside_gap(text, lettering) >= LEAST_GAP_MM:
                return lettering
        return Lettering(2.0, 0.2)

    def label(self, text: str, side: Side, lettering: Lettering | None = None, turned_deg: float | None = None,
              drawn_as: DrawnAs | None = None) -> Label:
        """A label about the origin; whatever is left open is chosen by chance."""
        lettering = self.lettering(text) if lettering is None else lettering
        turned_deg = self.turned() if turned_deg is None else turned_deg
        drawn_as = self.way_of_drawing() if drawn_as is None else drawn_as
        if drawn_as == "scanned" and lettering.pen_mm < LEAST_SCANNED_MM:
            drawn_as = "strokes"
        return place_text(text, (0.0, 0.0), lettering, side, turned_deg, drawn_as=drawn_as)


def inside_gap(text: str, lettering: Lettering) -> float:
    """Narrowest passage within the characters of a text, in mm."""
    letters = text.replace(" ", "")
    units = min((passage_units(char, lettering.width, lettering.slant) for char in letters), default=math.inf)
    return units * lettering.unit_mm - lettering.pen_mm


def scratch() -> tuple[Design, Maker]:
    """An empty piece of board to draw on."""
    design = Design("tile", "", "", [])
    return design, Maker(design)


def good_tile(bench: Workbench, side: Side) -> Tile:
    """A good label, alone or with something near it that leaves it alone."""
    design, maker = scratch()
    around = bench.chance.choices((_alone, _framed, _beside_chip, _near_opening, _near_hole, _underlined),
                                  (56, 7, 22, 7, 2, 6))[0]
    around(bench, maker, side)
    return tile_of(design)


def _alone(bench: Workbench, maker: Maker, side: Side) -> None:
    maker.add(bench.label(bench.words(), side))


def _framed(bench: Workbench, maker: Maker, side: Side) -> None:
    """Within a box, as round connectors."""
    label = maker.add(bench.label(bench.words(), side, turned_deg=bench.chance.choice((0.0, 90.0))))
    clear = 0.35 * label.lettering.height_mm + 0.1
    x0, y0, x1, y1 = label.box
    maker.frame(x0 - clear, y0 - clear, x1 + clear, y1 + clear, side)


def _beside_chip(bench: Workbench, maker: Maker, side: Side) -> None:
    """A reference beside its part."""
    text = bench.reference()
    label = maker.add(replace(bench.label(text, side, turned_deg=0.0), component=text))
    down = label.lettering.height_mm / 2 + 1.4
    chip(maker, text, "", "0603", Seat(0.0, -down, bench.chance.choice((0, 180)), side), {"1": "A", "2": "B"})


def _near_opening(bench: Workbench, maker: Maker, side: Side) -> None:
    """An open land just further away than the clip distance."""
    label = maker.add(bench.label(bench.words(), side, turned_deg=0.0))
    clear = bench.chance.uniform(0.125, 0.3)
    size = round(bench.chance.uniform(1.0, 2.0), 2)
    y = label.box[1] - clear - size / 2
    opening = Flash(0.0, y, "rectangle", size, size)
    maker.design.layer("mask", side).append(opening)
    land = replace(opening, width_mm=size - 0.1, height_mm=size - 0.1, function="SMDPad,CuDef")
    maker.design.layer("copper", side).append(land)


def _near_hole(bench: Workbench, maker: Maker, side: Side) -> None:
    """A tented via close by."""
    label = maker.add(bench.label(bench.words(), side, turned_deg=0.0))
    maker.via("GND", 0.0, label.box[3] + bench.chance.uniform(0.3, 0.6))


def _underlined(bench: Workbench, maker: Maker, side: Side) -> None:
    """A line well below it."""
    label = maker.add(bench.label(bench.words(), side, turned_deg=0.0))
    x0, y0, x1, _ = label.box
    y = y0 - 0.4 * label.lettering.height_mm - 0.1
    maker.line((x0, y), (x1, y), side=side)


def tile_of(design: Design) -> Tile:
    """Measure what a piece of board needs: labels keep other labels a word space and more away."""
    boxes = [box_of_drawn(drawn) for objects in design.layers.values() for drawn in objects]
    boxes += [hole_shape(hole).bounds for hole in design.holes]
    boxes += [box_of_contour(contour, 0.6) for contour in design.outline]
    grown = [grow(box, 0.3) for box in boxes]
    for label in design.labels:
        along, across = 0.8 * label.lettering.height_mm, 0.35 * label.lettering.height_mm
        turned = math.radians(label.turned_deg)
        x = along * abs(math.cos(turned)) + across * abs(math.sin(turned))
        y = along * abs(math.sin(turned)) + across * abs(math.cos(turned))
        x0, y0, x1, y1 = label.box
        grown.append((x0 - x, y0 - y, x1 + x, y1 + y))
    return Tile(design, union(grown), bool(design.holes or design.outline))


def grow(box: Box, margin: float) -> Box:
    """The box with a margin on all sides."""
    return box[0] - margin, box[1] - margin, box[2] + margin, box[3] + margin


def union(boxes: Iterable[Box]) -> Box:
    """The box around boxes."""
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def box_of_contour(contour: Contour, margin: float) -> Box:
    """Box of a contour's corners with a margin."""
    return grow(union([(x, y, x, y) for x, y, _ in contour.corners]), margin)


def box_of_drawn(drawn: Drawn) -> Box:
    """Box of one drawn object."""
    if isinstance(drawn, Line):
        return box_of([drawn.points], drawn.pen_mm)
    if isinstance(drawn, Region):
        return box_of([drawn.outer], 0.0)
    if isinstance(drawn, Arc):
        return grow((drawn.x, drawn.y, drawn.x, drawn.y), drawn.radius_mm + drawn.pen_mm / 2)
    return (drawn.x - drawn.width_mm / 2, drawn.y - drawn.height_mm / 2,
            drawn.x + drawn.width_mm / 2, drawn.y + drawn.height_mm / 2)


def put(tile: Tile, board: Design, dx: float, dy: float) -> None:
    """Move a tile to its place and add all of it to the board."""
    def shift(point: Point) -> Point:
        return point[0] + dx, point[1] + dy

    for (kind, side), objects in tile.design.layers.items():
        board.layer(kind, side).extend(_moved(drawn, shift) for drawn in objects)
    for hole in tile.design.holes:
        end = None if hole.to_x is None or hole.to_y is None else shift((hole.to_x, hole.to_y))
        x, y = shift((hole.x, hole.y))
        board.holes.append(replace(hole, x=x, y=y, to_x=None if end is None else end[0],
                                   to_y=None if end is None else end[1]))
    board.pads += [replace(pad, x=pad.x + dx, y=pad.y + dy) for pad in tile.design.pads]
    board.parts += [replace(part, x=part.x + dx, y=part.y + dy, body=_shifted(part.body, dx, dy))
                    for part in tile.design.parts]
    board.labels += [
        replace(label, characters=tuple(tuple(tuple(map(shift, stroke)) for stroke in strokes)
                                        for strokes in label.characters))
        for label in tile.design.labels
    ]
    board.faults += [replace(fault, at_mm=shift(fault.at_mm), box_mm=_shifted(fault.box_mm, dx, dy))
                     for fault in tile.design.faults]
    board.outline += [Contour(tuple((x + dx, y + dy, radius) for x, y, radius in contour.corners))
                      for contour in tile.design.outline]


def _shifted(box: Box, dx: float, dy: float) -> Box:
    return box[0] + dx, box[1] + dy, box[2] + dx, box[3] + dy


def _moved(drawn: Drawn, shift: Callable[[Point], Point]) -> Drawn:
    if isinstance(drawn, Line):
        return replace(drawn, points=tuple(map(shift, drawn.points)))
    if isinstance(drawn, Region):
        return replace(drawn, outer=tuple(map(shift, drawn.outer)),
                       holes=tuple(tuple(map(shift, hole)) for hole in drawn.holes))
    x, y = shift((drawn.x, drawn.y))
    return replace(drawn, x=x, y=y)


