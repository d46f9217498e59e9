"""The summary says the verdict first, then the worst, in whole sentences, and floods nobody."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from labelcheck.judging import Severity
from labelcheck.review.contents import NotApplied, Review
from labelcheck.review.summary import Terminal, summarise
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import Side

WHOLE = """\
HOLD: 1 label cannot be read
turnout-driver · checked 2026-01-31 12:00:00 UTC · sha256:abababababab
6 labels checked: 1 cannot be read, 1 doubtful and 1 worth a look (4 on the top and 2 on the
bottom).

Cannot be read
  F1   top     "R12" is 0.71 mm high; 0.80 mm prints. Make it 0.09 mm higher.

Doubtful
  F2   bottom  "D4" is 1.20 mm high; 1.30 mm prints. Make it 0.10 mm higher.

Worth a look
  F3   top     "C3" is 1.20 mm high; 1.40 mm prints. Make it 0.20 mm higher.

Remarks
  - holes.drl:3: No unit is given; millimetres fit the board.

Written
  - turnout-driver.review/: review.html (all of it in one page, to read, attach and print), top.png,
    bottom.png (the marked-up board) and record.json (the same for programs).

"""


def test_a_whole_summary(review: Review) -> None:
    text = summarise(review, "mm", Path("turnout-driver.review"))
    assert text.startswith(WHOLE)
    assert text[len(WHOLE):].startswith("A check of the files is no certificate.")


def test_inches_where_they_were_asked_for(review: Review) -> None:
    text = summarise(review, "inch")
    assert '"R12" is 0.0280 in high; 0.0315 in prints. Make it 0.0035 in higher.' in text


def test_nothing_found(review: Review) -> None:
    lines = summarise(replace(review, findings=())).splitlines()
    assert lines[0] == "RELEASE: no label was found that people cannot read"
    assert lines[2] == "6 labels checked: nothing found against them (4 on the top and 2 on the bottom)."


def test_many_of_one_kind_are_one_entry(review: Review, many: Callable) -> None:
    states, findings = many(60)
    text = summarise(replace(review, labels=states, findings=findings))
    assert text.startswith("HOLD: 60 labels cannot be read\n")
    assert text.count("mm prints") == 1
    entry = " ".join(text.split())
    assert ('The same fault on 59 more (F2 to F60): "R2", "R3", "R4", "R5", "R6", "R7" and 53 others, see the record '
            "(all 60: 0.71 to 0.74 mm).") in entry


def test_more_kinds_than_anybody_reads_are_counted(review: Review) -> None:
    findings = tuple(replace(review.findings[0], id=f"F{n}", limit=0.5 + n / 100) for n in range(1, 31))
    text = summarise(replace(review, findings=findings))
    assert text.count("  top  ") == 12
    assert "- 18 more findings, told in review.html and the record (short-character)." in text


def test_a_label_counts_once_at_its_worst(review: Review) -> None:
    worst = review.findings[0]
    both = (worst, replace(worst, id="F2", analyser="thin-stroke", severity=Severity.DOUBTFUL))
    assert "6 labels checked: 1 cannot be read (4" in summarise(replace(review, findings=both))


def test_reasons_to_hold_and_what_was_not_read(review: Review) -> None:
    nameless = tuple(replace(state, label=replace(state.label, text=None)) for state in review.labels[:2])
    unread = replace(review.files[0], name="bottom.gbs", role="unread")
    held = replace(review, findings=(), holding=("The mask of the bottom was not read: bottom.gbs is cut short",),
                   labels=nameless + review.labels[2:], files=(*review.files, unread),
                   not_applied=(NotApplied("in-opening", Side.BOTTOM, "the openings are not known"),
                                NotApplied("across-hole", Side.BOTTOM, "the openings are not known")))
    text = summarise(held)
    assert text.startswith("HOLD: not everything could be checked\n")
    assert "Why it is on hold\n  - The mask of the bottom was not read: bottom.gbs is cut short.\n" in text
    assert "  - 2 of 4 labels on the top: the text was not recognised" in text
    assert "  - 1 file not read: bottom.gbs.\n" in text
    assert "  - On the bottom, in-opening and across-hole could not be asked: the openings are not known.\n" in text
    assert summarise(replace(review, holding=held.holding)).startswith(
        "HOLD: 1 label cannot be read, and not everything could be checked\n")


def test_remarks_of_one_kind_are_one_item_and_none_is_dropped(review: Review) -> None:
    remarks = tuple(Remark("top.gto", n, f"Aperture D{n} is used before it is defined") for n in range(10, 14))
    text = summarise(replace(review, remarks=remarks + review.remarks), terminal=Terminal(200))
    assert ("  - top.gto:10: Aperture D10 is used before it is defined. "
            "3 more of this kind in the file (lines 11, 12 and 13).\n") in text
    assert "  - holes.drl:3: No unit" in text


@pytest.mark.parametrize("columns", [40, 72, 100, 160])
def test_lines_keep_to_the_width(review: Review, many: Callable, columns: int) -> None:
    states, findings = many(30)
    text = summarise(replace(review, labels=states, findings=findings), terminal=Terminal(columns))
    assert max(len(line) for line in text.splitlines() if "sha256" not in line) <= columns


def test_bold_only_where_it_was_asked_for(review: Review) -> None:
    assert "\x1b" not in summarise(review)
    assert "\x1b[1mCannot be read\x1b[0m" in summarise(review, terminal=Terminal(bold=True))


def test_a_label_cannot_command_the_terminal(review: Review) -> None:
    evil = replace(review.findings[0], message="\x1b[2J is 0.71 mm high")
    assert "\x1b" not in summarise(replace(review, findings=(evil,), set_name="a\x07b"))


def test_one_line_where_quiet_was_asked_for(review: Review) -> None:
    assert summarise(review, short=True) == (
        "turnout-driver: HOLD: 1 label cannot be read "
        "(6 labels checked: 1 cannot be read, 1 doubtful and 1 worth a look)"
    )
