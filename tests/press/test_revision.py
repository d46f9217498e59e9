"""The revision on the legend against the one in the files."""

from dataclasses import replace

import pytest

from labelcheck.board.board import Project
from labelcheck.labels.label import Label
from labelcheck.press.revision import revision_remarks
from labelcheck.trade.sides import Side

PLAIN = Label(
    id="T1", side=Side.TOP, text=None, text_confidence=0.99, text_known_by="reading", kind="word",
    box_mm=(0.0, 0.0, 9.0, 1.3), turned_deg=0.0, drawn_as="strokes", marks=(), character_height_mm=1.3,
    stroke_least_mm=0.18, stroke_typical_mm=0.18, gap_mm=0.3,
)


def told(declared: str | None, *texts: str) -> int:
    labels = [replace(PLAIN, id=f"T{number}", text=text) for number, text in enumerate(texts, start=1)]
    return len(revision_remarks(Project("crossing", declared), labels))


@pytest.mark.parametrize(
    ("declared", "text"),
    [
        ("B", "REV A"), ("B", "rev. a"), ("2", "Revision 1"), ("A2", "TRACK DETECTOR rev A1 2026-02"),
        ("v1.3", "v1.2"), ("1.3", "V1.4"), ("Rev C", "REV:B"), ("1.1", "VER 1.2"), ("B", "REV_A"),
    ],
)
def test_another_revision_on_the_legend_is_told(declared: str, text: str) -> None:
    assert told(declared, text) == 1


@pytest.mark.parametrize(
    ("declared", "text"),
    [
        # The same, written otherwise.
        ("B", "REV B"), ("b", "Rev. B"), ("1.0", "REV 1"), ("Rev 2", "rev 02"), ("v1.2", "V1.2"), ("1.2.0", "v1.2"),
        # None that anybody entered, or none that a legend would show so.
        (None, "REV A"), ("2026-02-01", "REV A"), ("draft", "REV A"), ("EVT3", "REV A"), ("", "REV A"),
        # No revision on the legend: parts, voltages, words.
        ("B", "R12"), ("1.3", "V3.3"), ("1.3", "3V3"), ("1.3", "V1"), ("B", "REVERSE"), ("B", "PREV A"), ("B", "REV"),
        ("1.3", "12V 1.5A"), ("B", "V5.0"), ("1.3", "V1.2"), ("B", "REV 2026-02-01"),
    ],
)
def test_what_is_no_contradiction_is_not_told(declared: str | None, text: str) -> None:
    assert told(declared, text) == 0


def test_two_revisions_on_one_legend_or_a_reading_that_is_not_sure_tell_nothing() -> None:
    assert told("C", "REV A", "REV B") == 0
    assert told("C", "REV A", "rev. A") == 1
    assert told("C", "REV A", "REV C") == 0
    assert revision_remarks(Project("crossing", "B"), [replace(PLAIN, text="REV A", text_confidence=0.8)]) == ()
    assert revision_remarks(None, [replace(PLAIN, text="REV A")]) == ()
