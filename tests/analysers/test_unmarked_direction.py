"""The question "unmarked-direction": a note a side, as a list."""

from dataclasses import replace

from labelcheck.analysers import all_analysers
from labelcheck.board.board import Appearance
from labelcheck.judging import Severity, judge_board
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.trade.limits import limits_for
from labelcheck.trade.sides import OUTER_SIDES, Side

ANALYSER = next(analyser for analyser in all_analysers() if analyser.name == "unmarked-direction")
BOARD = BoardEvidence((), OUTER_SIDES, Appearance(None, None, None), (0.0, 0.0, 40.0, 30.0))


def test_they_are_listed_once_a_side() -> None:
    evidence = replace(BOARD, unmarked=((Side.TOP, tuple(f"D{n}" for n in range(1, 13))), (Side.BOTTOM, ("U7",))))
    top, bottom = judge_board(ANALYSER, evidence, limits_for())
    assert (top.severity, top.side, top.measured) == (Severity.NOTE, Side.TOP, 12)
    assert top.message.startswith("12 parts on the top show no first pin and no polarity: D1, D2,")
    assert "D10 and 2 more;" in top.message
    assert bottom.message.startswith("1 part on the bottom shows no first pin")


def test_where_all_are_marked_or_nothing_is_known_there_is_no_finding() -> None:
    assert judge_board(ANALYSER, BOARD, limits_for()) == ()
    assert judge_board(ANALYSER, replace(BOARD, unmarked=((Side.TOP, ()),)), limits_for()) == ()
