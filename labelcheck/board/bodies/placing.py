"""Placement files laid onto the board: unit, origin, mirrored bottoms and signs of rotation, all by fitting pads."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from labelcheck.board.bodies.lead_rows import leads_in_rows
from labelcheck.board.bodies.origins import ON_PAD_MM, Pairs, Shift, fit_by_name, fit_to_pads, pairs_of
from labelcheck.board.bodies.packages import package_named
from labelcheck.board.bodies.told import Told
from labelcheck.board.components import Pin
from labelcheck.formats.placement import Placed, Placement
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import OUTER_SIDES, Side

UNITS_MM = (1.0, 0.0254, 25.4, 0.001)
"""What a number without a unit may mean: millimetre, mil, inch, micrometre."""
TWO_PADS = ("R", "C", "L", "D", "F", "FB", "LED", "TVS", "ZD")
"""Letters of references that mostly name parts with two pads."""
AT_LANDS_MM = 0.15
"""How far the middle between two lands may lie from where a chip is placed."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What lists of places are fitted to."""

    openings: Mapping[Side, Floats]
    """Boxes of the mask openings of each side, (n, 4)."""
    leads: Floats
    """Middles of holes for leads, (n, 2)."""

    def pads(self) -> Floats:
        """Middles of all openings, else of the holes, (n, 2)."""
        boxes = np.concatenate([*self.openings.values(), np.zeros((0, 4))])
        return np.concatenate(((boxes[:, :2] + boxes[:, 2:]) / 2, self.leads.reshape(-1, 2)))


@dataclass(frozen=True, slots=True, eq=False)
class _List:
    """The rows of one placement file that stand on one side."""

    placement: Placement
    side: Side
    rows: tuple[Placed, ...]

    def places(self, scale: float) -> Floats:
        return np.array([(row.x_mm, row.y_mm) for row in self.rows]).reshape(-1, 2) * scale


def place_parts(
    placements: Sequence[tuple[Placement, Side | None]], middles: Mapping[str, tuple[float, float]], ground: Ground
) -> tuple[list[Told], list[Remark]]:
    """The parts of placement files in the artwork's coordinates.

    `middles` are those of pads known by the name of their part. Lists that fit under no shift are left out, and told.
    """
    told: list[Told] = []
    remarks: list[Remark] = []
    seen: set[tuple[str, Side]] = set()
    pairs: dict[Side, Pairs] = {}
    earlier: dict[str, tuple[Shift, float]] = {}
    for rows in _by_side(placements):
        fitted = _fit(rows, middles, ground, pairs, earlier.get(rows.placement.name))
        name = rows.placement.name
        if fitted is None:
            lost = (
                f"Its places on the {rows.side} lie on the pads of the artwork under no single shift; they were not "
                "used."
            )
            remarks.append(Remark(name, None, lost))
            continue
        shift, scale = fitted
        earlier.setdefault(name, fitted)
        remarks += _remarks(rows, shift, scale)
        turned_back = shift.mirrored
        for row, (x, y) in zip(rows.rows, shift.moved(rows.places(scale)).tolist(), strict=True):
            if (row.reference, rows.side) in seen:
                continue
            seen.add((row.reference, rows.side))
            rotation = -row.rotation_deg % 360 if turned_back else row.rotation_deg
            pins = () if row.reference in middles else _lands(row, (x, y), rows.side, ground, pairs)
            told.append(Told(row.reference, rows.side, row.package, row.value, (x, y), rotation, pins=pins))
    return told, remarks


def _by_side(placements: Sequence[tuple[Placement, Side | None]]) -> list[_List]:
    """Rows of each file and side; the top first, because the bottom may follow it."""
    lists = []
    for side in OUTER_SIDES:
        for placement, named in placements:
            other = named if named in OUTER_SIDES else Side.TOP
            rows = tuple(row for row in placement.placed if (row.side or other) is side)
            if rows:
                lists.append(_List(placement, side, rows))
    return lists


def _fit(
    rows: _List, middles: Mapping[str, tuple[float, float]], ground: Ground, pairs: dict[Side, Pairs],
    earlier: tuple[Shift, float] | None,
) -> tuple[Shift, float] | None:
    """Shift and scale that lay a list onto the board: by the pads of the same parts, else by the lands of chips."""
    scales = [unit / rows.placement.mm_per_unit for unit in UNITS_MM] if rows.placement.unit_guessed else [1.0]
    if earlier is not None:
        scales = [earlier[1]]
    mirrors = (False, True) if rows.side is Side.BOTTOM else (False,)
    named = [number for number, row in enumerate(rows.rows) if row.reference in middles]
    fits: list[tuple[Shift, float]] = []
    for scale in scales:
        places = rows.places(scale)
        for mirrored in mirrors:
            if named:
                own = np.array([middles[rows.rows[number].reference] for number in named])
                shift = fit_by_name(places[named], own, mirrored)
                if shift is None:
                    # Where most parts have leads, their places are mostly those of their first pins.
                    shift = fit_to_pads(places[named], np.concatenate((own, ground.pads())), mirrored)
            else:
                chips = [number for number, row in enumerate(rows.rows) if _is_chip(row)]
                shift = fit_to_pads(places[chips], _pairs(rows.side, ground, pairs).middles, mirrored)
            if shift is None and earlier is not None and len(named) < 4 and not mirrored:
                shift = Shift(earlier[0].x_mm, earlier[0].y_mm, 0.0)
            if shift is not None:
                fits.append((shift, scale))
    # Among equals the list's own origin, then not mirrored, then the same shift as on the top.
    return max(fits, key=lambda fit: (round(fit[0].share, 1), fit[0].none, not fit[0].mirrored), default=None)


def _is_chip(row: Placed) -> bool:
    package = package_named(row.package)
    if package is not None:
        return package.leads == "ends" and package.sure
    return row.reference.rstrip("0123456789").upper() in TWO_PADS


def _pairs(side: Side, ground: Ground, pairs: dict[Side, Pairs]) -> Pairs:
    if side not in pairs:
        pairs[side] = pairs_of([ground.openings[side]])
    return pairs[side]


def _lands(
    row: Placed, at_mm: tuple[float, float], side: Side, ground: Ground, pairs: dict[Side, Pairs]
) -> tuple[Pin, ...]:
    """The two lands about a chip, or the holes of a header, that no other file names; none where there are none."""
    package = package_named(row.package)
    if package is not None and package.leads == "rows":
        return leads_in_rows(package, at_mm, row.rotation_deg, ground.leads)
    if not _is_chip(row):
        return ()
    found = _pairs(side, ground, pairs)
    near = np.flatnonzero((np.abs(found.middles - np.array(at_mm)) <= AT_LANDS_MM).all(axis=1))
    pitch = np.hypot(*(found.ends[near, 1] - found.ends[near, 0]).T)
    if package is not None:
        near, pitch = near[keep := pitch >= 0.45 * package.length_mm], pitch[keep]
    if len(near) == 0:
        return ()
    best = int(near[int(np.argmin(pitch))])
    width, height = found.sizes[best].tolist()
    return tuple(Pin("", None, None, float(x), float(y), width, height, False) for x, y in found.ends[best])


def _remarks(rows: _List, shift: Shift, scale: float) -> list[Remark]:
    """What was found out about a list that its file does not say."""
    remarks = []
    if scale != 1.0:
        unit = rows.placement.mm_per_unit * scale
        words = {0.0254: "mil", 25.4: "inch", 0.001: "micrometre"}.get(round(unit, 6), f"{unit:g} mm")
        fits = f"Only in {words} does it fit the board; it was read so."
        remarks.append(Remark(rows.placement.name, None, fits))
    far = math.hypot(shift.x_mm, shift.y_mm) > 2 * ON_PAD_MM
    if far or shift.mirrored:
        ways = [f"moved by {shift.x_mm:.3f}, {shift.y_mm:.3f} mm"] if far else []
        ways += ["with x mirrored"] if shift.mirrored else []
        told = (
            f"Its places on the {rows.side} were taken {' and '.join(ways)}: so {shift.share * 100:.0f} % of the "
            "parts looked at lie on their pads."
        )
        remarks.append(Remark(rows.placement.name, None, told))
    return remarks
