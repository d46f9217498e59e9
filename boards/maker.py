"""Draws on a design: text, lines, pads, vias, holes, and everything that belongs to them on other layers."""

from typing import Literal

from boards.alphabet import LINE_PITCH, Lettering, Point
from boards.design import (
    SIDES,
    Anchor,
    Arc,
    Contour,
    Design,
    Fault,
    Flash,
    Hole,
    Label,
    Line,
    Pad,
    Region,
    Side,
    middle_of,
    place_text,
)
from boards.inking import drawn_label

PadShape = Literal["circle", "rectangle", "obround", "rounded"]
MASK_MARGIN_MM = 0.05
"""The mask opening reaches this far past the copper of a pad."""
LEGEND_PEN_MM = 0.15
SMALL = Lettering(1.2, 0.15)
"""References and pin labels."""
PIN = Lettering(1.5, 0.2)
HEADING = Lettering(2.4, 0.3)


def rectangle(x0: float, y0: float, x1: float, y1: float, radius: float = 0.0) -> Contour:
    """A rectangular contour, counter-clockwise."""
    return Contour(((x0, y0, radius), (x1, y0, radius), (x1, y1, radius), (x0, y1, radius)))


class Maker:
    """Puts things on a design; every method draws on all layers that the thing needs."""

    def __init__(self, design: Design) -> None:
        self.design = design

    def text(self, text: str, x: float, y: float, lettering: Lettering = SMALL, side: Side = "top",
             turned_deg: float = 0.0, anchor: Anchor = "middle", component: str | None = None,
             mirrored: bool = False) -> Label:
        """One line of text, its height centred on (x, y)."""
        label = place_text(text, (x, y), lettering, side, turned_deg, anchor, component, mirrored)
        return self.add(label)

    def add(self, label: Label) -> Label:
        """Draw a label that was laid already."""
        self.design.labels.append(label)
        self.design.layer("legend", label.side).extend(drawn_label(label))
        return label

    def block(self, lines: list[str], x: float, y: float, lettering: Lettering = SMALL, side: Side = "top",
              anchor: Anchor = "left") -> list[Label]:
        """Several lines one under the other, the first centred on y."""
        pitch = LINE_PITCH * lettering.height_mm
        return [self.text(line, x, y - index * pitch, lettering, side, anchor=anchor)
                for index, line in enumerate(lines)]

    def line(self, *points: Point, side: Side = "top", pen_mm: float = LEGEND_PEN_MM,
             component: str | None = None) -> None:
        """A legend polyline."""
        self.design.layer("legend", side).append(Line(tuple(points), pen_mm, component))

    def frame(self, x0: float, y0: float, x1: float, y1: float, side: Side = "top", pen_mm: float = LEGEND_PEN_MM,
              component: str | None = None) -> None:
        """A legend rectangle along the middle of its line."""
        self.line((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0), side=side, pen_mm=pen_mm, component=component)

    def circle(self, x: float, y: float, radius: float, side: Side = "top", pen_mm: float = LEGEND_PEN_MM,
               component: str | None = None) -> None:
        """A legend circle."""
        self.arc(x, y, radius, 0.0, 360.0, side, pen_mm, component)

    def arc(self, x: float, y: float, radius: float, start_deg: float, sweep_deg: float, side: Side = "top",
            pen_mm: float = LEGEND_PEN_MM, component: str | None = None) -> None:
        """A legend arc, counter-clockwise."""
        self.design.layer("legend", side).append(Arc(x, y, radius, start_deg, sweep_deg, pen_mm, component))

    def dot(self, x: float, y: float, side: Side = "top", diameter: float = 0.5,
            component: str | None = None) -> None:
        """A legend dot."""
        self.design.layer("legend", side).append(Line(((x, y),), diameter, component))

    def fill(self, *points: Point, side: Side = "top", component: str | None = None) -> None:
        """A filled legend area."""
        self.design.layer("legend", side).append(Region(tuple(points), component=component))

    def pad(self, pad: Pad, shape: PadShape, paste: bool = True, margin_mm: float = MASK_MARGIN_MM) -> None:
        """A pad with its opening, its paste and its record; drilled where the pad says so."""
        through = pad.drill_mm is not None
        sides = SIDES if pad.side is None else (pad.side,)
        corner = 0.25 * min(pad.width_mm, pad.height_mm) if shape == "rounded" else 0.0
        function = "ComponentPad" if through else "SMDPad,CuDef"
        for side in sides:
            self.design.layer("copper", side).append(
                Flash(pad.x, pad.y, shape, pad.width_mm, pad.height_mm, corner, function, pad.component, pad.pin,
                      pad.net)
            )
            grown = corner + margin_mm if shape == "rounded" else 0.0
            self.design.layer("mask", side).append(
                Flash(pad.x, pad.y, shape, pad.width_mm + 2 * margin_mm, pad.height_mm + 2 * margin_mm, grown,
                      component=pad.component)
            )
            if paste and not through:
                self.design.layer("paste", side).append(
                    Flash(pad.x, pad.y, shape, pad.width_mm, pad.height_mm, corner, component=pad.component)
                )
        if pad.drill_mm is not None:
            self.design.holes.append(Hole(pad.x, pad.y, pad.drill_mm, plated=True))
        self.design.pads.append(pad)

    def test_pad(self, reference: str, net: str, x: float, y: float, diameter: float = 1.5,
                 side: Side = "top") -> None:
        """A bare round pad to touch with a probe."""
        self.pad(Pad(reference, "1", net, x, y, diameter, diameter, side, None), "circle", paste=False)

    def via(self, net: str, x: float, y: float, tented: bool = True, diameter: float = 0.7,
            drill: float = 0.3) -> None:
        """A via; the mask covers a tented one."""
        for side in SIDES:
            self.design.layer("copper", side).append(
                Flash(x, y, "circle", diameter, diameter, function="ViaPad", net=net)
            )
            if not tented:
                self.design.layer("mask", side).append(Flash(x, y, "circle", diameter + 0.1, diameter + 0.1))
        self.design.holes.append(Hole(x, y, drill, plated=True, function="ViaDrill"))
        self.design.pads.append(Pad("", "", net, x, y, diameter, diameter, None, drill, masked=tented))

    def mounting_hole(self, x: float, y: float, diameter: float = 3.2, ring: float | None = 6.4) -> None:
        """An unplated hole, bare of mask, with a ring for the screw head on both legends."""
        self.design.holes.append(Hole(x, y, diameter, plated=False, function="MechanicalDrill"))
        for side in SIDES:
            self.design.layer("mask", side).append(Flash(x, y, "circle", diameter + 0.2, diameter + 0.2))
            if ring is not None:
                self.circle(x, y, ring / 2, side)

    def track(self, net: str, *points: Point, side: Side = "top", width: float = 0.3) -> None:
        """A copper track."""
        self.design.layer("copper", side).append(Line(tuple(points), width, net=net))

    def fault(self, analyser: str, severity: str | None, what: str, *labels: Label, at: Point | None = None,
              measured: float | None = None, limit: float | None = None, unit: str = "mm") -> None:
        """Note what must be found; without a place it is the middle of the labels."""
        boxes = [label.box for label in labels]
        low, high = [min(box[i] for box in boxes) for i in (0, 1)], [max(box[i] for box in boxes) for i in (2, 3)]
        whole = (low[0], low[1], high[0], high[1])
        place = middle_of(whole) if at is None else at
        texts = tuple(label.text for label in labels)
        self.design.faults.append(
            Fault(analyser, texts, labels[0].side, place, whole, severity, measured, limit, unit, what)
        )

    def innocent(self, label: Label, why: str) -> None:
        """Note a label that stands just on the good side of a limit."""
        self.design.innocent.append((label, why))
