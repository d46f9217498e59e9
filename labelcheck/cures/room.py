"""Where ink may stand on one side: what takes the room around a label, on a raster just fine enough for a search."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from labelcheck.board.board import Board
from labelcheck.cures.cure import THE_EDGE
from labelcheck.labels.label import Box, Label
from labelcheck.press.hiding import ESTIMATE_SPARED_MM
from labelcheck.press.obstacles import obstacles_on
from labelcheck.raster.coarser import coarser
from labelcheck.raster.rendering import render
from labelcheck.raster.run_algebra import subtract, union
from labelcheck.raster.runs import Runs, no_runs
from labelcheck.trade.limits import Distance, Limits
from labelcheck.trade.shapes import Floats, Integers, Shapes, polygon
from labelcheck.trade.sides import Side

PITCH_MM = 0.025
"""A place is free here where no pixel of a label's box is taken."""
ROUNDING_MM = 0.0125 * 1.5
"""What is taken is told this much larger, so that no corner of a taken pixel goes unseen."""
RECTANGULAR, SLICES = 0.95, 12
"""A body that fills so much of its box is taken for that box; others are cut into so many slices."""


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """What takes room on one side, kind by kind, by the name that a person knows it by; margins are included.

    `drawn` is the ink that belongs to no label: labels keep a margin of their own from it. Bodies of parts are boxes
    (n, 4) that cover them together, `body` (n,) the body that each belongs to.
    """

    taken: tuple[tuple[str, Runs], ...]
    all_taken: Runs
    """All kinds of them together."""
    drawn: Runs
    body_boxes: Floats
    body: Integers
    openings: Floats
    """Boxes (n, 4) of the mask openings of the whole side."""

    @property
    def pitch_mm(self) -> float:
        """Of the raster."""
        return self.drawn.pitch_mm


def room_on(board: Board, side: Side, labels: Sequence[Label], near_mm: Box, limits: Limits) -> Room:
    """Everything on one side that is in the way of a label, within a box; `labels` are all labels of the side."""
    obstacles = obstacles_on(board, side, near_mm, _with_rounding(limits))
    nothing = no_runs(PITCH_MM)
    holes = nothing if obstacles.hole_surroundings is None else obstacles.hole_surroundings
    if obstacles.covered_holes is not None:
        holes = union(holes, obstacles.covered_holes)
    outside = nothing
    if obstacles.safe_area is not None:
        outside = subtract(_filled(near_mm), obstacles.safe_area)
    body_boxes, body = _boxes_of_bodies(board, side, limits)
    openings = nothing if obstacles.openings is None else obstacles.openings
    return Room(
        taken=(("mask openings", openings), ("holes", holes), (THE_EDGE, outside)),
        all_taken=union(union(openings, holes), outside),
        drawn=_drawn(board, side, labels, near_mm),
        body_boxes=body_boxes,
        body=body,
        openings=obstacles.opening_boxes,
    )


def coarser_room(room: Room, times: int) -> Room:
    """The same on a raster so many times as coarse, all rounded up."""
    taken = tuple((name, coarser(runs, times)) for name, runs in room.taken)
    return replace(room, taken=taken, all_taken=coarser(room.all_taken, times), drawn=coarser(room.drawn, times))


def _with_rounding(limits: Limits) -> Limits:
    """Limits for the coarser raster, with all margins rounded up, and holes as far off as the legend may shift."""

    def wider(distance: Distance, least_mm: float = 0.0) -> Distance:
        return replace(distance, value_mm=max(distance.value_mm, least_mm) + ROUNDING_MM)

    return replace(
        limits, pitch_mm=PITCH_MM, clip=wider(limits.clip),
        hole_clearance=wider(limits.hole_clearance, limits.registration.value_mm),
        outline_clearance=wider(limits.outline_clearance, limits.registration.value_mm),
    )


def _filled(box_mm: Box) -> Runs:
    x0, y0, x1, y1 = box_mm
    return render(polygon([np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])]), PITCH_MM)


def _drawn(board: Board, side: Side, labels: Sequence[Label], near_mm: Box) -> Runs:
    legend = board.on(side).legend
    if legend is None:
        return no_runs(PITCH_MM)
    return render(without_labels(legend.shapes, labels), PITCH_MM, near_mm)


def without_labels(shapes: Shapes, labels: Sequence[Label]) -> Shapes:
    """The objects of a legend that belong to none of the labels."""
    kept = np.ones(len(shapes), dtype=np.bool_)
    kept[[row for label in labels for mark in label.marks for row in mark.objects]] = False
    return shapes.take(kept)


def _boxes_of_bodies(board: Board, side: Side, limits: Limits) -> tuple[Floats, Integers]:
    """Boxes that cover each body of a side as it is judged: with the allowance, an estimate a little smaller."""
    boxes: list[Box] = []
    owner: list[int] = []
    bodies = [one.body for one in board.components if one.side is side and one.body is not None]
    for number, body in enumerate(bodies):
        margin = -ESTIMATE_SPARED_MM if body.estimated else limits.body_allowance.value_mm
        own = [(x0 - margin, y0 - margin, x1 + margin, y1 + margin) for x0, y0, x1, y1 in covering(body.area)]
        boxes += own
        owner += [number] * len(own)
    return np.array(boxes, dtype=np.float64).reshape(-1, 4), np.array(owner, dtype=np.int64)


def covering(area: BaseGeometry) -> list[Box]:
    """A few boxes that cover an area: one where it is about a rectangle, else one a slice."""
    if area.is_empty:
        return []
    x0, y0, x1, y1 = area.bounds
    if area.area >= RECTANGULAR * (x1 - x0) * (y1 - y0):
        return [(x0, y0, x1, y1)]
    edges = np.linspace(y0, y1, SLICES + 1)
    slices = shapely.intersection(area, shapely.box(x0, edges[:-1], x1, edges[1:]))
    return [tuple(bounds) for bounds in shapely.bounds(slices).tolist() if np.isfinite(bounds[0])]
