"""Headers and terminals by the holes they stand in: a placement file may give their middle or their first pin."""

import math

import numpy as np

from labelcheck.board.bodies.packages import Package
from labelcheck.board.components import Pin
from labelcheck.trade.shapes import Floats

IN_HOLE_MM = 0.2
"""How far a lead may lie from the middle of its hole."""


def leads_in_rows(
    package: Package, at_mm: tuple[float, float], rotation_deg: float, leads: Floats
) -> tuple[Pin, ...]:
    """The holes (n, 2) that a package with leads in a grid stands in; none where no grid of holes, or more than one,
    has its middle or a corner where the package is placed."""
    if package.grid is None or len(leads) == 0:
        return ()
    few, many = package.grid
    found: dict[tuple[int, ...], Floats] = {}
    for grid in ((few, many), (many, few)):
        steps = np.stack(np.meshgrid(*map(np.arange, grid), indexing="ij"), axis=-1).reshape(-1, 2)
        places = steps * package.pitch_mm
        last = places.max(axis=0)
        for origin in (last / 2, *(last * corner for corner in ((0, 0), (0, 1), (1, 0), (1, 1)))):
            holes = _holes_at(_turned(places - origin, rotation_deg) + np.array(at_mm), leads)
            if holes is not None:
                found[tuple(np.sort(holes).tolist())] = leads[np.sort(holes)]
    if len(found) != 1:
        return ()
    (places,) = found.values()
    return tuple(Pin("", None, None, x, y, None, None, True) for x, y in places.tolist())


def _turned(places: Floats, rotation_deg: float) -> Floats:
    cos, sin = math.cos(math.radians(rotation_deg)), math.sin(math.radians(rotation_deg))
    return np.asarray(places @ np.array([[cos, sin], [-sin, cos]]))


def _holes_at(places: Floats, leads: Floats) -> np.ndarray | None:
    """The hole at each place, None where one place has none."""
    apart = np.hypot(*(places[:, None] - leads[None]).transpose(2, 0, 1))
    nearest = apart.argmin(axis=1)
    return nearest if (apart[np.arange(len(places)), nearest] <= IN_HOLE_MM).all() else None
