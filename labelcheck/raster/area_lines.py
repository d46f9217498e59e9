"""Sampling lines from which an area comes out true, wherever the drawing's coordinates fall.

Coordinates that are multiples of one step fall in step on the rows of any plain raster, and then every horizontal
line comes out too thick, or every one too thin, by the same part of a pixel: 5 % of a 0.15 mm pen at 10 µm. Two
cures together: rows are also cut at every horizontal edge, so that such edges count exactly; and rows and columns
are otherwise spaced so that they have no common measure with any drawing grid, and what is left averages out.
"""

import numpy as np

from labelcheck.raster.intervals import expand, merge
from labelcheck.raster.lattice import NOWHERE, Floats, Grid, object_boxes, refuse_nonsense, whole
from labelcheck.raster.scanning import next_vertex
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import Shapes

FINE = 0.7861513777574233
"""Rows of the area in pitches where there are few: the root of the golden section."""
COARSE = 1.2720196495140690
"""The same, inverted, where rows are so many that their errors average out."""
FEW_ROWS = 1_000_000

COLUMN_PARTS = 64 * FINE
"""Columns of the area in a pitch."""

MOST_EDGES_A_ROW = 2.0
"""Horizontal edges at more different heights than that are left to chance, which then does well enough."""
MOST_AREA_ROWS = 20_000_000
"""Some hundred metres of drawing at 10 µm."""
MANY_EDGES = 8000
"""Different heights that are cheap however small the board."""


def area_grid(shapes: Shapes, pitch_mm: float) -> tuple[Grid, Floats]:
    """Grid whose rows suit the shapes, and the borders of its rows in mm, upwards, shape (rows + 1,).

    Raises RasterTooLarge where coordinates are kilometres away.
    """
    refuse_nonsense(shapes)
    boxes = object_boxes(shapes)
    boxes = boxes[boxes[:, 0] <= boxes[:, 2]]
    rows = float(np.sum(boxes[:, 3] - boxes[:, 1])) / pitch_mm
    row_mm = pitch_mm * (FINE if rows < FEW_ROWS else COARSE)
    first = whole(np.floor(boxes[:, 1] / row_mm))
    last = whole(np.ceil(boxes[:, 3] / row_mm)) + 1
    first, last = merge(first, last)  # no rows where nothing is drawn
    if np.sum(last - first) > MOST_AREA_ROWS:
        raise RasterTooLarge(NOWHERE)
    item, copy = expand(last - first + 1)
    plain = (first[item] + copy) * row_mm
    cuts = horizontal_edges(shapes)
    if len(cuts) > max(MOST_EDGES_A_ROW * len(plain), MANY_EDGES):
        cuts = cuts[:0]
    borders = np.unique(np.concatenate((plain, cuts)))
    grid = Grid(row_mm, pitch_mm / COLUMN_PARTS, sampled_at=(borders[1:] + borders[:-1]) / (2 * row_mm))
    return grid, borders


def horizontal_edges(shapes: Shapes) -> Floats:
    """Heights of the horizontal edges of bars and rings, rounded to a nanometre, sorted, each once."""
    level = (shapes.width > 0) & (shapes.x0 != shapes.x1)
    level &= np.abs(shapes.y1 - shapes.y0) <= 1e-6 * np.abs(shapes.x1 - shapes.x0)
    middle, half = (shapes.y0 + shapes.y1)[level] / 2, shapes.width[level] / 2
    following = next_vertex(shapes)
    across, up = np.abs(shapes.vx[following] - shapes.vx), np.abs(shapes.vy[following] - shapes.vy)
    flat = (across > 0) & (up <= 1e-6 * across)
    return np.unique(np.round(np.concatenate((middle - half, middle + half, shapes.vy[flat])), 6))
