"""Marks and labels: what was found on a legend, and how large it is."""

from dataclasses import dataclass
from typing import Literal

from labelcheck.trade.sides import Side

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1 in millimetres, seen from the top."""

DrawnAs = Literal["strokes", "regions", "flashes", "knocked out"]
LabelKind = Literal["reference", "word", "mark", "unread"]
TextSource = Literal["reading", "attribute", "file"]


@dataclass(frozen=True, slots=True)
class Mark:
    """Ink that belongs together: usually one character, else a part of a drawing."""

    number: int
    """Counts from 0 on its side; marks of labels and of drawings share the count."""
    objects: tuple[int, ...]
    """Rows in the shapes of the side's legend, sorted; clear objects that form its counters included."""
    box_mm: Box
    pen_mm: float | None
    """The one pen it is drawn with, None where it is filled or several pens drew it."""
    character: str | None
    """What it was read as; None for a part of a drawing or an unread mark."""


NarrowKind = Literal["counter", "mouth", "pieces", "neighbours"]
"""What closes: an enclosed clear space fills; an open one is shut in; two pieces of one character, or two
characters, run together."""


@dataclass(frozen=True, slots=True)
class NarrowPlace:
    """Clear space within a label that is narrow enough to be asked whether it stays open."""

    kind: NarrowKind
    width_mm: float
    behind_mm: float
    """Widest disc in the clear space that a mouth leads to; of other kinds the same as the width."""
    box_mm: Box
    characters: tuple[str | None, ...]
    """The character, or the two neighbours; None for one that was not read."""


@dataclass(frozen=True, slots=True)
class Label:
    """Marks read together as one word or line."""

    id: str
    """`T1`, `T2`, … on the top, `B1`, … on the bottom, in reading order."""
    side: Side
    text: str | None
    text_confidence: float
    text_known_by: TextSource | None
    kind: LabelKind
    box_mm: Box
    turned_deg: float
    """0 <= a < 360, counter-clockwise as read on its own side."""
    drawn_as: DrawnAs
    marks: tuple[Mark, ...]
    """In reading order."""
    character_height_mm: float
    """Height of its capitals and digits, ink to ink."""
    stroke_least_mm: float
    stroke_typical_mm: float
    gap_mm: float | None
    """Narrowest clear space inside a character or between neighbours; None where there is none."""
    narrow_places: tuple[NarrowPlace, ...] = ()
    """Its narrow clear spaces, the narrowest first."""
    mirrored: bool = False
    """Whether it reads only in a mirror; its text and direction are then those in the mirror."""

    def called(self) -> str:
        """What a person calls it: its text in quotes where it was read, else where it stands."""
        if self.text is not None:
            return f'"{self.text}"'
        x0, y0, x1, y1 = self.box_mm
        return f"the unread label at {(x0 + x1) / 2:.1f}, {(y0 + y1) / 2:.1f} mm"


@dataclass(frozen=True, slots=True)
class SideLabels:
    """All marks of one side's legend: those of labels, and those of drawings."""

    labels: tuple[Label, ...]
    drawings: tuple[Mark, ...]
