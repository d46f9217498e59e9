"""Chosen lines as labels: records in reading order, and everything else as drawings."""

from dataclasses import replace

import numpy as np

from labelcheck.labels.found import Found
from labelcheck.labels.ink import Ink
from labelcheck.labels.label import DrawnAs, Label, LabelKind, Mark, SideLabels, TextSource
from labelcheck.labels.lines import Lines
from labelcheck.labels.marks import Drawn, Marks
from labelcheck.labels.measuring import Sizes
from labelcheck.labels.reading.grammar import kind_of
from labelcheck.labels.reading.protocol import Reading
from labelcheck.trade.shapes import Flags, Floats
from labelcheck.trade.sides import Side

LEAST_CONFIDENCE = 0.6
"""A text of which we are less sure is better called unread."""
NAMED_CONFIDENCE = 0.995
"""Where file and reading agree."""
DRAWN_AS: dict[int, DrawnAs] = {
    Drawn.STROKES: "strokes", Drawn.REGIONS: "regions", Drawn.FLASHES: "flashes", Drawn.KNOCKED_OUT: "knocked out",
}


def tell_labels(
    side: Side, drawn: tuple[Ink, Marks], found: Found, names: list[str | None], sizes: Sizes
) -> SideLabels:
    """The found lines as labels, from the top row to the bottom one, and all marks outside them as drawings.

    `names` are those that the file gives, see `given_names`.
    """
    ink, marks = drawn
    lines, setting = found.lines, found.setting
    letter = "B" if side is Side.BOTTOM else "T"
    boxes = _boxes(marks, lines)
    # Rows of a millimetre from the top, each from left to right as seen from the top.
    order = np.lexsort((boxes[:, 0], -np.round(boxes[:, 3])))
    used = np.zeros(len(marks), dtype=np.bool_)
    used[lines.mark] = True
    told = _told_marks(ink, marks, _characters(marks, found))
    labels = []
    for place, line in enumerate(order.tolist(), 1):
        members = slice(int(lines.first[line]), int(lines.first[line + 1]))
        row = lines.mark[members]
        text, confidence, kind, source = _told_text(found.readings[line], names[line])
        x0, y0, x1, y1 = boxes[line].tolist()
        gap = float(sizes.gap[line])
        labels.append(Label(
            id=f"{letter}{place}", side=side, text=text, text_confidence=confidence,
            text_known_by=source, kind=kind,
            box_mm=(x0, y0, x1, y1), turned_deg=float(found.turned_deg[line]),
            drawn_as=DRAWN_AS[int(np.bincount(marks.drawn[row], minlength=4).argmax())],
            marks=tuple(told[mark] for mark in row.tolist()),
            character_height_mm=float(setting.height[line]),
            stroke_least_mm=float(sizes.least[line]), stroke_typical_mm=float(sizes.typical[line]),
            gap_mm=gap if np.isfinite(gap) else None,
        ))
    return SideLabels(tuple(labels), _drawings(told, marks, used))


def _drawings(told: list[Mark], marks: Marks, used: Flags) -> tuple[Mark, ...]:
    """The marks that no label holds, less the strokes of their parts that a label holds."""
    lent: dict[int, set[int]] = {}
    for part in np.flatnonzero(used & (marks.parent >= 0) & (marks.drawn != Drawn.KNOCKED_OUT)).tolist():
        whole = part
        while marks.parent[whole] >= 0:
            whole = int(marks.parent[whole])
        lent.setdefault(whole, set()).update(told[part].objects)
    drawings = []
    for mark in np.flatnonzero(~used & (marks.parent < 0)).tolist():
        left = tuple(row for row in told[mark].objects if row not in lent.get(mark, ()))
        if left:
            drawings.append(replace(told[mark], objects=left))
    return tuple(drawings)


def _boxes(marks: Marks, lines: Lines) -> Floats:
    """Box of each line as seen from the top, shape (n, 4)."""
    if len(lines) == 0:
        return np.zeros((0, 4))
    box, start = marks.box[lines.mark], lines.first[:-1]
    low, high = np.minimum.reduceat(box[:, :2], start), np.maximum.reduceat(box[:, 2:], start)
    return np.hstack((low, high))


Told = tuple[str | None, float, LabelKind, TextSource | None]


def _told_text(reading: Reading | None, name: str | None) -> Told:
    """Text, confidence and kind of a label, and how its text is known."""
    if reading is None:
        return None, 0.0, "unread", None
    if name is not None:
        return name, max(reading.confidence, NAMED_CONFIDENCE), "reference", "attribute"
    if reading.confidence < LEAST_CONFIDENCE:
        return None, reading.confidence, "unread", None
    return reading.text, reading.confidence, kind_of(reading.text), "reading"


def _characters(marks: Marks, found: Found) -> list[str | None]:
    """What each mark was read as; all marks of one glyph as its character."""
    characters: list[str | None] = [None] * len(marks)
    setting, lines = found.setting, found.lines
    for line, reading in enumerate(found.readings):
        if reading is None:
            continue
        told = reading.text.replace(" ", "")
        members = slice(int(lines.first[line]), int(lines.first[line + 1]))
        glyphs = setting.glyph[members] - setting.glyph_first[line]
        for mark, glyph in zip(lines.mark[members].tolist(), glyphs.tolist(), strict=True):
            characters[mark] = None if told[glyph] == "?" else told[glyph]
    return characters


def _told_marks(ink: Ink, marks: Marks, characters: list[str | None]) -> list[Mark]:
    """Every mark as a record."""
    rows = ink.rows_of(marks.member, marks.first)
    boxes, pens = marks.box.tolist(), np.where(marks.painted, np.nan, marks.pen_mm).tolist()
    return [
        Mark(number, row, (x0, y0, x1, y1), None if pen != pen else pen, character)
        for number, (row, (x0, y0, x1, y1), pen, character) in enumerate(
            zip(rows, boxes, pens, characters, strict=True)
        )
    ]
