"""A convex aperture swept along a path."""

import numpy as np
import shapely
from numpy.typing import NDArray

from labelcheck.formats.gerber.templates import Floats, polygon_of, rings_of


def swept_lines(hull: Floats, x0: Floats, y0: Floats, x1: Floats, y1: Floats) -> tuple[Floats, Floats, int]:
    """Convex hulls of an aperture at both ends of straight strokes, exact.

    `hull` (m, 2) is convex and counter-clockwise; returns vertices one stroke after another, and how many each
    stroke has. The front half of the hull, seen along the stroke, stands at its end, the back half at its start;
    the two corners between them stand at both.
    """
    corners = len(hull)
    along_x, along_y = x1 - x0, y1 - y0
    aside = np.outer(-along_y, hull[:, 0]) + np.outer(along_x, hull[:, 1])
    right, left = aside.argmin(axis=1), aside.argmax(axis=1)
    front = (left - right) % corners
    step = np.arange(corners + 2)
    at_end = step[None, :] <= front[:, None]
    corner = (right[:, None] + np.where(at_end, step[None, :], step[None, :] - 1)) % corners
    x = hull[corner, 0] + np.where(at_end, x1[:, None], x0[:, None])
    y = hull[corner, 1] + np.where(at_end, y1[:, None], y0[:, None])
    return x.ravel(), y.ravel(), corners + 2


def swept_arc(hull: Floats, path: NDArray[np.float64]) -> tuple[Floats, ...]:
    """Outline rings of an aperture swept along chords; `path` is (k, 2)."""
    x, y, size = swept_lines(hull, path[:-1, 0], path[:-1, 1], path[1:, 0], path[1:, 1])
    pieces = np.column_stack((x, y)).reshape(-1, size, 2)
    rings = rings_of(shapely.union_all([polygon_of(piece) for piece in pieces]))
    # An aperture without extent still has its path, as a ring of no area.
    return rings if rings else (pieces.reshape(-1, 2),)
