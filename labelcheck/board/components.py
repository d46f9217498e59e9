"""The parts that will stand on the board: what they are called, where their pins lie, how large they are."""

from dataclasses import dataclass
from typing import Literal

from shapely.geometry import Polygon

from labelcheck.trade.sides import Side

BodySource = Literal["limits file", "component layer", "placement", "assembly drawing", "pads"]
"""Where a body is known from, best first: what a person states is stated because the files are wrong."""


@dataclass(frozen=True, slots=True)
class Pin:
    """One pad or lead of a component; lengths in millimetres, seen from the top."""

    name: str
    """Number or name as the files write it: `1`, `A1`, `+`."""
    function: str | None
    """What the files say that it does, None where they do not."""
    net: str | None
    x_mm: float
    y_mm: float
    width_mm: float | None
    height_mm: float | None
    """Of its pad, along x and y; None where the size is not told."""
    through: bool
    """Whether it goes through the board."""


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """The outline of one component as it stands on the board, at its largest, seen from the top."""

    area: Polygon
    height_mm: float | None
    """None where nothing tells."""
    known_by: BodySource
    estimated: bool
    """Whether the outline is a guess that alone makes no label unreadable: pads, or a package that is not certain."""
    basis: str = ""
    """The same for a sentence: `the largest 0603 at its place in the placement file`."""


@dataclass(frozen=True, slots=True, eq=False)
class Component:
    """One part of the board."""

    reference: str | None
    """None where an outline is known and nobody says whose."""
    side: Side
    """The side that it stands on."""
    package: str | None
    value: str | None
    at_mm: tuple[float, float] | None
    rotation_deg: float | None
    pins: tuple[Pin, ...]
    body: Body | None
    """None where no source tells."""
