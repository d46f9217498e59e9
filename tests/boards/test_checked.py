"""The demo boards through the whole check: planted faults are found, and nothing else is called unreadable.

What must be found stands in each board's `expected.json`, written by the generator from what it drew.
"""

import json
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest

from labelcheck.analysers import all_analysers
from labelcheck.checking import check_path
from labelcheck.review.contents import Review
from labelcheck.trade.limits import limits_for

BOARDS = Path(__file__).resolve().parents[2] / "boards"
KNOWN = {analyser.name for analyser in all_analysers()}


@cache
def review_of(board: str) -> Review:
    (checked,) = check_path(BOARDS / board, limits_for(), datetime(2026, 1, 31, tzinfo=UTC))
    return checked.review


def planted_on(board: str) -> list[dict]:
    return json.loads((BOARDS / board / "expected.json").read_text(encoding="utf-8"))["faults"]


def faults() -> list:
    return [
        pytest.param(board, fault, id=f"{fault['analyser']} {fault['label']} on the {fault['side']} of {board}")
        for board in ("track-detector", "track-feeder")
        for fault in planted_on(board)
        if fault["analyser"] in KNOWN
    ]


@pytest.mark.parametrize(("board", "fault"), faults())
def test_a_planted_fault_is_found(board: str, fault) -> None:
    x0, y0, x1, y1 = fault["box_mm"]
    hits = [
        finding
        for finding in review_of(board).findings
        if finding.analyser == fault["analyser"] and finding.side == fault["side"]
        and finding.box_mm[0] < x1 and finding.box_mm[2] > x0 and finding.box_mm[1] < y1 and finding.box_mm[3] > y0
    ]
    assert hits
    if fault["severity"] is not None:
        assert fault["severity"] in [str(hit.severity) for hit in hits]
    # A height or stroke is measured, not estimated.
    if fault["measured"] is not None and fault["analyser"] in ("thin-stroke", "short-character"):
        assert hits[0].measured == pytest.approx(fault["measured"], abs=0.015)


@pytest.mark.parametrize("board", ["turnout-driver", "signal-head", "track-detector", "track-feeder"])
def test_no_good_label_is_called_unreadable(board) -> None:
    expected = json.loads((BOARDS / board / "expected.json").read_text(encoding="utf-8"))
    faulty = [fault["box_mm"] for fault in expected["faults"]]
    for finding in review_of(board).findings:
        if finding.severity != "unreadable":
            continue
        x0, y0, x1, y1 = finding.box_mm
        assert any(x0 < box[2] and x1 > box[0] and y0 < box[3] and y1 > box[1] for box in faulty), finding.message


def test_nothing_is_said_of_the_track_feeder_but_what_was_planted() -> None:
    review = review_of("track-feeder")
    found = [(finding.analyser, str(finding.severity), str(finding.side)) for finding in review.findings]
    assert sorted(found) == sorted(
        (fault["analyser"], fault["severity"], fault["side"]) for fault in planted_on("track-feeder")
    )
    states = {state.label.text: state for state in review.labels}
    assert (states["R12"].reads_as_printed, states["R12"].reads_as_assembled) == ("R12", "R1")
    assert (states["E5"].reads_as_printed, states["E5"].reads_as_assembled) == ("15", "15")


@pytest.mark.parametrize("board", ["turnout-driver", "signal-head"])
def test_a_clean_board_is_released(board) -> None:
    review = review_of(board)
    assert review.verdict == "release"
    assert [remark.message for remark in review.remarks] == []
    # The letters that pieces of its pictures look like are no labels, and nothing is wrong with the others.
    assert [finding.message for finding in review.findings if finding.severity != "note"] == []
    assert not any(finding.analyser == "unnamed-part" for finding in review.findings)
