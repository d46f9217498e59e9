"""How labels belong to parts: which part a label names, how far it stands from it, and which other one a reader takes
it for; and, of a part whose body hides a label, whether that label is needed once the parts are on.

A label names the part whose reference is its first word, in whatever case: `J4 MOTOR` names J4. A reader takes it for
that of the part of its kind that it stands nearest to, if that part has no nearer label of its own.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely.geometry import Point, box

from labelcheck.board.bodies.packages import package_named
from labelcheck.board.components import Component, Pin
from labelcheck.labels.label import Box, Label
from labelcheck.press.company import main_directions
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import Side

Relation = Literal["another", "covering", "aid", "own"]

_MILS = re.compile(r"^\d{2,3} ?mils?$", re.IGNORECASE)
BESIDE_MM = 0.5
"""An assembly aid lies on the body or this near to it, with all of itself."""
COVERED_PARTS = 2
"""A body over so many other parts is a shield, a plugged module, or a board on the board: it comes off again."""

SURE = 0.75
"""Text read less surely names nobody. It must be a reference that the files know, which few misreadings are."""
CLEARLY = 2.0
"""Another part is clearly nearer where a reference is so many times as far from its own."""
NEARER_MM = 0.1
"""A label that leads astray stands so much nearer to the other part than that one's own (judgement)."""
ASTRAY_MM = 5.0
"""So much farther from its own part, which no other label stands by, it need not be nearer than that one's own."""
LEAST_PARTS, NAMED_SHARE = 4, 0.75
"""A side with fewer parts, or with fewer of them named, does not plainly name its parts."""
NEAR_MM = 2.0
"""A label within this of a part may be its name."""
REFERENCE = re.compile(r"[A-Za-z]{1,4}[1-9][0-9]*")
NO_PART = ("FID", "H", "MH", "TP", "NT", "JP", "SJ", "LOGO", "G", "REF", "MK", "MP", "HS", "MECH")
"""Classes of references that stand for no part whose name anybody misses: fiducials, holes, test points, bridges."""


@dataclass(frozen=True, slots=True, eq=False)
class Mistaken:
    """A reference that a reader takes for that of another part."""

    label: Label
    own: Component
    other: Component
    own_mm: float
    other_mm: float


def relation_of(label: Label, component: Component, others: Sequence[Component]) -> Relation:
    """How a label belongs to a part that hides some of it.

    `own`: it names the part or its value; `aid`: a polarity sign or pin number for who fits the part; `covering`:
    what hides it stands over other parts too; `another`: none of these.
    """
    if names(label, component) or _says_value(label, component):
        return "own"
    if _is_aid(label, component):
        return "aid"
    if _covers_parts(component, others):
        return "covering"
    return "another"


def names(label: Label, component: Component) -> bool:
    """Whether a label says the reference of a part."""
    said = reference_said(label)
    return said is not None and said == (component.reference or "").upper()


def reference_said(label: Label) -> str | None:
    """The reference that a label says, if it says one: its first word, in capitals."""
    words = (label.text or "").upper().split()
    return words[0] if words else None


def _says_value(label: Label, component: Component) -> bool:
    value = (component.value or "").upper()
    return value != "" and " ".join((label.text or "").upper().split()) == value


def _is_aid(label: Label, component: Component) -> bool:
    """A single sign, the number of a pin, or a package name, that stands wholly within or close about the body."""
    text = (label.text or "").strip()
    pins = {pin.name for pin in component.pins}
    single = label.kind == "mark" or len(text) == 1 or (text.isdigit() and text in pins) or _names_package(text)
    if not single or component.body is None:
        return False
    return bool(component.body.area.buffer(BESIDE_MM).contains(box(*label.box_mm)))


def _names_package(text: str) -> bool:
    """`SO-8`, `208mil`, `0805`: which size belongs there; a zero is often read for the letter."""
    return bool(_MILS.match(text)) or any(
        package_named(written) is not None for written in (text, text.replace("S0", "SO"))
    )


def _covers_parts(component: Component, others: Sequence[Component]) -> bool:
    if component.body is None:
        return False
    covered = 0
    x0, y0, x1, y1 = component.body.area.bounds
    for other in others:
        at = other.at_mm
        if other is component or at is None or not (x0 < at[0] < x1 and y0 < at[1] < y1):
            continue
        covered += bool(component.body.area.contains(Point(at)))
    return covered >= COVERED_PARTS


def class_of(reference: str) -> str:
    """The letters that a reference begins with."""
    return reference.rstrip("0123456789")


def references_on(labels: Sequence[Label], components: Sequence[Component], side: Side) -> dict[str, Label]:
    """The label of each component that is surely named on a side, none where a reference stands there twice."""
    known = {one.reference.upper(): one.reference for one in components if one.reference is not None}
    found: dict[str, list[Label]] = {}
    for label in labels:
        said = known.get(reference_said(label) or "")
        if label.side is side and said is not None and label.text_confidence >= SURE and not label.mirrored:
            found.setdefault(said, []).append(label)
    return {reference: some[0] for reference, some in found.items() if len(some) == 1}


def mistaken_references(components: Sequence[Component], labels: Sequence[Label], side: Side) -> list[Mistaken]:
    """References of one side that stand clearly nearer to another part of their class than to their own.

    Only where the other part has no label of its own nearer by, so that a reader is led astray; and only where one
    part carries each name, for on a panel the files do not tell which of them a label is meant for.
    """
    named = references_on(labels, components, side)
    parts = [one for one in components if one.reference is not None and one.side is side]
    boxes = {id(one): box for one in parts if (box := box_of(one)) is not None}
    by_class: dict[str, list[Component]] = {}
    for one in parts:
        if id(one) in boxes:
            by_class.setdefault(class_of(str(one.reference)), []).append(one)
    found = []
    for alike in by_class.values():
        references = [str(one.reference) for one in alike]
        if len(alike) < 2 or len(set(references)) < len(references):
            continue
        shown = [place for place, reference in enumerate(references) if reference in named]
        if not shown:
            continue
        far = distances(
            np.array([named[references[place]].box_mm for place in shown]),
            np.array([boxes[id(one)] for one in alike]),
        )
        nearest_label = far.min(axis=0)
        for row, place in enumerate(shown):
            other = int(np.argmin(far[row]))
            clearly = far[row, place] > CLEARLY * far[row, other]
            its_own = far[shown.index(other), other] if other in shown else np.inf
            astray = far[row, place] - far[row, other] > ASTRAY_MM and nearest_label[place] > ASTRAY_MM
            spare = NEARER_MM if astray else 0.0
            nearest = far[row, other] <= nearest_label[other] + spare
            if clearly and nearest and its_own > far[row, other] + NEARER_MM - 2 * spare:
                label = named[references[place]]
                found.append(Mistaken(
                    label, alike[place], alike[other], float(far[row, place]), float(far[row, other])
                ))
    return sorted(found, key=lambda one: (-one.label.box_mm[3], one.label.box_mm[0]))


def box_of(component: Component, body_side: Side | None = None) -> Box | None:
    """Around the pads of a part and its body; None where neither is known.

    With a side the body counts only where it stands on that.
    """
    boxes = [pin_box(pin) for pin in component.pins]
    if component.body is not None and body_side in (None, component.side):
        boxes.append(component.body.area.bounds)
    if not boxes:
        return None
    table = np.array(boxes)
    x0, y0 = table[:, :2].min(axis=0).tolist()
    x1, y1 = table[:, 2:].max(axis=0).tolist()
    return (x0, y0, x1, y1)


def pin_box(pin: Pin) -> Box:
    """Around the pad of a pin; its place alone where the size is not told."""
    w, h = (pin.width_mm or 0.0) / 2, (pin.height_mm or 0.0) / 2
    return (pin.x_mm - w, pin.y_mm - h, pin.x_mm + w, pin.y_mm + h)


def distances(a: Floats, b: Floats) -> Floats:
    """From each box of `a` (n, 4) to each of `b` (m, 4), edge to edge, shape (n, m); 0 where they meet."""
    x = np.maximum(np.maximum(b[None, :, 0] - a[:, None, 2], a[:, None, 0] - b[None, :, 2]), 0.0)
    y = np.maximum(np.maximum(b[None, :, 1] - a[:, None, 3], a[:, None, 1] - b[None, :, 3]), 0.0)
    return np.asarray(np.hypot(x, y))


def references_drawn(labels: Sequence[Label]) -> set[str]:
    """All that may be references at the beginning of a word, in capitals, however surely read.

    `F1T2A` gives `F1`, for blanks between words are not always read.
    """
    words = [word.upper() for label in labels for word in (label.text or "").split()]
    return {first[0] for word in words if (first := REFERENCE.match(word)) is not None}


def unnamed_parts(components: Sequence[Component], labels: Sequence[Label], side: Side) -> list[str]:
    """References of the parts of a side that no label names, in order; none where the side names few of its parts.

    Neither where a label near the part was not read surely, or reads upside down: it may be the name.
    """
    named = references_on(labels, components, side)
    drawn = references_drawn(labels)
    parts = [
        one for one in components
        if one.side is side and one.reference is not None and class_of(one.reference) not in NO_PART
        and REFERENCE.fullmatch(one.reference)
    ]
    if len(parts) < LEAST_PARTS or len(named) < NAMED_SHARE * len(parts):
        return []
    main = main_directions(labels)
    unsure = [
        label.box_mm for label in labels
        # `L6` upside down is `97`.
        if label.text is None or label.text_confidence < SURE or round(label.turned_deg / 90) % 4 * 90 not in main
    ]
    left = [one for one in parts if str(one.reference).upper() not in drawn]
    found = []
    for one in left:
        own = box_of(one)
        if own is None or not unsure or distances(np.array([own]), np.array(unsure)).min() > NEAR_MM:
            found.append(str(one.reference))
    return found
