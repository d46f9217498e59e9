"""Possible characters under a line: text struck through by a stroke of its own pen, which joins all to one mark."""

from dataclasses import replace

import numpy as np

from labelcheck.labels.joining import components, numbered
from labelcheck.labels.marks import Contacts, Marks, mark_columns
from labelcheck.labels.within import CHARACTER_MM, boxes_of, no_parts
from labelcheck.trade.shapes import Flags, Floats, Integers, Shapes

STRUCK_VIEW = 3
"""The view of marks, see `Marks.views`, in which lines through text are gone; 1 and 2 are those of `within`."""
THROUGH_SHARE = 0.5
"""A stroke that strikes text through is at least this long, as a share of the extent of all that it joins."""
BEYOND_PENS = 0.8
"""It runs on for so many pens to both sides of what it crosses, and what it crosses does by half as many."""
HALF = 0.5


def struck_within(shapes: Shapes, marks: Marks, contacts: Contacts) -> Marks:
    """Groups of strokes, each as large as a character, that are left of marks without the lines through them.

    Only straight strokes that properly cross another one are such lines: the bars of `E` and `H` end where they meet
    the stem, and what is left of `X`, `4` and `+` without their longest stroke is no group of strokes.
    """
    extent = (marks.box[:, 2:] - marks.box[:, :2]).max(axis=1, initial=0.0)
    hosts = ~np.isnan(marks.pen_mm) & ~marks.painted
    host_of = np.full(len(shapes), -1)
    host_of[marks.member] = np.repeat(np.where(hosts, np.arange(len(marks)), -1), np.diff(marks.first))
    through = _lines_through(shapes, contacts, host_of, extent)
    struck = np.zeros(len(marks) + 1, dtype=np.bool_)
    struck[host_of[through]] = True
    left = (host_of >= 0) & struck[host_of] & ~through & shapes.dark
    if not left.any():
        return no_parts()
    inside = contacts.joined & left[contacts.first] & left[contacts.second]
    label = components(len(shapes), contacts.first[inside], contacts.second[inside])
    number = np.full(len(shapes), -1)
    number[left], count = numbered(label[left])
    host = np.full(count, -1)
    host[number[left]] = host_of[left]
    possible = _possible(shapes, number, host, len(marks))
    number = np.where(number >= 0, np.where(possible, np.cumsum(possible) - 1, -1)[number], -1)
    box = boxes_of(shapes.boxes(), number, int(possible.sum()))
    parts = mark_columns(shapes, number, box, np.zeros(len(shapes), dtype=np.bool_))
    return replace(parts, parent=host[possible])


def _lines_through(shapes: Shapes, contacts: Contacts, host_of: Integers, extent: Floats) -> Flags:
    """Objects that are a long straight stroke through another stroke of their mark."""
    through = np.zeros(len(shapes), dtype=np.bool_)
    single = np.bincount(shapes.bar_object, minlength=len(shapes)) == 1
    bar = np.full(len(shapes), -1)
    bar[shapes.bar_object] = np.arange(len(shapes.bar_object))
    inside = contacts.joined & (host_of[contacts.first] >= 0)
    a, b = contacts.first[inside], contacts.second[inside]
    length = np.zeros(len(shapes))
    length[shapes.bar_object] = np.hypot(shapes.x1 - shapes.x0, shapes.y1 - shapes.y0)
    for line, other in ((a, b), (b, a)):
        long = single[line] & single[other] & (length[line] >= THROUGH_SHARE * extent[host_of[line]])
        long &= length[line] >= length[other]  # of two that cross, the longer one is the line and not the letter
        line, other = line[long], other[long]
        crossing = _crosses(shapes, bar[line], bar[other])
        through[line[crossing]] = True
    return through


def _crosses(shapes: Shapes, line: Integers, other: Integers) -> Flags:
    """Whether two bars cross, with enough of both on either side of the crossing."""
    px, py = shapes.x0[line], shapes.y0[line]
    rx, ry = shapes.x1[line] - px, shapes.y1[line] - py
    qx, qy = shapes.x0[other], shapes.y0[other]
    sx, sy = shapes.x1[other] - qx, shapes.y1[other] - qy
    across = rx * sy - ry * sx
    parallel = np.abs(across) < 1e-12
    across = np.where(parallel, 1.0, across)
    along_line = ((qx - px) * sy - (qy - py) * sx) / across
    along_other = ((qx - px) * ry - (qy - py) * rx) / across
    reach = BEYOND_PENS * shapes.width[line]
    room_line = np.minimum(along_line, 1 - along_line) * np.hypot(rx, ry)
    room_other = np.minimum(along_other, 1 - along_other) * np.hypot(sx, sy)
    return ~parallel & (room_line >= reach) & (room_other >= HALF * reach)


def _possible(shapes: Shapes, number: Integers, host: Integers, marks: int) -> Flags:
    """Which groups may be characters: of that size, and of several strokes or beside another group of the mark."""
    count = len(host)
    box = boxes_of(shapes.boxes(), number, count)
    size = (box[:, 2:] - box[:, :2]).max(axis=1, initial=0.0)
    fits = (size >= CHARACTER_MM[0]) & (size <= CHARACTER_MM[1])
    several = np.bincount(number[number >= 0], minlength=count) > 1
    beside = np.bincount(host, fits & several, marks)[host] >= 1
    return fits & (several | beside)
