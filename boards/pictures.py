"""Small drawn pictures for the legends: a narrow-gauge engine, a signal, a turnout, a caution sign."""

import math

from boards.alphabet import Point
from boards.design import Side
from boards.maker import LEGEND_PEN_MM, Maker

BOLD_MM = 0.2


class Sketch:
    """Draws in its own frame: lower left corner, scale, and mirrored on the bottom so that it reads there."""

    def __init__(self, maker: Maker, x: float, y: float, scale: float, side: Side) -> None:
        self.maker, self.x, self.y, self.scale, self.side = maker, x, y, scale, side

    def place(self, x: float, y: float) -> Point:
        """A point of the picture on the board."""
        flip = -self.scale if self.side == "bottom" else self.scale
        return self.x + flip * x, self.y + self.scale * y

    def line(self, *points: Point, pen_mm: float = LEGEND_PEN_MM) -> None:
        """A polyline."""
        self.maker.line(*(self.place(*point) for point in points), side=self.side, pen_mm=pen_mm)

    def circle(self, x: float, y: float, radius: float, pen_mm: float = LEGEND_PEN_MM) -> None:
        """A circle."""
        self.maker.circle(*self.place(x, y), radius * self.scale, self.side, pen_mm)

    def fill(self, *points: Point) -> None:
        """A filled area."""
        self.maker.fill(*(self.place(*point) for point in points), side=self.side)

    def disc(self, x: float, y: float, radius: float) -> None:
        """A filled circle."""
        self.maker.dot(*self.place(x, y), self.side, 2 * radius * self.scale)


def engine(maker: Maker, x: float, y: float, scale: float = 1.0, side: Side = "top") -> None:
    """A saddle-tank engine, 14 x 8.4 units, on its rail."""
    sketch = Sketch(maker, x, y, scale, side)
    sketch.line((-0.6, 0), (14.6, 0), pen_mm=BOLD_MM)
    for wheel in (3.2, 7.0):
        sketch.circle(wheel, 1.6, 1.45)
        sketch.disc(wheel, 1.6, 0.3)
    sketch.line((3.2, 1.0), (7.0, 1.0), pen_mm=BOLD_MM)
    sketch.circle(11.2, 0.95, 0.85)
    sketch.disc(11.2, 0.95, 0.2)
    sketch.line((0.4, 3.4), (13.2, 3.4), (13.2, 2.5), (0.4, 2.5), (0.4, 3.4))
    sketch.line((0.6, 3.4), (0.6, 7.6))
    sketch.line((3.6, 3.4), (3.6, 5.0), (2.9, 5.4), (2.9, 7.6))
    sketch.line((0.0, 7.6), (4.2, 7.6), pen_mm=BOLD_MM)
    sketch.line((1.2, 5.2), (2.1, 5.2), (2.1, 6.8), (1.2, 6.8), (1.2, 5.2))
    sketch.line((3.6, 5.9), (11.8, 5.9), (11.8, 3.4))
    sketch.line((12.4, 3.4), (12.4, 6.1), (11.8, 6.1))
    sketch.line((4.6, 4.4), (10.8, 4.4))
    sketch.line((10.3, 5.9), (10.1, 8.0), (11.5, 8.0), (11.3, 5.9))
    sketch.line((9.7, 8.2), (11.9, 8.2), pen_mm=BOLD_MM)
    sketch.line((6.4, 5.9), (6.4, 6.9), (7.6, 6.9), (7.6, 5.9))
    sketch.line((7.0, 6.9), (7.0, 7.5))


def signal(maker: Maker, x: float, y: float, scale: float = 1.0, side: Side = "top") -> None:
    """A three-light signal on its post, 3 x 10 units."""
    sketch = Sketch(maker, x, y, scale, side)
    sketch.line((0.3, 0), (2.7, 0), pen_mm=BOLD_MM)
    sketch.line((1.5, 0), (1.5, 3.4), pen_mm=BOLD_MM)
    sketch.line((0.4, 3.4), (2.6, 3.4), (2.6, 9.6), (0.4, 9.6), (0.4, 3.4))
    for height in (4.5, 6.5, 8.5):
        sketch.circle(1.5, height, 0.6)


def turnout(maker: Maker, x: float, y: float, scale: float = 1.0, side: Side = "top") -> None:
    """A turnout seen from above, 14 x 5 units, with an arrow on the diverging road."""
    sketch = Sketch(maker, x, y, scale, side)
    sketch.line((0, 1), (13, 1), pen_mm=BOLD_MM)
    curve = [(4 + 9 * t, 1 + 3.2 * t * t) for t in [step / 8 for step in range(9)]]
    sketch.line(*curve, pen_mm=BOLD_MM)
    for foot in (1.0, 2.4, 3.8):
        sketch.line((foot, 0.2), (foot, 1.8))
    end = curve[-1]
    heading = math.atan2(end[1] - curve[-2][1], end[0] - curve[-2][0])
    wings = [(end[0] + 1.2 * math.cos(heading + a) * s, end[1] + 1.2 * math.sin(heading + a) * s)
             for a, s in ((0, 1.0), (2.2, 0.8), (-2.2, 0.8))]
    sketch.fill(*wings)


def caution(maker: Maker, x: float, y: float, size: float, side: Side = "top") -> None:
    """A caution triangle with a lightning stroke; (x, y) is the middle of its base."""
    sketch = Sketch(maker, x, y, size, side)
    sketch.line((-0.58, 0), (0.58, 0), (0, 1), (-0.58, 0), pen_mm=BOLD_MM)
    sketch.line((0.06, 0.66), (-0.1, 0.4), (0.09, 0.4), (-0.03, 0.15), pen_mm=BOLD_MM)


def arrow(maker: Maker, start: Point, end: Point, side: Side = "top", head: float = 0.9) -> None:
    """A straight arrow with a filled head."""
    heading = math.atan2(end[1] - start[1], end[0] - start[0])
    neck = (end[0] - head * math.cos(heading), end[1] - head * math.sin(heading))
    across = (0.4 * head * math.sin(heading), -0.4 * head * math.cos(heading))
    maker.line(start, neck, side=side)
    maker.fill(end, (neck[0] + across[0], neck[1] + across[1]), (neck[0] - across[0], neck[1] - across[1]), side=side)
