"""The colours of a picture: what the board is made of, the sheet it lies on, and the severities."""

from dataclasses import dataclass

from labelcheck.board.board import Appearance
from labelcheck.judging import Severity

Colour = tuple[int, int, int]
"""Red, green, blue, 0 to 255."""

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


_MASKS: dict[str, tuple[Colour, Colour]] = {  # over laminate, over copper
    "green": ((14, 84, 44), (36, 122, 66)),
    "red": ((138, 18, 22), (178, 44, 40)),
    "blue": ((16, 52, 118), (38, 88, 160)),
    "black": ((26, 27, 29), (52, 53, 56)),
    "white": ((236, 237, 232), (214, 216, 208)),
    "yellow": ((206, 160, 22), (228, 188, 62)),
    "purple": ((66, 26, 92), (98, 52, 130)),
    "orange": ((196, 88, 16), (222, 122, 44)),
    "brown": ((82, 52, 30), (112, 76, 48)),
    "grey": ((104, 108, 110), (134, 138, 140)),
    "pink": ((196, 96, 112), (216, 130, 142)),
    "transparent": ((176, 158, 108), (196, 138, 84)),
}
_INKS: dict[str, Colour] = {
    "white": (244, 245, 240), "black": (18, 18, 20), "yellow": (248, 212, 48), "green": (22, 122, 62),
    "red": (196, 30, 30), "blue": (24, 72, 160), "orange": (236, 124, 24), "grey": (150, 152, 152),
}
_SAME = {"gray": "grey", "clear": "transparent", "violet": "purple", "magenta": "purple"}

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
    mask = _named(appearance.mask, tuple(_MASKS)) or "green"
    ink = _named(appearance.legend, tuple(_INKS)) or ("black" if mask in ("white", "yellow") else "white")
    over_laminate, over_copper = _MASKS[mask]
    return Materials(over_laminate, over_copper, _LAMINATE, _metal(appearance.finish), _INKS[ink])


def _named(words: str | None, known: tuple[str, ...]) -> str | None:
    """The colour that some words name, None where they name none of the known."""
    if words is None:
        return None
    for word in words.lower().replace("-", " ").replace("_", " ").split():
        colour = _SAME.get(word, word)
        if colour in known:
            return colour
    return None


def _metal(finish: str | None) -> Colour:
    if finish is None:
        return _GOLD
    written = finish.lower()
    for words, metal in _FINISHES:
        if any(word in written for word in words):
            return metal
    return _GOLD
