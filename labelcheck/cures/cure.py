"""A cure: what to change about one label so that all of its findings are gone at once."""

from dataclasses import dataclass

from labelcheck.labels.label import Box

THE_EDGE = "the edge of the board"
"""What is in the way where a label would reach past it; the one such thing of which there is only one."""


@dataclass(frozen=True, slots=True)
class Cure:
    """The change of one label, and where that leaves it; lengths in millimetres, seen from the top.

    To apply it: enlarge the drawing `scale` times about the middle of the label's box, move every edge of the ink
    outward by `growth_mm` (inward where negative), part neighbouring characters by `spacing_mm` more, mirror it, turn
    it as it is read on its own side, all about that middle, and move it by `shift_mm`.
    """

    label: str
    """Id of the label."""
    scale: float = 1.0
    growth_mm: float = 0.0
    height_mm: float | None = None
    """The new character height, None where it stays."""
    pen_mm: float | None = None
    """The new stroke width, None where it stays."""
    spacing_mm: float | None = None
    """How much further apart the characters are to stand, None where that stays."""
    mirrored: bool = False
    """Whether the drawing is to be mirrored along its line."""
    turn_deg: int = 0
    """A quarter turn or several, counter-clockwise as read on the label's own side: 0, 90, 180 or 270."""
    shift_mm: tuple[float, float] = (0.0, 0.0)
    box_mm: Box | None = None
    """Of its ink once cured; None where no place was found for it."""
    in_the_way: tuple[str, ...] = ()
    """What takes the places around it where no place was found, what takes most first."""
    looked_mm: float = 0.0
    """How far a place was looked for where none was found; 0 where only where it stands."""
    cleared_by: str | None = None
    """Id of the label whose own cure leaves this one in the clear, where nothing else is needed."""
    over_with: str | None = None
    """Id of the label with which it is to be changed over, which has a cure of its own for that."""
    together: tuple[str, ...] = ()
    """Ids of the labels along a row of pins that change together, itself included; each has a cure of its own."""
    at_pin: str | None = None
    """The pin at which it then stands, where it belongs at another one than now."""

    @property
    def found(self) -> bool:
        """Whether there is a place for the label once changed."""
        return self.box_mm is not None

    @property
    def resized(self) -> bool:
        """Whether its drawing changes, other than in place and direction."""
        return self.height_mm is not None or self.pen_mm is not None or self.spacing_mm is not None

    @property
    def moved(self) -> bool:
        """Whether it stands elsewhere."""
        return self.shift_mm != (0.0, 0.0)
