"""Our own alphabet: complete, upright, and as high as it says, in every style."""

import numpy as np
import pytest

from labelcheck.labels.reading.characters import CAPITALS, CLASSES, DIGITS
from labelcheck.labels.reading.training.alphabet import ALPHABET, parse
from labelcheck.labels.reading.training.strokes import PLAIN, Style, drawn

STYLES = (
    PLAIN,
    Style(softness=1, most=0.15, pieces=1, width=1, x_height=0.65, slant=0),
    Style(softness=0, most=1, pieces=1, width=0.7, x_height=0.75, slant=0),
    Style(softness=0.8, most=0.2, pieces=3, width=1.2, x_height=0.6, slant=0, waist=0.1),
)


def test_every_class_is_drawn():
    assert set(ALPHABET) == set(CLASSES[:-1])


@pytest.mark.parametrize("style", STYLES)
def test_capitals_and_digits_stand_on_the_line_and_are_one_high(style):
    for character in CAPITALS + DIGITS:
        for form, skeleton in enumerate(ALPHABET[character]):
            points = np.concatenate(drawn(skeleton, style, small=False))
            assert points[:, 1].max() == pytest.approx(1, abs=0.03), (character, form)
            if character not in "JQ":  # whose tails may hang below the line
                assert points[:, 1].min() == pytest.approx(0, abs=0.03), (character, form)


def test_a_soft_corner_is_rounded_and_a_hard_one_kept():
    soft, hard = parse("1: 0,0 0,1~ 1,1"), parse("1: 0,0 0,1 1,1")
    (rounded,), (square,) = drawn(soft, PLAIN, small=False), drawn(hard, PLAIN, small=False)
    assert len(square) == 3
    # A quarter circle of radius 1 about (1, 0): every point of the corner lies on it.
    np.testing.assert_allclose(np.hypot(rounded[1:-1, 0] - 1, rounded[1:-1, 1]), 1, atol=1e-9)
