"""Characters that do not read as drawn once printed; where the bounds lie is judgement of this project, no source."""

from dataclasses import replace

import pytest

from labelcheck.analysers import all_analysers
from labelcheck.judging import Finding, Severity, one_fault_one_finding
from labelcheck.press.evidence import WHOLE, Loss, Misread
from labelcheck.trade.sides import Side

BOX = (0.8, 0.0, 1.5, 1.3)
"""The "1" of R12."""


def lost(place: int, printed: str | None, share: float = 0.9, left: float = 0.8) -> Misread:
    return Misread(place, (place,), "R12"[place], printed, share, left)


def test_a_label_that_reads_as_drawn_has_no_finding(judged) -> None:
    assert judged("not-read-as-printed") is None


@pytest.mark.parametrize(
    ("misread", "severity"),
    [
        (lost(1, "7"), "unreadable"),
        (lost(1, "7", share=0.5), "doubtful"),
        (lost(1, None, left=0.8), "doubtful"),
        (lost(1, None, left=0.6), "unreadable"),
        (lost(1, None, left=0.95), None),
    ],
    ids=["another, surely", "another, perhaps", "nothing", "mostly gone", "a quirk of the reader's"],
)
def test_another_character_is_worse_than_none(judged, misread, severity) -> None:
    finding = judged("not-read-as-printed", printed=replace(WHOLE, misread=(misread,)))
    assert (finding.severity if finding else None) == severity


@pytest.mark.parametrize(("misread", "said"), [
    (lost(1, "7"), 'it reads "R72".'), (lost(1, "7", share=0.5), 'it may read "R72".'),
    (lost(1, None, left=0.6), '"1" cannot be read.'), (lost(1, None, left=0.8), '"1" may not be read.'),
])  # fmt: skip
def test_what_is_doubtful_is_not_told_as_certain(judged, misread, said) -> None:
    finding = judged("not-read-as-printed", printed=replace(WHOLE, misread=(misread,)))
    assert finding.message.endswith(f"printed, {said}")


def test_what_only_a_shift_spoils_is_doubtful(judged) -> None:
    printed = replace(WHOLE, shift_mm=(0.1, 0.0), misread_when_shifted=(lost(1, "7"),))
    finding = judged("not-read-as-printed", printed=printed)
    assert finding.severity == "doubtful"
    assert finding.message == (
        '"R12" does not read as drawn where the legend lies 0.10 mm off; printed, it reads "R72".'
    )


def test_one_character_of_a_long_word_is_guessed(judged) -> None:
    printed = replace(WHOLE, misread=(Misread(1, (1,), "O", "D", 0.9, 0.8),))
    for text, kind, severity in (
        ("POLARITY", "word", "doubtful"), ("U1234567", "reference", "unreadable"),
        ("NO POLARITY", "word", "unreadable"),
    ):
        finding = judged("not-read-as-printed", printed=printed, text=text, kind=kind)
        assert finding.severity == severity


def test_the_finding_names_what_it_reads_and_where(judged) -> None:
    finding = judged("not-read-as-printed", printed=replace(WHOLE, misread=(lost(1, "7"),)))
    assert finding.message == '"R12" keeps 80 % of a character when it is printed; printed, it reads "R72".'
    assert finding.box_mm == BOX
    assert (finding.measured, finding.unit) == (1.0, "count")


def test_nothing_to_read_is_said_so(judged) -> None:
    finding = judged("not-read-as-printed", printed=replace(WHOLE, misread=(lost(1, None, left=0.3),)))
    assert finding.message.endswith('printed, "1" cannot be read.')


def test_thin_strokes_get_the_advice_for_a_pen(judged) -> None:
    printed = replace(WHOLE, misread=(lost(1, None, left=0.3),))
    finding = judged("not-read-as-printed", printed=printed, stroke_least_mm=0.06)
    assert finding.message == '"R12" has strokes of 0.06 mm, which are not printed; printed, "1" cannot be read.'
    assert "strokes of 0.18 mm" in finding.advice


def test_the_obstacle_that_takes_the_ink_tells_the_fault_and_what_it_reads(judged) -> None:
    loss = Loss(0.2, 0.2, (1,), BOX, 0.4, "right")
    finding = judged("in-opening", opening=loss, printed=replace(WHOLE, misread=(lost(1, "7"),)))
    assert finding.severity == "unreadable"
    assert finding.message == '"R12" loses 20 % of "1" at a mask opening; printed, it reads "R72".'
    elsewhere = judged("in-opening", opening=loss, printed=replace(WHOLE, misread=(lost(2, "7"),)))
    assert elsewhere.severity == "doubtful"


def test_braces_in_what_is_read_are_no_pattern(judged) -> None:
    loss = Loss(0.2, 0.2, (1,), BOX, 0.4, "right")
    misread = replace(lost(1, "7"), printed="{")
    assert judged("in-opening", opening=loss, printed=replace(WHOLE, misread=(misread,))).message.endswith('"R{2".')


def told(analyser: str, severity: str, box=BOX, label: str = "T1", advice: str | None = None) -> Finding:
    return Finding(
        "", analyser, Severity(severity), label, Side.TOP, (0.0, 0.0), box, 1.0, 0.0, "count", "m", advice, ""
    )


def told_of(*findings: Finding) -> list[tuple[str, str]]:
    return [(one.analyser, str(one.severity)) for one in one_fault_one_finding(all_analysers(), findings)]


def test_of_a_fault_and_its_cause_only_the_worse_is_told() -> None:
    own = told("not-read-as-printed", "unreadable")
    assert told_of(own, told("in-opening", "unreadable")) == [("in-opening", "unreadable")]
    assert told_of(own, told("thin-stroke", "doubtful")) == [("not-read-as-printed", "unreadable")]
    both = told_of(own, told("in-opening", "unreadable", box=(5.0, 5.0, 6.0, 6.0)))
    assert len(both) == 2, "another place of the label is another fault"
    assert len(told_of(own, told("in-opening", "unreadable", label="T2"))) == 2
    assert len(told_of(own, told("crossing-ink", "unreadable"))) == 2, "a line through it is no cause of its print"


def test_the_advice_of_a_silent_cause_is_kept() -> None:
    own = told("not-read-as-printed", "unreadable", advice="own")
    (kept,) = one_fault_one_finding(all_analysers(), (own, told("thin-stroke", "doubtful", advice="A wider pen.")))
    assert kept.advice == "A wider pen."


def test_a_knocked_out_label_whose_strokes_close(judged) -> None:
    printed = replace(WHOLE, broken=(1,), misread=(lost(1, None, left=0.5),))
    finding = judged("not-read-as-printed", printed=printed, drawn_as="knocked out")
    assert finding.severity == "unreadable"
    assert finding.message == (
        '"R12" is left clear in filled ink, which runs into its strokes; printed, "1" cannot be read.'
    )
    # Pen of 0.14 times the height of 1.3 mm, and twice the spread of 0.02 mm.
    assert finding.advice == "Leave strokes of 0.22 mm clear: ink spreads 0.02 mm into them from either side."


def test_a_knocked_out_label_whose_field_is_lost(judged) -> None:
    """What an obstacle takes of the field is told there; this tells only what comes of it."""
    printed = replace(WHOLE, misread=(lost(1, None, left=0.59),))
    finding = judged("not-read-as-printed", printed=printed, drawn_as="knocked out")
    assert finding.severity == "unreadable"
    assert "which is lost around some of it" in finding.message and "filled area" in finding.advice
    guessed = judged("not-read-as-printed", printed=printed, drawn_as="knocked out", text="R12XYZ", kind="word")
    assert guessed.severity == "doubtful"


def test_a_knocked_out_label_that_only_a_shift_spoils(judged) -> None:
    printed = replace(WHOLE, shift_mm=(0.1, 0.0), misread_when_shifted=(lost(1, None, left=0.5),))
    finding = judged("not-read-as-printed", printed=printed, drawn_as="knocked out")
    assert finding.severity == "doubtful"
    assert '"R12" does not read as drawn where the legend lies 0.10 mm off' in finding.message
    assert "filled area" in finding.advice
