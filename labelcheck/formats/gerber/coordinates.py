"""Format and unit: from whole numbers in a file to millimetres."""

import re
from dataclasses import dataclass
from typing import Literal

from labelcheck.trade.units import MM_PER_INCH

MM = 1.0
INCH = MM_PER_INCH

_FORMAT = re.compile(r"([LTD]?)([AI]?)(?:[NGDM]\d)*X(\d)(\d)Y(\d)(\d)(?:[NGDMIJ]\d+)*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class CoordinateFormat:
    """One FS command (clause 4.2, old forms in chapter 8)."""

    trailing_omitted: bool
    incremental: bool
    x_whole: int
    x_decimals: int
    y_whole: int
    y_decimals: int


def parse_format(text: str) -> CoordinateFormat | None:
    """Read what follows FS: `LAX46Y46`, `AX35Y35`, `LAN2X34Y34` and the like; None where it is no format."""
    found = _FORMAT.fullmatch(text)
    if found is None:
        return None
    omitted, notation, *digits = found.groups()
    x_whole, x_decimals, y_whole, y_decimals = (int(digit) for digit in digits)
    return CoordinateFormat(
        omitted.upper() == "T", notation.upper() == "I", x_whole, x_decimals, y_whole, y_decimals
    )


def unit_name(scale_mm: float) -> Literal["mm", "inch"]:
    """Name of a unit given by its length."""
    return "inch" if scale_mm == INCH else "mm"
