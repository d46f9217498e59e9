"""What stands on legends, told from what does not."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.labels.reading.characters import CLASSES
from labelcheck.labels.reading.grammar import kind_of, log_likelihood


@pytest.mark.parametrize(
    "text",
    ["R12", "C3", "U1A", "J4", "SW1", "D1-9", "TP3", "Y1", "Q2", "FB1", "RN1", "JP1", "MH1", "IC2", "LED1", "CN1"],
)
def test_reference_designators_are_known(text):
    # Class letters: IEEE 315 / IEC 81346-2, from memory.
    assert kind_of(text) == "reference"


@pytest.mark.parametrize(
    "text", ["GND", "3V3", "V1.0", "SIGNAL 2", "R0", "HELLO", "+5V", "100n", "REV A", "OUT+", "T2A", "F10A"]
)
def test_other_texts_are_words(text):
    assert kind_of(text) == "word"


@pytest.mark.parametrize("text", ["+", "-", "A", "1", "K", "+-", "Ω"])
def test_single_characters_and_signs_are_marks(text):
    assert kind_of(text) == "mark"


@pytest.mark.parametrize(
    ("likely", "unlikely"),
    [
        ("U5", "US"), ("R10", "RIO"), ("R10", "R1O"), ("C8", "CB"), ("SDA", "5DA"), ("SCL", "5CL"), ("GND", "6ND"),
        ("IN1", "1N1"), ("D2", "DZ"), ("GND", "GNd"), ("Reset", "ReSet"), ("10k", "1Ok"), ("4u7", "4uZ"),
        ("3V3", "3VB"), ("MOSI", "M0SI"), ("MISO", "M1SO"), ("VCC", "VcC"), ("LED1", "LEDI"), ("V1.0", "VI.O"),
        ("2024", "ZO24"), ("OFF", "0FF"), ("IO5", "I05"), ("ON", "0N"), ("OK", "0K"), ("OCC", "0CC"),
    ],
)
def test_of_two_texts_that_look_alike_the_one_that_legends_carry_is_likelier(likely, unlikely):
    assert log_likelihood(likely) > log_likelihood(unlikely) + 1


@settings(derandomize=True, max_examples=150)
@given(st.text(st.sampled_from(CLASSES[:-1]), min_size=1, max_size=12))
def test_every_text_has_a_likelihood_below_one(text):
    assert -700 < log_likelihood(text) < 0
    assert math.isfinite(log_likelihood(text))


def test_the_likelihoods_of_all_texts_of_one_character_add_up_to_less_than_one():
    assert 0.01 < sum(math.exp(log_likelihood(character)) for character in CLASSES[:-1]) < 1
