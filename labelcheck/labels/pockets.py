"""Pockets: the clear space that is shut in where a narrow way closes, and whether a reader would miss it."""

import numpy as np
import shapely

from labelcheck.labels.areas import sides_of
from labelcheck.labels.discs import largest_discs
from labelcheck.labels.necks import Crossings, Edges
from labelcheck.trade.shapes import Floats, Integers

BRIDGE_MM = 0.002
"""Thickness of the bridge laid across a neck."""
INTO_STROKE = 0.25
"""The bridge reaches so much of a stroke into the ink at both ends."""
LEAST_POCKET = 0.10
"""Share of its character's box that is shut in at least where a reader misses it, from the middle of the strokes
around it: by the mouth of a slim 6 it is 0.12, by the curl of a Q's tail 0.07."""
NARROW_MM = 0.3
"""No legend process closes a wider way, so nobody asks where it leads."""


def shares_shut_in(areas: np.ndarray, stroke: Floats, ways: Crossings) -> Floats:
    """What closing each way shuts in, as a share of its glyph's box, from the middle of the strokes around it.

    Closing the mouth of a C makes an O of it. Closing the slit between the bowl and the tail of a Q shuts a pocket
    in of which nobody reads anything; the dot of an i comes to stand on its stem without shutting anything in.
    `areas` and `stroke` (n,) of the groups of `ways`. Of two spaces, where the way is the waist of a counter, the
    lesser; inf where nothing is shut in, but two pieces are joined; 1 for ways that are wide.
    """
    share = np.ones(len(ways.group))
    narrow = np.flatnonzero(ways.width <= NARROW_MM)
    if len(narrow) == 0:
        return share
    asked = ways.take(narrow)
    pockets, way = _pockets(areas, stroke, asked)
    half = stroke[asked.group[way]] / 2
    to_middles = shapely.area(pockets) + shapely.length(pockets) * half + np.pi * half**2
    box = shapely.bounds(areas[asked.group])
    least = np.full(len(narrow), np.inf)
    np.minimum.at(least, way, to_middles)
    share[narrow] = least / np.maximum((box[:, 2] - box[:, 0]) * (box[:, 3] - box[:, 1]), 1e-9)
    return share


def widths_behind(areas: np.ndarray, stroke: Floats, edges: Edges, ways: Crossings) -> Floats:
    """Diameter of the largest disc in what closing each way shuts in, shape (k,): in the lesser of two.

    `edges` are those of the ink, by group; no more than the width of the way where nothing is shut in.
    """
    behind = ways.width.copy()
    narrow = np.flatnonzero(ways.width <= NARROW_MM)
    if len(narrow) == 0:
        return behind
    asked = ways.take(narrow)
    pockets, way = _pockets(areas, stroke, asked)
    room, _ = largest_discs(sides_of(pockets), asked.group[way], edges, np.full(len(pockets), NARROW_MM))
    least = np.full(len(narrow), np.inf)
    np.minimum.at(least, way, room)
    behind[narrow] = np.where(np.isfinite(least), np.maximum(least, asked.width), asked.width)
    return behind


def _pockets(areas: np.ndarray, stroke: Floats, ways: Crossings) -> tuple[np.ndarray, Integers]:
    """The clear spaces that a bridge across each way shuts in, and the way that each belongs to."""
    bridge = _bridges(ways, INTO_STROKE * stroke[ways.group])
    parts, way = shapely.get_parts(shapely.union(areas[ways.group], bridge), return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    way = way[part]
    inner = np.concatenate(([False], np.diff(part) == 0)) if len(part) else np.zeros(0, dtype=np.bool_)
    rings, way = rings[inner], way[inner]
    beside = shapely.distance(rings, bridge[way]) < BRIDGE_MM / 10
    return np.asarray(shapely.polygons(rings[beside])), way[beside]


def _bridges(ways: Crossings, reach: Floats) -> np.ndarray:
    """A thin bar across each way that reaches into the ink on both sides."""
    half = ways.width / 2 + reach
    across_x, across_y = ways.along_y * half, -ways.along_x * half
    aside_x, aside_y = ways.along_x * BRIDGE_MM / 2, ways.along_y * BRIDGE_MM / 2
    corners = [
        np.column_stack((ways.x + across * across_x + aside * aside_x, ways.y + across * across_y + aside * aside_y))
        for across, aside in ((1, 1), (-1, 1), (-1, -1), (1, -1))
    ]
    return np.asarray(shapely.polygons(np.stack(corners, axis=1)))
