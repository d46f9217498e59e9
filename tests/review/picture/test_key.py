"""The key tells the worst first, and counts what it has no room for."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from labelcheck.judging import Severity
from labelcheck.labels.label import Label
from labelcheck.review.contents import Review
from labelcheck.review.grouping import group_findings
from labelcheck.review.picture.key import KEY_WIDTH, entries_that_fit, key_height, key_of
from labelcheck.review.picture.lettering import face


def named(labels: tuple[Label, ...]) -> dict[str, Label]:
    return {label.id: label for label in labels}


def test_an_entry_says_what_is_wrong_and_what_to_do(review: Review, labels: tuple[Label, ...]) -> None:
    key = key_of(group_findings(review.findings, named(labels)), [], "mm")
    assert key.counts == (1, 1, 1)
    first = key.entries[0]
    assert (first.number, first.severity, first.findings) == ("1", Severity.UNREADABLE, 1)
    assert first.lines == ('"R12" is 0.71 mm high; 0.80 mm prints.', "Make it 0.09 mm higher.")
    assert first.others == ()


def test_inches_where_they_were_asked_for(review: Review, labels: tuple[Label, ...]) -> None:
    key = key_of(group_findings(review.findings, named(labels)), [], "inch")
    assert key.entries[0].lines[0] == '"R12" is 0.0280 in high; 0.0315 in prints.'


def test_a_group_is_one_entry_with_its_number_of_findings(many: Callable) -> None:
    states, findings = many(60)
    key = key_of(group_findings(findings, {state.label.id: state.label for state in states}), [], "mm")
    (entry,) = key.entries
    assert entry.findings == 60
    assert " ".join(entry.others) == (
        'The same on 59 more: "R2", "R3", "R4", "R5", "R6" and 54 others (0.71 to 0.74 mm)')


def test_a_finding_about_a_whole_side_says_that_it_is_not_marked(review: Review) -> None:
    (entry,) = key_of(group_findings([replace(review.findings[0], label=None)], {}), [], "mm").entries
    assert entry.others == ("About the whole side: not marked on the board.",)


@pytest.mark.parametrize("room", [400, 900, 1500, 2500])
def test_no_more_entries_than_there_is_room_for(review: Review, labels: tuple[Label, ...], room: int) -> None:
    findings = [replace(review.findings[0], id=f"F{n}", limit=0.5 + n / 100) for n in range(1, 61)]
    key = key_of(group_findings(findings, named(labels)), ["On hold: because."], "mm")
    shown = entries_that_fit(key, room)
    assert shown < len(key.entries)
    head = key_height(replace(key, entries=()))
    used = head + sum(entry.height for entry in key.entries[:shown])
    assert used + 2 * face(27).line_height <= room or shown == 0
    assert used + 2 * face(27).line_height + key.entries[shown].height > room
    assert [entry.number for entry in key.entries[:3]] == ["1", "2", "3"]


def test_all_entries_fit_the_height_that_is_asked_for(review: Review, labels: tuple[Label, ...]) -> None:
    key = key_of(group_findings(review.findings, named(labels)), ["No drill file."], "mm")
    assert entries_that_fit(key, key_height(key)) == 3
    assert entries_that_fit(key, key_height(key) - 1) < 3


def test_lines_fit_the_key(review: Review, labels: tuple[Label, ...]) -> None:
    long = replace(review.findings[0], message="R12 " + "is crossed by a drawn line and by another label " * 4)
    (entry,) = key_of(group_findings([long], named(labels)), [], "mm").entries
    assert all(face(27).width(line) <= KEY_WIDTH for line in entry.lines)
