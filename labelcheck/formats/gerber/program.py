"""What the extended commands of one file say, gathered for drawing."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from labelcheck.formats.gerber.artwork import Aperture
from labelcheck.formats.gerber.attributes import AttributeBook
from labelcheck.formats.gerber.coordinates import CoordinateFormat
from labelcheck.formats.gerber.state import StateLine, Timeline, timeline

MacroBody = tuple[tuple[int, str], ...]
"""Statements of a macro definition: byte offset and text."""


@dataclass(frozen=True, slots=True)
class ApertureEntry:
    """One aperture definition with what is needed to draw it."""

    aperture: Aperture
    from_offset: int
    """Byte offset from which on it may be selected."""
    unit_mm: float
    macro: MacroBody | None = None
    wrong: str | None = None
    """Why it cannot be drawn; an error only where it is used."""


@dataclass(frozen=True, slots=True)
class Container:
    """A step-and-repeat or a block aperture; number 0 is the image."""

    parent: int
    opened_at: int
    closed_at: int
    repeats_x: int = 1
    repeats_y: int = 1
    step_x_mm: float = 0.0
    step_y_mm: float = 0.0
    aperture: int = -1
    """Row in the apertures, for a block."""

    @property
    def is_block(self) -> bool:
        """Whether it is a block aperture, drawn only where it is flashed."""
        return self.aperture >= 0


@dataclass(frozen=True, slots=True)
class KnockOut:
    """Deprecated KO: a rectangle laid under what follows; `box_mm` x, y, width, height, or a margin about it."""

    at: int
    dark: bool
    box_mm: tuple[float, float, float, float] | None
    margin_mm: float


@dataclass(slots=True)
class Program:
    """Everything that extended commands of one file say; columns along the file are `Timeline`s."""

    units: list[float]
    """Lengths of the units met, in millimetres; the first holds until a unit is set."""
    unit_row: Timeline = field(default_factory=timeline)
    formats: list[CoordinateFormat] = field(default_factory=list)
    format_row: Timeline = field(default_factory=timeline)
    apertures: list[ApertureEntry] = field(default_factory=list)
    macros: dict[str, MacroBody] = field(default_factory=dict)
    states: StateLine = field(default_factory=StateLine)
    attributes: AttributeBook = field(default_factory=AttributeBook)
    object_row: Timeline = field(default_factory=timeline)
    region_row: Timeline = field(default_factory=timeline)
    containers: list[Container] = field(default_factory=lambda: [Container(-1, -1, -1)])
    knockouts: list[KnockOut] = field(default_factory=list)
    layer_starts: list[int] = field(default_factory=list)
    """Byte offsets where a layer in the sense of the old format begins."""
    negative_at: int | None = None
    rotation_degrees: float = 0.0
    offset_mm: tuple[float, float] = (0.0, 0.0)

    @property
    def unit_mm(self) -> float:
        """The unit in force."""
        return self.units[self.unit_row.value[-1]]

    def set_unit(self, at: int, unit_mm: float) -> None:
        """From this byte offset on, numbers are in this unit."""
        if unit_mm not in self.units:
            self.units.append(unit_mm)
        self.unit_row.change(at, self.units.index(unit_mm))

    def blocks(self) -> Mapping[int, int]:
        """Aperture row of each block -> number of its container."""
        return {container.aperture: number for number, container in enumerate(self.containers) if container.is_block}
