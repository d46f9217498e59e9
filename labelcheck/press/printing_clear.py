"""Knocked-out labels as printed: characters left clear in filled ink, which spreads into them from all around.

What stands for the ink of such a character is the clear space: `Printed.left` is the share of it that stays clear,
less what of the ink around it is lost. What obstacles take is counted on its rim, the ink that shows where it ends:
a character of ink is lost with its strokes, a clear one with the ink along them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.label import Label, Mark
from labelcheck.labels.reading.protocol import Reader
from labelcheck.press.evidence import Printed
from labelcheck.press.obstacles import Obstacles
from labelcheck.press.printing import with_ink_left
from labelcheck.press.printing_ink import moved, pixels_of_printer, through_the_process, without_slivers
from labelcheck.press.printing_reading import read_back, rows_of
from labelcheck.press.printing_shape import pieces_and_holes
from labelcheck.raster.components import components
from labelcheck.raster.growing import grown
from labelcheck.raster.rendering import render
from labelcheck.raster.run_algebra import intersect, subtract, union
from labelcheck.raster.runs import (
    Box,
    Runs,
    area_by_group,
    boxes_by_group,
    concatenated,
    no_runs,
    of_group,
    pixels_within,
    within_box,
)
from labelcheck.trade.limits import Limits
from labelcheck.trade.shapes import Shapes

Flags = NDArray[np.bool_]
Floats = NDArray[np.float64]

AROUND_MM = 0.3
"""Ink this near to a label's box is printed with it."""
SAME_BOX = 3.5
"""Pixels by which the box of a clear space may differ from that of its mark: rounding, and smoothed scan lines."""

STEPS = 1.5
"""Printer's pixels that a lost piece of ink is wide at the least."""
RIM_MM = 0.15
"""Ink this near to a clear character is its rim: a line that prints with every process (judgement)."""


@dataclass(frozen=True, slots=True, eq=False)
class ClearField:
    """Clear characters in the ink around them, as drawn; `around` is grouped by label, all else by mark number."""

    labels: tuple[Label, ...]
    marks: tuple[tuple[Mark, int], ...]
    """With the place of their label among the labels, in order of number."""
    around: Runs
    whole: Runs
    """The box of each mark, and its rim past it: what a reader of the character looks at."""
    drawn: Runs
    """The clear characters."""
    rims: Runs

    @property
    def count(self) -> int:
        """One more than the largest mark number."""
        return 1 + self.marks[-1][0].number


@dataclass(frozen=True, slots=True, eq=False)
class ClearInk:
    """Clear characters as drawn and as printed, grouped by mark number; `kept` (marks,) share that stays as drawn."""

    drawn: Runs
    printed: Runs
    kept: Floats


def knocked_out(labels: Sequence[Label]) -> list[Label]:
    """Those whose characters are left clear in filled ink."""
    return [label for label in labels if label.drawn_as == "knocked out"]


def with_rim(label: Label) -> Label:
    """A knocked-out label as large as it is with the ink that shows it; any other one as it is."""
    if label.drawn_as != "knocked out":
        return label
    x0, y0, x1, y1 = label.box_mm
    return replace(label, box_mm=(x0 - RIM_MM, y0 - RIM_MM, x1 + RIM_MM, y1 + RIM_MM))


def at_risk(labels: Sequence[Label], obstacles: Obstacles, limits: Limits) -> list[Label]:
    """Those knocked-out labels that printing can change: the others are printed as they are drawn.

    Their clear strokes are nearly narrow enough for the ink to close them, the ink between those nearly too thin to
    print, or something near takes ink away.
    """
    slack = 2 * limits.pitch_mm
    pixel_mm = pixels_of_printer(limits) * limits.pitch_mm
    narrow_mm = 2 * limits.spread.value_mm + pixel_mm + 2 * slack
    thin_mm = limits.thinnest_print.value_mm + slack

    def frail(label: Label) -> bool:
        return label.stroke_least_mm < narrow_mm or (label.gap_mm is not None and label.gap_mm < thin_mm)

    # The obstacles have their clearance around them; a worse registration reaches further.
    further = max(limits.registration.value_mm - limits.hole_clearance.value_mm, 0.0)

    def reached(label: Label) -> bool:
        x0, y0, x1, y1 = with_rim(label).box_mm
        return _loses_ink((x0 - further, y0 - further, x1 + further, y1 + further), obstacles)

    return [label for label in knocked_out(labels) if frail(label) or reached(label)]


def _loses_ink(box_mm: Box, obstacles: Obstacles) -> bool:
    """Whether an opening, a hole or the edge of the board comes near to a box."""
    x0, y0, x1, y1 = box_mm
    for boxes in (obstacles.opening_boxes, obstacles.hole_boxes):
        if ((boxes[:, 0] < x1) & (boxes[:, 2] > x0) & (boxes[:, 1] < y1) & (boxes[:, 3] > y0)).any():
            return True
    if obstacles.safe_area is None:
        return False
    (left, right), (low, high) = pixels_within(box_mm, obstacles.safe_area.pitch_mm)
    board = within_box(obstacles.safe_area, box_mm)
    return int((board.end - board.start).sum()) < (right - left) * (high - low)


def clear_field(legend: Shapes, labels: Sequence[Label], limits: Limits) -> ClearField:
    """The clear characters of knocked-out labels, at least one, and the ink around them."""
    pitch = limits.pitch_mm
    marks = sorted(
        ((mark, place) for place, label in enumerate(labels) for mark in label.marks), key=lambda one: one[0].number
    )
    ink, around = _ink_around(legend, labels, pitch)
    boxes = _filled_boxes(marks, pitch)
    drawn = _own_spaces(subtract(boxes, _ink_near(around, marks, pitch, 0.0)), marks)
    rims = intersect(grown(drawn, RIM_MM), ink)
    return ClearField(tuple(labels), tuple(marks), around, union(boxes, rims), drawn, rims)


def clear_ink(field: ClearField, obstacles: Obstacles, limits: Limits, shift: tuple[int, int] = (0, 0)) -> ClearInk:
    """The clear characters before and after the process, the legend lying off by so many columns and rows.

    Both lie as in the data.
    """
    marks, count = field.marks, field.count
    lying = replace(
        obstacles,
        holes=None if obstacles.holes is None else moved(obstacles.holes, -shift[0], -shift[1]),
        board_area=None if obstacles.board_area is None else moved(obstacles.board_area, -shift[0], -shift[1]),
    )
    before = _ink_near(field.around, marks, limits.pitch_mm, RIM_MM)
    after = _ink_near(_printed(field.around, lying, limits), marks, limits.pitch_mm, RIM_MM)
    # The steps of the printer's pixels along an edge are no ink lost.
    lost = without_slivers(
        intersect(field.whole, subtract(before, after)), STEPS * limits.printed_pixel.value_mm
    )
    printed = subtract(union(field.drawn, lost), after)
    if lying.board_area is not None:
        # What is clear past the edge of the board is not seen.
        printed = intersect(printed, lying.board_area)
    # What the ink leaves of a stroke is taken for whole: it is narrower, and still there.
    open_mm2 = area_by_group(intersect(grown(printed, limits.spread.value_mm), field.drawn), count)
    own_mm2, more_mm2 = area_by_group(field.drawn, count), area_by_group(subtract(printed, field.drawn), count)
    kept = np.where(own_mm2 > 0, open_mm2 / np.maximum(own_mm2 + more_mm2, 1e-12), 1.0)
    return ClearInk(field.drawn, printed, kept)


def clear_printed(
    ink: ClearInk, labels: Sequence[Label], reader: Reader | None, limits: Limits
) -> dict[str, Printed]:
    """What is left of each knocked-out label, by id; without a reader nothing is read back."""
    count = len(ink.kept)
    pieces, holes = pieces_and_holes(ink.printed, count)
    own_pieces, own_holes = pieces_and_holes(ink.drawn, count)
    area = area_by_group(ink.drawn, count)
    to_read = [label for label in labels if label.text is not None]
    misread = {}
    read: set[str] = set()
    if reader is not None and to_read:
        rows, inks = rows_of(to_read, ink.drawn), (ink.drawn, ink.printed)
        read = {label.id for label in rows.labels}
        misread = read_back(rows, inks, np.ones(count, dtype=np.bool_), reader, -limits.spread.value_mm)
    told = {}
    for label in labels:
        numbers = np.array([mark.number for mark in label.marks])
        whole = max(float(area[numbers].sum()), 1e-12)
        gone = (pieces[numbers] > own_pieces[numbers]) | ((pieces[numbers] == 0) & (own_pieces[numbers] > 0))
        told[label.id] = Printed(
            left=float((ink.kept[numbers] * area[numbers]).sum()) / whole,
            least_left=float(ink.kept[numbers].min()),
            broken=tuple(np.flatnonzero(gone).tolist()),
            closed=tuple(np.flatnonzero(holes[numbers] != own_holes[numbers]).tolist()),
            misread=with_ink_left(misread.get(label.id, ()), numbers, ink.kept, area),
            read=label.id in read,
        )
    return told


def clear_printed_shifted(
    legend: Shapes, labels: Sequence[Label], shifts: Mapping[str, tuple[int, int]],
    process: tuple[Obstacles, Reader | None, Limits],
) -> dict[str, Printed]:
    """What is left of those labels that have a shift, by id, each with the legend lying off by it."""
    obstacles, reader, limits = process
    told: dict[str, Printed] = {}
    for shift in sorted(set(shifts.values())):
        own = [label for label in labels if shifts.get(label.id) == shift]
        ink = clear_ink(clear_field(legend, own, limits), obstacles, limits, shift)
        told |= clear_printed(ink, own, reader, limits)
    return told


def _ink_around(legend: Shapes, labels: Sequence[Label], pitch_mm: float) -> tuple[Runs, Runs]:
    """The ink as drawn about the labels, and about each of them, grouped by its place among them."""
    boxes = np.array([label.box_mm for label in labels]) + np.array([-1, -1, 1, 1]) * AROUND_MM
    drawn = legend.boxes()
    near = np.zeros(len(legend), dtype=np.bool_)
    for x0, y0, x1, y1 in boxes:
        near |= (drawn[:, 0] <= x1) & (drawn[:, 2] >= x0) & (drawn[:, 1] <= y1) & (drawn[:, 3] >= y0)
    whole: Box = (*boxes[:, :2].min(axis=0).tolist(), *boxes[:, 2:].max(axis=0).tolist())
    ink = render(legend.take(near), pitch_mm, whole)
    return ink, _grouped([(place, within_box(ink, tuple(box))) for place, box in enumerate(boxes.tolist())], pitch_mm)


def _printed(ink: Runs, obstacles: Obstacles, limits: Limits) -> Runs:
    """Ink about the labels as it comes out on the board."""
    left = ink if obstacles.openings is None else subtract(ink, obstacles.openings)
    left = _on_board(left, obstacles)
    return _on_board(through_the_process(left, limits), obstacles)


def _on_board(ink: Runs, obstacles: Obstacles) -> Runs:
    left = ink if obstacles.holes is None else subtract(ink, obstacles.holes)
    return left if obstacles.board_area is None else intersect(left, obstacles.board_area)


def _ink_near(ink: Runs, marks: Sequence[tuple[Mark, int]], pitch_mm: float, margin_mm: float) -> Runs:
    """The ink about each label in and about the box of each of its marks, grouped by mark number."""
    parts = []
    for mark, place in marks:
        x0, y0, x1, y1 = mark.box_mm
        wider = (x0 - margin_mm, y0 - margin_mm, x1 + margin_mm, y1 + margin_mm)
        parts.append((mark.number, within_box(of_group(ink, place), wider)))
    return _grouped(parts, pitch_mm)


def _filled_boxes(marks: Sequence[tuple[Mark, int]], pitch_mm: float) -> Runs:
    """All pixels of the box of each mark, grouped by mark number."""
    parts = []
    for mark, _ in marks:
        (x0, x1), (y0, y1) = pixels_within(mark.box_mm, pitch_mm)
        row = np.arange(y0, max(y0, y1), dtype=np.int32)
        parts.append((mark.number, Runs(pitch_mm, row, np.full_like(row, x0), np.full_like(row, x1))))
    return _grouped(parts, pitch_mm)


def _grouped(parts: Sequence[tuple[int, Runs]], pitch_mm: float) -> Runs:
    grouped = [
        Runs(pitch_mm, runs.row, runs.start, runs.end, np.full(len(runs), group, dtype=np.int32))
        for group, runs in parts if len(runs)
    ]
    return concatenated(grouped, pitch_mm, grouped=True) if grouped else no_runs(pitch_mm, grouped=True)


def _own_spaces(clear: Runs, marks: Sequence[tuple[Mark, int]]) -> Runs:
    """Of the clear pieces within each mark's box the one that fills the box, not corners of its neighbours."""
    if clear.group is None or len(clear) == 0:
        return clear
    piece = components(clear)
    pieces = int(piece.max()) + 1
    order = np.argsort(piece, kind="stable")
    one_by_one = Runs(
        clear.pitch_mm, clear.row[order], clear.start[order], clear.end[order], piece[order].astype(np.int32)
    )
    group = np.zeros(pieces, dtype=np.int64)
    group[piece] = clear.group
    wanted = np.zeros((int(clear.group.max()) + 1, 4))
    for mark, _ in marks:
        if mark.number < len(wanted):
            wanted[mark.number] = mark.box_mm
    off = np.abs(boxes_by_group(one_by_one, pieces) - wanted[group]).max(axis=1) / clear.pitch_mm
    least = np.full(len(wanted), np.inf)
    np.minimum.at(least, group, off)
    # Where none fills its box, all of them are taken together.
    return clear.take(((off == least[group]) & (off <= SAME_BOX) | (least[group] > SAME_BOX))[piece])
