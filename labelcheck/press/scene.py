"""Looks at every label in its place: what ink it loses to openings, holes and edges, and what ink crosses it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.board.board import Board, Layer
from labelcheck.labels.label import Box, Label, Mark, SideLabels
from labelcheck.press.crossings import crossings_of
from labelcheck.press.evidence import Evidence, Loss
from labelcheck.press.obstacles import Obstacles, obstacles_on
from labelcheck.raster.rendering import render_groups
from labelcheck.raster.run_algebra import intersect, subtract
from labelcheck.raster.runs import Runs, area_by_group, boxes_by_group
from labelcheck.trade.limits import Limits
from labelcheck.trade.sides import Side

Floats = NDArray[np.float64]

WORTH_TELLING = 0.03
"""A character that loses less of its ink than this is not named among those that lose some."""
FAR_MM = 2.0
"""A label that lies this far off the board as a whole was not meant to be on it (judgement, no source)."""
AROUND_MM = 1.0
"""Obstacles are looked at this far around the labels; more than any clearance."""


@dataclass(frozen=True, slots=True, eq=False)
class _Taken:
    """Per mark, shape (marks,): area in mm² taken surely and possibly, and the box (marks, 4) of the latter."""

    sure: Floats
    possible: Floats
    boxes: Floats


def evidence_on(board: Board, side: Side, legend: Layer, found: SideLabels, limits: Limits) -> tuple[Evidence, ...]:
    """Evidence about each label of one side, in the order of the labels."""
    if not found.labels:
        return ()
    count = 1 + max(mark.number for mark in _all_marks(found))
    ink = render_groups(legend.shapes, _group_of_object(found, len(legend.shapes)), limits.pitch_mm)
    own_area = area_by_group(ink, count)
    obstacles = obstacles_on(board, side, _box_around(found.labels), limits)
    outline, ink_left = _past_outline(ink, obstacles, count)
    opening, ink_left = _taken(ink_left, obstacles.openings, obstacles.openings, count)
    hole, ink_left = _taken(ink_left, obstacles.holes, obstacles.hole_surroundings, count)
    covered, _ = _taken(ink_left, obstacles.covered_holes, obstacles.covered_holes, count)
    crossings = crossings_of(ink, found)
    evidence = []
    for label, crossing in zip(found.labels, crossings, strict=True):
        losses = [_loss(taken, label, own_area) for taken in (outline, opening, hole, covered)]
        numbers = [mark.number for mark in label.marks]
        lost = sum(float(taken.sure[numbers].sum()) for taken in (outline, opening, hole) if taken is not None)
        whole = float(own_area[numbers].sum())
        evidence.append(
            Evidence(
                label=label,
                outline=losses[0],
                opening=losses[1],
                hole=losses[2],
                covered_hole=losses[3],
                far_off_board=_is_far_off(board, label),
                crossing=crossing,
                printed_fraction=1.0 if whole == 0 else min(1.0, max(0.0, 1.0 - lost / whole)),
            )
        )
    return tuple(evidence)


def _all_marks(found: SideLabels) -> list[Mark]:
    return [mark for label in found.labels for mark in label.marks] + list(found.drawings)


def _group_of_object(found: SideLabels, objects: int) -> NDArray[np.int64]:
    """The mark that each drawn object belongs to, -1 for none."""
    group = np.full(objects, -1, dtype=np.int64)
    for mark in _all_marks(found):
        group[list(mark.objects)] = mark.number
    return group


def _box_around(labels: Sequence[Label]) -> Box:
    boxes = np.array([label.box_mm for label in labels])
    x0, y0 = boxes[:, :2].min(axis=0) - AROUND_MM
    x1, y1 = boxes[:, 2:].max(axis=0) + AROUND_MM
    return (float(x0), float(y0), float(x1), float(y1))


def _taken(ink: Runs, surely: Runs | None, possibly: Runs | None, count: int) -> tuple[_Taken | None, Runs]:
    """What an obstacle takes of each mark, and the ink that is left for the next obstacle to take."""
    if surely is None or possibly is None:
        return None, ink
    sure = intersect(ink, surely)
    possible = sure if possibly is surely else intersect(ink, possibly)
    taken = _Taken(area_by_group(sure, count), area_by_group(possible, count), boxes_by_group(possible, count))
    return taken, subtract(ink, surely)


def _past_outline(ink: Runs, obstacles: Obstacles, count: int) -> tuple[_Taken | None, Runs]:
    """Ink off the laminate, and ink within the clearance of an edge."""
    if obstacles.board_area is None or obstacles.safe_area is None:
        return None, ink
    outside = subtract(ink, obstacles.board_area)
    possible = subtract(ink, obstacles.safe_area)
    taken = _Taken(area_by_group(outside, count), area_by_group(possible, count), boxes_by_group(possible, count))
    return taken, intersect(ink, obstacles.board_area)


def _loss(taken: _Taken | None, label: Label, own_area: Floats) -> Loss | None:
    if taken is None:
        return None
    numbers = np.array([mark.number for mark in label.marks])
    area = np.maximum(own_area[numbers], 1e-9)
    sure, possible = taken.sure[numbers] / area, taken.possible[numbers] / area
    by_sure = bool(taken.sure[numbers].sum() > 0)
    hit = np.flatnonzero((sure if by_sure else possible) >= WORTH_TELLING)
    boxes = taken.boxes[numbers[hit]] if len(hit) else np.array([label.box_mm])
    box = (boxes[:, 0].min(), boxes[:, 1].min(), boxes[:, 2].max(), boxes[:, 3].max())
    lost = taken.sure[numbers].sum() if by_sure else taken.possible[numbers].sum()
    return Loss(
        sure=float(sure.max()),
        possible=float(possible.max()),
        of_label=float(lost / area.sum()),
        characters=tuple(int(place) for place in hit),
        box_mm=tuple(float(edge) for edge in box),  # type: ignore[arg-type]  # four edges
        depth_mm=float(min(box[2] - box[0], box[3] - box[1])),
    )


def _is_far_off(board: Board, label: Label) -> bool:
    """Whether the label as a whole lies well outside the outline's box."""
    if board.outline is None:
        return False
    left, low, right, high = board.outline.area.bounds
    x0, y0, x1, y1 = label.box_mm
    return x1 < left - FAR_MM or x0 > right + FAR_MM or y1 < low - FAR_MM or y0 > high + FAR_MM
