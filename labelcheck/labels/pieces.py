"""The straight pieces that marks are made of: their boxes in any direction, and the directions that they run in."""

from dataclasses import dataclass

import numpy as np

from labelcheck.labels.glyphs import spread, turn_upright
from labelcheck.labels.marks import Contacts, Marks
from labelcheck.trade.shapes import Flags, Floats, Integers, Shapes

STEP_PENS = 3.0
"""Neighbouring scan lines end so near each other along one edge of what they paint."""


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Straight dark pieces of marks, bars and ring edges alike, as seen on their own side.

    `outlines` (k,) tells which show the form of their mark: not scan lines, but the steps from the end of one to the
    end of the next.
    """

    mark: Integers
    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    radius: Floats
    outlines: Flags


def pieces_of(shapes: Shapes, marks: Marks, contacts: Contacts, mirrored: bool) -> Pieces:
    """Every dark bar and ring edge of the marks, sorted by mark."""
    owner = np.repeat(np.arange(len(marks)), np.diff(marks.first))
    dark = shapes.dark[marks.member]
    member, owner = marks.member[dark], owner[dark]
    bar_start = np.searchsorted(shapes.bar_object, member)
    bar_count = np.searchsorted(shapes.bar_object, member, side="right") - bar_start
    bar, bar_mark = spread(bar_start, bar_count), np.repeat(owner, bar_count)
    ring_start = np.searchsorted(shapes.ring_object, member)
    ring_count = np.searchsorted(shapes.ring_object, member, side="right") - ring_start
    ring = spread(ring_start, ring_count)
    size = np.diff(shapes.ring_start)[ring]
    vertex = spread(shapes.ring_start[ring], size)
    after = np.arange(len(vertex)) + 1
    ends = np.cumsum(size)[size > 0]
    after[ends - 1] = ends - size[size > 0]
    vx, vy = shapes.vx[vertex], shapes.vy[vertex]
    step_mark, steps = _steps(shapes, marks, contacts)
    columns = np.concatenate((
        np.column_stack((shapes.x0, shapes.y0, shapes.x1, shapes.y1, shapes.width / 2))[bar],
        np.column_stack((vx, vy, vx[after], vy[after], np.zeros(len(vx)))),
        np.column_stack((steps, np.zeros(len(steps)))),
    ))
    mark = np.concatenate((bar_mark, np.repeat(np.repeat(owner, ring_count), size), step_mark))
    outlines = np.ones(len(mark), dtype=np.bool_)
    outlines[: len(bar)] = ~marks.painted[bar_mark]
    order = np.argsort(mark, kind="stable")
    x0, y0, x1, y1, radius = columns[order].T
    sign = -1.0 if mirrored else 1.0
    return Pieces(mark[order], sign * x0, y0, sign * x1, y1, radius, outlines[order])


def _steps(shapes: Shapes, marks: Marks, contacts: Contacts) -> tuple[Integers, Floats]:
    """Mark, and ends (k, 4), of the steps between the ends of neighbouring scan lines of painted marks."""
    mark_of = np.full(len(shapes), -1)
    mark_of[marks.member] = np.repeat(np.where(marks.painted, np.arange(len(marks)), -1), np.diff(marks.first))
    single = np.bincount(shapes.bar_object, minlength=len(shapes)) == 1
    bar = np.zeros(len(shapes), dtype=np.int64)
    bar[shapes.bar_object] = np.arange(len(shapes.bar_object))
    a, b = contacts.first, contacts.second
    kept = contacts.painting & (mark_of[a] >= 0) & (mark_of[a] == mark_of[b]) & single[a] & single[b]
    a, b = a[kept], b[kept]
    backwards = (shapes.x1 < shapes.x0) | ((shapes.x1 == shapes.x0) & (shapes.y1 < shapes.y0))
    low = np.where(backwards, (shapes.x1, shapes.y1), (shapes.x0, shapes.y0)).T
    high = np.where(backwards, (shapes.x0, shapes.y0), (shapes.x1, shapes.y1)).T
    steps = np.concatenate([np.hstack((ends[bar[a]], ends[bar[b]])) for ends in (low, high)])
    mark = np.tile(mark_of[a], 2)
    length = np.hypot(steps[:, 2] - steps[:, 0], steps[:, 3] - steps[:, 1])
    near = length <= STEP_PENS * np.tile(shapes.width[bar[a]], 2)
    return mark[near], steps[near]


def turned_boxes(pieces: Pieces, marks: Integers, turned_deg: float) -> Floats:
    """Boxes (k, 4) of the chosen marks in a frame turned by `turned_deg`; every mark has at least one piece."""
    start = np.searchsorted(pieces.mark, marks)
    count = np.searchsorted(pieces.mark, marks, side="right") - start
    piece = spread(start, count)
    angle = np.array(turned_deg)
    x0, y0 = turn_upright(pieces.x0[piece], pieces.y0[piece], angle, False)
    x1, y1 = turn_upright(pieces.x1[piece], pieces.y1[piece], angle, False)
    radius = pieces.radius[piece]
    cut = np.cumsum(count) - count
    return np.column_stack((
        np.minimum.reduceat(np.minimum(x0, x1) - radius, cut), np.minimum.reduceat(np.minimum(y0, y1) - radius, cut),
        np.maximum.reduceat(np.maximum(x0, x1) + radius, cut), np.maximum.reduceat(np.maximum(y0, y1) + radius, cut),
    )) if len(marks) else np.zeros((0, 4))
