"""Arcs -> chords, many at once (clause 4.7; G74 from 8.1.10 of the Gerber layer format)."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.bounds import MOST_CHORDS, SAGITTA_MM

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]

KEEPS_AREA = 2 / 3
"""Part of the sagitta by which vertices lie outward so that a segment of a circle keeps its area."""
KEEPS_LENGTH = 1 / 3
"""The same so that an arc keeps its length, and a stroke along it its area."""
_TURN = 2 * np.pi
_QUARTER = np.pi / 2 + 1e-3
"""Largest angle of a single-quadrant arc, with room for rounded coordinates."""


@dataclass(frozen=True, slots=True, eq=False)
class Arcs:
    """Arcs as columns of shape (n,), millimetres; `sweep` in radians, counter-clockwise positive."""

    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    cx: Floats
    cy: Floats
    sweep: Floats

    def misfit(self) -> Floats:
        """How far the ends are from lying on one circle about the centre."""
        near = np.hypot(self.x0 - self.cx, self.y0 - self.cy)
        far = np.hypot(self.x1 - self.cx, self.y1 - self.cy)
        return np.abs(near - far)


def arcs_about(ends: tuple[Floats, Floats, Floats, Floats], i: Floats, j: Floats, clockwise: Flags) -> Arcs:
    """Arcs with signed centre offsets (G75); equal ends make a full circle."""
    x0, y0, x1, y1 = ends
    cx, cy = x0 + i, y0 + j
    sweep = _sweep(x0 - cx, y0 - cy, x1 - cx, y1 - cy, clockwise)
    full = (x0 == x1) & (y0 == y1) & ((i != 0) | (j != 0))
    sweep = np.where(full, np.where(clockwise, -_TURN, _TURN), sweep)
    return Arcs(x0, y0, x1, y1, cx, cy, sweep)


def arcs_within_quadrant(ends: tuple[Floats, Floats, Floats, Floats], i: Floats, j: Floats, clockwise: Flags) -> Arcs:
    """Arcs with unsigned centre offsets (G74): of the four centres the one that fits best with at most 90°."""
    x0, y0, x1, y1 = ends
    best = np.full(len(x0), np.inf)
    cx, cy, sweep = x0.copy(), y0.copy(), np.zeros(len(x0))
    for sign_x in (1, -1):
        for sign_y in (1, -1):
            x, y = x0 + sign_x * np.abs(i), y0 + sign_y * np.abs(j)
            turned = _sweep(x0 - x, y0 - y, x1 - x, y1 - y, clockwise)
            misfit = np.abs(np.hypot(x0 - x, y0 - y) - np.hypot(x1 - x, y1 - y))
            # A centre that would need more than a quarter turn is taken only where no other is left.
            cost = misfit + np.where(np.abs(turned) <= _QUARTER, 0, 1e6 * np.abs(turned))
            better = cost < best
            best = np.where(better, cost, best)
            cx, cy, sweep = np.where(better, x, cx), np.where(better, y, cy), np.where(better, turned, sweep)
    still = (x0 == x1) & (y0 == y1)
    return Arcs(x0, y0, x1, y1, cx, cy, np.where(still, 0.0, sweep))


def _sweep(ax: Floats, ay: Floats, bx: Floats, by: Floats, clockwise: Flags) -> Floats:
    """Angle from one ray to another in the wanted direction, 0 to a turn."""
    turned = (np.arctan2(by, bx) - np.arctan2(ay, ax)) % _TURN
    turned = np.where(turned >= _TURN, 0.0, turned)
    return np.where(clockwise & (turned > 0), turned - _TURN, turned)


def chord_counts(arcs: Arcs) -> Integers:
    """Number of chords of each arc, so that their height is at most `SAGITTA_MM`."""
    near = np.hypot(arcs.x0 - arcs.cx, arcs.y0 - arcs.cy)
    far = np.hypot(arcs.x1 - arcs.cx, arcs.y1 - arcs.cy)
    radius = np.maximum(np.maximum(near, far), SAGITTA_MM)
    step = np.minimum(2 * np.sqrt(2 * SAGITTA_MM / radius), np.pi / 4)
    return np.clip(np.ceil(np.abs(arcs.sweep) / step), 1, MOST_CHORDS).astype(np.int64)


def chords(arcs: Arcs, bulge: float) -> tuple[Integers, Floats, Floats]:
    """Number of chords of each arc, and where each chord ends, one after another; the last end is exact.

    Vertices between the ends lie outward of the arc by a part of the sagitta, `KEEPS_AREA` or `KEEPS_LENGTH`; the
    chords are nowhere farther than 1 µm from the arc.
    """
    near = np.hypot(arcs.x0 - arcs.cx, arcs.y0 - arcs.cy)
    far = np.hypot(arcs.x1 - arcs.cx, arcs.y1 - arcs.cy)
    count = chord_counts(arcs)
    last = np.cumsum(count) - 1
    which = np.repeat(np.arange(len(count)), count)
    part = (np.arange(len(which)) - np.repeat(last - count, count)) / count[which]
    outward = bulge * np.maximum(near, far) * (1 - np.cos(arcs.sweep / count / 2))
    angle = np.arctan2(arcs.y0 - arcs.cy, arcs.x0 - arcs.cx)[which] + arcs.sweep[which] * part
    reach = near[which] + (far - near)[which] * part + outward[which]
    x = arcs.cx[which] + reach * np.cos(angle)
    y = arcs.cy[which] + reach * np.sin(angle)
    x[last], y[last] = arcs.x1, arcs.y1
    return count, x, y


def circle_ring(cx: float, cy: float, diameter: float) -> Floats:
    """A circle as a ring of shape (n, 2) with the circle's area, nowhere farther than 1 µm from it."""
    radius = abs(diameter) / 2
    step = 2 * np.sqrt(2 * SAGITTA_MM / max(radius, SAGITTA_MM))
    count = int(np.clip(np.ceil(_TURN / step), 12, MOST_CHORDS))
    angle = np.arange(count) * (_TURN / count)
    reach = radius * np.sqrt(_TURN / (count * np.sin(_TURN / count)))
    return np.column_stack((cx + reach * np.cos(angle), cy + reach * np.sin(angle)))
