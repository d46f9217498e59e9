"""How a label belongs to the part whose body hides it: whether it is needed once the parts are on."""

import re
from collections.abc import Sequence
from typing import Literal

from shapely.geometry import Point, box

from labelcheck.board.bodies.packages import package_named
from labelcheck.board.components import Component
from labelcheck.labels.label import Label

Relation = Literal["another", "covering", "aid", "own"]

_MILS = re.compile(r"^\d{2,3} ?mils?$", re.IGNORECASE)
BESIDE_MM = 0.5
"""An assembly aid lies on the body or this near to it, with all of itself."""
COVERED_PARTS = 2
"""A body over so many other parts is a shield, a plugged module, or a board on the board: it comes off again."""


def relation_of(label: Label, component: Component, others: Sequence[Component]) -> Relation:
    """How a label belongs to a part that hides some of it.

    `own`: it names the part or its value; `aid`: a polarity sign or pin number for who fits the part; `covering`:
    what hides it stands over other parts too; `another`: none of these.
    """
    if _names(label, component):
        return "own"
    if _is_aid(label, component):
        return "aid"
    if _covers_parts(component, others):
        return "covering"
    return "another"


def _names(label: Label, component: Component) -> bool:
    if label.text is None:
        return False
    text = label.text.upper().split()
    reference = (component.reference or "").upper()
    value = (component.value or "").upper()
    return bool(text) and (text[0] == reference or (value != "" and " ".join(text) == value))


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
