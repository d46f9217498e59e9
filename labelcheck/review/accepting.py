"""Which findings the limits file accepts, and which of its acceptances are of no use any more."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

from labelcheck.judging import SEVERITIES, Finding, Severity
from labelcheck.labels.label import Box, Label
from labelcheck.review.seen import FindingSeen, LabelSeen
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import Acceptance, fits

MOVED_MM = 3.0
"""A label with a text may have moved so far since it was accepted, and is still the same."""
MOVED_UNREAD_MM = 0.5
"""A label that was not read has only its place to be known by."""
NEIGHBOUR_SHARE = 0.45
"""Of the distance between two labels of one text; less than half, so that neither is taken for the other."""
WORSE_SHARE, WORSE_AT_LEAST = 0.05, 0.01
"""A fault is worse than accepted where its measure is off by more than this share of it, and by more than this
many millimetres or hundredths: more than measuring and rounding differ between two exports (judgement)."""
GROWN_MM = 0.5
"""What is lost of a label reaches farther than accepted where its box grows by more than this."""


NotAsked = frozenset[tuple[str, Side]]
"""Analysers with the sides that they were not asked on."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a check found, for acceptances to be compared with."""

    findings: tuple[Finding, ...]
    labels: Mapping[str, Label]
    """By id."""
    box_mm: Box | None
    """Of the board."""
    analysers: tuple[str, ...]
    """Names of all."""
    not_asked: NotAsked
    """Questions that were not asked on a side: what is accepted there can neither be found nor missed."""


def idle_acceptances(
    findings: Sequence[Finding], remarks: Sequence[Remark], accepted: Sequence[Acceptance], not_asked: NotAsked
) -> tuple[Acceptance, ...]:
    """Those that name no board, cover none of the findings, and are not told in a remark: they may be for another."""
    used = {finding.accepted for finding in findings}
    told = {remark.line for remark in remarks}
    return tuple(
        one for one in accepted
        if one.board is None and one not in used and one.line not in told
        and (one.analyser, one.side) not in not_asked
    )


def with_acceptances(
    outcome: Outcome, accepted: Sequence[Acceptance]
) -> tuple[tuple[Finding, ...], tuple[Remark, ...]]:
    """The findings, those that are accepted marked so, and remarks on acceptances that cover nothing.

    Where one names no board and nothing like it is found, there is no remark: see `idle_acceptances`.
    """
    pairs = sorted(
        (distance, number, place)
        for number, acceptance in enumerate(accepted)
        for place, finding in enumerate(outcome.findings)
        if (distance := _distance(acceptance, finding, outcome)) is not None
    )
    taken: dict[int, Acceptance] = {}
    reach = [_reach(acceptance, outcome) for acceptance in accepted]
    used: set[int] = set()
    worse: dict[int, Finding] = {}
    for distance, number, place in pairs:
        acceptance, finding = accepted[number], outcome.findings[place]
        of_one = acceptance.at_mm is not None or acceptance.whole_side
        if place in taken or (of_one and number in used) or distance > reach[number]:
            continue
        used.add(number)
        if _is_worse(acceptance, finding, outcome):
            worse.setdefault(number, finding)
        else:
            taken[place] = acceptance
    findings = tuple(
        replace(finding, accepted=taken[place]) if place in taken else finding
        for place, finding in enumerate(outcome.findings)
    )
    remarks = []
    for number, acceptance in enumerate(accepted):
        covers = number in used and number not in worse
        if not covers and (acceptance.analyser, acceptance.side) not in outcome.not_asked:
            nearest = min((distance for distance, other, _ in pairs if other == number), default=None)
            far = nearest if nearest is not None and nearest > reach[number] else None
            known = acceptance.analyser in outcome.analysers
            if acceptance.board is None and known and far is None and number not in worse:
                continue
            remarks.append(_remark(acceptance, worse.get(number), far, outcome))
    return findings, tuple(remarks)


def accepted_elsewhere(
    outcome: Outcome, findings: Sequence[Finding], accepted: Sequence[Acceptance], set_name: str
) -> tuple[Remark, ...]:
    """Remarks on acceptances for sets of another name that fit findings here: this set may have been renamed.

    `findings` are those of `outcome` after its own acceptances were applied; what these cover is not counted.
    """
    open_here = replace(outcome, findings=tuple(one for one in findings if one.accepted is None))
    by_name: dict[str, list[Acceptance]] = {}
    for acceptance in accepted:
        if acceptance.board is not None and not fits(acceptance.board, set_name) and not acceptance.whole_side:
            by_name.setdefault(acceptance.board, []).append(acceptance)
    remarks = []
    for name, stated in sorted(by_name.items()):
        covered, _ = with_acceptances(open_here, stated)
        count = sum(1 for one in covered if one.accepted is not None)
        if count:
            fit = "1 finding here is" if count == 1 else f"{count} findings here are"
            told = (
                f'{fit} accepted for sets named "{name}" and not for this one, which is named "{set_name}". '
                f'Where it is the same board, write board = "{set_name}" there, or a pattern for both names.'
            )
            remarks.append(Remark(stated[0].file, stated[0].line, told))
    return tuple(remarks)


def acceptance_of(
    finding: Finding, label: Label | None, board: tuple[str, Box | None], because: str
) -> Acceptance:
    """What a limits file has to say so that this finding is accepted; `board` is the set's name and its box."""
    name, box = board
    part = None
    if label is not None and not _is_whole(finding, label):
        x0, y0, x1, y1 = finding.box_mm
        part = (_to_micrometre(x1 - x0), _to_micrometre(y1 - y0))
    return Acceptance(
        analyser=finding.analyser,
        severity=str(finding.severity),
        side=finding.side,
        text=None if label is None else label.text,
        whole_side=label is None,
        at_mm=None if label is None else (_to_micrometre(finding.at_mm[0]), _to_micrometre(finding.at_mm[1])),
        corner_mm=None if box is None or label is None else (_to_micrometre(box[0]), _to_micrometre(box[1])),
        size_mm=part,
        measured=None if finding.measured is None else round(finding.measured, 4),
        because=because,
        board=name.replace("*", "?"),  # a name with a star of its own must not become a pattern for all
        file="",
        line=0,
    )


def acceptance_as_seen(seen: FindingSeen, label: LabelSeen | None, box_mm: Box | None, number: int) -> Acceptance:
    """What covers the finding that an earlier record tells of, as far as a record does; `number` tells it apart."""
    return Acceptance(
        analyser=seen.analyser,
        severity=seen.severity,
        side=Side(seen.side),
        text=None if label is None else label.text,
        whole_side=seen.label is None,
        at_mm=None if seen.label is None else seen.at_mm,
        corner_mm=None if box_mm is None else box_mm[:2],
        size_mm=None,
        measured=seen.measured,
        because="",
        board=None,
        file="",
        line=number,
    )


def _distance(acceptance: Acceptance, finding: Finding, outcome: Outcome) -> float | None:
    """How far the finding is from what was accepted, in millimetres; None where it is another fault or label."""
    if (finding.analyser, finding.side) != (acceptance.analyser, acceptance.side):
        return None
    label = None if finding.label is None else outcome.labels.get(finding.label)
    if acceptance.whole_side or label is None:
        return 0.0 if acceptance.whole_side and label is None else None
    if label.text != acceptance.text:
        return None
    if acceptance.at_mm is None:
        return 0.0
    x, y = finding.at_mm[0] - acceptance.at_mm[0], finding.at_mm[1] - acceptance.at_mm[1]
    distances = [math.hypot(x, y)]
    if acceptance.corner_mm is not None and outcome.box_mm is not None:
        # The whole board may have been exported with another origin.
        corner_x = outcome.box_mm[0] - acceptance.corner_mm[0]
        corner_y = outcome.box_mm[1] - acceptance.corner_mm[1]
        distances.append(math.hypot(x - corner_x, y - corner_y))
    return min(distances)


def _reach(acceptance: Acceptance, outcome: Outcome) -> float:
    """How far off the fault may be: less where labels of that text stand near one another, as along a header.

    Else what was accepted at one of them, and mended since, would cover its neighbour.
    """
    if acceptance.text is None:
        return MOVED_UNREAD_MM
    alike = [
        ((label.box_mm[0] + label.box_mm[2]) / 2, (label.box_mm[1] + label.box_mm[3]) / 2)
        for label in outcome.labels.values()
        if label.side is acceptance.side and label.text == acceptance.text
    ]
    apart = [math.dist(one, other) for place, one in enumerate(alike) for other in alike[:place]]
    return min([MOVED_MM, *(NEIGHBOUR_SHARE * distance for distance in apart)])


def _is_worse(acceptance: Acceptance, finding: Finding, outcome: Outcome) -> bool:
    """Whether the fault is worse than the one that was accepted."""
    if SEVERITIES.index(finding.severity) < SEVERITIES.index(Severity(acceptance.severity)):
        return True
    if _measure_is_worse(acceptance, finding):
        return True
    label = None if finding.label is None else outcome.labels.get(finding.label)
    if acceptance.size_mm is None or label is None:
        return False
    x0, y0, x1, y1 = finding.box_mm
    return x1 - x0 > acceptance.size_mm[0] + GROWN_MM or y1 - y0 > acceptance.size_mm[1] + GROWN_MM


def _measure_is_worse(acceptance: Acceptance, finding: Finding) -> bool:
    if finding.measured is None or finding.limit is None or acceptance.measured is None:
        return False
    more = finding.measured - acceptance.measured
    worse_by = more if finding.measured > finding.limit else -more
    return worse_by > max(WORSE_AT_LEAST, WORSE_SHARE * abs(acceptance.measured))


def _is_whole(finding: Finding, label: Label) -> bool:
    return all(abs(a - b) < 1e-6 for a, b in zip(finding.box_mm, label.box_mm, strict=True))


def _remark(
    acceptance: Acceptance,
    worse: Finding | None,
    far_mm: float | None,
    outcome: Outcome,
) -> Remark:
    """Why an acceptance covers nothing; `far_mm` is where a fault that is like it lies, too far off."""
    what = f"This accepts {accepted_words(acceptance)}"
    if worse is not None:
        told = f"{what}, but the fault is worse than what was accepted{_then_and_now(acceptance, worse)}."
        return Remark(acceptance.file, acceptance.line, f"{told} Mend it, or look again and accept it anew.")
    if acceptance.analyser not in outcome.analysers:
        near = get_close_matches(acceptance.analyser, outcome.analysers, n=1)
        meant = f" Did you mean {near[0]}?" if near else ""
        return Remark(acceptance.file, acceptance.line, f"{what}, but no question has that name.{meant}")
    if far_mm is not None:
        told = f"{what}; the like is found {far_mm:.1f} mm away now, too far to be taken for the same."
        return Remark(acceptance.file, acceptance.line, f"{told} Look at it, and accept it anew.")
    told = f"{what}, and no such fault is found any more. Take it out of the limits file."
    return Remark(acceptance.file, acceptance.line, told)


def _then_and_now(acceptance: Acceptance, finding: Finding) -> str:
    """` (0.71 mm then, 0.65 mm now)`, or the severities where those tell the difference."""
    if str(finding.severity) != acceptance.severity and not _measure_is_worse(acceptance, finding):
        return f" ({acceptance.severity} then, {finding.severity} now)"
    if acceptance.measured is None or finding.measured is None or not _measure_is_worse(acceptance, finding):
        return " (it reaches farther now)"
    return f" ({_amount(acceptance.measured, finding.unit)} then, {_amount(finding.measured, finding.unit)} now)"


def _amount(value: float, unit: str) -> str:
    return f"{value * 100:.0f} %" if unit == "fraction" else f"{value:.2f}{'' if unit == 'count' else ' ' + unit}"


def accepted_words(acceptance: Acceptance) -> str:
    """What is accepted: `thin-stroke of "R1" on the top`."""
    return f"{acceptance.analyser} of {_called(acceptance)} on the {acceptance.side}"


def _called(acceptance: Acceptance) -> str:
    if acceptance.whole_side:
        return "the side as a whole"
    if acceptance.text is not None:
        return f'"{acceptance.text}"'
    x, y = acceptance.at_mm if acceptance.at_mm is not None else (0.0, 0.0)
    return f"the unread label at {x:.1f}, {y:.1f} mm"


def _to_micrometre(value: float) -> float:
    return round(value, 3)
