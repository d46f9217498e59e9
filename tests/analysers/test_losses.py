"""Ink lost to openings, holes and edges: shares of one character, judgement of this project, no source."""

from dataclasses import replace

import pytest

from labelcheck.labels.label import Mark
from labelcheck.press.evidence import WHOLE, Loss, Misread
from labelcheck.trade.limits import limits_for

BOX = (0.0, 0.0, 0.4, 1.3)


def a_loss(sure: float, possible: float | None = None, characters: tuple[int, ...] = (1,)) -> Loss:
    return Loss(sure, sure if possible is None else possible, characters, BOX, move_mm=0.4, towards="right")


@pytest.mark.parametrize(
    ("analyser", "field"), [("in-opening", "opening"), ("across-hole", "hole"), ("past-outline", "outline")]
)
@pytest.mark.parametrize(
    ("share", "severity"), [(0.03, None), (0.08, "note"), (0.2, "doubtful"), (0.4, "unreadable"), (1.0, "unreadable")]
)
def test_the_share_of_the_worst_character_decides(judged, analyser, field, share, severity) -> None:
    finding = judged(analyser, **{field: a_loss(share)})
    assert (finding.severity if finding else None) == severity


@pytest.mark.parametrize(("analyser", "field"), [("across-hole", "hole"), ("past-outline", "outline")])
def test_what_only_the_clearance_takes_is_doubtful_at_most(judged, analyser, field) -> None:
    finding = judged(analyser, **{field: a_loss(0.0, possible=1.0)})
    assert finding.severity == "doubtful"
    assert "nearer than" in finding.message


def test_a_hole_under_the_mask_is_a_note_at_most(judged) -> None:
    assert judged("across-hole", covered_hole=a_loss(1.0)).severity == "note"


def test_a_label_far_off_the_board_is_a_note(judged) -> None:
    finding = judged("past-outline", outline=a_loss(1.0, characters=(0, 1, 2)), far_off_board=True)
    assert finding.severity == "note"
    assert "off the board" in finding.message


@pytest.mark.parametrize("analyser", ["in-opening", "across-hole", "past-outline"])
def test_nothing_known_and_nothing_lost_give_no_finding(judged, analyser) -> None:
    field = {"in-opening": "opening", "across-hole": "hole", "past-outline": "outline"}[analyser]
    assert judged(analyser) is None
    assert judged(analyser, **{field: a_loss(0.0, characters=())}) is None


READ = replace(WHOLE, read=True)
"""Printed, and read back as drawn."""


@pytest.mark.parametrize(("share", "severity"), [(0.3, "doubtful"), (0.4, "doubtful"), (0.42, "unreadable")])
def test_what_still_reads_as_drawn_is_unreadable_only_where_much_is_lost(judged, share, severity) -> None:
    assert judged("in-opening", opening=a_loss(share), printed=READ).severity == severity
    # What was not read back is judged by the share alone.
    assert judged("in-opening", opening=a_loss(share)).severity == "unreadable"


def test_a_bound_that_somebody_stated_holds_whatever_is_read(judged) -> None:
    limits = limits_for()
    stated = replace(limits, lost_ink=replace(limits.lost_ink, stated=(("unreadable", "labelcheck.toml:3"),)))
    assert judged("in-opening", limits=stated, opening=a_loss(0.3), printed=READ).severity == "unreadable"


@pytest.mark.parametrize(
    ("misread", "severity"),
    [
        (Misread(1, (1,), "1", "7", 0.9, left=0.8), "unreadable"),
        # Of a number in a reference people know that it is no letter.
        (Misread(1, (1,), "1", "I", 0.9, left=0.8), "doubtful"),
        (Misread(1, (1,), "1", "I", 0.9, left=0.6), "unreadable"),
        (Misread(1, (1,), "1", None, 0.1, left=0.8), "doubtful"),
    ],
)
def test_what_a_character_of_a_reference_turns_into_decides(judged, misread, severity) -> None:
    printed = replace(READ, misread=(misread,))
    assert judged("in-opening", opening=a_loss(0.15), printed=printed).severity == severity


def test_a_lost_underscore_tells_nothing(judged) -> None:
    marks = tuple(
        Mark(number, (number,), (number * 0.8, 0.0, number * 0.8 + 0.7, 1.3), 0.18, character)
        for number, character in enumerate("A_1")
    )
    lost = replace(READ, misread=(Misread(1, (1,), "_", None, 0.1, left=0.1),))
    changes = {"text": "A_1", "kind": "word", "marks": marks, "printed": lost}
    assert judged("in-opening", opening=a_loss(0.9), **changes).severity == "doubtful"
    assert judged("in-opening", opening=a_loss(0.9, characters=(1, 2)), **changes).severity == "unreadable"


def test_the_message_names_the_characters(judged) -> None:
    one = judged("in-opening", opening=a_loss(0.4)).message
    assert one == '"R12" loses 40 % of "1" at a mask opening; a character that loses over 25 % can be misread.'
    assert "up to 40 % of all 3 characters" in judged("in-opening", opening=a_loss(0.4, characters=(0, 1, 2))).message
    assert '"R" and "2"' in judged("in-opening", opening=a_loss(0.4, characters=(0, 2))).message


def test_the_finding_stands_where_the_ink_is_lost(judged) -> None:
    finding = judged("in-opening", opening=a_loss(0.4))
    assert finding.box_mm == BOX
    assert finding.at_mm == (0.2, 0.65)
