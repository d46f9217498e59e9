"""How well ink stands out from its ground: luminance contrast, and how much of it small characters need."""

from labelcheck.trade.colours import Colour

FLARE = 0.05
"""Light that every surface sends back into the eye, as a share of white (WCAG 2.x)."""
KNEE = 0.03928
"""Below this a channel is linear (WCAG 2.x); for 8-bit colours no other than the 0.04045 of the sRGB standard."""
SMALL_FROM, SMALL_TO = 10.0, 17.0
"""Minutes of arc between which the formula for small characters holds (NUREG-0700 rev. 3)."""


def luminance(colour: Colour) -> float:
    """Relative luminance, 0 to 1: L = 0.2126 R + 0.7152 G + 0.0722 B of linear channels (WCAG 2.x)."""
    red, green, blue = (_linear(channel / 255) for channel in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= KNEE else float(((channel + 0.055) / 1.055) ** 2.4)


def contrast_ratio(one: Colour, other: Colour) -> float:
    """Lighter to darker with flare added to both: 1 for the same, 21 for black and white (WCAG 2.x)."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + FLARE) / (darker + FLARE)


def modulation_of(ratio: float) -> float:
    """M = (Lmax - Lmin) / (Lmax + Lmin) of a ratio Lmax / Lmin."""
    return (ratio - 1) / (ratio + 1)


def ratio_of(modulation: float) -> float:
    """The ratio of luminances with that modulation; infinite from 1 on."""
    return float("inf") if modulation >= 1 else (1 + modulation) / (1 - modulation)


def least_modulation(arcminutes: float) -> float:
    """Least modulation for characters of that height, M = 0.3 + 0.07 (20 - S) for 10 to 17 minutes of arc.

    Larger ones need no more than those of 17, smaller ones no less than those of 10, which is more than any ink has
    (NUREG-0700 rev. 3, after MIL-STD-1472G).
    """
    return 0.3 + 0.07 * (20 - min(max(arcminutes, SMALL_FROM), SMALL_TO))
