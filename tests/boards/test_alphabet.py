"""The stroke alphabet: complete, as high as asked, proportioned and open enough to read."""

import math

import pytest

from boards.alphabet import DRAWN, Lettering, lay, rounded, width_of
from boards.design import box_of, place_text
from boards.geometry import character_gap, ink_of, narrowest_gap, passage_units

CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
TYPE_B = Lettering(2.5, 0.25)
"""ISO 3098 type B at h = 2.5: the line is h/10."""


def test_it_has_every_character_that_legends_carry() -> None:
    wanted = set(CAPITALS + CAPITALS.lower() + "0123456789" + "+-/.,:_()#&%=<>*~µΩ°")
    assert wanted <= set(DRAWN)


@pytest.mark.parametrize("character", [*CAPITALS.replace("Q", ""), *"0123456789"])
def test_capitals_and_digits_are_as_high_as_asked_ink_to_ink(character: str) -> None:
    (strokes,) = lay(character, TYPE_B)
    left, low, _, high = box_of(strokes, TYPE_B.pen_mm)
    assert (left, low, high) == pytest.approx((0.0, 0.0, 2.5), abs=0.005)


@pytest.mark.parametrize("character", "acemnorsuvwxz")
def test_small_letters_are_seven_tenths_high(character: str) -> None:
    # ISO 3098-0 type B: c1 = 7h/10, as in the table of figures for h = 2.5: 1.75
    (strokes,) = lay(character, TYPE_B)
    _, low, _, high = box_of(strokes, TYPE_B.pen_mm)
    assert (low, high) == pytest.approx((0.0, 1.75), abs=0.03)


def test_characters_and_words_are_spaced_as_the_standard_asks() -> None:
    # ISO 3098-0 type B at h = 2.5: a = 0.5 between characters, e = 1.5 between words
    first, second = lay("HH", TYPE_B)
    assert box_of(second, 0.25)[0] - box_of(first, 0.25)[2] == pytest.approx(0.5)
    first, _, second = lay("H H", TYPE_B)
    assert box_of(second, 0.25)[0] - box_of(first, 0.25)[2] == pytest.approx(1.5)


@pytest.mark.parametrize("character", [character for character in DRAWN if character != "%"])
def test_every_character_stays_open_at_the_size_of_references(character: str) -> None:
    # 0.15 mm is the least gap of a photo-imaged legend: common practice, no source
    assert character_gap(character, Lettering(1.2, 0.15)) >= 0.15


def test_gap_is_exact_between_straight_strokes() -> None:
    assert character_gap("=", Lettering(1.2, 0.15)) == pytest.approx(3 * (1.2 - 0.15) / 9 - 0.15, abs=0.003)
    assert narrowest_gap(place_text("HI", (0, 0), Lettering(2.0, 0.2, 1.0, 0.07))) == pytest.approx(0.07, abs=1e-6)


def test_a_counter_is_as_wide_as_the_circle_it_holds() -> None:
    # the counter of an A is a triangle: the circle within has diameter 4 · area / perimeter
    base, height = 4.62 - 0.78, 9 - 2.6
    side = math.hypot(base / 2, height)
    assert passage_units("A", 1.0, 0.0) == pytest.approx(2 * base * height / (base + 2 * side), abs=0.03)


def test_the_mouth_of_an_open_letter_is_a_gap() -> None:
    # the ends of a G stand 7.1 and 4 units high, straight above one another; an m has channels 3.5 wide
    assert passage_units("G", 1.25, 0.0) == pytest.approx(3.1, abs=0.03)
    assert passage_units("m", 1.0, 0.0) == pytest.approx(3.5, abs=0.03)


def test_a_wedge_is_no_gap() -> None:
    assert character_gap("V", Lettering(1.2, 0.15)) == math.inf


def test_rounding_is_cut_to_what_fits() -> None:
    path = rounded(((0, 0, 0), (1, 0, 99), (1, 1, 0)))
    assert path[0] == (0, 0)
    assert path[-1] == pytest.approx((1, 1))
    assert all(-1e-9 <= x <= 1 + 1e-9 and -1e-9 <= y <= 1 + 1e-9 for x, y in path)


@pytest.mark.parametrize("turned_deg", [0.0, 90.0, 33.0])
def test_text_turns_about_its_place_and_keeps_its_ink(turned_deg: float) -> None:
    flat = place_text("DAT 4", (0, 0), TYPE_B)
    turned = place_text("DAT 4", (10, 5), TYPE_B, turned_deg=turned_deg)
    assert ink_of(turned).area == pytest.approx(ink_of(flat).area, rel=1e-3)
    assert math.dist(ink_of(turned).centroid.coords[0], (10, 5)) == pytest.approx(
        math.hypot(*ink_of(flat).centroid.coords[0]), abs=1e-3
    )


def test_text_on_the_bottom_is_mirrored_as_seen_from_the_top() -> None:
    top, bottom = place_text("L", (0, 0), TYPE_B), place_text("L", (0, 0), TYPE_B, "bottom")
    assert ink_of(top).centroid.x == pytest.approx(-ink_of(bottom).centroid.x)
    assert width_of("L", TYPE_B) == pytest.approx(top.box[2] - top.box[0])
