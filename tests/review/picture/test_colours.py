"""Colours: the words of job files are understood, and severities can be told apart by more than their hue."""

from itertools import combinations

import numpy as np
import pytest

from labelcheck.board.board import Appearance
from labelcheck.judging import SEVERITIES
from labelcheck.review.picture.badges import end_shape
from labelcheck.review.picture.colours import (
    GREY,
    INK,
    LOST,
    PAPER,
    RELEASED,
    SEVERITY_STYLES,
    TABLE,
    Colour,
    materials_of,
)


def luminance(colour: Colour) -> float:
    """Relative luminance by the formula of WCAG 2.x."""
    parts = [value / 255 for value in colour]
    red, green, blue = (part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio by the formula of WCAG 2.x."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_known_values() -> None:
    # #777777 on white 4.478, #000000 on white 21: computed values that are often quoted for WCAG.
    assert contrast((0x77, 0x77, 0x77), PAPER) == pytest.approx(4.478, abs=0.001)
    assert contrast((0, 0, 0), PAPER) == pytest.approx(21.0)


@pytest.mark.parametrize(("ink", "ground"), [
    *((style.text, style.fill) for style in SEVERITY_STYLES.values()),
    (INK, PAPER), (GREY, PAPER), (INK, TABLE), (PAPER, RELEASED),
    *((style.edge, PAPER) for style in SEVERITY_STYLES.values()),
])
def test_everything_written_has_the_contrast_that_small_text_needs(ink: Colour, ground: Colour) -> None:
    # WCAG 2.1, success criterion 1.4.3: 4.5 to 1.
    assert contrast(ink, ground) >= 4.5


def test_badges_differ_without_any_colour() -> None:
    shapes = {severity: end_shape(SEVERITY_STYLES[severity].ends, (60, 40), 0) > 127 for severity in SEVERITIES}
    for one, other in combinations(SEVERITIES, 2):
        assert (shapes[one] != shapes[other]).mean() > 0.02
        # Lightness of the fills, as seen without hue: each at least twice as far from black as the darker one.
        assert contrast(SEVERITY_STYLES[one].fill, SEVERITY_STYLES[other].fill) > 1.5
    assert len({style.frame for style in SEVERITY_STYLES.values()}) == 3


@pytest.mark.parametrize(("words", "like"), [
    ("Green", "green"), ("RED", "red"), ("matte black", "black"), ("Matte_Black", "black"), ("dark-blue", "blue"),
    ("violet", "purple"), ("Gray", "grey"), (None, "green"), ("", "green"), ("R14G84B44", "green"),
    ("#8A1216", "red"),
])
def test_mask_words(words: str | None, like: str) -> None:
    assert materials_of(Appearance(words, None, None)).mask == materials_of(Appearance(like, None, None)).mask


def test_masks_are_what_they_are_called() -> None:
    red, green, blue = (materials_of(Appearance(word, None, None)).mask for word in ("red", "green", "blue"))
    assert [int(np.argmax(colour)) for colour in (red, green, blue)] == [0, 1, 2]


def test_copper_shows_through_every_mask_and_ink_stands_out_from_it() -> None:
    for word in ("green", "red", "blue", "black", "white", "yellow", "purple"):
        look = materials_of(Appearance(word, None, None))
        assert contrast(look.mask, look.mask_over_copper) > 1.1
        assert contrast(look.ink, look.mask) > 4
        assert contrast(look.ink, look.mask_over_copper) > 3


def test_ink_and_finish() -> None:
    assert materials_of(Appearance("white", None, None)).ink == materials_of(Appearance(None, "Black", None)).ink
    assert materials_of(Appearance("white", "yellow", None)).ink == materials_of(Appearance(None, "Yellow", None)).ink
    gold = materials_of(Appearance(None, None, "Immersion gold")).metal
    tin = materials_of(Appearance(None, None, "HAL lead-free")).metal
    assert gold == materials_of(Appearance(None, None, "ENIG")).metal != tin
    assert tin == materials_of(Appearance(None, None, "Immersion tin")).metal
    assert materials_of(Appearance(None, None, "OSP")).metal not in (gold, tin)


def test_lost_ink_looks_like_nothing_on_a_board() -> None:
    for word in ("green", "red", "blue", "black", "white", "yellow", "purple", "orange", "pink"):
        look = materials_of(Appearance(word, None, None))
        for colour in (look.mask, look.mask_over_copper, look.metal, look.ink, look.laminate):
            assert np.abs(np.array(LOST, dtype=int) - np.array(colour)).max() > 60
