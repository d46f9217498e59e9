"""Pins of connectors without a label, in rows whose other pins have one."""

from collections.abc import Sequence
from dataclasses import dataclass

from labelcheck.board.components import Pin
from labelcheck.press.pin_rows import PinRow
from labelcheck.press.signal_names import plain
from labelcheck.press.whose import class_of
from labelcheck.trade.sides import Side

CONNECTORS = frozenset(("J", "P", "CN", "CON", "X", "TB", "H", "K", "PL", "SK", "JST", "HDR"))
"""Classes of references that connectors have."""
LEAST_PINS, LEAST_SHARE = 4, 0.7
"""Rows shorter than this, or with a smaller share of their pins named, do not plainly name their pins."""


@dataclass(frozen=True, slots=True)
class UnnamedPins:
    """The pins of one row that have no label."""

    reference: str
    side: Side
    pins: tuple[Pin, ...]


def unnamed_pins(rows: Sequence[PinRow]) -> list[UnnamedPins]:
    """Rows of connectors that name most of their pins by words of their own, on either side, but not all.

    A pin that is named on the other side, or whose net a neighbour's label names for both, has its name.
    """
    named = {
        (row.component.reference, one.pin.name) for row in rows for one in row.named
        if one.label.text is None or _is_name(one.label.text)
    }
    found = []
    for row in rows:
        reference = row.component.reference
        if reference is None or class_of(reference) not in CONNECTORS or len(row.pins) < LEAST_PINS:
            continue
        own = {one.pin.name for one in row.named if one.label.text is None or _is_name(one.label.text)}
        nets = {one.pin.net for one in row.named}
        left = tuple(
            pin for pin in row.pins
            if (reference, pin.name) not in named and pin.net not in nets and _is_used(pin)
        )
        if left and len(own) >= LEAST_SHARE * len(row.pins):
            found.append(UnnamedPins(reference, row.side, left))
    return found


def _is_name(text: str) -> bool:
    """Numbers of pins stand at the ends of a row, and name no pin in between."""
    return not text.isdigit()


def _is_used(pin: Pin) -> bool:
    return bool(plain(pin.net or ""))
