"""Ink area and box of a whole layer, in bands: memory does not grow with the board."""

import numpy as np

from labelcheck.raster.area_lines import area_grid
from labelcheck.raster.lattice import object_boxes
from labelcheck.raster.rendering import ink_in_bands, scene_of
from labelcheck.raster.runs import Box
from labelcheck.trade.remembering import remembered
from labelcheck.trade.shapes import Shapes


def ink_area_mm2(shapes: Shapes, pitch_mm: float) -> float:
    """Area of the ink in drawing order, dark and clear, within 0.1 % at a tenth of the pen or finer."""
    return ink_area_and_box(shapes, pitch_mm)[0]


@remembered
def ink_area_and_box(shapes: Shapes, pitch_mm: float) -> tuple[float, Box | None]:
    """Area of the ink, and its box: exact where no clear object can have moved it, else to about a pitch.

    No ink has no box. Raises RasterTooLarge for coordinates or numbers of rows beyond all reason.
    """
    grid, borders = area_grid(shapes, pitch_mm)
    row_heights = np.diff(borders)
    scene = scene_of(shapes, np.zeros(len(shapes), dtype=np.int64), 1, grid, None)
    lattice = scene.lattice
    first_row, first_column = int(lattice.first_row[0]), int(lattice.first_column[0])
    within = (1 << lattice.shift) - 1
    area, left, right, rows = 0.0, np.inf, -np.inf, []
    for low, _, (start, end) in ink_in_bands(scene, shapes):
        if len(start) == 0:
            continue
        row = (start >> lattice.shift) + (low + first_row)
        area += float(np.dot(row_heights[row], end - start))
        left, right = min(left, int((start & within).min())), max(right, int((end & within).max()))
        rows += [row[0], row[-1]]
    area *= grid.column_mm
    if not rows:
        return 0.0, None
    exact = exact_box(shapes)
    if exact is not None:
        return area, exact
    x0, x1 = ((column + first_column) * grid.column_mm for column in (left, right))
    return area, (float(x0), float(borders[rows[0]]), float(x1), float(borders[rows[-1] + 1]))


def exact_box(shapes: Shapes) -> Box | None:
    """Box of the dark objects; None where there are none, or where a clear object may have moved a side of it."""
    boxes = object_boxes(shapes)
    dark = boxes[shapes.dark & (boxes[:, 0] <= boxes[:, 2])]
    if len(dark) == 0:
        return None
    low, high = dark[:, :2].min(axis=0), dark[:, 2:].max(axis=0)
    clear = boxes[~shapes.dark & (boxes[:, 0] <= boxes[:, 2])]
    if ((clear[:, :2] <= low) | (clear[:, 2:] >= high)).any():
        return None
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
