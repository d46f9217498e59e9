"""The verdict and the counts in words, as the summary and the pictures say them alike."""

from collections import Counter
from collections.abc import Iterable, Sequence

from labelcheck.judging import SEVERITIES, Finding, Severity
from labelcheck.review.contents import Review, Verdict
from labelcheck.review.grouping import FindingGroup
from labelcheck.review.wording import amount, counted, listed, short_fingerprint
from labelcheck.trade.units import Unit

HEADINGS = {
    Severity.UNREADABLE: "Cannot be read",
    Severity.DOUBTFUL: "Doubtful",
    Severity.NOTE: "Worth a look",
}


def tally(findings: Sequence[Finding], labels_checked: int) -> str:
    """One sentence: how many labels have which trouble, each counted once at its worst; accepted ones apart."""
    if labels_checked == 0 and not findings:
        return "No label was found"
    counts = worst_of_labels(findings)
    accepted = accepted_words(findings)
    checked = f"{labels_checked} {'label' if labels_checked == 1 else 'labels'} checked"
    parts = []
    if counts[Severity.UNREADABLE]:
        parts.append(f"{counts[Severity.UNREADABLE]} cannot be read")
    if counts[Severity.DOUBTFUL]:
        parts.append(f"{counts[Severity.DOUBTFUL]} doubtful")
    if counts[Severity.NOTE]:
        parts.append(f"{counts[Severity.NOTE]} worth a look")
    about_sides = sum(1 for finding in findings if finding.label is None and finding.accepted is None)
    if about_sides:
        parts.append(f"{counted(about_sides, 'finding')} about a whole side")
    if accepted:
        return f"{checked}: {listed(parts) if parts else 'nothing else found against them'}; {accepted}"
    return f"{checked}: {listed(parts) if parts else 'nothing found against them'}"


def verdict_words(review: Review) -> str:
    """The verdict as a person says it, and the main reason."""
    unreadable = worst_of_labels(review.findings)[Severity.UNREADABLE]
    if review.verdict is Verdict.RELEASE:
        accepted = sum(finding.severity is Severity.UNREADABLE for finding in review.accepted_findings)
        if accepted:
            what = "1 unreadable finding was" if accepted == 1 else f"{accepted} unreadable findings were"
            return f"RELEASE: {what} accepted, and no other label was found that people cannot read"
        return "RELEASE: no label was found that people cannot read"
    if unreadable and review.holding:
        return f"HOLD: {cannot_be_read(unreadable)}, and not everything could be checked"
    if unreadable:
        return f"HOLD: {cannot_be_read(unreadable)}"
    if review.holding:
        return "HOLD: not everything could be checked"
    return f"HOLD: {_main_reason(review)}"


def _main_reason(review: Review) -> str:
    """What is wrong with a side as a whole, where no single label cannot be read: the beginning of its sentence."""
    reason = next(one.message for one in review.open_findings if one.severity is Severity.UNREADABLE)
    reason = reason.partition(";")[0].rstrip(".")
    return reason[0].lower() + reason[1:]


_FEW_LENGTHS = 3
"""So many pens or heights are counted one by one: a person sees which of them to change."""


def spread_of(group: FindingGroup, unit: Unit) -> str:
    """What a group of several measured, in words: `0.69 to 0.74 mm`, or `0.66 mm on 40 and 0.79 mm on 14` where it
    was two or three lengths; empty where it measured nothing or one value."""
    lengths = Counter(
        amount(finding.measured, "mm", unit)
        for finding in sorted(group.findings, key=lambda finding: finding.measured or 0.0)
        if finding.measured is not None and finding.unit == "mm"
    )
    if 2 <= len(lengths) <= _FEW_LENGTHS:
        return listed([f"{length} on {count}" for length, count in lengths.items()])
    range_measured = group.least_and_most()
    if range_measured is None:
        return ""
    least, most = (amount(value, group.worst.unit, unit) for value in range_measured)
    if least == most:
        return ""
    number, _, sign = least.rpartition(" ")
    return f"{number} to {most}" if number and most.endswith(sign) else f"{least} to {most}"


def worst_of_labels(findings: Iterable[Finding]) -> dict[Severity, int]:
    """How many labels have each severity as their worst; accepted findings and those about a side do not count."""
    worst: dict[str, int] = {}
    for finding in findings:
        if finding.label is None or finding.accepted is not None:
            continue
        rank = SEVERITIES.index(finding.severity)
        worst[finding.label] = min(rank, worst.get(finding.label, rank))
    ranks = list(worst.values())
    return {severity: ranks.count(rank) for rank, severity in enumerate(SEVERITIES)}


def origin_of(review: Review) -> str:
    """When which files were checked, by whose limits: `checked 2026-01-31 12:00:00 UTC · sha256:1a2b3c4d5e6f`."""
    checked = review.checked_at.replace("T", " ").replace("Z", " UTC")
    limits = "" if review.limits_file is None else f" · limits of {review.limits_file.name}"
    return f"checked {checked} · {short_fingerprint(review.fingerprint)}{limits}"


def accepted_words(findings: Iterable[Finding]) -> str:
    """`2 findings accepted, 1 of them unreadable`, `1 unreadable finding accepted`; empty where none is."""
    accepted = [finding for finding in findings if finding.accepted is not None]
    if not accepted:
        return ""
    worst = sum(finding.severity is Severity.UNREADABLE for finding in accepted)
    if worst == len(accepted):
        return f"{counted(worst, 'unreadable finding')} accepted"
    told = f"{counted(len(accepted), 'finding')} accepted"
    return f"{told}, {worst} of them unreadable" if worst else told


def cannot_be_read(count: int) -> str:
    """`2 labels cannot be read`."""
    return f"{counted(count, 'label')} cannot be read"
