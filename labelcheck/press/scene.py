"""Looks at every label in its place: what ink it loses to openings, holes and edges, and what ink crosses it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from labelcheck.board.board import Board
from labelcheck.labels.label import Box, Label, Mark, SideLabels
from labelcheck.labels.reading.protocol import Reader
from labelcheck.press.assembling import as_assembled
from labelcheck.press.copper import shares_on_copper
from labelcheck.press.crossings import crossings_of
from labelcheck.press.evidence import Evidence, Loss, Printed
from labelcheck.press.hiding import hiding_on
from labelcheck.press.moving import shortest_way_out
from labelcheck.press.obstacles import Obstacles, meeting, obstacles_on
from labelcheck.press.printing import as_printed, ink_of, may_lose_ink, with_shift, worst_shifts
from labelcheck.press.printing_clear import (
    ClearField,
    ClearInk,
    at_risk,
    clear_field,
    clear_ink,
    clear_printed,
    clear_printed_shifted,
    knocked_out,
    with_rim,
)
from labelcheck.press.shadows import shadows_on
from labelcheck.raster.rendering import render_groups
from labelcheck.raster.run_algebra import intersect, subtract, union
from labelcheck.raster.runs import Runs, area_by_group, boxes_by_group
from labelcheck.trade.limits import Limits
from labelcheck.trade.shapes import Shapes
from labelcheck.trade.sides import Side

Flags = NDArray[np.bool_]
Floats = NDArray[np.float64]

WORTH_TELLING = 0.03
"""A character that loses less of its ink than this is not named among those that lose some."""
FAR_MM = 2.0
"""A label that lies this far off the board as a whole was not meant to be on it (judgement, no source)."""
AROUND_MM = 1.0
"""Obstacles are looked at this far around the labels; more than any clearance."""


NOTHING_LOST = Loss(sure=0.0, possible=0.0, characters=(), box_mm=(0.0, 0.0, 0.0, 0.0), move_mm=0.0, towards="")
"""An obstacle that is known and leaves a label alone; its box means nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class _Taken:
    """Per mark, shape (marks,): area in mm² taken surely and possibly, and the box (marks, 4) of the latter."""

    sure: Floats
    possible: Floats
    boxes: Floats


def evidence_on(
    board: Board, side: Side, found: SideLabels, limits: Limits, reader: Reader | None = None
) -> tuple[Evidence, ...]:
    """Evidence about each label of one side, in the order of the labels; without a reader no print is read back."""
    legend = board.on(side).legend
    if legend is None or not found.labels:
        return ()
    count = 1 + max(mark.number for mark in _all_marks(found))
    ink_about = render_groups(legend.shapes, _group_of_object(found, len(legend.shapes)), limits.pitch_mm)
    ink = ink_of(ink_about, found.labels, count)
    own_area = area_by_group(ink, count)
    around = _box_around(found.labels)
    obstacles = obstacles_on(board, side, around, limits, only_near=_boxes_around(found.labels))
    standing = [component for component in board.components if component.side is side]
    covered_by = hiding_on(ink, own_area, found.labels, standing, limits)
    partly = {label.id for label, share in zip(found.labels, covered_by.shares.tolist(), strict=True) if share > 0}
    risky = {label.id for label in at_risk(found.labels, obstacles, limits)} | partly
    hollow = [label for label in knocked_out(found.labels) if label.id in risky]
    field = clear_field(legend.shapes, hollow, limits) if hollow else None
    # Of a character that is left clear, obstacles take the ink around it.
    bearing = ink if field is None else union(ink, field.rims)
    bearing_area = own_area if field is None else area_by_group(bearing, count)
    outline = _past_outline(bearing, board, obstacles, count)
    opening = _taken(bearing, (obstacles.openings, obstacles.openings), obstacles.board_area, None, count)
    hole = _taken(
        bearing, (obstacles.holes, obstacles.hole_surroundings), obstacles.board_area, obstacles.openings, count
    )
    covered = _taken(
        bearing, (obstacles.covered_holes, obstacles.covered_holes), obstacles.board_area, obstacles.openings, count
    )
    crossings = crossings_of(ink_about, found)
    losses = zip(
        _losses(outline, found.labels, bearing_area, None),
        _losses(opening, found.labels, bearing_area, obstacles.opening_boxes),
        _losses(hole, found.labels, bearing_area, obstacles.hole_boxes),
        _losses(covered, found.labels, bearing_area, obstacles.hole_boxes),
        strict=True,
    )
    taken = np.zeros(count, dtype=np.bool_)
    for one in (outline, opening, hole):
        if one is not None:
            taken |= one.possible > 0
    near = may_lose_ink(bearing, taken, obstacles, limits)
    printed = as_printed(ink, found.labels, (obstacles, near), limits, reader)
    clear = None
    if field is not None:
        clear = clear_ink(field, obstacles, limits)
        of_hollow = _hollow_printed(legend.shapes, (field, clear), (obstacles, near), limits, reader)
        printed = tuple(of_hollow.get(label.id, one) for label, one in zip(found.labels, printed, strict=True))
    assembled = as_assembled(ink, found.labels, (covered_by, (obstacles, near), clear), limits, reader)
    shadows = shadows_on(found.labels, standing, limits.viewing_angle_deg)
    lost = np.sum([taken.sure for taken in (outline, opening, hole) if taken is not None] + [np.zeros(count)], axis=0)
    evidence = []
    under = zip(covered_by.hiding, covered_by.shares.tolist(), shadows, assembled, strict=True)
    on_copper = shares_on_copper(ink, own_area, found.labels, (board.on(side).copper, around), limits)
    looks = zip(crossings, printed, on_copper, strict=True)
    for label, of_label, (crossing, print_, copper), over in zip(found.labels, losses, looks, under, strict=True):
        numbers = [mark.number for mark in label.marks]
        whole = float(own_area[numbers].sum())
        evidence.append(
            Evidence(
                label=label,
                outline=of_label[0],
                opening=of_label[1],
                hole=of_label[2],
                covered_hole=of_label[3],
                far_off_board=_is_far_off(board, label),
                crossing=crossing,
                printed=print_,
                on_copper=copper,
                hiding=over[0],
                hidden_fraction=over[1],
                shadow=over[2],
                assembled=over[3],
                printed_fraction=print_.left if whole == 0 or label.drawn_as == "knocked out" else max(
                    0.0, min(1.0 - float(lost[numbers].sum()) / whole, print_.left)
                ),
            )
        )
    return tuple(evidence)


def _hollow_printed(
    legend: Shapes, drawn_and_printed: tuple[ClearField, ClearInk], surroundings: tuple[Obstacles, Flags],
    limits: Limits, reader: Reader | None,
) -> dict[str, Printed]:
    """What is left of knocked-out labels, by id, with the legend where it belongs and in its worst shift."""
    (field, clear), (obstacles, _) = drawn_and_printed, surroundings
    told = clear_printed(clear, field.labels, reader, limits)
    clipped = field.rims if obstacles.openings is None else subtract(field.rims, obstacles.openings)
    shifts = worst_shifts(field.rims, clipped, field.labels, surroundings, limits)
    if shifts:
        shifted = clear_printed_shifted(legend, field.labels, shifts, (obstacles, reader, limits))
        told |= {id_: with_shift(told[id_], one, shifts[id_], limits) for id_, one in shifted.items()}
    return told


def _all_marks(found: SideLabels) -> list[Mark]:
    return [mark for label in found.labels for mark in label.marks] + list(found.drawings)


def _group_of_object(found: SideLabels, objects: int) -> NDArray[np.int64]:
    """The mark that each drawn object belongs to, -1 for none, and for drawings that come near no character."""
    group = np.full(objects, -1, dtype=np.int64)
    marks = [mark for label in found.labels for mark in label.marks]
    boxes = np.array([mark.box_mm for mark in found.drawings]).reshape(-1, 4)
    near = meeting(boxes, np.array([mark.box_mm for mark in marks]))
    marks += [mark for mark, beside in zip(found.drawings, near.tolist(), strict=True) if beside]
    for mark in marks:
        group[list(mark.objects)] = mark.number
    return group


def _boxes_around(labels: Sequence[Label]) -> Floats:
    return np.array([label.box_mm for label in labels]) + np.array([-1.0, -1.0, 1.0, 1.0]) * AROUND_MM


def _box_around(labels: Sequence[Label]) -> Box:
    boxes = _boxes_around(labels)
    (x0, y0), (x1, y1) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return (float(x0), float(y0), float(x1), float(y1))


def _taken(
    ink: Runs, surely_and_possibly: tuple[Runs | None, Runs | None], board_area: Runs | None, gone: Runs | None,
    count: int,
) -> _Taken | None:
    """What an obstacle takes of each mark, surely and possibly, but for ink off the board and ink that is `gone`."""
    surely, possibly = surely_and_possibly
    if surely is None or possibly is None:
        return None
    # What is taken is little beside the ink: it is cut out first, and compared with the rest after.
    sure = _left_of(intersect(ink, surely), board_area, gone)
    possible = sure if possibly is surely else _left_of(intersect(ink, possibly), board_area, gone)
    return _Taken(area_by_group(sure, count), area_by_group(possible, count), boxes_by_group(possible, count))


def _left_of(taken: Runs, board_area: Runs | None, gone: Runs | None) -> Runs:
    on_board = taken if board_area is None else intersect(taken, board_area)
    return on_board if gone is None else subtract(on_board, gone)


def _past_outline(ink: Runs, board: Board, obstacles: Obstacles, count: int) -> _Taken | None:
    """Ink off the laminate, and ink within the clearance of an edge."""
    if board.outline is None or obstacles.board_area is None or obstacles.safe_area is None:
        return None
    boxes = boxes_by_group(ink, count)
    inked = np.flatnonzero(np.isfinite(boxes[:, 0]))
    inner = board.outline.area.buffer(-obstacles.clearance_mm)
    shapely.prepare(inner)
    near = np.zeros(count, dtype=np.bool_)
    near[inked] = ~shapely.contains_properly(inner, shapely.box(*boxes[inked].T))
    ink_near = ink.take(near[ink.group])
    outside = subtract(ink_near, obstacles.board_area)
    possible = subtract(ink_near, obstacles.safe_area)
    return _Taken(area_by_group(outside, count), area_by_group(possible, count), boxes_by_group(possible, count))


def _losses(
    taken: _Taken | None, labels: Sequence[Label], own_area: Floats, single_boxes: Floats | None
) -> list[Loss | None]:
    """What one kind of obstacle takes of each label; None for all where it is not known.

    `single_boxes` (n, 4) are the boxes of the single openings or holes; None where there are no single ones.
    """
    if taken is None:
        return [None] * len(labels)
    area = np.maximum(own_area, 1e-9)
    worth = (taken.possible / area) >= WORTH_TELLING
    return [
        _loss(taken, label, area, single_boxes) if any(worth[mark.number] for mark in label.marks) else NOTHING_LOST
        for label in labels
    ]


def _loss(taken: _Taken, label: Label, area: Floats, single_boxes: Floats | None) -> Loss:
    numbers = np.array([mark.number for mark in label.marks])
    sure, possible = taken.sure[numbers] / area[numbers], taken.possible[numbers] / area[numbers]
    by_sure = bool(sure.max() >= WORTH_TELLING)
    hit = np.flatnonzero((sure if by_sure else possible) >= WORTH_TELLING)
    boxes = taken.boxes[numbers[hit]]
    x0, y0, x1, y1 = (float(edge) for edge in (*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)))
    move_mm, towards = shortest_way_out(with_rim(label), (x0, y0, x1, y1), single_boxes)
    return Loss(
        sure=float(sure.max()),
        possible=float(possible.max()),
        characters=tuple(int(place) for place in hit),
        box_mm=(x0, y0, x1, y1),
        move_mm=move_mm,
        towards=towards,
    )


def _is_far_off(board: Board, label: Label) -> bool:
    """Whether the label as a whole lies well outside the outline's box."""
    if board.outline is None:
        return False
    left, low, right, high = board.outline.area.bounds
    x0, y0, x1, y1 = label.box_mm
    return x1 < left - FAR_MM or x0 > right + FAR_MM or y1 < low - FAR_MM or y0 > high + FAR_MM
