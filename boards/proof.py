"""Proves from exact shapes how good every label of a design is; nothing is measured on a picture.

Least values are those of a photo-imaged legend: common practice, no source. The eye's least height is 16 minutes of
arc at 250 mm, 2 · 250 · tan(8') = 1.164 mm (ISO 9241-3, quoted).
"""

from collections.abc import Iterator
from dataclasses import dataclass

from shapely import STRtree
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from boards.design import SIDES, Design, Fault, Label
from boards.geometry import drawing_shapes, hole_shape, ink_of, laminate, narrowest_gap, opening_shapes

STROKE, HEIGHT, GAP, CLIP, HOLE, EDGE = 0.15, 1.164, 0.15, 0.10, 0.10, 0.25
APART = 0.15
"""Ink of different labels and drawings stays this far apart, so that nothing crosses or runs together."""
NEAR = 1.0
"""What is further away than this does not matter."""


@dataclass(frozen=True, slots=True)
class Place:
    """How far a label's ink is from everything that could spoil it, in mm, at most `NEAR`; 0 where it touches."""

    opening: float
    edge: float
    hole: float
    other_ink: float
    body: float
    """From the body of any other part on its side."""


def places(design: Design) -> Iterator[tuple[Label, Place]]:
    """Every label with its clearances."""
    board = laminate(design)
    rim = board.boundary
    holes = _Near([hole_shape(hole) for hole in design.holes])
    for side in SIDES:
        bare, drawn = _Near(opening_shapes(design, side)), _Near(drawing_shapes(design, side))
        labels = [label for label in design.labels if label.side == side]
        inks = [ink_of(label) for label in labels]
        lettered = _Near(inks)
        standing = [(part, box(*part.body)) for part in design.parts if part.side == side]
        for label, ink in zip(labels, inks, strict=True):
            edge = min(NEAR, rim.distance(ink)) if board.contains(ink) else 0.0
            other = min(drawn.distance(ink), lettered.distance(ink))
            bodies = _Near([body for part, body in standing if part.reference not in (label.component, label.text)])
            yield label, Place(bare.distance(ink), edge, holes.distance(ink), other, bodies.distance(ink))


def wrong(label: Label, place: Place) -> set[str]:
    """The analysers that must object to a label."""
    found = set()
    if label.lettering.pen_mm < STROKE:
        found.add("thin-stroke")
    if label.lettering.height_mm < HEIGHT:
        found.add("short-character")
    if narrowest_gap(label) < GAP:
        found.add("closed-gap")
    if place.opening < CLIP:
        found.add("in-opening")
    elif place.hole < HOLE:
        found.add("across-hole")
    if place.edge < EDGE:
        found.add("past-outline")
    if place.other_ink < APART:
        found.add("crossing-ink")
    if place.body <= 0:
        found.add("under-body")
    if label.drawn_as == "hairlines":
        found.add("not-read-as-printed")
    if label.mirrored:
        found.add("mirrored")
    return found


def concerns(fault: Fault, label: Label) -> bool:
    """Whether a fault was planted on this label."""
    if fault.side != label.side or label.text not in fault.labels:
        return False
    x0, y0, x1, y1 = label.box
    left, low, right, high = fault.box_mm
    return x0 >= left - 1e-6 and y0 >= low - 1e-6 and x1 <= right + 1e-6 and y1 <= high + 1e-6


class _Near:
    """Finds the distance to the nearest of many shapes, the asking shape itself left out."""

    def __init__(self, shapes: list[BaseGeometry]) -> None:
        self._shapes = shapes
        self._tree = STRtree(shapes)

    def distance(self, ink: BaseGeometry) -> float:
        near = [self._shapes[index] for index in self._tree.query(ink.buffer(NEAR)) if self._shapes[index] is not ink]
        return min([NEAR, *(shape.distance(ink) for shape in near)])
