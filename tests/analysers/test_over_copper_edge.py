"""Labels across the edges of heavy copper: one fabricator's advice; from which thickness is a judgement."""

from dataclasses import replace

import pytest

from labelcheck.analysers import all_analysers
from labelcheck.board.board import Appearance
from labelcheck.judging import Finding, judge_board
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import limits_for
from labelcheck.trade.sides import Side

(OVER_COPPER_EDGE,) = (analyser for analyser in all_analysers() if analyser.name == "over-copper-edge")


def with_copper_of(thickness_mm: float):
    limits = limits_for()
    return replace(limits, copper_thickness=replace(limits.copper_thickness, value_mm=thickness_mm))


def findings(label, shares: list[float | None], thickness_mm: float = 0.105) -> tuple[Finding, ...]:
    evidence = [
        replace(Evidence(label, None, None, None, None, False, None, 1.0), on_copper=share) for share in shares
    ]
    seen = BoardEvidence(tuple(evidence), (Side.TOP,), Appearance(None, None, None), (0.0, 0.0, 40.0, 30.0))
    return judge_board(OVER_COPPER_EDGE, seen, with_copper_of(thickness_mm))


@pytest.mark.parametrize(("share", "told"), [(0.0, False), (1.0, False), (0.05, False), (0.5, True), (None, False)])
def test_only_a_label_partly_on_copper_is_told(label, share, told) -> None:
    assert bool(findings(label, [share])) is told


def test_it_is_a_note_once_a_side(label) -> None:
    (note,) = findings(label, [0.5, 0.4, 0.3, 0.2, 0.0])
    assert note.severity == "note" and note.label == label.id
    assert note.message == (
        '"R12" lies across an edge of copper 0.105 mm thick, and so do 3 more on the top ("R12", "R12", "R12"); '
        "ink breaks up at such a step, and one word stands on two tones."
    )
    (two,) = findings(label, [0.5, 0.4])
    assert ', and so does 1 more on the top ("R12"); ' in two.message
    (one,) = findings(label, [0.5])
    assert one.message.startswith('"R12" lies across an edge of copper 0.105 mm thick; ink breaks up')
    assert one.advice is not None and one.advice.startswith("Move it wholly")


def test_usual_copper_is_let_be(label) -> None:
    assert findings(label, [0.5], thickness_mm=0.07) == ()
