"""Contrast once a side: 3:1 after WCAG 2.1 (large text) and NASA (symbols), small characters after NUREG-0700."""

from dataclasses import replace

import pytest

from labelcheck.analysers import all_analysers
from labelcheck.board.board import Appearance
from labelcheck.judging import Finding, judge_board
from labelcheck.labels.label import Label
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import limits_for
from labelcheck.trade.sides import Side

(LOW_CONTRAST,) = (analyser for analyser in all_analysers() if analyser.name == "low-contrast")


def findings(
    label: Label, mask: str | None, ink: str | None, height_mm: float = 1.3, sides: tuple[Side, ...] = (Side.TOP,)
) -> tuple[Finding, ...]:
    evidence = [
        Evidence(replace(label, side=side, character_height_mm=height_mm), None, None, None, None, False, None, 1.0)
        for side in sides
    ]
    seen = BoardEvidence(tuple(evidence), sides, Appearance(mask, ink, None), (0.0, 0.0, 40.0, 30.0))
    return judge_board(LOW_CONTRAST, seen, limits_for())


@pytest.mark.parametrize(
    ("mask", "ink", "severity"),
    [
        ("Green", "White", None), ("Red", "White", None), ("Blue", "White", None), ("Black", "White", None),
        ("White", "Black", None), ("Yellow", "Black", None), ("Purple", "white", None),
        ("Yellow", "White", "doubtful"), ("White", "White", "unreadable"), ("Black", "Black", "unreadable"),
        ("White", "Yellow", "unreadable"), ("#ffffff", "#959595", "doubtful"),
    ],
)
def test_colours_of_orders(label, mask: str, ink: str, severity: str | None) -> None:
    told = findings(label, mask, ink)
    assert [finding.severity for finding in told] == ([] if severity is None else [severity])


@pytest.mark.parametrize(("mask", "ink"), [(None, "White"), ("Green", None), ("chartreuse", "White")])
def test_colours_that_are_not_known_are_not_judged(label, mask, ink) -> None:
    assert findings(label, mask, ink) == ()


def test_it_is_told_once_a_side_and_of_no_label(label) -> None:
    told = findings(label, "White", "White", sides=(Side.TOP, Side.BOTTOM))
    assert [(finding.side, finding.label) for finding in told] == [(Side.TOP, None), (Side.BOTTOM, None)]
    assert told[0].message == (
        "On the top white ink on white mask has a contrast of 1.1:1; symbols need 2.0:1 at the least."
    )
    assert told[0].unit == "ratio"


def test_small_characters_that_ask_for_more_are_a_note(label) -> None:
    # 0.88 mm at 250 mm is 12.1 minutes of arc: M = 0.853, 12.6:1; white on green has less.
    (note,) = findings(label, "Green", "White", height_mm=0.88)
    assert note.severity == "note"
    assert note.limit == pytest.approx(12.6, abs=0.1)
    assert "0.88 mm at 250 mm" in note.message
    assert findings(label, "Black", "White", height_mm=0.88) == ()
