"""Whose reference a reader takes a label for: the part of its kind that it stands nearest to, if that part has no
nearer label of its own.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from labelcheck.board.components import Component
from labelcheck.labels.label import Box, Label
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import Side

SURE = 0.9
"""Text read less surely names nobody."""
CLEARLY = 2.0
"""Another part is clearly nearer where a reference is so many times as far from its own."""
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


def class_of(reference: str) -> str:
    """The letters that a reference begins with."""
    return reference.rstrip("0123456789")


def references_on(labels: Sequence[Label], components: Sequence[Component], side: Side) -> dict[str, Label]:
    """The label of each component that is surely named on a side, none where a reference stands there twice."""
    known = {one.reference for one in components}
    found: dict[str, list[Label]] = {}
    for label in labels:
        if label.side is side and label.text in known and label.text_confidence >= SURE and not label.mirrored:
            found.setdefault(str(label.text), []).append(label)
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
            if clearly and far[row, other] <= nearest_label[other]:
                label = named[references[place]]
                found.append(Mistaken(
                    label, alike[place], alike[other], float(far[row, place]), float(far[row, other])
                ))
    return sorted(found, key=lambda one: (-one.label.box_mm[3], one.label.box_mm[0]))


def box_of(component: Component) -> Box | None:
    """Around the pads of a part and its body; None where neither is known."""
    boxes = [
        (pin.x_mm - w, pin.y_mm - h, pin.x_mm + w, pin.y_mm + h)
        for pin in component.pins
        for w, h in [((pin.width_mm or 0.0) / 2, (pin.height_mm or 0.0) / 2)]
    ]
    if component.body is not None:
        boxes.append(component.body.area.bounds)
    if not boxes:
        return None
    table = np.array(boxes)
    x0, y0 = table[:, :2].min(axis=0).tolist()
    x1, y1 = table[:, 2:].max(axis=0).tolist()
    return (x0, y0, x1, y1)


def distances(a: Floats, b: Floats) -> Floats:
    """From each box of `a` (n, 4) to each of `b` (m, 4), edge to edge, shape (n, m); 0 where they meet."""
    x = np.maximum(np.maximum(b[None, :, 0] - a[:, None, 2], a[:, None, 0] - b[None, :, 2]), 0.0)
    y = np.maximum(np.maximum(b[None, :, 1] - a[:, None, 3], a[:, None, 1] - b[None, :, 3]), 0.0)
    return np.asarray(np.hypot(x, y))


def unnamed_parts(components: Sequence[Component], labels: Sequence[Label], side: Side) -> list[str]:
    """References of the parts of a side that no label names, in order; none where the side names few of its parts.

    Neither where a label near the part was not read surely: it may be the name.
    """
    named = references_on(labels, components, side)
    # `F1 T2A`: blanks between words are not always read.
    words = [word for label in labels for word in (label.text or "").split()]
    drawn = {first[0] for word in words if (first := REFERENCE.match(word)) is not None}
    parts = [
        one for one in components
        if one.side is side and one.reference is not None and class_of(one.reference) not in NO_PART
        and REFERENCE.fullmatch(one.reference)
    ]
    if len(parts) < LEAST_PARTS or len(named) < NAMED_SHARE * len(parts):
        return []
    unsure = [label.box_mm for label in labels if label.text is None or label.text_confidence < SURE]
    left = [one for one in parts if one.reference not in drawn]
    boxes = [box_of(one) for one in left]
    found = []
    for one, box in zip(left, boxes, strict=True):
        near = box is not None and bool(unsure) and distances(np.array([box]), np.array(unsure)).min() <= NEAR_MM
        if not near:
            found.append(str(one.reference))
    return found
