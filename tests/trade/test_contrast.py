"""Contrast against published figures: WCAG 2.x for luminance and ratio, NUREG-0700 rev. 3 for small characters."""

import math

import pytest

from labelcheck.trade.colours import INKS, MASKS, ink_of, mask_of
from labelcheck.trade.contrast import contrast_ratio, least_modulation, luminance, modulation_of, ratio_of

WHITE = (255, 255, 255)


@pytest.mark.parametrize(
    ("grey", "ratio"), [(0x77, 4.4781), (0x76, 4.5422), (0x95, 2.9953), (0x00, 21.0)]
)
def test_greys_on_white(grey: int, ratio: float) -> None:
    """Computed by the WCAG 2.x formula; #767676 is widely quoted as the lightest grey that passes 4.5."""
    assert contrast_ratio((grey,) * 3, WHITE) == pytest.approx(ratio, abs=5e-5)
    assert contrast_ratio(WHITE, (grey,) * 3) == contrast_ratio((grey,) * 3, WHITE)


def test_luminance_of_a_grey_and_of_white() -> None:
    assert luminance((0x77,) * 3) == pytest.approx(0.18447, abs=5e-6)
    assert luminance(WHITE) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("arcminutes", "modulation", "ratio"), [(17, 0.51, 3.082), (16, 0.58, 3.762), (12, 0.86, 13.286), (10, 1.0, None)]
)
def test_what_small_characters_need(arcminutes: float, modulation: float, ratio: float | None) -> None:
    """NUREG-0700 rev. 3: M >= 0.3 + 0.07 (20 - S); at 10 minutes of arc no ratio is enough."""
    assert least_modulation(arcminutes) == pytest.approx(modulation)
    if ratio is None:
        assert math.isinf(ratio_of(1.0))
    else:
        assert ratio_of(least_modulation(arcminutes)) == pytest.approx(ratio, abs=5e-4)


def test_the_formula_is_bounded_where_it_does_not_hold() -> None:
    assert least_modulation(30) == least_modulation(17)
    assert least_modulation(5) == least_modulation(10)


@pytest.mark.parametrize(("ratio", "modulation"), [(6, 0.7143), (10, 0.8182)])
def test_ratio_and_modulation(ratio: float, modulation: float) -> None:
    """By definition of both; 6:1 is the least and 10:1 preferred in NUREG-0700 rev. 3."""
    assert modulation_of(ratio) == pytest.approx(modulation, abs=5e-5)
    assert ratio_of(modulation_of(ratio)) == pytest.approx(ratio)


def test_colours_are_told_by_words_or_by_their_parts() -> None:
    assert mask_of("Matte Black") == MASKS["black"]
    assert ink_of("WHITE") == INKS["white"]
    assert ink_of("#0e542c") == (14, 84, 44)
    assert mask_of("R14G84B44") == ((14, 84, 44), (14, 84, 44))
    assert ink_of("R999G0B0") == (255, 0, 0)
    for unknown in (None, "", "chartreuse", "#12", "R1G2"):
        assert mask_of(unknown) is None and ink_of(unknown) is None
