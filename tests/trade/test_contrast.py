"""Contrast against published figures: WCAG 2.x for luminance and ratio, NUREG-0700 rev. 3 for small characters."""



from labelcheck.trade.colours import INKS, MASKS, ink_of, mask_of
from labelcheck.trade.contrast import least_modulation

WHITE = (255, 255, 255)


def test_the_formula_is_bounded_where_it_does_not_hold() -> None:
    assert least_modulation(30) == least_modulation(17)
    assert least_modulation(5) == least_modulation(10)


def test_colours_are_told_by_words_or_by_their_parts() -> None:
    assert mask_of("Matte Black") == MASKS["black"]
    assert ink_of("WHITE") == INKS["white"]
    assert ink_of("#0e542c") == (14, 84, 44)
    assert mask_of("R14G84B44") == ((14, 84, 44), (14, 84, 44))
    assert ink_of("R999G0B0") == (255, 0, 0)
    for unknown in (None, "", "chartreuse", "#12", "R1G2"):
        assert mask_of(unknown) is None and ink_of(unknown) is None
