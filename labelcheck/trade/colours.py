"""Words for the colours of solder masks and of legend ink, and what they look like on a screen.

The looks are judged by eye on boards, no source: makes of mask and ink differ from one another more than words do.
"""

import re

Colour = tuple[int, int, int]
"""Red, green, blue, 0 to 255."""

MASKS: dict[str, tuple[Colour, Colour]] = {  # over laminate, over copper
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
INKS: dict[str, Colour] = {
    "white": (244, 245, 240), "black": (18, 18, 20), "yellow": (248, 212, 48), "green": (22, 122, 62),
    "red": (196, 30, 30), "blue": (24, 72, 160), "orange": (236, 124, 24), "grey": (150, 152, 152),
}
MASK_COLOURS = tuple(MASKS)
LEGEND_COLOURS = tuple(INKS)
UNNAMED_MASK = "green"

OTHER_WORDS = {"gray": "grey", "clear": "transparent", "violet": "purple", "magenta": "purple"}
"""Words that mean one of the above."""

_HEXADECIMAL = re.compile(r"#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})", re.IGNORECASE)
_DECIMAL = re.compile(r"R(\d{1,3})G(\d{1,3})B(\d{1,3})", re.IGNORECASE)
"""The form for other colours in job files, from memory."""


def named(words: str, known: tuple[str, ...]) -> str | None:
    """The colour that some words name (`matte black`), None where they name none of the known."""
    for word in words.lower().replace("-", " ").replace("_", " ").split():
        colour = OTHER_WORDS.get(word, word)
        if colour in known:
            return colour
    return None


def mask_of(words: str | None) -> tuple[Colour, Colour] | None:
    """What a mask looks like over laminate and over copper; None where the words do not tell."""
    if words is None:
        return None
    name = named(words, MASK_COLOURS)
    if name is not None:
        return MASKS[name]
    mixed = _mixed(words)
    return None if mixed is None else (mixed, mixed)


def ink_of(words: str | None) -> Colour | None:
    """What legend ink looks like; None where the words do not tell."""
    if words is None:
        return None
    name = named(words, LEGEND_COLOURS)
    return INKS[name] if name is not None else _mixed(words)


def _mixed(words: str) -> Colour | None:
    """A colour told by its parts: `#0e542c`, `R14G84B44`."""
    text = words.strip()
    for form, base in ((_HEXADECIMAL, 16), (_DECIMAL, 10)):
        match = form.fullmatch(text)
        if match is not None:
            red, green, blue = (min(int(part, base), 255) for part in match.groups())
            return red, green, blue
    return None
