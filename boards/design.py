"""What an invented board is made of: drawn objects per layer, holes, parts, labels and planted faults.

Lengths are millimetres, x right, y up, seen from the top for both sides.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from boards.alphabet import Lettering, Point, Stroke, lay

Side = Literal["top", "bottom"]
Box = tuple[float, float, float, float]
DrawnAs = Literal["strokes", "cut-in", "clear", "scanned", "knocked out", "hairlines"]
"""How a label's ink is drawn: with its pen; filled, counters joined by cut-ins or drawn clear; filled by scan lines;
clear in a dark box; filled with level strokes as fine as hairs, as faces for books have them."""
LayerKind = Literal["copper", "mask", "legend", "paste"]
SIDES: tuple[Side, Side] = ("top", "bottom")


@dataclass(frozen=True, slots=True)
class Line:
    """A polyline drawn with a round pen; one point is a dot."""

    points: Stroke
    pen_mm: float
    component: str | None = None
    net: str | None = None
    dark: bool = True
    lettering: bool = False
    """Whether it is part of a label."""
    function: str | None = None
    """The aperture's function, where it is not that of the layer."""


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, counter-clockwise from `start_deg` over `sweep_deg`; 360 is the whole circle."""

    x: float
    y: float
    radius_mm: float
    start_deg: float
    sweep_deg: float
    pen_mm: float
    component: str | None = None


@dataclass(frozen=True, slots=True)
class Flash:
    """A flashed pad or opening: circle, rectangle, obround or rounded rectangle."""

    x: float
    y: float
    shape: Literal["circle", "rectangle", "obround", "rounded"]
    width_mm: float
    height_mm: float
    corner_mm: float = 0.0
    function: str | None = None
    """The aperture's function in the format's words, such as `SMDPad,CuDef`."""
    component: str | None = None
    pin: str | None = None
    net: str | None = None
    dark: bool = True
    properties: tuple[tuple[str, str], ...] = ()
    """More attributes of a component: name with its dot, and value."""


@dataclass(frozen=True, slots=True)
class Region:
    """A filled contour with holes; the holes are joined by cut-ins, or drawn clear afterwards."""

    outer: Stroke
    holes: tuple[Stroke, ...] = ()
    clear_holes: bool = False
    component: str | None = None
    net: str | None = None
    dark: bool = True
    lettering: bool = False


Drawn = Line | Arc | Flash | Region


@dataclass(frozen=True, slots=True)
class Contour:
    """A closed contour of the outline: corners (x, y, radius), rounded by arcs."""

    corners: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, slots=True)
class Hole:
    """A drilled hole, or a slot routed from (x, y) to (to_x, to_y)."""

    x: float
    y: float
    diameter_mm: float
    plated: bool
    to_x: float | None = None
    to_y: float | None = None
    function: str = "ComponentDrill"


@dataclass(frozen=True, slots=True)
class Pad:
    """One pin on its net, for the netlist."""

    component: str
    """Empty for a via."""
    pin: str
    net: str
    x: float
    y: float
    width_mm: float
    height_mm: float
    side: Side | None
    """None where it goes through the board."""
    drill_mm: float | None
    masked: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """One component for the placement file."""

    reference: str
    value: str
    package: str
    x: float
    y: float
    turned_deg: float
    side: Side
    through_hole: bool
    body: Box
    """The largest body, seen from the top."""
    height_mm: float


@dataclass(frozen=True, slots=True)
class Label:
    """One line of text on a legend and where it stands."""

    text: str
    side: Side
    lettering: Lettering
    turned_deg: float
    """Counter-clockwise as read on its own side."""
    characters: tuple[tuple[Stroke, ...], ...]
    """Strokes of each character on the board; empty for a space."""
    component: str | None = None
    mirrored: bool = False
    """Whether it reads wrongly on its side."""
    drawn_as: DrawnAs = "strokes"

    @property
    def box(self) -> Box:
        """Box of its ink."""
        return box_of([stroke for strokes in self.characters for stroke in strokes], self.lettering.pen_mm)


@dataclass(frozen=True, slots=True)
class Fault:
    """One planted fault: what an analyser must say, from the geometry it was planted with."""

    analyser: str
    labels: tuple[str, ...]
    """Texts of the labels that may carry the finding; one finding is enough."""
    side: Side
    at_mm: Point
    """Middle of what is wrong."""
    box_mm: Box
    """Box of the label's ink; of all of them where there are several."""
    severity: str | None
    """None where no analyser asks for it yet."""
    measured: float | None
    limit: float | None
    unit: str
    what: str


@dataclass(slots=True)
class Design:
    """A whole board while it is being drawn."""

    name: str
    title: str
    revision: str
    outline: list[Contour]
    layers: dict[tuple[LayerKind, Side], list[Drawn]] = field(default_factory=dict)
    holes: list[Hole] = field(default_factory=list)
    pads: list[Pad] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    innocent: list[tuple[Label, str]] = field(default_factory=list)
    """Labels just on the good side of a limit, and why they are."""
    copper_mm: float = 0.035
    """Thickness of the outer copper."""

    def layer(self, kind: LayerKind, side: Side) -> list[Drawn]:
        """The objects of one layer, in drawing order."""
        return self.layers.setdefault((kind, side), [])


def box_of(strokes: Sequence[Stroke], pen_mm: float) -> Box:
    """Box of what a pen draws along strokes."""
    xs = [x for stroke in strokes for x, _ in stroke]
    ys = [y for stroke in strokes for _, y in stroke]
    return min(xs) - pen_mm / 2, min(ys) - pen_mm / 2, max(xs) + pen_mm / 2, max(ys) + pen_mm / 2


def middle_of(box: Box) -> Point:
    """Middle of a box."""
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


Anchor = Literal["left", "middle", "right"]


def place_text(text: str, at: Point, lettering: Lettering, side: Side = "top", turned_deg: float = 0.0,
               anchor: Anchor = "middle", component: str | None = None, mirrored: bool = False,
               drawn_as: DrawnAs = "strokes") -> Label:
    """Lay a line of text with the middle of its height at `at`, and its left, middle or right end there."""
    laid = lay(text, lettering)
    right = max(x for strokes in laid for stroke in strokes for x, _ in stroke) + lettering.pen_mm / 2
    back = {"left": 0.0, "middle": right / 2, "right": right}[anchor]
    flip = -1.0 if (side == "bottom") != mirrored else 1.0
    cos, sin = _turn(turned_deg)

    def onto_board(point: Point) -> Point:
        x, y = point[0] - back, point[1] - lettering.height_mm / 2
        return at[0] + flip * (x * cos - y * sin), at[1] + x * sin + y * cos

    characters = tuple(tuple(tuple(map(onto_board, stroke)) for stroke in strokes) for strokes in laid)
    return Label(text, side, lettering, turned_deg, characters, component, mirrored, drawn_as)


def _turn(turned_deg: float) -> tuple[float, float]:
    """Cosine and sine, exact at right angles so that files hold round numbers."""
    exact = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
    if turned_deg in exact:
        return exact[turned_deg]
    return math.cos(math.radians(turned_deg)), math.sin(math.radians(turned_deg))
