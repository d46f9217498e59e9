"""Whether a proposed cure holds once it is applied to the artwork and the board is checked again."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from labelcheck.board.fab_set import FabSet
from labelcheck.checking import Checked
from labelcheck.cures.along_pins import ROWS
from labelcheck.cures.cure import Cure
from labelcheck.cures.curing import asks_for_cure
from labelcheck.judging import Finding
from labelcheck.labels.label import Box, Label
from tests.cures.applying import cured_set

SAME_SHARE = 0.5
"""A label is the one sought where its box and the cured one share so much of the smaller of them."""
BESIDE_MM = 1.5
"""New findings so near to a cured label are laid to its charge."""


@dataclass(frozen=True, slots=True)
class Told:
    """One cure, what it says, and why it does not hold; None where it does."""

    cure: Cure
    called: str
    advice: str
    failure: str | None


def cures_that_hold(fab_set: FabSet, checked: Checked, check: Callable[[FabSet], Checked]) -> list[Told]:
    """Apply all cures of a board at once, check again, and judge each cure."""
    review = checked.review
    labels = {state.label.id: state.label for state in review.labels}
    again = check(cured_set(fab_set, checked.board, labels, review.cures)).review
    after = [state.label for state in again.labels]
    new = _new_findings(review.findings, labels, again.findings, {label.id: label for label in after})
    standing = {
        name: (label, label.box_mm if (cure := review.cure_of(name)) is None or cure.box_mm is None else cure.box_mm)
        for name, label in labels.items()
    }
    told = []
    for cure in review.cures:
        wrong = [finding for finding in review.findings if finding.label == cure.label and asks_for_cure(finding)]
        failure = None
        if cure.found:
            failure = _failure(cure, labels[cure.label], wrong, after, again.findings, new, standing)
        advice = next((finding.advice for finding in wrong if finding.advice is not None), "with another one")
        told.append(Told(cure, labels[cure.label].called(), advice, failure))
    return told


def _failure(
    cure: Cure, label: Label, wrong: Sequence[Finding], after: Sequence[Label], findings: Sequence[Finding],
    new: Sequence[tuple[Finding, Box]], others: Mapping[str, tuple[Label, Box]],
) -> str | None:
    box = cure.box_mm
    assert box is not None
    there = [one for one in after if one.side is label.side and _share(one.box_mm, box) > SAME_SHARE]
    if not there:
        return "lost: no label is found at its new place"
    cured = {finding.analyser for finding in wrong} | (ROWS if cure.together else frozenset())
    if cure.together and all(one.text != label.text for one in there):
        return f"lost: {there[0].called()} is read at its new place"
    ids = {one.id for one in there}
    for finding in findings:
        if finding.label in ids and finding.analyser in cured:
            return f"still {finding.analyser}: {finding.message}"
    for finding, at in new:
        if finding.label in ids:
            return f"new {finding.analyser}: {finding.message}"
        if finding.side is label.side and _apart(at, box) < BESIDE_MM:
            return f"beside {finding.analyser}: {finding.message}"
    for one in there:
        if _drew_nearer(cure, label, one, others):
            return f"joined: it is read as {one.called()}"
    return None


def _drew_nearer(cure: Cure, label: Label, read: Label, others: Mapping[str, tuple[Label, Box]]) -> bool:
    """Whether a label is now read together with another from which it stood, in heights, farther off before."""
    assert cure.box_mm is not None
    before, after = label.character_height_mm, label.character_height_mm * cure.scale
    return any(
        other is not label and other.side is label.side and _share(read.box_mm, box) > SAME_SHARE
        and _apart(cure.box_mm, box) / after < _apart(label.box_mm, other.box_mm) / before - 0.05
        for other, box in others.values()
    )


def _new_findings(
    before: Sequence[Finding], labels: dict[str, Label], after: Sequence[Finding], later: dict[str, Label]
) -> list[tuple[Finding, Box]]:
    """Findings about labels that were not told of a label at the same place or with the same text, with the box."""
    known = [(finding, labels[finding.label]) for finding in before if finding.label is not None]
    new = []
    for finding in after:
        if finding.label is None:
            continue
        label = later[finding.label]
        same = any(
            other.analyser == finding.analyser and other.side is finding.side
            and (_share(one.box_mm, label.box_mm) > SAME_SHARE or (one.text is not None and one.text == label.text))
            for other, one in known
        )
        if not same:
            new.append((finding, label.box_mm))
    return new


def _share(a: Box, b: Box) -> float:
    """Common area of two boxes, as a share of the smaller one."""
    width, height = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
    least = min((a[2] - a[0]) * (a[3] - a[1]), (b[2] - b[0]) * (b[3] - b[1]))
    return max(width, 0.0) * max(height, 0.0) / max(least, 1e-9)


def _apart(a: Box, b: Box) -> float:
    return max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3])
