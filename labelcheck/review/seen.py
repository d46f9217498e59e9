"""What a check record tells of labels and findings, read back for comparing it with another one."""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from labelcheck.labels.label import Box
from labelcheck.review.record import FORM
from labelcheck.trade.errors import UnreadableFile

Record = Mapping[str, Any]
"""A parsed `record.json`, or what `record_of` makes of a review."""


@dataclass(frozen=True, slots=True)
class LabelSeen:
    """One label of a record."""

    id: str
    side: str
    text: str | None
    box_mm: Box
    turned_deg: float
    character_height_mm: float | None
    stroke_mm: float | None
    """The typical stroke width."""
    parts: "tuple[LabelSeen, ...]" = ()
    """The labels of the record that it stands for, in reading order, where another check tells them as one."""

    @property
    def ids(self) -> tuple[str, ...]:
        """Its id in the record, or those of its parts."""
        return tuple(part.id for part in self.parts) or (self.id,)

    @property
    def middle_mm(self) -> tuple[float, float]:
        """The middle of its box."""
        x0, y0, x1, y1 = self.box_mm
        return (x0 + x1) / 2, (y0 + y1) / 2

    def called(self) -> str:
        """What a person calls it: its text in quotes where it was read, else where it stands; parts one by one."""
        if self.parts:
            *before, last = (part.called() for part in self.parts)
            return f"{', '.join(before)} and {last}"
        if self.text is not None:
            return f'"{self.text}"'
        x, y = self.middle_mm
        return f"the unread label at {x:.1f}, {y:.1f} mm"


@dataclass(frozen=True, slots=True)
class FindingSeen:
    """One finding of a record."""

    id: str
    analyser: str
    severity: str
    label: str | None
    """Id of the label in the same record; None for a finding about a whole side."""
    side: str
    at_mm: tuple[float, float]
    measured: float | None
    limit: float | None
    unit: str
    message: str
    advice: str | None
    accepted: bool = False
    """Whether the limits file accepts it with a reason: it does not count for the verdict."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What one record tells that another can be compared with."""

    verdict: str
    set_name: str
    checked_at: str
    fingerprint: str
    files: tuple[tuple[str, str], ...]
    """Name and sha256 of each, in order of name."""
    box_mm: Box | None
    """Of the board; None where its outline is not known."""
    labels: tuple[LabelSeen, ...]
    findings: tuple[FindingSeen, ...]
    """Worst first."""
    holding: tuple[str, ...]
    not_applied: frozenset[tuple[str, str]]
    """Analyser and side of each question that could not be asked."""
    limits: tuple[tuple[str, float | str | None], ...]
    """Name and value of each limit in force, in the order of the record."""


def read_record(name: str, content: bytes) -> Seen:
    """What the bytes of a `record.json` tell; `name` names them in errors.

    Raises `UnreadableFile` where they are no record of a form that this version knows.
    """
    try:
        parsed = json.loads(content)
    except (ValueError, RecursionError) as error:
        raise _no_record(name) from error
    if not isinstance(parsed, dict):
        raise _no_record(name)
    if parsed.get("record") != FORM:
        raise UnreadableFile(
            name, None, f"This is no record of the form {FORM}.", "Check the set again with this version."
        )
    try:
        return seen_in(parsed)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
        raise _no_record(name) from error


def _no_record(name: str) -> UnreadableFile:
    return UnreadableFile(
        name, None, "This is no check record.", "Name a record.json that labelcheck wrote, or check the set again."
    )


def seen_in(record: Record) -> Seen:
    """What a record tells; fields that an earlier version did not write yet count as empty.

    Raises KeyError, TypeError or ValueError where it is no record.
    """
    about = record["set"]
    board = record.get("board") or {}
    limits = record.get("limits") or {}
    return Seen(
        verdict=str(record["verdict"]),
        set_name=str(about["name"]),
        checked_at=str(record["checked_at"]),
        fingerprint=str(about["fingerprint"]),
        files=tuple(sorted((str(one["name"]), str(one["sha256"])) for one in about["files"])),
        box_mm=_box(board.get("box_mm")),
        labels=tuple(_label(one) for one in record["labels"] if _box(one["box_mm"]) is not None),
        findings=tuple(_finding(one) for one in record["findings"]),
        holding=tuple(str(one) for one in record.get("holding") or ()),
        not_applied=frozenset((str(one["analyser"]), str(one["side"])) for one in record.get("not_applied") or ()),
        limits=tuple((str(name), one.get("value")) for name, one in limits.items()),
    )


def _label(entry: Record) -> LabelSeen:
    box = _box(entry["box_mm"])
    assert box is not None  # labels without a place were left out before
    return LabelSeen(
        id=str(entry["id"]),
        side=str(entry["side"]),
        text=_text(entry["text"]),
        box_mm=box,
        turned_deg=_number(entry.get("turned_deg")) or 0.0,
        character_height_mm=_number(entry.get("character_height_mm")),
        stroke_mm=_number((entry.get("stroke_mm") or {}).get("typical")),
    )


def _finding(entry: Record) -> FindingSeen:
    x, y = (_number(value) or 0.0 for value in entry["at_mm"])
    return FindingSeen(
        id=str(entry["id"]),
        analyser=str(entry["analyser"]),
        severity=str(entry["severity"]),
        label=_text(entry["label"]),
        side=str(entry["side"]),
        at_mm=(x, y),
        measured=_number(entry.get("measured")),
        limit=_number(entry.get("limit")),
        unit=str(entry.get("unit") or ""),
        message=str(entry["message"]),
        advice=_text(entry.get("advice")),
        accepted=entry.get("accepted") is not None,
    )


def _text(value: object) -> str | None:
    return None if value is None else str(value)


def _number(value: Any) -> float | None:
    """A finite number, else None."""
    if value is None:
        return None
    number = float(value)
    return number if math.isfinite(number) else None


def _box(value: Any) -> Box | None:
    """A box with four finite sides, else None."""
    if value is None:
        return None
    x0, y0, x1, y1 = (_number(side) for side in value)
    if x0 is None or y0 is None or x1 is None or y1 is None:
        return None
    return (x0, y0, x1, y1)
