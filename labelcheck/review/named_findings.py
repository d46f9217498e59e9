"""Findings as a person names them (`F3`, `F7-F12`), looked up in a set that may have changed since the review."""

import re
from collections.abc import Sequence

from labelcheck.judging import Finding
from labelcheck.review.accepting import Outcome, acceptance_as_seen, with_acceptances
from labelcheck.review.grouping import group_findings
from labelcheck.review.seen import Seen
from labelcheck.review.wording import listed, printable, some_of
from labelcheck.trade.errors import WrongArguments

_NAMED = re.compile(r"[Ff]?(\d{1,6})(?:-[Ff]?(\d{1,6}))?")
_TOLD = 3


def ids_in(word: str) -> list[str]:
    """`F3`, `3`, `f3` or `F7-F12` as ids; raises `WrongArguments`."""
    found = _NAMED.fullmatch(word.strip().rstrip(","))
    if found is None:
        raise WrongArguments(f'"{printable(word)}" names no finding. Name them as the review does: F3, or F7-F12.')
    first, last = int(found[1]), int(found[2] or found[1])
    if first > last:
        raise WrongArguments(f'"{printable(word)}" is no range of findings. Name the lower one first: F7-F12.')
    return [f"F{number}" for number in range(first, last + 1)]


def found_again(ids: Sequence[str], seen: Seen, now: Outcome, place: str) -> list[Finding]:
    """The findings of now that a person means who saw an earlier review; `place` is what that one is called.

    Raises `WrongArguments` where the review has no such finding, or where it is gone since, or got worse.
    """
    of_review = {finding.id: finding for finding in seen.findings}
    labels = {label.id: label for label in seen.labels}
    unknown = [identity for identity in ids if identity not in of_review]
    if unknown:
        there = f"It has F1 to F{len(of_review)}." if of_review else "It has none."
        raise WrongArguments(f"{place}: {some_of(unknown, 5)}: there is no such finding. {there}")
    wanted = [
        acceptance_as_seen(of_review[identity], labels.get(of_review[identity].label or ""), seen.box_mm, number)
        for number, identity in enumerate(ids)
    ]
    covered, _ = with_acceptances(now, wanted)
    # A mark without a file is one of ours; findings keep their order.
    place_of = {
        one.accepted.line: number
        for number, one in enumerate(covered)
        if one.accepted is not None and not one.accepted.file
    }
    lost = [identity for number, identity in enumerate(ids) if number not in place_of]
    if lost:
        sentences = " ".join(of_review[identity].message for identity in lost[:_TOLD])
        raise WrongArguments(
            f"{place}: {listed(lost[: _TOLD])} of this review cannot be found in the set as it is now, or got worse: "
            f"{printable(sentences)} Check the set again and look at the new review. Nothing was written."
        )
    return [now.findings[place_of[number]] for number in range(len(ids))]


def with_those_alike(findings: Sequence[Finding], now: Outcome) -> list[Finding]:
    """The findings, and those that a summary tells together with one of them."""
    chosen = {finding.id for finding in findings}
    for group in group_findings(now.findings, now.labels):
        members = {one.id for one in group.findings}
        if members & {finding.id for finding in findings}:
            chosen |= members
    return [finding for finding in now.findings if finding.id in chosen]
