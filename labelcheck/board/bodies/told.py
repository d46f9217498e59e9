"""What one source tells about one component; several such words make a component."""

from dataclasses import dataclass

from shapely.geometry import Polygon

from labelcheck.board.components import Pin
from labelcheck.trade.sides import Side


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """One source's word about one component; None and empty where the source is silent."""

    reference: str
    side: Side | None
    package: str | None = None
    value: str | None = None
    at_mm: tuple[float, float] | None = None
    rotation_deg: float | None = None
    """Counter-clockwise as seen from the top, for both sides."""
    height_mm: float | None = None
    through_hole: bool | None = None
    """Whether it is mounted by leads through the board."""
    outlines: tuple[tuple[str, Polygon], ...] = ()
    """What kind of outline (`Body`, `Lead2Lead`, `Footprint`, `Courtyard`), and the outline."""
    pins: tuple[Pin, ...] = ()
