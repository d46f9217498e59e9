"""Chosen lines as labels: records in reading order, and everything else as drawings."""

import numpy as np

from labelcheck.labels.directions import Frame
from labelcheck.labels.ink import Ink
from labelcheck.labels.label import DrawnAs, Label, Mark, SideLabels
from labelcheck.labels.lines import Lines
from labelcheck.labels.marks import Drawn, Marks
from labelcheck.labels.setting import Setting
from labelcheck.trade.shapes import Integers
from labelcheck.trade.sides import Side

DRAWN_AS: dict[int, DrawnAs] = {
    Drawn.STROKES: "strokes", Drawn.REGIONS: "regions", Drawn.FLASHES: "flashes", Drawn.KNOCKED_OUT: "knocked out",
}


def tell_labels(
    side: Side, ink: Ink, marks: Marks, frames: list[Frame], lines: Lines, setting: Setting, chosen: Integers
) -> SideLabels:
    """The chosen lines as labels, from the top row to the bottom one, and all other marks as drawings."""
    letter = "B" if side is Side.BOTTOM else "T"
    used = np.zeros(len(marks), dtype=np.bool_)
    found = []
    for line in chosen.tolist():
        row = lines.mark[lines.first[line] : lines.first[line + 1]]
        used[row] = True
        low, high = marks.box[row, :2].min(axis=0), marks.box[row, 2:].max(axis=0)
        pens = marks.pen_mm[row]
        kinds = np.bincount(marks.drawn[row], minlength=4)
        found.append((
            (round(-float(high[1]), 1), float(low[0])),
            Label(
                id="", side=side, text=None, text_confidence=0.0, text_known_by=None, kind="unread",
                box_mm=(float(low[0]), float(low[1]), float(high[0]), float(high[1])),
                turned_deg=frames[lines.frame[line]].turned_deg % 360.0,
                drawn_as=DRAWN_AS[int(kinds.argmax())],
                marks=tuple(told_mark(int(mark), ink, marks, None) for mark in row),
                character_height_mm=float(setting.height[line]),
                stroke_least_mm=float(np.nanmin(pens)) if not np.isnan(pens).all() else 0.0,
                stroke_typical_mm=float(np.nanmedian(pens)) if not np.isnan(pens).all() else 0.0,
                gap_mm=None,
            ),
        ))
    found.sort(key=lambda entry: entry[0])
    labels = tuple(
        Label(**{**{name: getattr(label, name) for name in Label.__slots__}, "id": f"{letter}{place}"})
        for place, (_, label) in enumerate(found, 1)
    )
    drawings = tuple(told_mark(int(mark), ink, marks, None) for mark in np.flatnonzero(~used))
    return SideLabels(labels, drawings)


def told_mark(number: int, ink: Ink, marks: Marks, character: str | None) -> Mark:
    """One mark as a record."""
    x0, y0, x1, y1 = marks.box[number].tolist()
    pen = float(marks.pen_mm[number])
    return Mark(
        number=number, objects=ink.rows_of(marks.objects(number)), box_mm=(x0, y0, x1, y1),
        pen_mm=None if np.isnan(pen) else pen, character=character,
    )
