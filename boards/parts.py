"""The parts of the workshop: lands, outline on the legend, pin-1 mark, entry in the lists.

Land sizes are common practice, no source; bodies are the largest of common data sheets.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from boards.alphabet import Point
from boards.design import Pad, Part, Side
from boards.maker import LEGEND_PEN_MM, Maker, PadShape

Nets = Mapping[str, str]
SPARE = "NC"
"""Net of a pin that is not wired."""


@dataclass(frozen=True, slots=True)
class Seat:
    """Where and how a part sits; turned counter-clockwise by right angles, as seen on its own side."""

    x: float
    y: float
    turned_deg: int = 0
    side: Side = "top"

    def on_board(self, x: float, y: float) -> Point:
        """A point of the part on the board."""
        cos, sin = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[self.turned_deg % 360]
        flip = -1 if self.side == "bottom" else 1
        return self.x + flip * (x * cos - y * sin), self.y + x * sin + y * cos

    @property
    def upright(self) -> bool:
        """Whether width and height stay as in the part's own drawing."""
        return self.turned_deg % 180 == 0


class PartMaker:
    """Draws one part in its own frame."""

    def __init__(self, maker: Maker, reference: str, seat: Seat, nets: Nets) -> None:
        self.maker, self.reference, self.seat, self.nets = maker, reference, seat, nets

    def pad(self, pin: str, x: float, y: float, size: tuple[float, float], shape: PadShape = "rounded",
            drill: float | None = None) -> None:
        """One pad; a drilled one goes through the board."""
        width, height = size if self.seat.upright else size[::-1]
        at = self.seat.on_board(x, y)
        side = None if drill is not None else self.seat.side
        self.maker.pad(Pad(self.reference, pin, self.nets.get(pin, SPARE), *at, width, height, side, drill), shape)

    def line(self, *points: Point, pen_mm: float = LEGEND_PEN_MM) -> None:
        """A legend polyline."""
        self.maker.line(*(self.seat.on_board(*point) for point in points), side=self.seat.side, pen_mm=pen_mm,
                        component=self.reference)

    def frame(self, half_width: float, half_height: float) -> None:
        """A legend rectangle about the middle."""
        w, h = half_width, half_height
        self.line((-w, -h), (w, -h), (w, h), (-w, h), (-w, -h))

    def circle(self, x: float, y: float, radius: float) -> None:
        """A legend circle."""
        self.maker.circle(*self.seat.on_board(x, y), radius, self.seat.side, component=self.reference)

    def dot(self, x: float, y: float, diameter: float = 0.5) -> None:
        """A legend dot."""
        self.maker.dot(*self.seat.on_board(x, y), self.seat.side, diameter, self.reference)

    def fill(self, *points: Point) -> None:
        """A filled legend area."""
        corners = [self.seat.on_board(*point) for point in points]
        self.maker.fill(*corners, side=self.seat.side, component=self.reference)

    def enter(self, value: str, package: str, half_body: tuple[float, float], height: float,
              through: bool = False) -> None:
        """Write the part into the lists; `half_body` is half of its largest body, in its own frame."""
        w, h = half_body if self.seat.upright else half_body[::-1]
        x, y = self.seat.x, self.seat.y
        self.maker.design.parts.append(
            Part(self.reference, value, package, x, y, self.seat.turned_deg % 360, self.seat.side, through,
                 (x - w, y - h, x + w, y + h), height)
        )


CHIPS: Mapping[str, tuple[float, float, float, float, float]] = {
    # middle to middle of the lands, land width and height, half of the largest body
    "0603": (1.6, 0.9, 0.95, 0.875, 0.475),
    "0805": (1.9, 1.05, 1.4, 1.1, 0.725),
    "1206": (2.9, 1.2, 1.8, 1.7, 0.9),
    "2410": (5.4, 2.0, 2.8, 3.2, 1.4),
    "SMA": (4.2, 1.9, 1.8, 2.3, 1.46),
    "SMB": (4.4, 2.1, 2.3, 2.29, 1.97),
}


def chip(maker: Maker, reference: str, value: str, package: str, seat: Seat, nets: Nets,
         polarised: bool = False) -> None:
    """A two-land part; a polarised one has a bar at pin 1, its cathode."""
    pitch, width, height, body_w, body_h = CHIPS[package]
    part = PartMaker(maker, reference, seat, nets)
    for pin, x in (("1", -pitch / 2), ("2", pitch / 2)):
        part.pad(pin, x, 0, (width, height))
    top = max(height / 2 + 0.3, body_h)
    reach = (pitch - width) / 2 - 0.25
    if polarised:
        end = -pitch / 2 - width / 2 - 0.4
        part.line((reach, top), (end, top), (end, -top), (reach, -top))
        part.line((end - 0.25, top), (end - 0.25, -top))
    else:
        part.line((-max(reach, 0.15), top), (max(reach, 0.15), top))
        part.line((-max(reach, 0.15), -top), (max(reach, 0.15), -top))
    part.enter(value, package, (body_w, body_h), 1.1)


def two_rows(maker: Maker, reference: str, value: str, package: str, seat: Seat, nets: Nets,
             pins: int, span: float = 5.4, pitch: float = 1.27, body: float = 3.9) -> None:
    """A small-outline circuit: pins counted from lower left, counter-clockwise; long axis along x."""
    part = PartMaker(maker, reference, seat, nets)
    half = pins // 2
    land = (0.6 if pitch > 1 else 0.4, 1.55)
    for index in range(half):
        x = (index - (half - 1) / 2) * pitch
        part.pad(str(index + 1), x, -span / 2, land)
        part.pad(str(pins - index), x, span / 2, land)
    long, short = half * pitch / 2 + 0.1, min(body / 2, span / 2 - land[1] / 2 - 0.25)
    part.line((-long, 0.5), (-long, short), (long, short), (long, -short), (-long, -short), (-long, -0.5))
    part.line((-long, 0.5), (-long + 0.5, 0.5), (-long + 0.5, -0.5), (-long, -0.5))
    part.dot(-long - 0.45, -span / 2)
    part.enter(value, package, (long, body / 2 + 0.1), 1.75)


def three_lands(maker: Maker, reference: str, value: str, seat: Seat, nets: Nets) -> None:
    """A three-land transistor, SOT-23."""
    part = PartMaker(maker, reference, seat, nets)
    for pin, x, y in (("1", -0.95, -1.1), ("2", 0.95, -1.1), ("3", 0.0, 1.1)):
        part.pad(pin, x, y, (0.8, 0.9))
    part.line((-0.75, 0.65), (-1.55, 0.65), (-1.55, -0.4))
    part.line((0.75, 0.65), (1.55, 0.65), (1.55, -0.4))
    part.enter(value, "SOT-23", (1.52, 0.7), 1.1)


def terminal(maker: Maker, reference: str, value: str, seat: Seat, nets: Nets, poles: int) -> None:
    """A screw terminal of 5 mm pitch; wires enter from below, pin 1 at the left."""
    part = PartMaker(maker, reference, seat, nets)
    half = poles * 2.5 - 0.1
    for index in range(poles):
        x = (index - (poles - 1) / 2) * 5.0
        part.pad(str(index + 1), x, 0, (2.6, 2.6), "rectangle" if index == 0 else "circle", 1.3)
        part.line((x - 1.4, -2.4), (x + 1.4, -2.4))
    part.line((-half, -3.6), (half, -3.6), (half, 3.8), (-half, 3.8), (-half, -3.6))
    part.line((-half, 2.4), (half, 2.4))
    part.enter(value, f"terminal {poles} x 5.0", (half, 3.8), 10.0, through=True)


def header(maker: Maker, reference: str, value: str, seat: Seat, nets: Nets, columns: int, rows: int = 1) -> None:
    """A pin header of 2.54 mm pitch; pin 1 lower left, rows counted together as plugs do."""
    part = PartMaker(maker, reference, seat, nets)
    for column in range(columns):
        for row in range(rows):
            x, y = (column - (columns - 1) / 2) * 2.54, (row - (rows - 1) / 2) * 2.54
            pin = column * rows + row + 1
            part.pad(str(pin), x, y, (1.7, 1.7), "rectangle" if pin == 1 else "circle", 1.0)
    half_w, half_h = columns * 1.27 + 0.1, rows * 1.27 + 0.1
    part.frame(half_w, half_h)
    part.fill((-half_w - 0.7, -half_h), (-half_w - 0.15, -half_h + 0.45), (-half_w - 0.7, -half_h + 0.9))
    part.enter(value, f"header {columns} x {rows}", (half_w, half_h), 8.5, through=True)


def drum(maker: Maker, reference: str, value: str, seat: Seat, nets: Nets, diameter: float = 8.0) -> None:
    """A standing electrolytic capacitor; pin 1 is plus, the minus half is hatched."""
    part = PartMaker(maker, reference, seat, nets)
    pitch = 3.5 if diameter < 10 else 5.0
    for pin, x in (("1", -pitch / 2), ("2", pitch / 2)):
        part.pad(pin, x, 0, (1.8, 1.8), "rectangle" if pin == "1" else "circle", 0.8)
    radius = diameter / 2 + 0.1
    part.circle(0, 0, radius)
    for x in (pitch / 2 + 1.3, pitch / 2 + 1.7, pitch / 2 + 2.1):
        reach = (radius**2 - x**2) ** 0.5 if x < radius else 0.0
        if reach > 0.5:
            part.line((x, -reach + 0.2), (x, reach - 0.2))
    part.enter(value, f"radial {diameter:g}", (radius, radius), 12.0, through=True)


def relay(maker: Maker, reference: str, value: str, seat: Seat, nets: Nets) -> None:
    """A small relay of 20 x 10 mm with five pins at each long side; the middle of its outline is bare laminate."""
    part = PartMaker(maker, reference, seat, nets)
    for index in range(5):
        x = (index - 2) * 3.8
        part.pad(str(index + 1), x, -3.81, (1.8, 1.8), "rectangle" if index == 0 else "circle", 0.9)
        part.pad(str(10 - index), x, 3.81, (1.8, 1.8), "circle", 0.9)
    part.frame(10.1, 5.2)
    part.dot(-10.6, -3.81)
    part.enter(value, "relay 20 x 10", (10.1, 5.2), 11.0, through=True)
