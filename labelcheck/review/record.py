"""The check record: everything a review found, as JSON that other programs can rely on."""

import json
import math
from typing import Any

from labelcheck.cures.cure import Cure
from labelcheck.judging import Finding
from labelcheck.labels.label import Box
from labelcheck.review.contents import FileEntry, LabelState, LimitEntry, Review
from labelcheck.trade.places import Remark
from labelcheck.trade.version import MADE_BY

FORM = "labelcheck/1"
"""Name and number of the record's form: a field that changes its meaning raises the number."""

_LENGTH_DECIMALS = 3
"""Micrometres, for lengths in millimetres."""
_OTHER_DECIMALS = 4
"""For fractions, areas in square millimetres, degrees and whatever else is measured."""

Entry = dict[str, Any]
"""One JSON object."""


def record_of(review: Review) -> Entry:
    """The record as plain dicts, lists, numbers and strings; None where something is not known.

    Lengths are millimetres to the micrometre, in the artwork's own coordinates, seen from the top for both sides.
    A number that is not finite becomes None. The order of keys is that of the contract; files are sorted by name,
    labels and findings keep the order of the review.
    """
    cures = {cure.label: cure for cure in review.cures}
    return {
        "record": FORM,
        "made_by": MADE_BY,
        "checked_at": review.checked_at,
        "verdict": str(review.verdict),
        "holding": [_text(reason) for reason in review.holding],
        "set": {
            "name": _text(review.set_name),
            "path": _text(review.set_path),
            "fingerprint": _text(review.fingerprint),
            "files": [_file(entry) for entry in sorted(review.files, key=lambda entry: entry.name)],
        },
        "limits": {_text(limit.name): _limit(limit) for limit in review.limits},
        "limits_file": _limits_file(review),
        "acceptances": {_text(one.name): _acceptance(one) for one in review.acceptances},
        "board": _board(review),
        "labels": [_label(state, cures.get(state.label.id)) for state in review.labels],
        "findings": [_finding(finding) for finding in review.findings],
        "not_applied": [
            {"analyser": one.analyser, "side": str(one.side), "why": _text(one.why)} for one in review.not_applied
        ],
        "remarks": [_remark(remark) for remark in review.remarks],
    }


def record_text(review: Review) -> str:
    """The record as JSON text, the same for the same review, ending in a line feed; a line for each thing told."""
    return _lines(record_of(review), "") + "\n"


def _lines(value: object, indent: str) -> str:
    """A value as JSON, the entries of a list of records, and of a record that holds more, on lines of their own."""
    if isinstance(value, list) and value and isinstance(value[0], dict):
        entries, (opened, closed) = [_line(entry) for entry in value], "[]"
    elif isinstance(value, dict) and any(isinstance(entry, dict | list) for entry in value.values()):
        entries = [f"{_line(name)}: {_lines(entry, indent + ' ')}" for name, entry in value.items()]
        opened, closed = "{}"
    else:
        return _line(value)
    between = f",\n{indent} ".join(entries)
    return f"{opened}\n{indent} {between}\n{indent}{closed}"


_line = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
"""On one line, which the fast encoder of the standard library does."""


def _file(entry: FileEntry) -> Entry:
    return {
        "name": _text(entry.name),
        "sha256": entry.sha256,
        "role": entry.role,
        "side": None if entry.side is None else str(entry.side),
        "known_by": entry.known_by,
        "ink_mm2": _number(entry.ink_mm2),
        "box_mm": _box(entry.box_mm),
    }


def _limit(limit: LimitEntry) -> Entry:
    value = _text(limit.value) if isinstance(limit.value, str) else _number(limit.value)
    return {"value": value, "unit": limit.unit, "source": _text(limit.source)}


def _limits_file(review: Review) -> Entry | None:
    file = review.limits_file
    return None if file is None else {"name": _text(file.name), "sha256": file.sha256}


def _acceptance(acceptance: LimitEntry) -> Entry:
    return {"because": _text(str(acceptance.value)), "source": _text(acceptance.source)}


def _board(review: Review) -> Entry:
    box = review.box_mm
    return {
        "width_mm": None if box is None else _length(box[2] - box[0]),
        "height_mm": None if box is None else _length(box[3] - box[1]),
        "box_mm": _box(box),
        "outline_known_by": review.outline_known_by,
    }


def _label(state: LabelState, cure: Cure | None) -> Entry:
    label = state.label
    return {
        "id": label.id,
        "side": str(label.side),
        "text": None if label.text is None else _text(label.text),
        "text_confidence": _number(label.text_confidence),
        "text_known_by": label.text_known_by,
        "kind": label.kind,
        "box_mm": _box(label.box_mm),
        "turned_deg": _turn(label.turned_deg),
        "drawn_as": label.drawn_as,
        "character_height_mm": _length(label.character_height_mm),
        "stroke_mm": {"least": _length(label.stroke_least_mm), "typical": _length(label.stroke_typical_mm)},
        "gap_mm": _length(label.gap_mm),
        "printed_fraction": _number(state.printed_fraction),
        "visible_fraction": _number(state.visible_fraction),
        "reads_as_printed": None if state.reads_as_printed is None else _text(state.reads_as_printed),
        "reads_as_assembled": None if state.reads_as_assembled is None else _text(state.reads_as_assembled),
        "cure": None if cure is None else _cure(cure),
    }


def _cure(cure: Cure) -> Entry:
    """What to change about a label; without a place where none is free."""
    return {
        "height_mm": _length(cure.height_mm),
        "pen_mm": _length(cure.pen_mm),
        "spacing_mm": _length(cure.spacing_mm),
        "mirrored": cure.mirrored,
        "turn_deg": cure.turn_deg,
        "shift_mm": [_length(part) for part in cure.shift_mm],
        "scale": _number(cure.scale),
        "growth_mm": _number(cure.growth_mm),
        "box_mm": _box(cure.box_mm),
        "in_the_way": list(cure.in_the_way),
        "looked_mm": _length(cure.looked_mm),
        "cleared_by": cure.cleared_by,
        "together": list(cure.together),
        "at_pin": None if cure.at_pin is None else _text(cure.at_pin),
    }


def _finding(finding: Finding) -> Entry:
    return {
        "id": finding.id,
        "analyser": finding.analyser,
        "severity": str(finding.severity),
        "label": finding.label,
        "side": str(finding.side),
        "at_mm": [_length(value) for value in finding.at_mm],
        "box_mm": _box(finding.box_mm),
        "measured": _measured(finding.measured, finding.unit),
        "limit": _measured(finding.limit, finding.unit),
        "unit": finding.unit,
        "message": _text(finding.message),
        "advice": None if finding.advice is None else _text(finding.advice),
        "source": _text(finding.source),
        "matters": None if finding.matters is None else str(finding.matters),
        "accepted": None
        if finding.accepted is None
        else {"because": _text(finding.accepted.because), "source": _text(finding.accepted.source)},
    }


def _remark(remark: Remark) -> Entry:
    line = remark.line if remark.line is not None and remark.line > 0 else None
    return {"file": _text(remark.file), "line": line, "message": _text(remark.message)}


def _measured(value: float | None, unit: str) -> float | None:
    return _length(value) if unit == "mm" else _number(value)


def _length(value_mm: float | None) -> float | None:
    return _rounded(value_mm, _LENGTH_DECIMALS)


def _number(value: float | None) -> float | None:
    return _rounded(value, _OTHER_DECIMALS)


def _rounded(value: float | None, decimals: int) -> float | None:
    """A plain float, never -0.0, never NaN or infinite."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), decimals) + 0.0


def _turn(angle_deg: float) -> float | None:
    """An angle that stays below 360 when it is rounded."""
    rounded = _rounded(angle_deg, _OTHER_DECIMALS)
    return None if rounded is None else rounded % 360.0


def _box(box: Box | None) -> list[float | None] | None:
    """Four lengths; None as a whole where a side of it is not finite (the box of nothing)."""
    if box is None or not all(math.isfinite(value) for value in box):
        return None
    return [_length(value) for value in box]


def _text(text: str) -> str:
    """Text that can be written as UTF-8: bytes of a file name that are no characters become `\\udcxx`, spelt out."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")
