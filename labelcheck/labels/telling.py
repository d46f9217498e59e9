"""Chosen lines as labels: records in reading order, and everything else as drawings."""

import numpy as np

from labelcheck.labels.ink import Ink
from labelcheck.labels.label import DrawnAs, Label, Mark, SideLabels
from labelcheck.labels.lines import Lines
from labelcheck.labels.marks import Drawn, Marks
from labelcheck.labels.measuring import Sizes
from labelcheck.labels.setting import Setting
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import Side

DRAWN_AS: dict[int, DrawnAs] = {
    Drawn.STROKES: "strokes", Drawn.REGIONS: "regions", Drawn.FLASHES: "flashes", Drawn.KNOCKED_OUT: "knocked out",
}


def tell_labels(
    side: Side, drawn: tuple[Ink, Marks], found: tuple[Lines, Setting, Floats], sizes: Sizes
) -> SideLabels:
    """The lines as labels, from the top row to the bottom one, and all marks outside them as drawings.

    `found` holds the lines, their setting, and the direction (n,) that each is turned to.
    """
    ink, marks = drawn
    lines, setting, turned = found
    letter = "B" if side is Side.BOTTOM else "T"
    boxes = np.array([
        np.concatenate((marks.box[row, :2].min(axis=0), marks.box[row, 2:].max(axis=0)))
        for row in np.split(lines.mark, lines.first[1:-1])
    ]).reshape(-1, 4) if len(lines) else np.zeros((0, 4))
    # Rows of a millimetre from the top, each from left to right as seen from the top.
    order = np.lexsort((boxes[:, 0], -np.round(boxes[:, 3])))
    used = np.zeros(len(marks), dtype=np.bool_)
    used[lines.mark] = True
    told = _told_marks(ink, marks)
    labels = []
    for place, line in enumerate(order.tolist(), 1):
        row = lines.mark[lines.first[line] : lines.first[line + 1]]
        x0, y0, x1, y1 = boxes[line].tolist()
        gap = float(sizes.gap[line])
        labels.append(Label(
            id=f"{letter}{place}", side=side, text=None, text_confidence=0.0, text_known_by=None, kind="unread",
            box_mm=(x0, y0, x1, y1), turned_deg=float(turned[line]) % 360.0,
            drawn_as=DRAWN_AS[int(np.bincount(marks.drawn[row], minlength=4).argmax())],
            marks=tuple(told[mark] for mark in row.tolist()),
            character_height_mm=float(setting.height[line]),
            stroke_least_mm=float(sizes.least[line]), stroke_typical_mm=float(sizes.typical[line]),
            gap_mm=gap if np.isfinite(gap) else None,
        ))
    drawings = tuple(told[mark] for mark in np.flatnonzero(~used).tolist())
    return SideLabels(tuple(labels), drawings)


def _told_marks(ink: Ink, marks: Marks) -> list[Mark]:
    """Every mark as a record, not read."""
    rows = ink.rows_of(marks.member, marks.first)
    boxes, pens = marks.box.tolist(), marks.pen_mm.tolist()
    return [
        Mark(number=number, objects=row, box_mm=(x0, y0, x1, y1), pen_mm=None if pen != pen else pen, character=None)
        for number, (row, (x0, y0, x1, y1), pen) in enumerate(zip(rows, boxes, pens, strict=True))
    ]
