"""Writes down what must be found on a board, and what every label is, from the generator's own geometry."""

import json

from boards.design import Box, Design, Fault, Label, Point

DIGITS = 4


def expected_file(design: Design) -> bytes:
    """`expected.json`: planted faults, labels that must not be found, and all labels as written."""
    content = {
        "board": design.name,
        "lengths": "mm, x right, y up, seen from the top for both sides",
        "faults": [_fault(fault) for fault in design.faults],
        "innocent": [_label(label) | {"why": why} for label, why in design.innocent],
        "labels": [_label(label) for label in design.labels],
    }
    lines = ["{"]
    for key, value in content.items():
        end = "" if key == "labels" else ","
        if isinstance(value, list):
            rows = ",\n".join("  " + json.dumps(row, ensure_ascii=False) for row in value)
            lines.append(f" {json.dumps(key)}: [\n{rows}\n ]{end}" if value else f" {json.dumps(key)}: []{end}")
        else:
            lines.append(f" {json.dumps(key)}: {json.dumps(value)}{end}")
    lines.append("}")
    return ("\n".join(lines) + "\n").encode("utf-8")


def _fault(fault: Fault) -> dict[str, object]:
    return {
        "analyser": fault.analyser,
        "label": fault.labels[0],
        "or_label": list(fault.labels[1:]),
        "side": fault.side,
        "at_mm": _point(fault.at_mm),
        "box_mm": _box(fault.box_mm),
        "severity": fault.severity,
        "measured": fault.measured,
        "limit": fault.limit,
        "unit": fault.unit,
        "what": fault.what,
    }


def _label(label: Label) -> dict[str, object]:
    lettering = label.lettering
    return {
        "text": label.text,
        "side": label.side,
        "box_mm": _box(label.box),
        "turned_deg": label.turned_deg,
        "height_mm": lettering.height_mm,
        "pen_mm": lettering.pen_mm,
        "drawn_as": label.drawn_as,
    }


def _point(point: Point) -> list[float]:
    return [round(value, DIGITS) for value in point]


def _box(box: Box) -> list[float]:
    return [round(value, DIGITS) for value in box]
