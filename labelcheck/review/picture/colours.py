"""The colours of a picture: what the board is made of, the sheet it lies on, and the severities."""

from dataclasses import dataclass

from labelcheck.board.board import Appearance
from labelcheck.judging import Severity
from labelcheck.trade.colours import INKS, MASK_COLOURS, MASKS, UNNAMED_MASK, Colour, ink_of, mask_of, named

PAPER: Colour = (255, 255, 255)
TABLE: Colour = (226, 229, 232)
"""What the board lies on, dark enough for a white board to stand out and light enough for a black one."""
INK: Colour = (22, 26, 32)
GREY: Colour = (92, 99, 108)
RULE: Colour = (196, 201, 207)
LOST: Colour = (255, 92, 205)
"""Ink that will not be there on the real board. No solder mask, legend or finish has this colour."""
RELEASED: Colour = (0, 96, 92)


@dataclass(frozen=True, slots=True)
class SeverityStyle:
    """How a severity looks: the ends of its badge, its colours, and the frame around what is wrong.

    Badges differ in outline and in lightness, so that they can be told apart without seeing colours, and in print.
    """

    ends: str
    """`square`, `pointed` or `round`."""
    fill: Colour
    edge: Colour
    text: Colour
    frame: str
    """`whole`, `dashed` or `corners`."""


SEVERITY_STYLES = {
    Severity.UNREADABLE: SeverityStyle("square", (168, 0, 62), (168, 0, 62), PAPER, "whole"),
    Severity.DOUBTFUL: SeverityStyle("pointed", (255, 186, 8), (148, 98, 0), INK, "dashed"),
    Severity.NOTE: SeverityStyle("round", PAPER, (0, 84, 166), (0, 84, 166), "corners"),
}


@dataclass(frozen=True, slots=True)
class Materials:
    """What one sees of a board: mask over laminate and over copper, bare laminate, bare metal, legend ink."""

    mask: Colour
    mask_over_copper: Colour
    laminate: Colour
    metal: Colour
    ink: Colour


_GOLD: Colour = (214, 176, 92)
_TIN: Colour = (190, 194, 198)
_COPPER: Colour = (204, 132, 84)
_FINISHES = (  # words of job files and what they look like; the first that is found counts
    (("enig", "gold", "au", "enepig"), _GOLD),
    (("osp", "preserv", "none", "copper"), _COPPER),
    (("hal", "tin", "silver", "sn", "ag", "solder"), _TIN),
)
_LAMINATE: Colour = (168, 152, 104)


def materials_of(appearance: Appearance) -> Materials:
    """Colours for the words of a job file (`Green`, `matte black`, `ENIG`), common ones where it names none.

    Unnamed are: a green mask, white ink (black on white and yellow masks), gold.
    """
    mask = mask_of(appearance.mask)
    if mask is None:
        mask = MASKS[UNNAMED_MASK]
    ink = ink_of(appearance.legend)
    if ink is None:
        light = appearance.mask is not None and named(appearance.mask, MASK_COLOURS) in ("white", "yellow")
        ink = INKS["black" if light else "white"]
    return Materials(*mask, _LAMINATE, _metal(appearance.finish), ink)


def _metal(finish: str | None) -> Colour:
    if finish is None:
        return _GOLD
    written = finish.lower()
    for words, metal in _FINISHES:
        if any(word in written for word in words):
            return metal
    return _GOLD
