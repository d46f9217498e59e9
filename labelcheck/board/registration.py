"""Whether the layers lie on one another: mask openings against the holes for leads."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from labelcheck.board.board import Holes, Layer
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import Side

LEAD_HOLE_MM = 0.6
"""Holes from this diameter on take leads, whose pads the mask leaves open; smaller ones are vias, mostly covered."""
OPENING_AT_MOST_MM = 15.0
"""Larger openings are no pads whose middle means anything."""
ON_PAD_MM = 0.05
"""A hole lies on a pad where the middles are closer than this: what formats round and pads are off by."""
FEWEST_HOLES = 6
"""Fewer holes may lie on pads by chance."""
SHIFTED_SHARE = 0.8
"""So many holes must lie on pads once the layer is moved for it to be shifted."""
IN_PLACE_SHARE = 0.4
"""Where more lie on pads as they are, the layer is in place, and the others are pads of another form."""
REACH_MM = 5.0
"""A layer farther off than this lies wholly beside the board, or is one of another board."""
_HOLES_AT_MOST, _OPENINGS_AT_MOST = 60, 3_000
_BIN_MM = 0.04


@dataclass(frozen=True, slots=True)
class Shift:
    """How far a layer lies off the holes."""

    x_mm: float
    y_mm: float


def shifted(openings: Mapping[Side, Layer | None], holes: Holes | None) -> list[Remark]:
    """A remark for each side whose mask openings all lie off the holes by the same way."""
    remarks = []
    leads = _leads(holes)
    for side, layer in openings.items():
        shift = None if layer is None else shift_between(leads, _middles(layer))
        if shift is None or layer is None:
            continue
        remarks.append(
            Remark(
                layer.files[0],
                None,
                f"The openings of the {side} solder mask lie {shift.x_mm:+.2f}, {shift.y_mm:+.2f} mm (x, y) off the "
                "holes: the layers do not lie on one another. Export mask and drills with the same origin.",
            )
        )
    return remarks


def shift_between(holes: Floats, pads: Floats) -> Shift | None:
    """How far the pads lie off the holes, both (k, 2); None where they do not, or nothing is certain."""
    if len(holes) < FEWEST_HOLES or len(pads) < FEWEST_HOLES:
        return None
    if _share_on(holes, pads) > IN_PLACE_SHARE:
        return None
    moved = _likeliest(holes[:: -(-len(holes) // _HOLES_AT_MOST)], pads[:: -(-len(pads) // _OPENINGS_AT_MOST)])
    if moved is None or _share_on(holes + moved, pads) < SHIFTED_SHARE:
        return None
    return Shift(float(moved[0]), float(moved[1]))


def _likeliest(holes: Floats, pads: Floats) -> Floats | None:
    """The way from hole to pad that occurs most often, (2,); of several the shortest."""
    ways = (pads[None, :, :] - holes[:, None, :]).reshape(-1, 2)
    ways = ways[(np.abs(ways) <= REACH_MM).all(axis=1)]
    if len(ways) == 0:
        return None
    grids = [_most_counted(ways, np.array([x, y])) for x in (0.0, _BIN_MM / 2) for y in (0.0, _BIN_MM / 2)]
    middles, count = (np.concatenate(parts) for parts in zip(*grids, strict=True))
    often = middles[count >= 0.9 * count.max()]
    best = often[np.argmin((often**2).sum(axis=1))]
    near = ways[(np.abs(ways - best) <= _BIN_MM).all(axis=1)]
    return np.asarray(np.median(near, axis=0))


def _most_counted(ways: Floats, origin: Floats) -> tuple[Floats, Floats]:
    """Middles (k, 2) and counts (k,) of the cells of a grid; of several grids one has no edge through the ways."""
    cells, count = np.unique(np.round((ways - origin) / _BIN_MM), axis=0, return_counts=True)
    return cells * _BIN_MM + origin, count.astype(np.float64)


def _share_on(holes: Floats, pads: Floats) -> float:
    """Share of the holes that have the middle of a pad upon them."""
    tree = shapely.STRtree(shapely.points(pads))
    hits, _ = tree.query(shapely.points(holes), predicate="dwithin", distance=ON_PAD_MM)
    return len(np.unique(hits)) / len(holes)


def _leads(holes: Holes | None) -> Floats:
    """Middles of round holes that may take leads; those known to be unplated have no pad."""
    if holes is None or len(holes.shapes) == 0:
        return np.zeros((0, 2))
    boxes = holes.shapes.boxes()
    width, height = boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]
    unplated = np.array([plated is False for plated in holes.plated], dtype=np.bool_)
    wanted = (width >= LEAD_HOLE_MM) & (np.abs(width - height) < 0.01) & ~unplated
    return (boxes[wanted, :2] + boxes[wanted, 2:]) / 2


def _middles(layer: Layer) -> Floats:
    boxes = layer.shapes.boxes()
    size = np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    wanted = layer.shapes.dark & np.isfinite(boxes).all(axis=1) & (size <= OPENING_AT_MOST_MM)
    return (boxes[wanted, :2] + boxes[wanted, 2:]) / 2
