"""What changed between two checks of one board: faults that are new, fixed, still there, and the labels themselves.

`changes_between(seen_in(old), seen_in(new))` takes two parsed records; a `Review` becomes one by
`seen_in(record_of(review))`, a file by `read_record(name, content)`. Nothing here looks at ids but within one record.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from labelcheck.judging import SEVERITIES
from labelcheck.review.grouping import sentence_form
from labelcheck.review.matching import LabelMatching, match_labels
from labelcheck.review.seen import FindingSeen, LabelSeen, Seen

SAME_FAULT_MM = 1.0
"""Findings of one question that no label ties together are one fault where they lie this near (judgement)."""

WORTH_TELLING = 0.05
"""A measure that moved by less than this share of its limit is as good or as bad as before (judgement)."""
SHARE_WORTH_TELLING = 0.03
"""Nor is a share of ink that moved by less than this, however low its limit is (judgement)."""

Went = Literal["worse", "same", "better"]


@dataclass(frozen=True, slots=True)
class Fault:
    """A finding, with the label that it is about in the same check."""

    finding: FindingSeen
    label: LabelSeen | None
    """None for a finding about a whole side."""


@dataclass(frozen=True, slots=True)
class StillThere:
    """One fault in two checks."""

    old: Fault
    new: Fault

    @property
    def went(self) -> Went:
        """Whether it got worse or better, by its severity, else by how far its limit is passed."""
        before, after = (_severity_rank(fault.finding) for fault in (self.old, self.new))
        if before != after:
            return "worse" if after < before else "better"
        more = _excess(self.new.finding) - _excess(self.old.finding)
        if abs(more) < WORTH_TELLING or _is_slight(self.old.finding, self.new.finding):
            return "same"
        return "worse" if more > 0 else "better"


@dataclass(frozen=True, slots=True)
class Changes:
    """Everything that differs between two checks; each finding of both stands in exactly one place.

    Where the parts of one label have the same fault each, which the other check tells once, the worst stands for all.
    """

    verdict: tuple[str, str]
    """Before and after."""
    new: tuple[Fault, ...]
    """Worst first, as in the new check."""
    fixed: tuple[Fault, ...]
    """Faults of the old check whose label is still there, or that are about a whole side."""
    gone: tuple[Fault, ...]
    """Faults of the old check whose label is no longer there: mended only if it was meant to go."""
    unasked: tuple[Fault, ...]
    """Faults of the old check whose question could not be asked again: nobody knows."""
    still: tuple[StillThere, ...]
    labels: LabelMatching
    """Labels in place, moved, renamed, added, removed."""
    files: tuple[str, ...]
    """Names of files that were added, removed, or have other content."""
    limits: tuple[str, ...]
    """Names of limits whose value is another: faults may come and go by them alone."""
    holding: tuple[str, ...]
    """Reasons to hold that are new."""
    no_longer_holding: tuple[str, ...]

    @property
    def verdict_changed(self) -> bool:
        """Whether the board may be ordered now and might not before, or the other way round."""
        return self.verdict[0] != self.verdict[1]


def changes_between(old: Seen, new: Seen) -> Changes:
    """Compare two checks; where both are the same, nothing is new, fixed or gone."""
    labels = match_labels(old, new)
    pairs = _pairs_of_findings(old, new, labels)
    told_old, told_new = _told_with_another(old, new, labels, pairs)
    faults_old, faults_new = _faults(old), _faults(new)
    new_of = {one: other for one, other in pairs}
    taken = {*new_of.values(), *told_new}
    vanished = [row for row in range(len(old.findings)) if row not in new_of and row not in told_old]
    unasked = [row for row in vanished if _unasked(old.findings[row], new)]
    removed = {label.id for label in labels.removed}
    gone = [row for row in vanished if row not in unasked and old.findings[row].label in removed]
    fixed = [row for row in vanished if row not in unasked and row not in gone]
    return Changes(
        verdict=(old.verdict, new.verdict),
        new=tuple(fault for row, fault in enumerate(faults_new) if row not in taken),
        fixed=tuple(faults_old[row] for row in fixed),
        gone=tuple(faults_old[row] for row in gone),
        unasked=tuple(faults_old[row] for row in unasked),
        still=tuple(
            StillThere(faults_old[one], faults_new[other])
            for one, other in sorted(pairs, key=lambda pair: pair[1])
        ),
        labels=labels,
        files=_differing(dict(old.files), dict(new.files)),
        limits=_differing(dict(old.limits), dict(new.limits)),
        holding=tuple(reason for reason in new.holding if reason not in old.holding),
        no_longer_holding=tuple(reason for reason in old.holding if reason not in new.holding),
    )


def faults_alike(faults: Iterable[Fault]) -> list[list[Fault]]:
    """Faults of one side, severity and question whose sentences say the same, in the order of the first of each."""
    kinds: dict[tuple[str, ...], list[Fault]] = {}
    for fault in faults:
        finding = fault.finding
        fact = sentence_form(finding.message, "" if fault.label is None else fault.label.called())
        # What comes of it ("printed, it reads …") may differ between labels with one and the same fault.
        kind = (finding.side, finding.severity, finding.analyser, str(finding.accepted), fact.partition("; ")[0])
        kinds.setdefault(kind, []).append(fault)
    return list(kinds.values())


def _faults(seen: Seen) -> list[Fault]:
    labels = {label.id: label for label in seen.labels}
    return [Fault(finding, labels.get(finding.label or "")) for finding in seen.findings]


def _pairs_of_findings(old: Seen, new: Seen, labels: LabelMatching) -> list[tuple[int, int]]:
    """Rows of the same fault in both checks: of one question and one label, else of one question and one place."""
    pairs: dict[int, int] = {}
    taken: set[int] = set()
    of_parts = _of_parts(old, new, labels)
    for candidates in (of_parts, _of_one_label(old, new, labels), _in_one_place(old, new, labels)):
        for _, row, other in sorted(candidates):
            if row not in pairs and other not in taken:
                pairs[row] = other
                taken.add(other)
    return list(pairs.items())


_Candidate = tuple[float, int, int]
"""How far apart two findings lie, and their rows in the old and the new check."""


def _of_parts(old: Seen, new: Seen, labels: LabelMatching) -> Iterator[_Candidate]:
    """Findings of one question about one label that a check tells as several, the worst of both first."""
    for ours, theirs in _questions_of_parts(old, new, labels):
        for place, row in enumerate(ours):
            for other_place, other in enumerate(theirs):
                yield float(place + other_place), row, other


def _told_with_another(
    old: Seen, new: Seen, labels: LabelMatching, pairs: list[tuple[int, int]]
) -> tuple[set[int], set[int]]:
    """Rows of old and of new findings that another part of the same label stands for."""
    olds, news = {one for one, _ in pairs}, {other for _, other in pairs}
    told_old: set[int] = set()
    told_new: set[int] = set()
    for ours, theirs in _questions_of_parts(old, new, labels):
        if olds.intersection(ours) and news.intersection(theirs):
            told_old.update(set(ours) - olds)
            told_new.update(set(theirs) - news)
    return told_old, told_new


def _questions_of_parts(old: Seen, new: Seen, labels: LabelMatching) -> Iterator[tuple[list[int], list[int]]]:
    """For each label that a check tells as several, and each question, rows of old and new findings, worst first."""
    for pair in labels.pairs:
        if not pair.told_otherwise:
            continue
        ours, theirs = _by_question(old, pair.old), _by_question(new, pair.new)
        for analyser in sorted(ours.keys() & theirs.keys()):
            yield ours[analyser], theirs[analyser]


def _by_question(seen: Seen, label: LabelSeen) -> dict[str, list[int]]:
    rows: dict[str, list[int]] = {}
    for row, finding in enumerate(seen.findings):
        if finding.label in label.ids:
            rows.setdefault(finding.analyser, []).append(row)
    for found in rows.values():
        # An accepted one does not count, so it stands for no other.
        found.sort(key=lambda row: (seen.findings[row].accepted, row))
    return rows


def _of_one_label(old: Seen, new: Seen, labels: LabelMatching) -> Iterator[_Candidate]:
    """Findings of one question about one label, or about one whole side."""
    now_called = {pair.old.id: pair.new.id for pair in labels.pairs}
    rows: dict[tuple[str, str, str | None], list[int]] = {}
    for row, finding in enumerate(new.findings):
        side = finding.side if finding.label is None else ""
        rows.setdefault((finding.analyser, side, finding.label), []).append(row)
    for row, finding in enumerate(old.findings):
        if finding.label is None:
            key: tuple[str, str, str | None] = (finding.analyser, finding.side, None)
        elif finding.label in now_called:
            key = (finding.analyser, "", now_called[finding.label])
        else:
            continue
        for other in rows.get(key, ()):
            yield _apart(old, new, row, other, labels), row, other


def _in_one_place(old: Seen, new: Seen, labels: LabelMatching) -> Iterator[_Candidate]:
    """Findings of one question at one place, but for those of two labels that are known to be different ones."""
    matched_old = {id_ for pair in labels.pairs for id_ in pair.old.ids}
    matched_new = {id_ for pair in labels.pairs for id_ in pair.new.ids}
    cells: dict[tuple[str, str, int, int], list[int]] = {}
    for row, finding in enumerate(new.findings):
        cells.setdefault((finding.analyser, finding.side, *_cell(finding.at_mm)), []).append(row)
    for row, finding in enumerate(old.findings):
        column, line = _cell((finding.at_mm[0] + labels.shift_mm[0], finding.at_mm[1] + labels.shift_mm[1]))
        for step in range(9):
            near = (finding.analyser, finding.side, column + step // 3 - 1, line + step % 3 - 1)
            for other in cells.get(near, ()):
                if finding.label in matched_old and new.findings[other].label in matched_new:
                    continue
                apart = _apart(old, new, row, other, labels)
                if apart <= SAME_FAULT_MM:
                    yield apart, row, other


def _cell(at_mm: tuple[float, float]) -> tuple[int, int]:
    return math.floor(at_mm[0] / SAME_FAULT_MM), math.floor(at_mm[1] / SAME_FAULT_MM)


def _apart(old: Seen, new: Seen, row: int, other: int, labels: LabelMatching) -> float:
    (x, y), (dx, dy) = old.findings[row].at_mm, labels.shift_mm
    return round(math.dist((x + dx, y + dy), new.findings[other].at_mm), 3)


def _unasked(finding: FindingSeen, new: Seen) -> bool:
    """Whether the new check had nothing to ask this question of: not applied, or not one label on that side.

    A side whose labels are all gone while the board is held was not read; silence is no answer.
    """
    if (finding.analyser, finding.side) in new.not_applied:
        return True
    return bool(new.holding) and not any(label.side == finding.side for label in new.labels)


def _differing(old: Mapping[str, object], new: Mapping[str, object]) -> tuple[str, ...]:
    """Names of which one side has none, or another value."""
    absent = object()
    return tuple(
        sorted(name for name in old.keys() | new.keys() if old.get(name, absent) != new.get(name, absent))
    )


def _severity_rank(finding: FindingSeen) -> int:
    """0 is the worst; a word of a later version counts as the mildest."""
    known = [str(severity) for severity in SEVERITIES]
    return known.index(finding.severity) if finding.severity in known else len(known)


def _is_slight(old: FindingSeen, new: FindingSeen) -> bool:
    """Whether a share differs by so little that nobody would see it."""
    if new.unit != "fraction" or old.measured is None or new.measured is None:
        return False
    return abs(new.measured - old.measured) < SHARE_WORTH_TELLING


def _excess(finding: FindingSeen) -> float:
    """How far the limit is passed, as a share of it."""
    if finding.measured is None or not finding.limit:
        return 0.0
    return abs(finding.limit - finding.measured) / abs(finding.limit)
