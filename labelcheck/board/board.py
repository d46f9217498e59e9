"""The board as far as its labels are concerned: outline, holes, and per side the legend, openings and copper."""

from dataclasses import dataclass, replace

from shapely.geometry import MultiPolygon

from labelcheck.board.components import Component
from labelcheck.formats.gerber.artwork import Aperture, AttributeSet
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Shapes
from labelcheck.trade.sides import OUTER_SIDES, Side


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """All files of one role on one side, as one drawing; dark is ink, copper, or open mask."""

    files: tuple[str, ...]
    """Names within the set."""
    shapes: Shapes
    """Its aperture and attribute rows point into the tuples below."""
    apertures: tuple[Aperture, ...]
    attribute_sets: tuple[AttributeSet, ...]
    """Row 0 is the empty set."""


@dataclass(frozen=True, slots=True, eq=False)
class BoardSide:
    """One outer side; None where the set has no such file or it could not be read."""

    side: Side
    legend: Layer | None
    openings: Layer | None
    """Where the solder mask is open: dark is open, whichever way round the file draws it."""
    copper: Layer | None
    paste: Layer | None


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """Where laminate is: outer contours with cut-outs, along the middle of the drawn line."""

    area: MultiPolygon
    known_by: str
    """`profile` where a file declares it, else a sentence fragment that says where it was found."""


@dataclass(frozen=True, slots=True, eq=False)
class Holes:
    """Drilled holes as discs and routed slots as bars, at tool diameter."""

    shapes: Shapes
    plated: tuple[bool | None, ...]
    """One entry an object; None where the files do not tell."""


@dataclass(frozen=True, slots=True, eq=False)
class Appearance:
    """What the job file says of how the board is made; colours in its words (`Green`, `White`); None is not told."""

    mask: str | None
    legend: str | None
    finish: str | None
    copper_mm: float | None = None
    """Thickness of the outer copper."""


@dataclass(frozen=True, slots=True)
class Project:
    """The project that the files of a set name."""

    name: str
    revision: str | None
    """None where nobody has entered one."""


@dataclass(frozen=True, slots=True, eq=False)
class Board:
    """One board of a fab set."""

    outline: Outline | None
    holes: Holes | None
    """None where the set has no drill file that could be read."""
    top: BoardSide
    bottom: BoardSide
    appearance: Appearance
    remarks: tuple[Remark, ...]
    holding: tuple[str, ...]
    """Sentences: why this set cannot be released whatever its labels look like."""
    components: tuple[Component, ...] = ()
    """Those that the files tell of, in order of side and reference."""
    project: Project | None = None
    """None where no file names one."""

    def only(self, side: Side) -> "Board":
        """The board without what the labels of one side do not depend on, and so need not be looked at again for."""
        top, bottom = (
            self.on(other) if other is side else BoardSide(other, None, None, None, None) for other in OUTER_SIDES
        )
        standing = tuple(component for component in self.components if component.side is side)
        return replace(self, top=top, bottom=bottom, components=standing, remarks=(), holding=(), project=None)

    def on(self, side: Side) -> BoardSide:
        """The outer side asked for."""
        return self.top if side is Side.TOP else self.bottom
