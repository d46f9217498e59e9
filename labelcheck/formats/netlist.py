"""Netlists of the IPC-D-356 family: pads with their net, reference, pin, place and size.

Columns, from 1, as read in public readers and samples: 1-3 record code, 4-17 net, 21-26 reference or `VIA`, 27 dash,
28-31 pin, 32 `M` for a point in the middle of a track, 33-37 hole `D0400`, 38 `P` or `U` (plated or not), 39-41 side
`A01`, 42-49 X, 50-57 Y, 58-62 and 63-67 size (0 or blank: round), 68-71 rotation. Units: `CUST 0` 0.0001 inch,
`CUST 1` 0.001 mm, `CUST 2` 0.0001 inch and radians.
"""

import math
import re
from dataclasses import dataclass

from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import Side
from labelcheck.trade.units import MM_PER_INCH

LINES_LOOKED_AT = 200
RECORDS_AT_MOST = 500_000
COLUMNS_AT_MOST = 200
BYTES_AT_MOST = 50_000_000
"""The standard ends at 80; some programs write on."""

_TEST_RECORD = re.compile(rb"^(?:017|027|3[1-7]7|307|378|379|389|099|999)")
_PARAMETER = re.compile(rb"^[PC]  ")
_UNITS = re.compile(r"^P\s+UNITS\s+(?:CUST\s*)?(\w+)")
_NAME = re.compile(r"^P\s+(NNAME\w*)\s+(\S+)")
_ACCESS = re.compile(
    r"(M?)(?:D(\d{1,4}))?\s*([PU]?)\s*A(\d{2})\s*X\s*([+-]?\d{1,7})\s*Y\s*([+-]?\d{1,7})"
    r"(?:\s*X\s*(\d{1,4}))?(?:\s*Y\s*(\d{1,4}))?(?:\s*R\s*(\d{1,3}))?"
)
_TOLD = {"317": True, "307": True, "327": False, "367": True}
"""Record codes that are understood, and whether they have a hole."""


@dataclass(frozen=True, slots=True)
class NetPoint:
    """One pad, via or tooling hole; lengths in millimetres, in the netlist's own coordinates."""

    net: str | None
    """Name of the net, aliases resolved; None where the record names none or `N/C`."""
    reference: str | None
    """None for vias and tooling holes."""
    pin: str | None
    is_via: bool
    x_mm: float
    y_mm: float
    width_mm: float | None
    height_mm: float | None
    """None where the pad is round, or its size is not told."""
    rotation_deg: float
    """Counter-clockwise."""
    hole_mm: float | None
    plated: bool | None
    side: Side
    """`both` where the point can be reached from both sides."""
    line: int


@dataclass(frozen=True, slots=True)
class Netlist:
    """One netlist file."""

    name: str
    points: tuple[NetPoint, ...]
    """In order of their lines."""
    whole: bool
    """Whether it ended with record 999."""
    remarks: tuple[Remark, ...]


def looks_like_netlist(data: bytes) -> bool:
    """Whether the bytes are IPC-D-356: parameter lines, and records that begin with their three-digit code."""
    lines = [line for line in data[: 100 * LINES_LOOKED_AT].splitlines()[:LINES_LOOKED_AT] if line.strip()]
    if len(lines) > 1 and len(data) > 100 * LINES_LOOKED_AT:
        lines = lines[:-1]
    records = sum(1 for line in lines if _TEST_RECORD.match(line))
    parameters = sum(1 for line in lines if _PARAMETER.match(line))
    coordinates = sum(1 for line in lines if _TEST_RECORD.match(line) and re.search(rb"X[+-]\d{6}Y[+-]\d{6}", line))
    return bool(lines) and records + parameters >= 0.8 * len(lines) and (coordinates > 0 or parameters >= 2)


def read_netlist(name: str, data: bytes) -> Netlist:
    """Read a netlist; raises UnreadableFile where the bytes are none."""
    if len(data) > BYTES_AT_MOST:
        raise UnreadableFile(name, None, f"The netlist has more than {BYTES_AT_MOST:,} bytes.", "Export it again.")
    if not looks_like_netlist(data):
        raise UnreadableFile(name, None, "This is no netlist of the IPC-D-356 family.", "Export the netlist again.")
    lines = [line[:COLUMNS_AT_MOST].rstrip() for line in data.decode("latin-1").splitlines()]
    if len(lines) > RECORDS_AT_MOST:
        raise UnreadableFile(name, None, f"The netlist has more than {RECORDS_AT_MOST:,} lines.", "Export it again.")
    remarks: list[Remark] = []
    mm_per_unit, radians = _unit(name, lines, remarks)
    aliases = {match[1]: match[2] for line in lines if (match := _NAME.match(line)) is not None}
    points: list[NetPoint] = []
    odd: list[int] = []
    for number, line in enumerate(lines, start=1):
        if line[:3] not in _TOLD:
            continue
        point = _point(line, number, mm_per_unit, radians)
        if point is None:
            odd.append(number)
        else:
            points.append(_with_alias(point, aliases))
    if odd:
        remarks.append(Remark(name, odd[0], f"{len(odd)} records were not understood and were left out."))
    whole = any(line.startswith("999") for line in lines[-5:])
    if not whole:
        remarks.append(Remark(name, None, "The netlist has no end (record 999); it may be cut short."))
    return Netlist(name, tuple(points), whole, tuple(remarks))


def _unit(name: str, lines: list[str], remarks: list[Remark]) -> tuple[float, bool]:
    """Millimetres of one count, and whether rotations are radians."""
    for number, line in enumerate(lines, start=1):
        match = _UNITS.match(line)
        if match is None:
            continue
        word = match[1].upper()
        if word in ("1", "SI", "MM"):
            return 0.001, False
        if word not in ("0", "2", "INCH", "IN"):
            remarks.append(Remark(name, number, f"The unit {word} is not known; inches were taken."))
        return MM_PER_INCH / 10_000, word == "2"
    remarks.append(Remark(name, None, "The netlist does not say its unit; inches were taken."))
    return MM_PER_INCH / 10_000, False


def _point(line: str, number: int, mm_per_unit: float, radians: bool) -> NetPoint | None:
    match = _ACCESS.search(line, 26)
    if match is None:
        return None
    middle, hole, plated, access, x, y, width, height, turn = match.groups()
    head = line[: match.start()].ljust(31)
    reference, pin = _reference_and_pin(head)
    net = head[3:17].strip()
    is_via = reference == "VIA" or (reference is None and middle == "M")
    rotation = float(turn) if turn else 0.0
    return NetPoint(
        net=None if net in ("", "N/C") else net,
        reference=None if reference in (None, "VIA") else reference,
        pin=pin,
        is_via=is_via,
        x_mm=int(x) * mm_per_unit,
        y_mm=int(y) * mm_per_unit,
        width_mm=_size(width, mm_per_unit),
        height_mm=_size(height, mm_per_unit),
        rotation_deg=math.degrees(rotation / 100) if radians else rotation,
        hole_mm=_size(hole, mm_per_unit),
        plated={"P": True, "U": False}.get(plated),
        side={"00": Side.BOTH, "01": Side.TOP}.get(access, Side.BOTTOM),
        line=number,
    )


def _reference_and_pin(head: str) -> tuple[str | None, str | None]:
    """Reference and pin in their columns; a longer reference pushes the dash and the pin to the right."""
    field = head[20:].strip()
    if not field:
        return None, None
    reference, dash, pin = field.rpartition("-") if "-" in field else (field, "", "")
    if not dash:
        reference, _, pin = field.partition(" ")
    return reference.strip() or None, pin.strip() or None


def _size(text: str | None, mm_per_unit: float) -> float | None:
    return None if not text or int(text) == 0 else int(text) * mm_per_unit


def _with_alias(point: NetPoint, aliases: dict[str, str]) -> NetPoint:
    if point.net is None or point.net not in aliases:
        return point
    fields = {field: getattr(point, field) for field in NetPoint.__slots__}
    return NetPoint(**{**fields, "net": aliases[point.net]})
