"""Mirror writing, a third direction, the same reference twice: judgement and common practice, no source."""

from dataclasses import replace


def test_mirror_writing_is_unreadable(judged) -> None:
    finding = judged("mirrored", mirrored=True)
    assert finding.severity == "unreadable"
    assert finding.message == '"R12" reads only in a mirror on the top; it is drawn as for the bottom.'
    assert judged("mirrored") is None


def test_a_third_direction_is_a_note(judged) -> None:
    finding = judged("reading-direction", third_direction=True, turned_deg=180.0)
    assert finding.severity == "note"
    assert finding.measured == 180.0
    assert "turned by 180°" in finding.message
    assert judged("reading-direction", turned_deg=180.0) is None


def test_the_same_reference_twice_is_doubtful_and_names_the_other_place(judged, label) -> None:
    other = replace(label, id="T9", box_mm=(30.0, 10.0, 32.0, 11.0))
    finding = judged("repeated-reference", namesake=other)
    assert finding.severity == "doubtful"
    assert "at 31.0, 10.5 mm on the top" in finding.message
    assert judged("repeated-reference") is None
