"""What a layer looks like, where nobody says what it is: the last resort, and a check on names."""

import re
from enum import StrEnum

import numpy as np
import shapely

from labelcheck.board.names import meaning_of_name
from labelcheck.board.roles import Meaning
from labelcheck.trade.shapes import Floats, Kind, Shapes

HINTS_IN_BYTES = 6_000
"""How far into a file its comments and names are looked for."""

ON_PAD_MM = 0.06
"""A flash lies on a pad, or around a hole, where the middles are closer than this."""

PLACES_NEEDED = 4
"""Fewer holes or pads prove nothing about a layer."""

_HINT = re.compile(
    rb"(?:G0?4\s*(?:#@!\s*)?-*\s*(?:layer\s*(?:name)?|film\s*name|title|image\s*name|plot\s*layer)\s*[:=]\s*([^*%\r\n]{1,80})"
    rb"|%\s*[LI]N([^*%]{1,80})\*)",
    re.IGNORECASE,
)


class Look(StrEnum):
    """What the objects of a layer resemble."""

    EMPTY = "empty"
    CONDUCTOR = "pads and tracks"
    OPENINGS = "pads without tracks"
    LINES = "lines or lettering"


def meaning_of_hints(data: bytes) -> Meaning | None:
    """What a file's own comments and image names say of its layer, where they agree on one role."""
    meanings = [
        meaning
        for match in _HINT.finditer(data[:HINTS_IN_BYTES])
        if (meaning := meaning_of_name(_as_name((match[1] or match[2]).decode("utf-8", "replace")))) is not None
    ]
    roles = {meaning.role for meaning in meanings}
    sides = {meaning.side for meaning in meanings} - {None}
    if len(roles) != 1 or len(sides) > 1:
        return None
    role = roles.pop()
    detail = next((meaning.detail for meaning in meanings if meaning.detail), "")
    return Meaning(role, sides.pop() if sides else None, detail)


def _as_name(text: str) -> str:
    """A hint as if it were a file name: nothing in it is a folder or an extension."""
    return re.sub(r"[./\\]+", " ", text).strip()


def look_of(shapes: Shapes, pads: Floats, leads: Floats) -> Look:
    """What the dark objects of a layer look like; clear flashes are how some programs cut legends free of pads.

    `pads` and `leads` are (k, 2), middles of openings and of holes for leads.
    """
    if len(shapes) == 0:
        return Look.EMPTY
    boxes = shapes.boxes()
    flashed = shapes.dark & (shapes.kind == Kind.FLASH) & np.isfinite(boxes).all(axis=1)
    middles = (boxes[flashed, :2] + boxes[flashed, 2:]) / 2
    around_leads = share_near(leads, middles) if len(leads) >= PLACES_NEEDED else 0.0
    on_pads = share_near(middles, pads) if len(pads) >= PLACES_NEEDED else 0.0
    many_pads = len(middles) >= PLACES_NEEDED and (around_leads >= 0.7 or on_pads >= 0.5)
    if not many_pads:
        return Look.LINES
    others = int(np.count_nonzero(shapes.dark & (shapes.kind != Kind.FLASH)))
    return Look.CONDUCTOR if others > 0.1 * len(shapes) else Look.OPENINGS


def share_near(points: Floats, others: Floats) -> float:
    """Share of the (k, 2) points that have one of the others within `ON_PAD_MM`."""
    if len(points) == 0 or len(others) == 0:
        return 0.0
    tree = shapely.STRtree(shapely.points(others))
    hits, _ = tree.query(shapely.points(points), predicate="dwithin", distance=ON_PAD_MM)
    return len(np.unique(hits)) / len(points)
