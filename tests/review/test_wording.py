"""Numbers, lists and lengths in words."""

import pytest

from labelcheck.review.wording import amount, counted, in_unit, listed, printable, short_fingerprint, some_of


@pytest.mark.parametrize(("millimetres", "inches"), [
    # 1 inch is 25.4 mm exactly (international yard and pound agreement, 1959).
    ("It is 0.71 mm high; 0.80 mm prints.", "It is 0.0280 in high; 0.0315 in prints."),
    ("the unread label at 25.4, 50.8 mm is low", "the unread label at 1.000, 2.000 in is low"),
    ("Move it +2.54 mm or -0.3 mm.", "Move it +0.1000 in or -0.012 in."),
    ("between 0.10 and 0.20 mm", "between 0.0039 and 0.0079 in"),
    ("100 mm wide", "3.94 in wide"),
    ("an area of 12.5 mm² of ink", "an area of 12.5 mm² of ink"),
    ("18 mmol and T12.5 mm", "18 mmol and T12.5 mm"),
    ('"5 mm" is 2.54 mm high', '"5 mm" is 0.1000 in high'),
    ("no length at 3.0 deg", "no length at 3.0 deg"),
])
def test_lengths_in_a_sentence_turn_into_inches(millimetres: str, inches: str) -> None:
    assert in_unit(millimetres, "inch") == inches
    assert in_unit(millimetres, "mm") == millimetres


def test_counts_and_lists() -> None:
    assert [counted(n, "label") for n in (0, 1, 2)] == ["no labels", "1 label", "2 labels"]
    assert counted(2, "entry", "entries") == "2 entries"
    assert [listed(["a", "b", "c"][:n]) for n in range(4)] == ["", "a", "a and b", "a, b and c"]
    assert some_of(["a", "b", "c"], 2) == "a, b and c"
    assert some_of(["a", "b", "c", "d"], 2) == "a, b and 2 more"


@pytest.mark.parametrize(("value", "unit", "words"), [
    (0.714, "mm", "0.71 mm"), (0.38, "fraction", "38 %"), (3.04, "deg", "3.0°"), (2.0, "directions", "2 directions"),
    (1.25, "", "1.25"),
])
def test_measured_values(value: float, unit: str, words: str) -> None:
    assert amount(value, unit, "mm") == words


def test_control_characters_do_not_reach_the_terminal() -> None:
    assert printable("R1\x1b[31m\nC\u202e2 µΩ") == "R1\ufffd[31m\ufffdC\ufffd2 µΩ"


def test_a_fingerprint_is_shortened_for_the_eye() -> None:
    assert short_fingerprint("sha256:" + "0123456789abcdef" * 4) == "sha256:0123456789ab"
