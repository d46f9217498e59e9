"""Pads that say whose they are: flashes on copper with `.P` and `.N`, and records of a netlist."""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from labelcheck.board.bodies.component_layer import attributes_of
from labelcheck.board.bodies.told import Told
from labelcheck.board.components import Pin
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.netlist import NetPoint
from labelcheck.trade.remembering import remembered
from labelcheck.trade.shapes import Kind
from labelcheck.trade.sides import OUTER_SIDES, Side

_ENDS_OF_STROKES = (b"D01*", b"D02*", b"D01*\r", b"D02*\r", b"D1*", b"D2*", b"D1*\r", b"D2*\r")
_WHOLE_FLASH = re.compile(rb"X[-+]?\d+Y[-+]?\d+D0?3\*\s*")
SAME_PLACE_MM = 0.02
"""Pads of one pin this near to each other on both sides are one that goes through."""


def names_pins(data: bytes) -> bool:
    """Whether a copper file says which pin a pad belongs to."""
    return b"TO.P," in data


def flashes_only(data: bytes) -> bytes:
    """A copper file without its tracks and planes, where each flash tells its own place; else as it is.

    Lines keep their numbers. Reading the pads alone takes half of the time.
    """
    if b"%AB" in data or b"%SR" in data:
        return data
    lines = data.split(b"\n")
    flashed = [line for line in lines if b"D03*" in line or b"D3*" in line]
    if not all(_WHOLE_FLASH.fullmatch(line) or b"TO." in line for line in flashed):
        return data
    return b"\n".join([b"" if line.endswith(_ENDS_OF_STROKES) else line for line in lines])


@remembered
def pins_on_copper(copper: Iterable[tuple[Side, Artwork]]) -> tuple[Told, ...]:
    """Components with their pins, from the flashes of the outer copper layers."""
    pins: dict[str, list[tuple[Side, Pin]]] = defaultdict(list)
    for side, artwork in copper:
        sets = attributes_of(artwork)
        boxes = artwork.shapes.boxes().tolist()
        for number in np.flatnonzero(artwork.shapes.kind == Kind.FLASH).tolist():
            of_pad, (x0, y0, x1, y1) = sets[number], boxes[number]
            if len(of_pad.get(".P", ())) < 2 or not np.isfinite(x0):
                continue
            reference, name, *rest = of_pad[".P"]
            net = of_pad.get(".N", ("",))[:1]
            through = of_pad.get(".AperFunction", ("",))[:1] == ("ComponentPad",)
            pins[reference].append((side, Pin(
                name, rest[0] if rest and rest[0] else None, net[0] or None if net else None,
                (x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0, through,
            )))  # fmt: skip
    return tuple(
        Told(reference, _side_of(copy), pins=_once(copy))
        for reference, found in pins.items()
        if reference
        for copy in _copies(found)
    )


def pins_of_netlist(points: Iterable[NetPoint]) -> tuple[Told, ...]:
    """Components with their pins, from the records of a netlist; vias belong to none."""
    pins: dict[str, list[tuple[Side, Pin]]] = defaultdict(list)
    for point in points:
        if point.is_via or point.reference is None:
            continue
        width = point.width_mm
        height = point.height_mm if point.height_mm is not None else width
        if round(point.rotation_deg / 90) % 2:
            width, height = height, width
        through = point.hole_mm is not None and point.side is Side.BOTH
        pin = Pin(point.pin or "", None, point.net, point.x_mm, point.y_mm, width, height, through)
        pins[point.reference].append((point.side, pin))
    return tuple(Told(reference, _side_of(found), pins=_once(found)) for reference, found in pins.items())


def _side_of(pins: Sequence[tuple[Side, Pin]]) -> Side | None:
    """The side of the pads that do not go through; None where all do."""
    sides = [side for side, pin in pins if not pin.through and side is not Side.BOTH]
    if not sides:
        return None
    if Side.TOP in sides and Side.BOTTOM in sides:
        places = [{_at(pin) for side, pin in pins if side is outer} for outer in OUTER_SIDES]
        if places[0] & places[1]:
            return None
    return Side.TOP if 2 * sides.count(Side.TOP) >= len(sides) else Side.BOTTOM


def _at(pin: Pin) -> tuple[str, int, int]:
    """A pin and its place, alike where both sides tell of it."""
    return pin.name, round(pin.x_mm / SAME_PLACE_MM), round(pin.y_mm / SAME_PLACE_MM)


def _once(pins: Sequence[tuple[Side, Pin]]) -> tuple[Pin, ...]:
    """Pads told on both sides once, as going through; in the order in which they were told."""
    kept: list[tuple[Side, Pin]] = []
    at: dict[tuple[str, int, int], int] = {}
    for side, pin in pins:
        known = at.setdefault(_at(pin), len(kept))
        if known == len(kept):
            kept.append((side, pin))
        elif kept[known][0] is not side:
            kept[known] = (kept[known][0], replace(kept[known][1], through=True))
    return tuple(pin for _, pin in kept)


def _copies(pins: Sequence[tuple[Side, Pin]]) -> list[list[tuple[Side, Pin]]]:
    """The pins of one reference, apart for each copy where a panel repeats all of them equally often."""
    by_name: dict[tuple[Side, str], list[tuple[Side, Pin]]] = defaultdict(list)
    for side, pin in pins:
        by_name[side, pin.name].append((side, pin))
    counts = {len(found) for found in by_name.values()}
    copies = counts.pop() if len(counts) == 1 and len(by_name) > 1 else 1
    if copies < 2:
        return [list(pins)]
    apart = [[found[number] for found in by_name.values()] for number in range(copies)]
    # One part may well carry two pads a pin (a switch): only copies that lie beside one another are a panel's.
    extents = [_extent([pin for _, pin in copy]) for copy in apart]
    return apart if max(extents) < 0.5 * _extent([pin for _, pin in pins]) else [list(pins)]


def _extent(pins: Sequence[Pin]) -> float:
    places = np.array([(pin.x_mm, pin.y_mm) for pin in pins])
    return float(np.ptp(places, axis=0).max())
