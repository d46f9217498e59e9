"""One Gerber file as it was drawn: shapes, apertures, attributes, remarks."""

from dataclasses import dataclass
from typing import Literal

from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Shapes

AttributeSet = tuple[tuple[str, tuple[str, ...]], ...]
"""Attributes as (name, values), in order of name; names with their dot, as `.C`."""


@dataclass(frozen=True, slots=True)
class Aperture:
    """One aperture definition."""

    code: int
    """Its D-code, 10 or more."""
    template: str
    """`C`, `R`, `O`, `P`, the name of a macro, or `block`."""
    parameters: tuple[float, ...]
    """As written: lengths in millimetres for C, R, O, P; macro arguments untouched."""
    pen_mm: float | None
    """Diameter where it draws round-ended strokes (a circle without hole counts with its diameter), else None."""
    attributes: int
    """Row in the artwork's attribute sets."""
    line: int


@dataclass(frozen=True, slots=True, eq=False)
class Artwork:
    """One Gerber file; lengths in millimetres."""

    name: str
    shapes: Shapes
    apertures: tuple[Aperture, ...]
    attribute_sets: tuple[AttributeSet, ...]
    """Row 0 is the empty set; objects and apertures point here."""
    file_attributes: AttributeSet
    unit: Literal["mm", "inch"]
    whole: bool
    """Whether the file ended with its end-of-file command."""
    remarks: tuple[Remark, ...]
    passed_over: int = 0
    """Places of the file that were left out or not understood, so that ink may be missing or wrong."""

    def file_attribute(self, name: str) -> tuple[str, ...] | None:
        """Values of a file attribute such as `.FileFunction`, or None where the file has none."""
        return dict(self.file_attributes).get(name)
