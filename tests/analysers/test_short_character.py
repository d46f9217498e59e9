"""Are the characters high enough? Print: common practice, no source. Eye: visual angles of ISO 9241-3 and others."""

from dataclasses import replace

import pytest

from labelcheck.analysers import all_analysers
from labelcheck.judging import notes_as_one
from labelcheck.trade.limits import Process, limits_for


@pytest.mark.parametrize(
    ("height_mm", "severity"),
    [(1.3, None), (1.16, None), (1.143, None), (1.1, "note"),
     (0.95, "doubtful"), (0.80, "doubtful"), (0.75, "unreadable")],
)
def test_the_stricter_of_press_and_eye_holds(judged, height_mm, severity) -> None:
    finding = judged("short-character", character_height_mm=height_mm)
    assert (finding.severity if finding else None) == severity


def test_the_message_names_the_press_where_the_press_is_stricter(judged) -> None:
    finding = judged("short-character", character_height_mm=0.71)
    assert finding.message == '"R12" is 0.71 mm high; 0.80 mm is the least for a photo-imaged legend.'
    assert finding.limit == 0.80


def test_the_message_names_the_eye_where_the_eye_is_stricter(judged) -> None:
    far = limits_for(Process.INKJET, reading_distance_mm=500)
    finding = judged("short-character", far, character_height_mm=1.2)
    # 10' at 500 mm: h = 2 d tan(a / 2) = 1.4544 mm.
    assert finding.limit == pytest.approx(1.4544, abs=1e-4)
    assert "1.45 mm is the least that is read surely at 500 mm" in finding.message
    assert finding.severity == "unreadable"


def test_advice_clears_press_and_eye_at_once(judged) -> None:
    finding = judged("short-character", character_height_mm=0.71)
    assert finding.advice.startswith("Make it 1.00 mm high or more")


def test_signs_alone_have_no_character_height(judged) -> None:
    assert judged("short-character", text="+", character_height_mm=0.5) is None


def test_an_unread_label_is_still_measured(judged) -> None:
    assert judged("short-character", text=None, character_height_mm=0.5).severity == "unreadable"


def test_many_notes_are_told_once_a_side(judged) -> None:
    (analyser,) = [one for one in all_analysers() if one.name == "short-character"]
    notes = [judged("short-character", character_height_mm=height) for height in (1.0, 1.1, 1.05)]
    unreadable = judged("short-character", character_height_mm=0.5)
    kept, together = notes_as_one(analyser, [*notes, unreadable])
    assert kept is unreadable
    assert together.label is None
    assert together.measured == 1.0
    assert together.message == (
        "3 labels on the top are 1.00 mm to 1.10 mm high, which can be read; 1.16 mm is read with ease."
    )


def test_a_single_note_stands_for_itself(judged) -> None:
    (analyser,) = [one for one in all_analysers() if one.name == "short-character"]
    note = judged("short-character", character_height_mm=1.1)
    assert notes_as_one(analyser, [note]) == (note,)


def test_what_is_nearly_read_with_ease_is_told_only_where_somebody_states_that_bound(judged) -> None:
    limits = limits_for()
    stated = replace(limits, height_for_eye=replace(limits.height_for_eye, stated=(("note", "labelcheck.toml:3"),)))
    assert judged("short-character", character_height_mm=1.143) is None
    assert judged("short-character", stated, character_height_mm=1.143).severity == "note"
