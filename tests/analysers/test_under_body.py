"""Labels under bodies: each bound from both sides, the sentence, the advice."""

from dataclasses import replace

import pytest

from labelcheck.analysers import all_analysers
from labelcheck.judging import Severity, notes_as_one
from labelcheck.press.evidence import Assembled, Hiding, Loss, Misread
from tests.analysers.conftest import Judged

HIDING = Hiding(
    Loss(sure=0.6, possible=0.7, characters=(1, 2), box_mm=(0.8, 0, 2.3, 1.3), move_mm=0.85, towards="left"),
    "U3", "its component layer", False, "another",
)  # fmt: skip


def hiding(sure: float, possible: float, **changes: object) -> Hiding:
    return replace(HIDING, loss=replace(HIDING.loss, sure=sure, possible=possible), **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("sure", "possible", "severity"),
    [(0.27, 0.3, Severity.UNREADABLE), (0.25, 0.3, Severity.DOUBTFUL), (0.12, 0.2, Severity.DOUBTFUL),
     (0.10, 0.25, None), (0.10, 0.3, Severity.DOUBTFUL), (0.0, 0.2, None)],
)  # fmt: skip
def test_how_much_may_be_hidden(judged: Judged, sure: float, possible: float, severity: Severity | None) -> None:
    finding = judged("under-body", hiding=hiding(sure, possible))
    assert (finding.severity if finding is not None else None) == severity


def test_the_sentence_and_the_advice(judged: Judged) -> None:
    finding = judged("under-body", hiding=HIDING)
    assert finding is not None
    assert finding.message == (
        '"R12" lies under the body of U3, which hides up to 60 % of "1" and "2" (its component layer); a reference '
        "is needed once the parts are on."
    )
    assert finding.advice == "Move it 0.85 mm left or more, so that it clears the body by 0.15 mm."
    assert finding.measured == 0.6 and finding.limit == 0.25


def test_all_of_it_is_hidden_only_where_no_part_of_it_looks_out(judged: Judged) -> None:
    all_three = replace(HIDING.loss, sure=1.0, possible=1.0, characters=(0, 1, 2), box_mm=(-1.0, -1.0, 9.0, 9.0))
    whole = judged("under-body", hiding=replace(HIDING, loss=all_three))
    assert whole is not None and "which hides all of it" in whole.message
    partly = judged("under-body", hiding=replace(HIDING, loss=replace(all_three, box_mm=(-1.0, -1.0, 9.0, 0.6))))
    assert partly is not None and "which hides up to 100 % of all 3 characters" in partly.message


def test_an_estimate_never_makes_a_label_unreadable(judged: Judged) -> None:
    finding = judged("under-body", hiding=hiding(0.0, 1.0, estimated=True, basis="its pads, an estimate"))
    assert finding is not None and finding.severity is Severity.DOUBTFUL
    assert "may hide" in finding.message and "(its pads, an estimate)" in finding.message
    assert finding.advice is not None and "limits file" in finding.advice
    assert judged("under-body", hiding=hiding(0.0, 0.25, estimated=True)) is None


def test_an_unread_label_may_be_a_drawing(judged: Judged) -> None:
    finding = judged("under-body", text=None, kind="unread", hiding=HIDING)
    assert finding is not None and finding.severity is Severity.DOUBTFUL


GONE = Misread(2, (2,), "2", None, 0.1, left=0.0)
FAINT = Misread(2, (2,), "2", None, 0.1, left=0.5)
AS_7 = Misread(2, (2,), "2", "7", 0.9, left=0.93)


def test_it_is_told_what_is_read_with_the_part_on(judged: Judged) -> None:
    finding = judged("under-body", hiding=hiding(1.0, 1.0), assembled=Assembled(0.7, (GONE,), (GONE,)))
    assert finding is not None and finding.severity is Severity.UNREADABLE
    assert finding.message.endswith('(its component layer); once U3 is mounted, it reads "R1".')
    may = judged("under-body", hiding=hiding(0.0, 1.0), assembled=Assembled(0.7, (GONE,), ()))
    assert may is not None and may.severity is Severity.DOUBTFUL
    assert may.message.endswith('once U3 is mounted, it may read "R1".')


def test_a_character_that_turns_into_another_is_told_however_little_of_it_is_hidden(judged: Judged) -> None:
    little = hiding(0.07, 0.1)
    assert judged("under-body", hiding=little, assembled=Assembled(0.95)) is None
    finding = judged("under-body", hiding=little, assembled=Assembled(0.95, (AS_7,), (AS_7,)))
    assert finding is not None and finding.severity is Severity.UNREADABLE
    assert finding.message.endswith('once U3 is mounted, it reads "R17".')


def test_a_character_merely_not_read_adds_nothing_to_the_sentence(judged: Judged) -> None:
    finding = judged("under-body", hiding=HIDING, assembled=Assembled(0.7, (FAINT,), (FAINT,)))
    assert finding is not None and finding.message.endswith("a reference is needed once the parts are on.")


def test_what_another_body_hides_is_not_told_of_this_one(judged: Judged) -> None:
    elsewhere = Misread(0, (0,), "R", "P", 0.9, left=0.8)
    finding = judged("under-body", hiding=HIDING, assembled=Assembled(0.7, (elsewhere,), (elsewhere,)))
    assert finding is not None and finding.message.endswith("a reference is needed once the parts are on.")


@pytest.mark.parametrize(("relation", "words"), [
    ("own", "can be read before assembly only"), ("aid", "whoever fits the part"), ("covering", "while that part"),
])  # fmt: skip
def test_what_is_read_before_assembly_is_noted(judged: Judged, relation: str, words: str) -> None:
    gone = Assembled(0.7, (GONE,), (GONE,))
    finding = judged("under-body", hiding=hiding(1.0, 1.0, relation=relation), assembled=gone)
    assert finding is not None and finding.severity is Severity.NOTE
    assert words in finding.message
    assert finding.advice is None


def test_many_notes_are_told_once_a_side(judged: Judged) -> None:
    (analyser,) = [one for one in all_analysers() if one.name == "under-body"]
    findings = [judged("under-body", hiding=hiding(1.0, 1.0, relation="own")) for _ in range(5)]
    (told,) = notes_as_one(analyser, [finding for finding in findings if finding is not None])
    assert told.message.startswith("5 labels on the top lie under the bodies of the parts that they are about")


def test_silent_where_no_body_is_known_or_none_near(judged: Judged) -> None:
    assert judged("under-body") is None
    assert judged("under-body", hiding=replace(HIDING, loss=replace(HIDING.loss, characters=()))) is None
