"""Findings follow how much their labels matter: one step worse, or a note at most."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from labelcheck.judging import SEVERITIES, Finding, Severity
from labelcheck.labels.label import Label
from labelcheck.labels.wanted import is_text
from labelcheck.trade.stated import StatedWeight, Weight


def weighed(
    findings: Iterable[Finding], labels: Mapping[str, Label], weights: Sequence[StatedWeight]
) -> tuple[Finding, ...]:
    """The findings with their severity as their labels matter; `labels` by id."""
    if not weights:
        return tuple(findings)
    return tuple(_weighed(finding, labels, weights) for finding in findings)


def weight_of(label: Label, weights: Sequence[StatedWeight]) -> StatedWeight | None:
    """The statement that holds for a label, None where none does; that it matters wins over that it does not."""
    fitting = [one for one in weights if is_meant(one, label)]
    return next((one for one in fitting if one.weight is Weight.MORE), fitting[0] if fitting else None)


def is_meant(weight: StatedWeight, label: Label) -> bool:
    """Whether every condition of a statement holds for a label."""
    if weight.side is not None and weight.side is not label.side:
        return False
    if weight.region_mm is not None:
        x, y = (label.box_mm[0] + label.box_mm[2]) / 2, (label.box_mm[1] + label.box_mm[3]) / 2
        x0, y0, x1, y1 = weight.region_mm
        if not (x0 <= x <= x1 and y0 <= y <= y1):
            return False
    if weight.texts is None:
        return True
    return label.text is not None and any(is_text(pattern, label.text) for pattern in weight.texts)


def _weighed(finding: Finding, labels: Mapping[str, Label], weights: Sequence[StatedWeight]) -> Finding:
    label = None if finding.label is None else labels.get(finding.label)
    weight = None if label is None else weight_of(label, weights)
    if weight is None:
        return finding
    if weight.weight is Weight.MORE:
        severity = SEVERITIES[max(SEVERITIES.index(finding.severity) - 1, 0)]
        told = f"the label matters more ({weight.source}), so that this counts a step worse"
    else:
        severity = Severity.NOTE
        told = f"the label does not matter ({weight.source})"
    message = finding.message
    if severity is not finding.severity:
        message = f"{finding.message.rstrip('.')}; {told}."
    return replace(finding, severity=severity, matters=weight.weight, message=message)
