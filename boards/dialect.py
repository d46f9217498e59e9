"""The ways in which files of the same board differ from one program to the next."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Dialect:
    """How a fab set is written down; the defaults are those of a current, well-kept set."""

    unit: Literal["mm", "inch"] = "mm"
    whole_digits: int = 4
    decimals: int = 6
    zeros: Literal["L", "T"] = "L"
    """Which zeros of a coordinate are left out: leading ones, or, deprecated, trailing ones."""
    attributes: Literal["extended", "comments", "none"] = "extended"
    """In `%…%` blocks, in `G04 #@!` comments as older programs write them, or not at all."""
    names: Literal["plain", "extensions", "words", "letters"] = "plain"
    """`board-legend-top.gbr`, `board.GTO`, `board.topsilk.gbr`, `board-F_Silk.gbr`."""
    mask_drawn: Literal["openings", "cover"] = "openings"
    """Whether dark is where the mask is open (usual), or where it covers."""
    drill_unit: Literal["mm", "inch"] = "mm"
    drill_digits: Literal["point", "leading", "trailing"] = "point"
    """A decimal point, or which zeros are kept."""
    drill_files: Literal["two", "one", "gerber"] = "two"
    """Plated and not apart, all in one, or as Gerber."""
    slots: Literal["routed", "g85"] = "routed"
    newline: str = "\n"
    modal: bool = False
    """Whether a coordinate or command that does not change is left out."""
    job_file: bool = True
    netlist: bool = True
    placement: bool = True
    components: bool = False
    """Whether component layers with bodies go with the set."""


PLAIN = Dialect()
