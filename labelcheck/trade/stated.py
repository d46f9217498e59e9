"""What the limits file states beyond plain limits: labels that matter, that must be there, acceptances."""

from dataclasses import dataclass, field
from enum import StrEnum
from fnmatch import fnmatchcase

from labelcheck.trade.sides import Side

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1 in millimetres, seen from the top."""


class Weight(StrEnum):
    """How much a label matters to the people who read the board."""

    MORE = "more"
    """A finding about it counts one step worse."""
    NOT = "not"
    """A finding about it is a note at most."""


@dataclass(frozen=True, slots=True)
class StatedColour:
    """A colour that the limits file names, in its words; it wins over the job file's."""

    words: str
    source: str


@dataclass(frozen=True, slots=True)
class StatedWeight:
    """Which labels matter more, or not at all; every condition that is not None must hold."""

    weight: Weight
    texts: tuple[str, ...] | None
    """Patterns with `*` and `?`; one of them has to match the whole text."""
    side: Side | None
    region_mm: Box | None
    """The middle of the label lies in it."""
    because: str | None
    board: str | None
    """Pattern for the name of the set that this is about; None for all."""
    source: str
    line: int | None = field(default=None, compare=False)
    """Of the limits file; the same statement on another line is the same."""


@dataclass(frozen=True, slots=True)
class MustCarry:
    """A label that the board must carry."""

    text: str
    """A pattern with `*` and `?`, for a whole label or for whole words of one."""
    side: Side | None
    """None where either side will do."""
    height_mm: float | None
    """Least character height, None where the other limits are enough."""
    because: str | None
    board: str | None
    source: str
    line: int | None = field(default=None, compare=False)
    """Of the limits file; the same statement on another line is the same."""


@dataclass(frozen=True, slots=True)
class StatedBody:
    """The largest body of a part, from its data sheet, by reference or by package."""

    reference: str | None
    """A pattern with `*` and `?`; None where the package alone says which parts are meant."""
    package: str | None
    """A pattern for the package or footprint name, whatever its case; both must fit where both are given."""
    length_mm: float
    """Along x, as the part lies unturned; 0 by 0 where nothing stands there, as with parts that are not fitted."""
    width_mm: float
    """Along y, as the part lies unturned."""
    height_mm: float | None
    """Above the board; None where it does not matter."""
    offset_mm: tuple[float, float]
    """From the placement point, else the middle of the pads, to the middle of the body, as the part lies unturned."""
    board: str | None
    source: str
    line: int | None = field(default=None, compare=False)
    """Of the limits file; the same statement on another line is the same."""

    def is_for(self, reference: str | None, package: str | None) -> bool:
        """Whether a part of that reference and package is meant."""
        by_reference = self.reference is None or fnmatchcase((reference or "").upper(), self.reference.upper())
        by_package = self.package is None or fnmatchcase((package or "").upper(), self.package.upper())
        return by_reference and by_package


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A finding that somebody has looked at and decided to live with."""

    analyser: str
    severity: str
    side: Side
    text: str | None
    """Of the label, None where it was not read or where the finding is about a whole side."""
    whole_side: bool
    at_mm: tuple[float, float] | None
    """The middle of what is wrong."""
    corner_mm: tuple[float, float] | None
    """Lower left corner of the board then, so that an export with another origin is still the same place."""
    size_mm: tuple[float, float] | None
    """Width and height of what is wrong, where that is not the whole label."""
    measured: float | None
    because: str
    board: str | None
    file: str
    """The limits file that it stands in, and its line there."""
    line: int

    @property
    def source(self) -> str:
        """`labelcheck.toml:12`."""
        return f"{self.file}:{self.line}"


def fits(pattern: str | None, name: str) -> bool:
    """Whether a pattern with `*` and `?` fits the whole of a name; no pattern fits every name."""
    return pattern is None or fnmatchcase(name, pattern.replace("[", "[[]"))
