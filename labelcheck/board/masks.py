"""Which way round a solder-mask file is drawn: as openings, as nearly all are, or as the mask itself."""

from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, box

from labelcheck.trade.shapes import Flags, Floats, Shapes, concatenate, polygon

COVERED_SHARE = 0.5
"""Share of the board from which the dark of a mask file may be the mask itself."""

LOOKED_AT = 15
"""Points each way at which the image is looked up."""

LEADS_AT_MOST = 300
"""Holes at which the image is looked up."""


def drawn_as_mask(shapes: Shapes, area: MultiPolygon, leads: Floats) -> bool:
    """Whether dark is mask: it covers most of the board, and leaves the pads clear.

    `leads` is (k, 2) of places that must be open (holes for leads and screws); where they do not decide, the number
    of clear and dark objects does.
    """
    if len(shapes) == 0 or area.is_empty:
        return False
    # Pads in a row may fill their own box; a mask drawn without clear objects reaches over the board.
    plain = bool(shapes.dark.all())
    if plain and shapely.intersection(area, box_area(shapes)).area < COVERED_SHARE * area.area:
        return False
    if covered_share(shapes, area) < COVERED_SHARE:
        return False
    if len(leads) > 0:
        dark = float(np.mean(dark_at(shapes, leads[:: -(-len(leads) // LEADS_AT_MOST)])))
        if abs(dark - 0.5) > 0.2:
            return dark < 0.5
    clear = int(np.count_nonzero(~shapes.dark))
    return clear > len(shapes) - clear


def covered_share(shapes: Shapes, area: MultiPolygon) -> float:
    """Share of the area, as far as the drawing reaches, that is dark; looked up at a lattice of points."""
    boxes = shapes.boxes()
    area = shapely.intersection(area, _around(boxes))  # A negative image is dark as far as it draws.
    if area.area == 0:
        return 0.0
    x0, y0, x1, y1 = area.bounds
    dark = boxes[shapes.dark & np.isfinite(boxes).all(axis=1)]
    reach = np.clip(np.minimum(dark[:, 2:], (x1, y1)) - np.maximum(dark[:, :2], (x0, y0)), 0, None)
    if float(reach.prod(axis=1).sum()) < COVERED_SHARE * area.area:
        return 0.0  # Not even the boxes cover so much: the usual case, settled quickly.
    steps = (np.arange(LOOKED_AT) + 0.5) / LOOKED_AT
    x, y = np.meshgrid(x0 + steps * (x1 - x0), y0 + steps * (y1 - y0))
    points = np.column_stack((x.ravel(), y.ravel()))
    points = points[shapely.contains_xy(area, points[:, 0], points[:, 1])]
    return float(np.mean(dark_at(shapes, points))) if len(points) else 0.0


def dark_at(shapes: Shapes, points: Floats) -> Flags:
    """Whether the image is dark at each of the (k, 2) points: the last object over a point decides."""
    boxes = shapes.boxes()
    dark = np.zeros(len(points), dtype=np.bool_)
    for index, (x, y) in enumerate(points):
        over = (boxes[:, 0] <= x) & (x <= boxes[:, 2]) & (boxes[:, 1] <= y) & (y <= boxes[:, 3])
        for number in np.flatnonzero(over)[::-1]:
            if _covers(shapes, int(number), float(x), float(y)):
                dark[index] = shapes.dark[number]
                break
    return dark


def _covers(shapes: Shapes, number: int, x: float, y: float) -> bool:
    first, last = np.searchsorted(shapes.bar_object, (number, number + 1))
    for row in range(first, last):
        x0, y0 = shapes.x0[row], shapes.y0[row]
        dx, dy = shapes.x1[row] - x0, shapes.y1[row] - y0
        length = dx * dx + dy * dy
        along = 0.0 if length == 0 else min(1.0, max(0.0, ((x - x0) * dx + (y - y0) * dy) / length))
        if np.hypot(x - x0 - along * dx, y - y0 - along * dy) <= shapes.width[row] / 2:
            return True
    inside = False
    first, last = np.searchsorted(shapes.ring_object, (number, number + 1))
    for ring in range(first, last):
        start, end = shapes.ring_start[ring], shapes.ring_start[ring + 1]
        vx, vy = shapes.vx[start:end], shapes.vy[start:end]
        wx, wy = np.roll(vx, -1), np.roll(vy, -1)
        crossing = (vy > y) != (wy > y)
        at = vx[crossing] + (y - vy[crossing]) * (wx[crossing] - vx[crossing]) / (wy[crossing] - vy[crossing])
        inside ^= bool(np.count_nonzero(at > x) % 2)
    return inside


def inverted(shapes: Shapes, area: MultiPolygon) -> Shapes:
    """What the drawing leaves clear within an area: openings out of a mask drawn as such, ink out of a negative."""
    rings: list[Floats] = []
    for part in area.geoms:
        rings += [np.asarray(ring.coords)[:-1] for ring in (part.exterior, *part.interiors)]
    return concatenate([polygon(rings), replace(shapes, dark=~shapes.dark)])


def box_area(shapes: Shapes) -> MultiPolygon:
    """The box of a drawing as an area, where the board's outline is not known."""
    return _around(shapes.boxes())


def _around(boxes: Floats) -> MultiPolygon:
    finite = boxes[np.isfinite(boxes).all(axis=1)]
    if len(finite) == 0:
        return MultiPolygon()
    corners = (*finite[:, :2].min(axis=0), *finite[:, 2:].max(axis=0))
    return MultiPolygon([box(*corners)])
