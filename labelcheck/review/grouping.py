"""Findings and remarks that say the same of many labels, put together so that a person sees each fault once."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from labelcheck.judging import SEVERITIES, Finding, Severity
from labelcheck.labels.label import Label
from labelcheck.trade.places import Remark

_FEWEST_GROUPED = 4
"""Up to three findings of one kind are told one by one: each has a sentence of its own, and there is no flood."""

_QUOTED = re.compile(r'["“][^"”]*["”](?:(?:, | and )["“][^"”]*["”])*')
_NUMBERS = re.compile(r"[-+]?\d+(?:\.\d+)?(?:(?:, | and )[-+]?\d+(?:\.\d+)?)*")
_CHARACTERS_NAMED = re.compile(r"all 0 characters|both characters|0 of its 0 characters|\bit\b")
"""The ways of `judging.characters_named` to say which characters of a label are hit, beside naming them in quotes."""
_SHARE = re.compile(r'(?:up to )?0 % of (?:""|its ink)')
_WHERE = re.compile(r' at ""')
"""Which characters a line crosses; nothing where it crosses all of them."""

_WORST_FIRST = 6
"""So many groups of a severity come in their order; after them what most labels share: that fault, which one setting
often cures, is not to be sought behind forty that one label has each."""


@dataclass(frozen=True, slots=True)
class FindingGroup:
    """Findings of one analyser, side and severity that say the same of several labels.

    Their sentences differ in names, numbers and consequences only: `loses 40 % of "A" at a mask opening` is the same
    fault whatever the label reads as then.
    """

    findings: tuple[Finding, ...]
    """In the order of the review, which is worst first; never empty."""
    names: tuple[str, ...]
    """What a person calls each one's label, in the same order; empty for a finding about a whole side."""

    @property
    def worst(self) -> Finding:
        """The finding that speaks for all of them, and whose id is the number of the group."""
        return self.findings[0]

    @property
    def accepted(self) -> bool:
        """Whether the limits file accepts each of them: then they do not count."""
        return self.findings[0].accepted is not None

    @property
    def severity(self) -> Severity:
        """How bad each of them is."""
        return self.findings[0].severity

    @property
    def number(self) -> str:
        """What the call-outs in the picture carry: the digits of the worst one's id."""
        return self.findings[0].id.removeprefix("F")

    def called(self) -> tuple[str, ...]:
        """The name of each one's label, or the finding's id where it has none."""
        return tuple(name or finding.id for name, finding in zip(self.names, self.findings, strict=True))

    def least_and_most(self) -> tuple[float, float] | None:
        """The range of what was measured, None where nothing was."""
        values = [finding.measured for finding in self.findings if finding.measured is not None]
        return (min(values), max(values)) if values else None


@dataclass(frozen=True, slots=True)
class RemarkGroup:
    """Remarks about one file that differ in line and numbers only."""

    remarks: tuple[Remark, ...]

    @property
    def first(self) -> Remark:
        """The remark that speaks for all of them."""
        return self.remarks[0]


def group_findings(findings: Sequence[Finding], labels: Mapping[str, Label]) -> tuple[FindingGroup, ...]:
    """All findings, each in exactly one group; groups come worst first, then in the order of their first finding,
    except that what most labels share comes after the first few at the latest.

    Accepted ones make groups of their own, which come last. What few labels share is told of each: such findings
    make groups of one.
    `labels` finds a label by its id; a finding that names a label which is not there is told by its id.
    """
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for finding in findings:
        name = _name(finding, labels)
        because = None if finding.accepted is None else finding.accepted.because
        kind = (finding.side, finding.severity, finding.analyser, because, _asked_length(finding))
        same = (*kind, _fact(finding.message, name))
        groups.setdefault(same, []).append(finding)
    order = {finding.id: place for place, finding in enumerate(findings)}
    told: list[list[Finding]] = []
    for members in groups.values():
        told += [members] if len(members) >= _FEWEST_GROUPED else [[member] for member in members]
    told.sort(key=lambda members: (*_class(members), order[members[0].id]))
    return tuple(
        FindingGroup(tuple(members), tuple(_name(finding, labels) for finding in members))
        for members in _shared_ones_lifted(told)
    )


def numbered_as_told(findings: Sequence[Finding], labels: Mapping[str, Label]) -> tuple[Finding, ...]:
    """All findings in the order in which they are told, ids `F1`, … in that order.

    The findings of one group follow one another, so that `F4-F12` names a whole group; twice is as once.
    """
    told = (finding for group in group_findings(findings, labels) for finding in group.findings)
    return tuple(replace(finding, id=f"F{number}") for number, finding in enumerate(told, start=1))


def _class(members: Sequence[Finding]) -> tuple[bool, int]:
    """What order does not cross: whether they are accepted, and how bad they are."""
    return members[0].accepted is not None, SEVERITIES.index(members[0].severity)


def _shared_ones_lifted(told: Sequence[list[Finding]]) -> list[list[Finding]]:
    """The first few groups of each class in their order, then those of many, the largest first, then the rest."""
    lifted: list[list[Finding]] = []
    for one_class in dict.fromkeys(_class(members) for members in told):
        alike = [members for members in told if _class(members) == one_class]
        later = alike[_WORST_FIRST:]
        lifted += alike[:_WORST_FIRST]
        lifted += sorted((members for members in later if len(members) > 1), key=len, reverse=True)
        lifted += [members for members in later if len(members) == 1]
    return lifted


def _asked_length(finding: Finding) -> float | None:
    """The bound where it is a length; shares of ink lost beyond one bound or another are the same fault."""
    return finding.limit if finding.unit == "mm" else None


def _fact(message: str, name: str) -> str:
    """What a finding's sentence says is wrong, without names, numbers, and what comes of it."""
    fact = sentence_form(message, name).partition("; ")[0]
    return _WHERE.sub("", _SHARE.sub("0 %", fact))


def group_remarks(remarks: Sequence[Remark]) -> tuple[RemarkGroup, ...]:
    """All remarks, each in exactly one group, in the order of their first."""
    groups: dict[tuple[str, str], list[Remark]] = {}
    for remark in remarks:
        groups.setdefault((remark.file, sentence_form(remark.message)), []).append(remark)
    return tuple(RemarkGroup(tuple(members)) for members in groups.values())


def sentence_form(sentence: str, name: str = "") -> str:
    """A sentence without its name, quoted words and numbers: equal for sentences that say the same."""
    if name:
        # A sentence that begins with the name begins with a capital.
        sentence = sentence.replace(name, '""').replace(name[0].upper() + name[1:], '""')
    return _CHARACTERS_NAMED.sub('""', _NUMBERS.sub("0", _QUOTED.sub('""', sentence)))


def _name(finding: Finding, labels: Mapping[str, Label]) -> str:
    if finding.label is None:
        return ""
    label = labels.get(finding.label)
    return finding.label if label is None else label.called()
