"""Labels that read only in a mirror: drawn on the wrong side, or not mirrored for theirs."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from labelcheck.board.board import Layer
from labelcheck.labels.apart import take_apart
from labelcheck.labels.finding import find_among
from labelcheck.labels.label import Box, Label, Mark, SideLabels
from labelcheck.labels.reading.protocol import Reader
from labelcheck.trade.sides import Side

SURE = 0.9
"""A label read less surely than this, or not at all, is looked at in a mirror."""
READ, READ_EACH, READ_LEAST = 0.95, 0.06, 0.6
"""One of three characters found there is read at least so surely, each character more asks for so much less, to the
last bound: many characters in a row that all read in a mirror are no chance (judgement, seen on real legends)."""
LEAST_CHARACTERS = 3
"""Shorter texts in a mirror are as likely to be a drawing."""
SIZES_MM = (0.4, 6.0)
"""Extent of drawings that may be characters."""
LARGEST_FIELD_MM = 60.0
"""Extent of filled drawings that text may be knocked out of."""
ALIKE_IN_A_MIRROR = frozenset("AHIMOTUVWXYilovwx08-+=.:|*^\"'_°")
"""Characters that a mirror leaves as they are."""
UPSIDE_DOWN_DEG = 50.0
"""Nobody draws text that stands on its head but for this."""
ALIKE_UPSIDE_DOWN = frozenset("BCDEHIKOXclox0138-+=:|*")
"""Characters that stay as they are turned over about their line of text: what reads DDX in the mirror reads so
without it too, from the other side of a level, from the same side where the text stands upright on its end."""
TELLING_SHARE, TELLING_ENOUGH = 0.4, 3
"""At least this share of the characters of a mirrored label, or so many, must look different in a mirror."""


def all_labels(side: Side, legend: Layer, reader: Reader) -> SideLabels:
    """All labels and drawings of one side's legend, those that read only in a mirror among them."""
    apart = take_apart(legend)
    found = find_among(side, legend, apart, reader)
    doubted = [label for label in found.labels if label.text is None or label.text_confidence < SURE]
    drawings = [mark for mark in found.drawings if _may_be_character(mark.box_mm) or _may_hold_text(mark)]
    rows = np.zeros(len(legend.shapes), dtype=np.bool_)
    rows[[row for mark in (*_marks_of(doubted), *drawings) for row in mark.objects]] = True
    open_marks = apart.made_of(rows)
    if open_marks.sum() < LEAST_CHARACTERS:
        return found
    turned_over = Side.BOTTOM if side is Side.TOP else Side.TOP
    seen = [
        label
        for label in find_among(turned_over, legend, apart, reader, open_marks, LEAST_CHARACTERS).labels
        if reads_only_there(label) and not _read_better(label, doubted)
    ]
    if not seen:
        return found
    number = 1 + max(mark.number for label in found.labels for mark in label.marks) if found.labels else 0
    number = max([number, *(1 + mark.number for mark in found.drawings)])
    mirrored: list[Label] = []
    for label in seen:
        marks = tuple(
            replace(mark, number=number + place) for place, mark in enumerate(label.marks)
        )
        number += len(marks)
        mirrored.append(replace(label, side=side, marks=marks, mirrored=True))
    return _put_together(side, found, mirrored)


def _may_be_character(box: Box) -> bool:
    extent = max(box[2] - box[0], box[3] - box[1])
    return SIZES_MM[0] <= extent <= SIZES_MM[1]


def _may_hold_text(mark: Mark) -> bool:
    """Whether text may be knocked out of it: filled areas do, as far as they are no pictures."""
    extent = max(mark.box_mm[2] - mark.box_mm[0], mark.box_mm[3] - mark.box_mm[1])
    return mark.pen_mm is None and extent <= LARGEST_FIELD_MM


def _marks_of(labels: Sequence[Label]) -> list[Mark]:
    return [mark for label in labels for mark in label.marks]


def reads_only_there(label: Label) -> bool:
    """Whether a label seen in the mirror is surely text that would not read the same without it."""
    if label.text is None:
        return False
    characters = label.text.replace(" ", "")
    telling = sum(character not in ALIKE_IN_A_MIRROR for character in characters)
    # Turned over about its line, text in the mirror at an angle reads without it at 180 degrees less that angle.
    on_its_head = abs((label.turned_deg + 180.0) % 360.0 - 180.0) < UPSIDE_DOWN_DEG
    if not on_its_head:
        telling = min(telling, sum(character not in ALIKE_UPSIDE_DOWN for character in characters))
    asked = max(READ_LEAST, READ - READ_EACH * (len(characters) - LEAST_CHARACTERS))
    if label.text_confidence < asked:
        return False
    if len(characters) == LEAST_CHARACTERS and " " in label.text:
        return False  # two and one in a row: pieces of other letters rather than a word
    return len(characters) >= LEAST_CHARACTERS and telling >= min(TELLING_SHARE * len(characters), TELLING_ENOUGH)


def _read_better(seen: Label, doubted: Sequence[Label]) -> bool:
    """Whether a label in the same place reads as surely without the mirror."""
    x0, y0, x1, y1 = seen.box_mm
    return any(
        label.text_confidence >= seen.text_confidence
        for label in doubted
        if label.box_mm[0] < x1 and label.box_mm[2] > x0 and label.box_mm[1] < y1 and label.box_mm[3] > y0
    )


def _put_together(side: Side, found: SideLabels, mirrored: Sequence[Label]) -> SideLabels:
    """Labels and drawings less what the mirrored labels are made of, numbered on."""
    taken = {row for label in mirrored for mark in label.marks for row in mark.objects}
    kept: list[Label] = []
    left: list[Mark] = []
    for label in found.labels:
        if taken.isdisjoint(row for mark in label.marks for row in mark.objects):
            kept.append(label)
        else:
            # What is left of a label of which a mirrored one takes a part is a drawing.
            left += label.marks
    drawings = []
    for mark in (*found.drawings, *left):
        rest = tuple(row for row in mark.objects if row not in taken)
        if rest:
            drawings.append(replace(mark, objects=rest))
    letter = "B" if side is Side.BOTTOM else "T"
    numbered = tuple(
        replace(label, id=f"{letter}{place}") for place, label in enumerate([*kept, *mirrored], start=1)
    )
    return SideLabels(numbered, tuple(drawings))
