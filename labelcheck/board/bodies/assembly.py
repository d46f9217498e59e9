"""Closed outlines on assembly drawings: bodies, among letters, marks and frames."""

import numpy as np
import shapely
from shapely.geometry import Polygon

from labelcheck.board.contours import centre_lines
from labelcheck.trade.shapes import Floats, Shapes

LEAST_SIDE_MM = 0.25
"""Smaller outlines are letters and marks; an 01005 is 0.4 by 0.2 mm and hides nothing."""
LINES_AT_MOST = 60_000
GRID_MM = 0.001


def drawn_outlines(shapes: Shapes, openings: Floats) -> list[Polygon]:
    """Closed outlines about or between openings, boxes (n, 4), the largest first.

    An outline with no opening within reach of it is no part's.
    """
    lines = centre_lines(shapes)
    if len(lines) == 0 or len(lines) > LINES_AT_MOST:
        return []
    ends = np.round(lines / GRID_MM).astype(np.int64)
    ends = ends[(ends[:, :2] != ends[:, 2:]).any(axis=1)]
    drawn = shapely.linestrings((ends * GRID_MM).reshape(-1, 2, 2))
    outlines = shapely.get_parts(shapely.polygonize(drawn))
    # Faces that share an edge (a body with its polarity line) are one outline; what is drawn within it is not told.
    outlines = shapely.get_parts(shapely.union_all(outlines[shapely.is_valid(outlines)], grid_size=GRID_MM))
    outlines = shapely.polygons(shapely.get_exterior_ring(outlines))
    boxes = shapely.bounds(outlines)
    sides = np.minimum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    outlines = outlines[(sides >= LEAST_SIDE_MM) & np.isfinite(sides)]
    if len(outlines) == 0 or len(openings) == 0:
        return []
    tree = shapely.STRtree(shapely.box(*openings.T))
    touching, _ = tree.query(outlines, predicate="intersects")
    kept = outlines[np.unique(touching)]
    return list(kept[np.argsort(-shapely.area(kept), kind="stable")])
