"""Closed outlines on assembly drawings: bodies, among letters, marks and frames."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from labelcheck.board.contours import centre_lines
from labelcheck.trade.shapes import Shapes

LEAST_SIDE_MM = 0.25
"""Smaller outlines are letters and marks; an 01005 is 0.4 by 0.2 mm and hides nothing."""
LINES_AT_MOST = 60_000
GRID_MM = 0.001


def outlines_in(shapes: Shapes, rooms: Sequence[Polygon]) -> list[list[Polygon]]:
    """For each room the closed outlines drawn within it."""
    lines = centre_lines(shapes)
    if len(lines) == 0 or not rooms:
        return [[] for _ in rooms]
    ends = np.round(lines / GRID_MM).astype(np.int64)
    ends = ends[(ends[:, :2] != ends[:, 2:]).any(axis=1)] * GRID_MM
    wanted = np.zeros(len(ends), dtype=np.bool_)
    for x0, y0, x1, y1 in shapely.bounds(list(rooms)).tolist():
        wanted |= (ends[:, (0, 2)] >= x0).all(axis=1) & (ends[:, (0, 2)] <= x1).all(axis=1) & (
            ends[:, (1, 3)] >= y0
        ).all(axis=1) & (ends[:, (1, 3)] <= y1).all(axis=1)
    if not wanted.any() or np.count_nonzero(wanted) > LINES_AT_MOST:
        return [[] for _ in rooms]
    outlines = _closed(ends[wanted])
    if len(outlines) == 0:
        return [[] for _ in rooms]
    within: list[list[Polygon]] = [[] for _ in rooms]
    room, outline = shapely.STRtree(outlines).query(list(rooms), predicate="contains")
    for number, found in sorted(zip(room.tolist(), outline.tolist(), strict=True)):
        within[number].append(outlines[found])
    return within


def _closed(ends: np.ndarray) -> np.ndarray:
    """Outlines that lines, (n, 4), enclose; what is drawn within an outline is not told."""
    outlines = shapely.get_parts(shapely.polygonize(shapely.linestrings(ends.reshape(-1, 2, 2))))
    # Faces that share an edge (a body with its polarity line) are one outline.
    outlines = shapely.get_parts(shapely.union_all(outlines[shapely.is_valid(outlines)], grid_size=GRID_MM))
    outlines = shapely.polygons(shapely.get_exterior_ring(outlines))
    boxes = shapely.bounds(outlines).reshape(-1, 4)
    sides = np.minimum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    return outlines[(sides >= LEAST_SIDE_MM) & np.isfinite(sides)]
