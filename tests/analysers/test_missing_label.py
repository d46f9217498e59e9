"""The question "missing-label": what the limits file says that the board must carry."""

from dataclasses import replace

import pytest

from labelcheck.analysers import all_analysers
from labelcheck.board.board import Appearance
from labelcheck.judging import Finding, Severity, judge_board
from labelcheck.labels.label import Label
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import limits_for
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.stated import MustCarry

ANALYSER = next(analyser for analyser in all_analysers() if analyser.name == "missing-label")
REV_B = MustCarry("REV B", Side.TOP, None, None, None, "labelcheck.toml:7")


def asked(wanted: MustCarry, *labels: Label, legends: tuple[Side, ...] = OUTER_SIDES) -> tuple[Finding, ...]:
    evidence = BoardEvidence(
        tuple(
            Evidence(label, None, None, None, None, far_off_board=False, crossing=None, printed_fraction=1.0)
            for label in labels
        ),
        legends,
        Appearance(None, None, None),
        (0.0, 0.0, 40.0, 30.0),
    )
    return judge_board(ANALYSER, evidence, replace(limits_for(), must_carry=(wanted,)))


@pytest.mark.parametrize("text", ["REV B", "rev b", "REV  B", "TURNOUT DRIVER REV B", "REV B 2026"])
def test_a_label_that_is_there_is_not_missed(label: Label, text: str) -> None:
    assert asked(REV_B, replace(label, text=text)) == ()


@pytest.mark.parametrize("text", ["REV A", "REV", "PREV B", "REV BB", "REVB", None])
def test_a_label_that_is_not_there_is_missed(label: Label, text: str | None) -> None:
    finding = asked(REV_B, replace(label, text=text))[0]
    assert finding.severity is Severity.UNREADABLE
    assert finding.label is None
    assert finding.side is Side.TOP
    assert finding.source == "labelcheck.toml:7"
    assert finding.message.startswith('No label on the top reads "REV B"')
    assert ("was not read and may be it" in finding.message) == (text is None)


def test_the_side_counts_and_either_side_will_do(label: Label) -> None:
    below = replace(label, text="REV B", side=Side.BOTTOM)
    assert len(asked(REV_B, below)) == 1
    assert asked(replace(REV_B, side=None), below) == ()
    assert asked(replace(REV_B, side=Side.BOTTOM), below) == ()
    assert "on either side" in asked(replace(REV_B, side=None), label)[0].message


def test_patterns(label: Label) -> None:
    assert asked(replace(REV_B, text="REV ?"), replace(label, text="REV C")) == ()
    assert asked(replace(REV_B, text="V*.*"), replace(label, text="V1.2")) == ()
    assert len(asked(replace(REV_B, text="REV ?"), replace(label, text="REV 12"))) == 1
    assert asked(replace(REV_B, text="J[1]"), replace(label, text="J[1]")) == ()
    assert len(asked(replace(REV_B, text="J[1]"), replace(label, text="J1"))) == 1


def test_reading_may_take_a_zero_for_an_o_but_not_one_letter_for_another(label: Label) -> None:
    assert asked(replace(REV_B, text="TOOL 10"), replace(label, text="T00L 1O")) == ()
    assert len(asked(replace(REV_B, text="L1"), replace(label, text="11"))) == 1


@pytest.mark.parametrize(("side", "turned", "step"), [
    (Side.TOP, 0.0, (4.0, 0.0)), (Side.TOP, 90.0, (0.0, 4.0)), (Side.TOP, 270.0, (0.0, -4.0)),
    (Side.BOTTOM, 0.0, (-4.0, 0.0)), (Side.BOTTOM, 90.0, (0.0, 4.0)), (Side.TOP, 180.0, (-4.0, 0.0)),
])
def test_words_found_as_labels_of_their_own_make_a_line(
    label: Label, side: Side, turned: float, step: tuple[float, float]
) -> None:
    first = replace(label, text="REV", side=side, turned_deg=turned, box_mm=(0.0, 0.0, 2.0, 2.0))
    x, y = step
    second = replace(first, text="B", box_mm=(x, y, x + 2.0, y + 2.0))
    wanted = replace(REV_B, side=side)
    assert asked(wanted, first, second) == ()
    assert len(asked(replace(wanted, text="B REV"), first, second)) == 1
    away = replace(second, box_mm=(5 * x, 5 * y, 5 * x + 2.0, 5 * y + 2.0))
    assert len(asked(wanted, first, away)) == 1


def test_the_height_that_is_asked_for(label: Label) -> None:
    wanted = replace(REV_B, height_mm=1.5, because="read through {the} window")
    high, low = (replace(label, text="REV B", character_height_mm=height) for height in (1.495, 1.48))
    assert asked(wanted, high) == ()
    finding = asked(wanted, low)[0]
    assert (finding.label, finding.severity) == ("T1", Severity.UNREADABLE)
    assert (finding.measured, finding.limit) == (1.48, 1.5)
    assert finding.message == '"REV B" is 1.48 mm high; the limits file asks for 1.50 mm (read through {the} window).'
    # The highest of several labels of that text decides.
    assert asked(wanted, low, replace(high, id="T2")) == ()


def test_without_any_legend_nothing_is_told_to_be_missing() -> None:
    assert asked(REV_B, legends=()) == ()
    assert len(asked(REV_B, legends=(Side.BOTTOM,))) == 1
