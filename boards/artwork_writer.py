"""Writes one layer as a Gerber file: apertures found from the objects, attributes, strokes, arcs, regions.

After the Gerber Layer Format Specification: FS and MO (4.1, 4.2), apertures (4.3, 4.4), plotting (4.7 to 4.10),
attributes (5).
"""

import math
from collections.abc import Iterable
from itertools import pairwise

from boards.alphabet import Point, Stroke
from boards.design import Arc, Drawn, Flash, Line, Region
from boards.dialect import Dialect

MM_PER_INCH = 25.4
FileAttribute = tuple[str, ...]
"""Name and values, as `(".FilePolarity", "Positive")`."""
Template = tuple[str, tuple[float, ...], str | None]
"""Template, parameters in mm, and the aperture's function."""

ROUNDED_MACRO = (
    "AMROUNDED*0 width, height, corner*21,1,$1-$3-$3,$2,0,0,0*21,1,$1,$2-$3-$3,0,0,0*"
    "1,1,$3+$3,$1/2-$3,$2/2-$3*1,1,$3+$3,$3-$1/2,$2/2-$3*1,1,$3+$3,$3-$1/2,$3-$2/2*1,1,$3+$3,$1/2-$3,$3-$2/2*"
)


def write_artwork(objects: Iterable[Drawn], file_attributes: Iterable[FileAttribute], dialect: Dialect,
                  comment: str, pen_function: str | None = None) -> bytes:
    """One Gerber file of the objects in their order."""
    return _Writer(dialect, pen_function).write(list(objects), list(file_attributes), comment)


def template_of(drawn: Drawn, pen_function: str | None) -> Template | None:
    """The aperture that an object needs; None for a region."""
    if isinstance(drawn, Region):
        return None
    if isinstance(drawn, Line | Arc):
        own = drawn.function if isinstance(drawn, Line) else None
        return "C", (drawn.pen_mm,), pen_function if own is None else own
    width, height = drawn.width_mm, drawn.height_mm
    if drawn.shape == "circle":
        return "C", (width,), drawn.function
    if drawn.shape == "rounded":
        return "ROUNDED", (width, height, drawn.corner_mm), drawn.function
    return {"rectangle": "R", "obround": "O"}[drawn.shape], (width, height), drawn.function


class _Writer:
    """Collects lines and the graphics state that need not be repeated."""

    def __init__(self, dialect: Dialect, pen_function: str | None) -> None:
        self.dialect = dialect
        self.pen_function = pen_function
        self.scale = 10**dialect.decimals / (MM_PER_INCH if dialect.unit == "inch" else 1.0)
        self.lines: list[str] = []
        self.codes: dict[Template, int] = {}
        self.aperture: int | None = None
        self.dark = True
        self.mode: str | None = None
        self.attributes: dict[str, str] = {}
        self.at: tuple[int, int] | None = None
        self.modal_at: tuple[int, int] | None = None

    def write(self, objects: list[Drawn], file_attributes: list[FileAttribute], comment: str) -> bytes:
        """Header, apertures, objects, end."""
        digits = f"{self.dialect.whole_digits}{self.dialect.decimals}"
        self.lines.append(f"G04 {comment}*")
        unit = "IN" if self.dialect.unit == "inch" else "MM"
        numbers = [f"%FS{self.dialect.zeros}AX{digits}Y{digits}*%", f"%MO{unit}*%"]
        if self.dialect.attributes != "comments":
            self.lines += numbers
        for attribute in file_attributes:
            self._attribute("TF" + ",".join(attribute))
        if self.dialect.attributes == "comments":
            self.lines += numbers
        self.lines += ["%LPD*%", "G01*"]
        self.mode = "G01"
        self._apertures(objects)
        for drawn in objects:
            self._object(drawn)
        self._object_attributes({})
        self.lines.append("M02*")
        return (self.dialect.newline.join(self.lines) + self.dialect.newline).encode("utf-8")

    def _attribute(self, text: str) -> None:
        if self.dialect.attributes == "extended":
            self.lines.append(f"%{text}*%")
        elif self.dialect.attributes == "comments":
            self.lines.append(f"G04 #@! {text}*")

    def _apertures(self, objects: list[Drawn]) -> None:
        """Define every aperture once, in order of first use."""
        templates = dict.fromkeys(
            template for drawn in objects if (template := template_of(drawn, self.pen_function)) is not None
        )
        if any(name == "ROUNDED" for name, _, _ in templates):
            self.lines.append(f"%{ROUNDED_MACRO}%")
        per_unit = MM_PER_INCH if self.dialect.unit == "inch" else 1.0
        for code, template in enumerate(templates, start=10):
            name, parameters, function = template
            if function is not None:
                self._attribute(f"TA.AperFunction,{function}")
            sizes = "X".join(f"{size / per_unit:.6f}" for size in parameters)
            self.lines.append(f"%ADD{code}{name},{sizes}*%")
            if function is not None:
                self._attribute("TD")
            self.codes[template] = code

    def _object(self, drawn: Drawn) -> None:
        self._object_attributes(_attributes_of(drawn))
        self._polarity(True if isinstance(drawn, Arc) else drawn.dark)
        template = template_of(drawn, self.pen_function)
        if template is not None and self.codes[template] != self.aperture:
            self.aperture = self.codes[template]
            self.lines.append(f"D{self.aperture}*")
        if isinstance(drawn, Flash):
            self._to((drawn.x, drawn.y), "D03")
        elif isinstance(drawn, Line):
            self._line(drawn.points)
        elif isinstance(drawn, Arc):
            self._arc(drawn)
        else:
            self._region(drawn)

    def _object_attributes(self, wanted: dict[str, str]) -> None:
        """Set what changes; a name that is no longer wanted is deleted."""
        if self.dialect.attributes == "none" or wanted == self.attributes:
            return
        gone = [name for name in self.attributes if name not in wanted]
        if gone and not wanted:
            self._attribute("TD")
        else:
            for name in gone:
                self._attribute(f"TD{name}")
        for name, value in wanted.items():
            if self.attributes.get(name) != value:
                self._attribute(f"TO{name},{value}")
        self.attributes = wanted

    def _polarity(self, dark: bool) -> None:
        if dark != self.dark:
            self.lines.append("%LPD*%" if dark else "%LPC*%")
            self.dark = dark

    def _interpolate(self, mode: str) -> None:
        if mode != self.mode:
            self.lines.append(f"{mode}*")
            self.mode = mode

    def _grid(self, point: Point) -> tuple[int, int]:
        return round(point[0] * self.scale), round(point[1] * self.scale)

    def _digits(self, steps: int) -> str:
        """A coordinate without the zeros that the format leaves out."""
        if self.dialect.zeros == "L":
            return str(steps)
        whole = f"{abs(steps):0{self.dialect.whole_digits + self.dialect.decimals}d}"
        return ("-" if steps < 0 else "") + (whole.rstrip("0") or "0")

    def _to(self, point: Point, operation: str, offsets: str = "") -> None:
        """One operation; in a modal dialect an unchanged X or Y is left out."""
        x, y = self._grid(point)
        words = f"X{self._digits(x)}Y{self._digits(y)}"
        if self.dialect.modal and self.modal_at is not None and not offsets:
            words = ("" if x == self.modal_at[0] else f"X{self._digits(x)}") + (
                "" if y == self.modal_at[1] else f"Y{self._digits(y)}")
        self.lines.append(f"{words}{offsets}{operation}*")
        self.at = self.modal_at = (x, y)

    def _line(self, points: Stroke) -> None:
        self._interpolate("G01")
        if self.at != self._grid(points[0]) or len(points) == 1:
            self._to(points[0], "D02")
        for point in points[1:] or points:
            self._to(point, "D01")

    def _arc(self, arc: Arc) -> None:
        """At most half a circle a command, so that no reader has to tell a full circle from none."""
        if "G75*" not in self.lines:
            self.lines.append("G75*")
        parts = max(1, math.ceil(arc.sweep_deg / 180))
        ends = [arc.start_deg + arc.sweep_deg * part / parts for part in range(parts + 1)]
        points = [_on_circle(arc, angle) for angle in ends]
        self._to(points[0], "D02")
        self._interpolate("G03")
        for start, end in pairwise(points):
            self._to(end, "D01", self._offsets(start, (arc.x, arc.y)))
        self._interpolate("G01")

    def _offsets(self, start: Point, centre: Point) -> str:
        x, y = self._grid(start)
        to_x, to_y = self._grid(centre)
        return f"I{self._digits(to_x - x)}J{self._digits(to_y - y)}"

    def _region(self, region: Region) -> None:
        outer = region.outer if region.clear_holes else cut_in(region.outer, region.holes)
        self._contour(outer)
        if region.clear_holes and region.holes:
            self._polarity(not region.dark)
            for hole in region.holes:
                self._contour(hole)
            self._polarity(region.dark)

    def _contour(self, points: Stroke) -> None:
        self._interpolate("G01")
        self.lines.append("G36*")
        self._to(points[0], "D02")
        for point in points[1:]:
            self._to(point, "D01")
        if self._grid(points[0]) != self.at:
            self._to(points[0], "D01")
        self.lines.append("G37*")


def _attributes_of(drawn: Drawn) -> dict[str, str]:
    """Object attributes: the pin with its component, the component alone, the net."""
    attributes: dict[str, str] = {}
    pin = drawn.pin if isinstance(drawn, Flash) else None
    component = drawn.component
    if component is not None and pin is not None:
        attributes[".P"] = f"{component},{pin}"
    elif component is not None:
        attributes[".C"] = component
    if isinstance(drawn, Flash):
        attributes |= dict(drawn.properties)
    net = None if isinstance(drawn, Arc) else drawn.net
    if net is not None:
        attributes[".N"] = net
    return attributes


def _on_circle(arc: Arc, angle_deg: float) -> Point:
    angle = math.radians(angle_deg)
    return arc.x + arc.radius_mm * math.cos(angle), arc.y + arc.radius_mm * math.sin(angle)


def cut_in(outer: Stroke, holes: tuple[Stroke, ...]) -> Stroke:
    """Join holes to the outer contour by coincident bridges, as a single contour can hold no hole.

    Each hole is entered horizontally from its leftmost point, leftmost holes first, so that no bridge crosses
    a hole that is not joined yet (specification 4.10.5 asks for just such fully coincident cut-ins).
    """
    ring = list(outer)
    for hole in sorted(holes, key=min):
        start = min(range(len(hole)), key=lambda index: hole[index])
        turned = (*hole[start:], *hole[:start])
        index, landing = _landing(ring, turned[0])
        ring[index + 1 : index + 1] = [landing, *turned, turned[0], landing]
    return tuple(ring)


def _landing(ring: list[Point], point: Point) -> tuple[int, Point]:
    """The nearest place of the ring straight left of a point: the index of its edge, and the place."""
    best: tuple[float, int] | None = None
    for index, (a, b) in enumerate(zip(ring, ring[1:] + ring[:1], strict=True)):
        low, high = min(a[1], b[1]), max(a[1], b[1])
        if not low <= point[1] < high:
            continue
        x = a[0] + (b[0] - a[0]) * (point[1] - a[1]) / (b[1] - a[1])
        if x <= point[0] and (best is None or x > best[0]):
            best = x, index
    if best is None:
        raise ValueError("a hole lies outside the contour that it is cut out of")
    return best[1], (best[0], point[1])
