"""Possible characters within ink that filled letters make together: words of an outline face over one another.

Each contour may be a character by itself, with the clear objects that cut its counters. Strokes are taken apart in
`within` by the order of the file; filled letters touch nothing of their own word, so that touching is enough.
"""

from dataclasses import replace

import numpy as np

from labelcheck.labels.marks import Marks, mark_columns
from labelcheck.labels.within import boxes_of, no_parts
from labelcheck.trade.shapes import Flags, Integers, Shapes

OVERLAID_VIEW = 4
"""The view of marks, see `Marks.views`, in which each contour stands alone; 1 to 3 are of `within`, `struck`."""
LETTER_MM = (0.5, 6.0)
"""Extent of a contour that may be a letter."""
MOST_CONTOURS = 60
"""A mark of more is a picture or a code."""
SLACK_MM = 0.002


def contours_within(shapes: Shapes, marks: Marks) -> Marks:
    """Contours, each as large as a character, of marks that hold several of them."""
    if len(marks) == 0:
        return no_parts()
    filled = np.zeros(len(shapes), dtype=np.bool_)
    filled[shapes.ring_object] = True
    filled &= shapes.dark
    boxes = shapes.boxes()
    with np.errstate(invalid="ignore"):
        size = (boxes[:, 2:] - boxes[:, :2]).max(axis=1, initial=0.0)
        letter = filled & (size >= LETTER_MM[0]) & (size <= LETTER_MM[1])
    host_of = np.full(len(shapes), -1)
    host_of[marks.member] = np.repeat(np.arange(len(marks)), np.diff(marks.first))
    count = np.bincount(host_of[letter & (host_of >= 0)], minlength=len(marks))
    hosts = (count >= 2) & (count <= MOST_CONTOURS)
    letter &= (host_of >= 0) & hosts[host_of]
    lead = np.flatnonzero(letter)
    if len(lead) == 0:
        return no_parts()
    number = np.full(len(shapes), -1)
    number[lead] = np.arange(len(lead))
    box = boxes_of(boxes, number, len(lead))
    _give_counters(number, lead, (host_of, shapes.dark), boxes)
    parts = mark_columns(shapes, number, box, np.zeros(len(shapes), dtype=np.bool_))
    return replace(parts, parent=host_of[lead])


def _give_counters(number: Integers, lead: Integers, of: tuple[Integers, Flags], boxes: np.ndarray) -> None:
    """Put each clear object into the contour that was drawn last before it, where it lies within that."""
    host_of, dark = of
    clear = np.flatnonzero(~dark & (host_of >= 0))
    before = np.searchsorted(lead, clear) - 1
    clear, before = clear[before >= 0], before[before >= 0]
    own = lead[before]
    inside = host_of[own] == host_of[clear]
    inside &= (boxes[clear, :2] >= boxes[own, :2] - SLACK_MM).all(axis=1)
    inside &= (boxes[clear, 2:] <= boxes[own, 2:] + SLACK_MM).all(axis=1)
    number[clear[inside]] = before[inside]
