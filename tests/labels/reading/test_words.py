"""Rows of glyphs to texts: the grammar settles what looks alike, and invents nothing."""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from labelcheck.labels.reading.calibration import Calibration
from labelcheck.labels.reading.characters import CLASSES, NUMBER, REJECT
from labelcheck.labels.reading.words import PLAUSIBLE, decode_rows

PLAIN = Calibration()


def row(*glyphs: dict[str, float]) -> np.ndarray:
    """Log-probabilities of glyphs given as character -> probability; "" is no character; the rest is spread."""
    logs = np.empty((len(glyphs), len(CLASSES)), dtype=np.float32)
    for at, glyph in enumerate(glyphs):
        rest = max(1 - sum(glyph.values()), 1e-6) / len(CLASSES)
        logs[at] = math.log(rest)
        for character, probability in glyph.items():
            logs[at, REJECT if character == "" else NUMBER[character]] = math.log(probability)
    return logs


def read(*glyphs: dict[str, float], spaced: tuple[int, ...] = ()):
    gaps = np.isin(np.arange(len(glyphs)), spaced)
    return decode_rows(row(*glyphs), np.array([0, len(glyphs)]), gaps, PLAIN)[0]


def test_o_and_zero_are_settled_by_what_stands_around_them():
    either = {"O": 0.5, "0": 0.49}
    assert read({"R": 0.99}, {"1": 0.99}, either).text == "R10"
    assert read({"M": 0.99}, either, {"S": 0.99}, {"I": 0.99}).text == "MOSI"
    assert read(either, {"F": 0.99}, {"F": 0.99}).text == "OFF"


def test_bars_are_settled_by_what_stands_around_them():
    bar = {"I": 0.35, "l": 0.33, "1": 0.2, "|": 0.1}
    assert read({"R": 0.99}, bar, {"2": 0.99}).text == "R12"
    assert read({"M": 0.99}, bar, {"S": 0.99}, {"O": 0.99}).text == "MISO"
    assert read({"V": 0.99}, bar, {"N": 0.99}).text == "VIN"


def test_five_and_s_eight_and_b_two_and_z():
    assert read({"5": 0.5, "S": 0.5}, {"D": 0.99}, {"A": 0.99}).text == "SDA"
    assert read({"C": 0.99}, {"5": 0.5, "S": 0.5}).text == "C5"
    assert read({"U": 0.99}, {"8": 0.5, "B": 0.5}).text == "U8"
    assert read({"8": 0.5, "B": 0.5}, {"O": 0.5, "0": 0.5}, {"T": 0.99}).text == "BOT"
    assert read({"Q": 0.99}, {"2": 0.4, "Z": 0.6}).text == "Q2"


def test_what_the_network_is_sure_of_stands_against_the_grammar():
    assert read({"R": 0.99}, {"1": 0.99}, {"O": 0.998, "0": 0.001}).text == "R1O"
    assert read({"5": 0.998}, {"D": 0.998}, {"A": 0.998}).text == "5DA"


def test_case_follows_the_word():
    twin = {"c": 0.5, "C": 0.49}
    assert read({"V": 0.99}, twin, twin).text == "VCC"
    assert read({"e": 0.99}, {"n": 0.99}, twin, {"o": 0.5, "O": 0.45, "0": 0.04}, {"d": 0.99}).text == "encod"


def test_a_long_word_of_doubtful_letters_is_still_settled():
    twins = [{c.lower(): 0.45, c: 0.45} for c in "COXSVUWZ"]
    assert read(*twins, {"N": 0.99}, {"E": 0.99}).text == "COXSVUWZNE"
    assert read(*twins, {"n": 0.99}, {"e": 0.99}).text in ("coxsvuwzne", "Coxsvuwzne")


def test_a_glyph_that_is_no_character_is_a_question_mark_and_the_text_is_not_believed():
    reading = read({"R": 0.99}, {"": 0.97, "1": 0.02}, {"2": 0.99})
    assert reading.text == "R?2"
    assert reading.confidence < 0.1


def test_word_gaps_become_blanks_and_words_are_read_by_themselves():
    assert read({"I": 0.9}, {"N": 0.9}, {"O": 0.5, "0": 0.5}, {"N": 0.9}, spaced=(2,)).text == "IN ON"


def test_rows_do_not_depend_on_one_another():
    logs = row({"R": 0.9}, {"1": 0.9}, {"C": 0.9}, {"2": 0.6, "Z": 0.3})
    gaps = np.zeros(4, dtype=bool)
    both = decode_rows(logs, np.array([0, 2, 4]), gaps, PLAIN)
    assert both[1] == decode_rows(logs[2:], np.array([0, 2]), gaps[2:], PLAIN)[0]
    assert [reading.text for reading in both] == ["R1", "C2"]
    assert decode_rows(logs, np.array([0, 0, 4]), gaps, PLAIN)[0].text == ""


def test_score_tells_a_word_read_whole_from_its_halves_and_from_a_drawing():
    r12 = ({"R": 0.97}, {"1": 0.97}, {"2": 0.97})
    halves = read(*r12[:2]).score + read(r12[2]).score
    assert read(*r12).score > halves
    drawing = {"": 0.96, "H": 0.02}
    assert read(drawing, drawing).score < 0 < read(*r12).score


@settings(derandomize=True, max_examples=120, deadline=None)
@given(arrays(np.float32, (5, len(CLASSES)), elements=st.floats(-12, 0, width=32)))
def test_no_character_is_ever_put_in_that_the_network_holds_implausible(outputs):
    logs = outputs - np.log(np.exp(outputs).sum(axis=1, keepdims=True))
    reading = decode_rows(logs, np.array([0, 5]), np.zeros(5, dtype=bool), PLAIN)[0]
    assert len(reading.text) == 5
    assert 0 <= reading.confidence <= 1
    assert math.isfinite(reading.score)
    for character, glyph in zip(reading.text, logs, strict=True):
        # A question mark says that the glyph was not read; every other character is plausible by itself.
        assert character == "?" or glyph[NUMBER[character]] >= math.log(PLAUSIBLE)


@settings(derandomize=True, max_examples=60)
@given(st.floats(0, 1), st.floats(0, 1), st.floats(0.1, 3), st.floats(-3, 3))
def test_chance_never_falls_with_the_share(a, b, slope, offset):
    calibration = Calibration(slope, offset)
    low, high = sorted((a, b))
    assert 0 <= calibration.chance(low) <= calibration.chance(high) <= 1


def test_confidence_falls_as_the_network_doubts():
    said = [read({"R": p}, {"1": 0.99}, {"2": 0.99}).confidence for p in (0.99, 0.9, 0.7, 0.5)]
    assert said == sorted(said, reverse=True)
    assert said[0] > said[-1] + 0.2


def test_a_plain_shape_alone_proves_little_and_in_a_word_is_believed():
    bar, circle = {"I": 0.97}, {"O": 0.97}
    assert read(bar).score < read({"R": 0.97}).score - 3
    assert read(circle).score < read({"A": 0.97}).score - 3
    assert read(bar, bar, bar).score < read({"R": 0.97}, {"1": 0.97}, {"2": 0.97}).score
    assert read(bar).confidence < 0.7 < read({"V": 0.97}, bar, {"N": 0.97}).confidence


def test_a_dash_between_words_is_believed_for_their_sake():
    alone = read({"-": 0.99}).confidence
    row = read({"G": 0.99}, {"-": 0.99}, {"R": 0.99}, {"T": 0.99}, {"S": 0.99}, spaced=(1, 2))
    assert row.text == "G - RTS"
    assert row.confidence > alone + 0.2
