"""Chosen lines as labels: records in reading order, and everything else as drawings."""

from dataclasses import replace

import numpy as np

from labelcheck.labels.found import Found
from labelcheck.labels.gaps import KINDS, Gaps
from labelcheck.labels.glyphs import turned_back
from labelcheck.labels.ink import Ink
from labelcheck.labels.label import Box, DrawnAs, Label, LabelKind, Mark, NarrowPlace, SideLabels, TextSource
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
            narrow_places=_narrow_places(found, line, sizes.narrow, side),
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
        if mark not in lent:
            drawings.append(told[mark])
            continue
        left = tuple(row for row in told[mark].objects if row not in lent[mark])
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


def _narrow_places(found: Found, line: int, narrow: Gaps, side: Side) -> tuple[NarrowPlace, ...]:
    """The narrow clear spaces of a line as records, the narrowest first; `narrow` is sorted by glyph."""
    first, last = (int(found.setting.glyph_first[at]) for at in (line, line + 1))
    low, high = np.searchsorted(narrow.glyph, [first, last]).tolist()
    reading = found.readings[line]
    told = [None] * (last - first) if reading is None else [*reading.text.replace(" ", "")]
    read = [None if character == "?" else character for character in told]
    if low == high:
        return ()
    places = []
    for at in range(low, high):
        glyph, kind = int(narrow.glyph[at]) - first, KINDS[int(narrow.kind[at])]
        places.append(NarrowPlace(
            kind=kind, width_mm=float(narrow.width[at]), behind_mm=float(narrow.behind[at]),
            box_mm=_on_board(narrow.box[at], float(found.turned_deg[line]), side),
            characters=tuple(read[glyph - 1 : glyph + 1] if kind == "neighbours" else read[glyph : glyph + 1]),
        ))
    return tuple(sorted(places, key=lambda place: place.width_mm))


def _on_board(box: Floats, turned_deg: float, side: Side) -> Box:
    """A box in a line's own frame as one of the board, around the turned one."""
    x, y = turned_back(box[[0, 2, 2, 0]], box[[1, 1, 3, 3]], turned_deg, side is Side.BOTTOM)
    return float(x.min()), float(y.min()), float(x.max()), float(y.max())


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
