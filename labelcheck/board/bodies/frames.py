"""The pads of one component in a frame of its own: along and across its rows."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import Polygon

from labelcheck.board.components import Pin
from labelcheck.trade.shapes import Floats

SAME_ROW_MM = 0.1
"""Pads of one row lie on one line within this."""
MUCH_TIGHTER = 0.85
"""A frame aslant has to be this much smaller than one along the axes to be believed."""


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """Middles of the pads from the middle of their box, along and across; lengths in millimetres."""

    middle_mm: tuple[float, float]
    turned_deg: float
    """Of its first axis, 0 <= a < 90, counter-clockwise as seen from the top."""
    along: Floats
    across: Floats
    pad_along_mm: float
    pad_across_mm: float
    """Typical size of a pad; 0 where it is not told."""

    @property
    def extents_mm(self) -> tuple[float, float]:
        """Of the middles, along and across."""
        along, across = self.along.tolist(), self.across.tolist()
        return max(along) - min(along), max(across) - min(across)

    def rows(self) -> tuple[int, int]:
        """How many different places the pads have along, and across."""
        return _places(self.along), _places(self.across)

    def box(self, length_mm: float, width_mm: float) -> Polygon:
        """A box about the middle, its length along the first axis."""
        return turned_box(self.middle_mm, length_mm, width_mm, self.turned_deg)


def _places(values: Floats) -> int:
    return 1 + sum(after - before > SAME_ROW_MM for before, after in pairwise(sorted(values.tolist())))


def turned_box(middle_mm: tuple[float, float], length_mm: float, width_mm: float, turned_deg: float) -> Polygon:
    """A box about its middle, turned counter-clockwise."""
    angle = math.radians(turned_deg)
    along_x, along_y = math.cos(angle) * length_mm / 2, math.sin(angle) * length_mm / 2
    across_x, across_y = -math.sin(angle) * width_mm / 2, math.cos(angle) * width_mm / 2
    return Polygon([
        (middle_mm[0] + a * along_x + b * across_x, middle_mm[1] + a * along_y + b * across_y)
        for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ])  # fmt: skip


def frame_of(pins: Sequence[Pin], rotation_deg: float | None) -> Frame | None:
    """The frame of a component's pads; None for less than two. Without a rotation the pads tell it."""
    if len(pins) < 2:
        return None
    places = np.array([(pin.x_mm, pin.y_mm) for pin in pins])
    if (places == places[0]).all():
        return None
    turn = (rotation_deg if rotation_deg is not None else _turn(places)) % 90
    turn = 0.0 if min(turn, 90 - turn) < 1e-3 else turn
    axis = np.array([math.cos(math.radians(turn)), math.sin(math.radians(turn))])
    own = np.column_stack((places @ axis, places @ np.array([-axis[1], axis[0]])))
    middle = (own.min(axis=0) + own.max(axis=0)) / 2
    x, y = middle[0] * axis + middle[1] * np.array([-axis[1], axis[0]])
    width, height = (_typical([size for size in sizes if size is not None]) for sizes in
                     (([pin.width_mm for pin in pins]), ([pin.height_mm for pin in pins])))  # fmt: skip
    return Frame((float(x), float(y)), turn, own[:, 0] - middle[0], own[:, 1] - middle[1], width, height)


def _turn(places: Floats) -> float:
    """Angle of the tightest box around the places, 0 unless it is much tighter than one along the axes."""
    if len(places) == 2:
        x, y = places[1] - places[0]
        return math.degrees(math.atan2(y, x))
    if len(places) == 3:
        return 0.0
    span = np.ptp(places, axis=0) + 0.5
    tightest = shapely.oriented_envelope(shapely.multipoints(places))
    if not isinstance(tightest, Polygon):
        return 0.0
    if tightest.buffer(0.25, join_style="mitre").area > MUCH_TIGHTER * span.prod():
        return 0.0
    (x0, y0), (x1, y1) = tightest.exterior.coords[:2]
    return math.degrees(math.atan2(y1 - y0, x1 - x0))


def _typical(sizes: Sequence[float]) -> float:
    return sorted(sizes)[len(sizes) // 2] if sizes else 0.0
