"""Where the origin of a placement or netlist lies: found by fitting it to the pads, and only where unmistakable."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from labelcheck.trade.shapes import Floats

ON_PAD_MM = 0.08
"""A pad lies where a list says within this: both are rounded."""
SAMPLED = 80
"""Places that are tried against all pads."""
TARGETS_AT_MOST = 8_000
CELL_MM = 0.1
CANDIDATES = 6
ENOUGH = 0.8
"""Share of the places that must lie on pads."""
NEARLY_ALL = 0.95
RIVAL = 0.7
"""Another shift that does this well beside the best makes the fit mistakable, unless nearly all lie on pads."""
OTHER_MM = 0.5
PLACES_NEEDED = 4


@dataclass(frozen=True, slots=True)
class Shift:
    """What is to be added to a list's places, after x was mirrored where `mirrored`."""

    x_mm: float
    y_mm: float
    share: float
    """Share of the places that then lie on pads."""
    mirrored: bool = False

    @property
    def none(self) -> bool:
        """Whether the list has the artwork's own origin."""
        return not self.mirrored and abs(self.x_mm) < ON_PAD_MM and abs(self.y_mm) < ON_PAD_MM

    def moved(self, places: Floats) -> Floats:
        """Places, (n, 2), in the artwork's coordinates."""
        return places * np.array([-1.0 if self.mirrored else 1.0, 1.0]) + np.array([self.x_mm, self.y_mm])


UNMOVED = Shift(0.0, 0.0, 1.0)


def share_on(places: Floats, targets: Floats, within_mm: float = ON_PAD_MM) -> float:
    """Share of the places, (n, 2), that have a target within reach."""
    if len(places) == 0 or len(targets) == 0:
        return 0.0
    tree = shapely.STRtree(shapely.points(targets))
    hits, _ = tree.query(shapely.points(places), predicate="dwithin", distance=within_mm)
    return len(np.unique(hits)) / len(places)


def fit_to_pads(places: Floats, targets: Floats, mirrored: bool = False) -> Shift | None:
    """The shift that lays places onto targets, both (n, 2); None where no shift does so unmistakably."""
    places = places * np.array([-1.0 if mirrored else 1.0, 1.0])
    if len(places) == 0 or len(targets) == 0:
        return None
    unmoved = share_on(places, targets)
    if unmoved >= ENOUGH:
        return Shift(0.0, 0.0, unmoved, mirrored)
    if len(places) < PLACES_NEEDED or len(targets) > TARGETS_AT_MOST:
        return None
    sample = places[:: -(-len(places) // SAMPLED)]
    between = (targets[None, :, :] - sample[:, None, :]).reshape(-1, 2)
    cells = np.floor(between / CELL_MM).astype(np.int64)
    keys, first, votes = np.unique(cells @ np.array([1 << 32, 1]), return_index=True, return_counts=True)
    ranked = first[np.lexsort((keys, -votes))[: 4 * CANDIDATES]]
    shifts: list[Shift] = []
    for x, y in (cells[ranked] + 0.5) * CELL_MM:
        if len(shifts) == CANDIDATES or any(_near(one, x, y, 2 * CELL_MM) for one in shifts):
            continue
        near = between[(np.abs(between - np.array([x, y])) <= 1.5 * CELL_MM).all(axis=1)]
        dx, dy = np.median(near, axis=0)
        shifted = places + np.array([dx, dy])
        shifts.append(Shift(float(dx), float(dy), share_on(shifted, targets), mirrored))
    best = max(shifts, key=lambda one: one.share)
    rival = max((one.share for one in shifts if not _near(best, one.x_mm, one.y_mm, OTHER_MM)), default=0.0)
    clear = best.share >= ENOUGH and rival <= RIVAL * best.share
    certain = best.share >= NEARLY_ALL and rival <= best.share - (1 - NEARLY_ALL)
    return best if (clear or certain) and round(best.share * len(places)) >= PLACES_NEEDED else None


def _near(shift: Shift, x: float, y: float, within_mm: float) -> bool:
    return abs(shift.x_mm - x) <= within_mm and abs(shift.y_mm - y) <= within_mm


def fit_by_name(places: Floats, middles: Floats, mirrored: bool = False) -> Shift | None:
    """The shift of places onto the middles of the same parts' pads, (n, 2) each; None where the parts disagree."""
    if len(places) == 0:
        return None
    apart = middles - places * np.array([-1.0 if mirrored else 1.0, 1.0])
    unmoved = float(np.mean((np.abs(apart) <= OTHER_MM).all(axis=1)))
    if unmoved >= ENOUGH or (unmoved >= 0.5 and len(places) >= PLACES_NEEDED):
        return Shift(0.0, 0.0, unmoved, mirrored)
    if len(places) < PLACES_NEEDED:
        return None
    x, y = np.median(apart, axis=0)
    share = float(np.mean((np.abs(apart - np.array([x, y])) <= OTHER_MM).all(axis=1)))
    # Parts whose place is their first pin disagree with the rest.
    return Shift(float(x), float(y), share, mirrored) if share >= 0.6 else None


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """Openings of one size, two by two: what the lands of chips look like."""

    middles: Floats
    """Between the two, (n, 2) mm."""
    ends: Floats
    """Of both openings, (n, 2, 2) mm."""
    sizes: Floats
    """Width and height of each of the two, (n, 2) mm."""


PAIRED_WITHIN_MM = 6.0
OPENINGS_AT_MOST = 6_000


def pairs_of(openings: Sequence[Floats]) -> Pairs:
    """Pairs of equal openings near to each other, from boxes (n, 4) of each side's openings."""
    boxes = np.concatenate(openings) if openings else np.zeros((0, 4))
    boxes = boxes[:: max(1, -(-len(boxes) // OPENINGS_AT_MOST))]
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2
    sizes = boxes[:, 2:] - boxes[:, :2]
    points = shapely.points(middles)
    first, second = shapely.STRtree(points).query(points, predicate="dwithin", distance=PAIRED_WITHIN_MM)
    alike = (first < second) & (np.abs(sizes[first] - sizes[second]) < 0.03).all(axis=1)
    first, second = first[alike], second[alike]
    ends = np.stack((middles[first], middles[second]), axis=1)
    return Pairs(ends.mean(axis=1), ends, sizes[first])
