"""Where ink does not stay: mask openings, holes, and what lies past the outline, as runs near the labels."""

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from labelcheck.board.board import Board, Holes
from labelcheck.raster.growing import grown
from labelcheck.raster.rendering import render
from labelcheck.raster.run_algebra import subtract
from labelcheck.raster.runs import Box, NumberLine, Runs
from labelcheck.raster.scanning import next_vertex
from labelcheck.trade.limits import Limits
from labelcheck.trade.shapes import Shapes, bars, concatenate, polygon
from labelcheck.trade.sides import Side

ROUNDED_MM = 0.003
"""Drills of whole tenths of a millimetre stand in some files rounded to a tenth of a mil."""

MANY, CELLS = 20_000, 256
"""From so many boxes on it pays to leave those out that come near nothing, by a grid of so many cells each way."""


@dataclass(frozen=True, slots=True, eq=False)
class Obstacles:
    """What takes ink away on one side; None where the board does not tell."""

    openings: Runs | None
    """Mask openings grown by the clip distance."""
    holes: Runs | None
    """Open holes and slots."""
    hole_surroundings: Runs | None
    """The same with their clearance."""
    covered_holes: Runs | None
    """Small holes under the mask."""
    opening_boxes: NDArray[np.float64]
    """Box of each opening with the clip distance, (n, 4) mm; of those near where that was asked."""
    hole_boxes: NDArray[np.float64]
    """Box of each hole with its clearance, (n, 4) mm."""
    board_area: Runs | None
    """Laminate: what lies outside of it is lost."""
    safe_area: Runs | None
    """Laminate but for the clearance along its edges."""
    clearance_mm: float
    """That clearance."""


def obstacles_on(
    board: Board, side: Side, near_mm: Box, limits: Limits, only_near: NDArray[np.float64] | None = None
) -> Obstacles:
    """Everything on one side that takes ink, within a box around the labels.

    Openings and holes that touch none of the boxes `only_near` (n, 4) are left out where those are given.
    """
    pitch = limits.pitch_mm
    layer, holes = board.on(side).openings, board.holes
    if only_near is not None and holes is not None:
        holes = _holes_near(holes, only_near)
        # Whether a hole is under the mask is told in its middle.
        only_near = np.concatenate((only_near, holes.shapes.boxes()))
    openings = clipped = drawn = None
    if layer is not None:
        drawn = layer.shapes if only_near is None else layer.shapes.take(meeting(layer.shapes.boxes(), only_near))
        openings = render(drawn, pitch, near_mm)
        clipped = _with_margin(drawn, limits.clip.value_mm, openings, near_mm)
    open_holes = around = covered = None
    if holes is not None:
        under_mask = _under_mask(holes.shapes, holes.plated, openings, limits.tented_hole.value_mm)
        bare = holes.shapes.take(~under_mask)
        open_holes = render(bare, pitch, near_mm)
        around = _with_margin(bare, limits.hole_clearance.value_mm, open_holes, near_mm)
        covered = render(holes.shapes.take(under_mask), pitch, near_mm)
    area = safe = None
    if board.outline is not None:
        rings = [
            np.asarray(ring.coords)[:-1, :2]
            for part in board.outline.area.geoms
            for ring in (part.exterior, *part.interiors)
        ]
        outline = polygon(rings)
        area = render(outline, pitch, near_mm)
        edges = render(_edge_bars(outline, 2 * limits.outline_clearance.value_mm), pitch, near_mm)
        safe = subtract(area, edges)
    return Obstacles(
        openings=clipped,
        holes=open_holes,
        hole_surroundings=around,
        covered_holes=covered,
        opening_boxes=_boxes_with_margin(drawn, limits.clip.value_mm),
        hole_boxes=_boxes_with_margin(
            None if board.holes is None else board.holes.shapes, limits.hole_clearance.value_mm
        ),
        board_area=area,
        safe_area=safe,
        clearance_mm=limits.outline_clearance.value_mm,
    )


def meeting(boxes: NDArray[np.float64], others: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which boxes (n, 4) touch any of the others (m, 4); those without extent, from inf to -inf, touch none."""
    touched = np.zeros(len(boxes), dtype=np.bool_)
    real = np.asarray(np.isfinite(boxes).all(axis=1))
    other = others[np.isfinite(others).all(axis=1)]
    if len(boxes) >= MANY and len(other):
        real[real] = _may_meet(boxes[real], other)
    tree = shapely.STRtree(shapely.box(*other.T))
    found, _ = tree.query(shapely.box(*boxes[real].T))
    touched[np.flatnonzero(real)[found]] = True
    return touched


def _may_meet(boxes: NDArray[np.float64], others: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which boxes come near any of the others, on a grid: all that touch one, and few others."""
    low, high = others[:, :2].min(axis=0), others[:, 2:].max(axis=0)
    cell = np.maximum((high - low) / CELLS, 1e-6)

    def cells(corners: NDArray[np.float64]) -> NDArray[np.int64]:
        # Cell 0 lies before all others, the last one behind them.
        return np.asarray(np.clip(np.floor((corners - low) / cell) + 1, 0, CELLS + 1), dtype=np.int64)

    count = np.zeros((CELLS + 3, CELLS + 3), dtype=np.int64)
    first, last = cells(others[:, :2]), cells(others[:, 2:]) + 1
    for (x, y), sign in (((first, first), 1), ((last, last), 1), ((first, last), -1), ((last, first), -1)):
        np.add.at(count, (x[:, 0], y[:, 1]), sign)
    taken = count.cumsum(axis=0).cumsum(axis=1) > 0
    total = np.zeros((CELLS + 4, CELLS + 4), dtype=np.int64)
    total[1:, 1:] = taken.cumsum(axis=0).cumsum(axis=1)
    (x0, y0), (x1, y1) = cells(boxes[:, :2]).T, cells(boxes[:, 2:]).T + 1
    return np.asarray(total[x1, y1] - total[x0, y1] - total[x1, y0] + total[x0, y0] > 0)


def _holes_near(holes: Holes, boxes: NDArray[np.float64]) -> Holes:
    near = meeting(holes.shapes.boxes(), boxes)
    plated = tuple(flag for flag, kept in zip(holes.plated, near.tolist(), strict=True) if kept)
    return replace(holes, shapes=holes.shapes.take(near), plated=plated)


def _with_margin(shapes: Shapes, margin_mm: float, rendered: Runs, near_mm: Box) -> Runs:
    """Shapes grown by a margin on all sides, exactly where they are all dark, else on the raster."""
    if not bool(shapes.dark.all()):
        return grown(rendered, margin_mm)
    wider = replace(shapes, width=shapes.width + 2 * margin_mm)
    rims = _edge_bars(shapes, 2 * margin_mm)
    return render(concatenate([wider, rims]), rendered.pitch_mm, near_mm)


def _boxes_with_margin(shapes: Shapes | None, margin_mm: float) -> NDArray[np.float64]:
    """Boxes of the dark objects that have any extent, grown by a margin."""
    if shapes is None:
        return np.zeros((0, 4))
    boxes = shapes.boxes()[shapes.dark]
    return boxes[np.isfinite(boxes[:, 0])] + np.array([-margin_mm, -margin_mm, margin_mm, margin_mm])


def _edge_bars(shapes: Shapes, width_mm: float) -> Shapes:
    """A bar along every edge of every ring."""
    if len(shapes.vx) == 0:
        return concatenate([])
    following = next_vertex(shapes)
    return bars(shapes.vx, shapes.vy, shapes.vx[following], shapes.vy[following], width_mm)


def _under_mask(
    holes: Shapes, plated: tuple[bool | None, ...], openings: Runs | None, largest_mm: float
) -> NDArray[np.bool_]:
    """Which holes the mask covers: small, not open, not known to be unplated (those are drilled after the mask)."""
    width = np.zeros(len(holes))
    np.maximum.at(width, holes.bar_object, holes.width)
    small = (width > 0) & (width <= largest_mm + ROUNDED_MM)
    may_be_covered = small & np.array([flag is not False for flag in plated], dtype=np.bool_)
    if openings is None or not may_be_covered.any():
        return may_be_covered
    boxes = holes.boxes()
    middle_x, middle_y = (boxes[:, 0] + boxes[:, 2]) / 2, (boxes[:, 1] + boxes[:, 3]) / 2
    return may_be_covered & ~_covers(openings, middle_x, middle_y)


def _covers(runs: Runs, x_mm: NDArray[np.float64], y_mm: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which points lie on covered pixels."""
    if len(runs) == 0:
        return np.zeros(len(x_mm), dtype=np.bool_)
    x = np.where(np.isfinite(x_mm), x_mm, 0.0)
    y = np.where(np.isfinite(y_mm), y_mm, 0.0)
    column = np.floor(x / runs.pitch_mm).astype(np.int32)
    points = Runs(runs.pitch_mm, np.floor(y / runs.pitch_mm).astype(np.int32), column, column + np.int32(1))
    line = NumberLine.over(runs, points)
    start, end = line.intervals(runs)
    at, _ = line.intervals(points)
    place = np.searchsorted(start, at, side="right") - 1
    return (place >= 0) & (at < end[np.maximum(place, 0)])
