"""Foreign ink through a label: another label, or a drawing."""

from collections import defaultdict
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.label import Box, Label, Mark, SideLabels
from labelcheck.press.evidence import Crossing
from labelcheck.raster.run_algebra import overlaps_between_groups
from labelcheck.raster.runs import Runs, area_mm2

Floats = NDArray[np.float64]
Integers = NDArray[np.integer]

TOUCHING = 0.02
"""Foreign ink that covers less of a character than this merely touches it."""
WORTH_NAMING = 0.05
"""A character with less foreign ink in its hull than this is not named among those that are crossed."""


def crossings_of(ink: Runs, found: SideLabels) -> tuple[Crossing | None, ...]:
    """For each label what runs through it, None where nothing does.

    `ink` is grouped by mark number. Only ink that overlaps a character counts; what counts is then all ink of that
    drawing's mark, or of that whole label, within the hull of the character, as a share of the character's own ink.
    """
    label_of_mark = {mark.number: label for label in found.labels for mark in label.marks}
    drawings = {mark.number: mark for mark in found.drawings}
    span = _Spans(ink)
    crossed: dict[str, list[tuple[float, int, Label | None]]] = defaultdict(list)
    for first, second, overlap_mm2 in zip(*overlaps_between_groups(ink)[:3], strict=True):
        for own, other in ((int(first), int(second)), (int(second), int(first))):
            label = label_of_mark.get(own)
            other_label = label_of_mark.get(other)
            if label is None or other_label is label:
                continue
            if other_label is None and _drawn_in_one_go(label, drawings.get(other)):
                continue
            own_mm2 = area_mm2(span.of(own))
            if own_mm2 == 0 or overlap_mm2 < TOUCHING * own_mm2:
                continue
            others = [other] if other_label is None else [mark.number for mark in other_label.marks]
            foreign = sum(area_mm2(_within_hull(span.of(one), span.of(own))) for one in others) / own_mm2
            crossed[label.id].append((foreign, own, other_label))
    return tuple(_crossing(label, crossed.get(label.id)) for label in found.labels)


def _drawn_in_one_go(label: Label, drawing: Mark | None) -> bool:
    """Whether a lone character is rather a piece of the drawing: its strokes stand in the file amid those of it.

    A line that strikes a lone character through comes before it or after it, and is told.
    """
    if drawing is None or len(label.marks) > 1:
        return False
    rows = label.marks[0].objects
    return min(rows) - 1 in drawing.objects and max(rows) + 1 in drawing.objects


def _crossing(label: Label, crossed: list[tuple[float, int, Label | None]] | None) -> Crossing | None:
    if not crossed:
        return None
    worst = max(crossed, key=lambda one: (one[0], -one[1]))
    hit = {own for foreign, own, _ in crossed if foreign >= WORTH_NAMING}
    places = [place for place, mark in enumerate(label.marks) if mark.number in hit]
    if not places:
        return None
    boxes = np.array([label.marks[place].box_mm for place in places])
    box: Box = (
        float(boxes[:, 0].min()), float(boxes[:, 1].min()), float(boxes[:, 2].max()), float(boxes[:, 3].max()),
    )
    return Crossing(fraction=worst[0], characters=tuple(places), by_label=worst[2], box_mm=box)


def _within_hull(foreign: Runs, own: Runs) -> Runs:
    """What of foreign ink lies within the convex hull of a character: not in the empty corners about a + or an A.

    Either is the ink of a single mark, whose runs are sorted by row.
    """
    rows, first = np.unique(own.row, return_index=True)
    left = np.minimum.reduceat(own.start, first).astype(np.float64)
    right = np.maximum.reduceat(own.end, first).astype(np.float64)
    lowest, highest = np.searchsorted(foreign.row, (rows[0], rows[-1] + 1))
    beside = foreign.take(slice(int(lowest), int(highest)))
    beside = beside.take((beside.end > left.min()) & (beside.start < right.max()))
    start = np.maximum(beside.start, np.ceil(_lower_hull(rows, left, beside.row)))
    end = np.minimum(beside.end, np.floor(-_lower_hull(rows, -right, beside.row)))
    inside = replace(beside, start=start.astype(np.int32), end=end.astype(np.int32))
    return inside.take(inside.start < inside.end)


def _lower_hull(rows: Integers, values: Floats, at: Integers) -> Floats:
    """The greatest convex curve below values on ascending rows, read at some rows between the first and the last."""
    corners: list[tuple[int, float]] = []
    for row, value in zip(rows.tolist(), values.tolist(), strict=True):
        while len(corners) > 1:
            (first_row, first), (last_row, last) = corners[-2:]
            if (last - first) * (row - first_row) < (value - first) * (last_row - first_row):
                break
            corners.pop()
        corners.append((row, value))
    hull_rows, hull = zip(*corners, strict=True)
    return np.interp(at, hull_rows, hull)


class _Spans:
    """Finds the runs of one group at once, since runs are sorted by group."""

    def __init__(self, ink: Runs) -> None:
        self._ink = ink
        self._group = ink.group if ink.group is not None else np.zeros(len(ink), dtype=np.int32)

    def of(self, group: int) -> Runs:
        first, last = np.searchsorted(self._group, [group, group + 1])
        return self._ink.take(slice(int(first), int(last)))
