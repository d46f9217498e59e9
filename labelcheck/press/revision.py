"""Whether the revision that the legend shows is the one that the files declare."""

import re
from collections.abc import Iterable, Sequence

from labelcheck.board.board import Project
from labelcheck.labels.label import Label
from labelcheck.trade.places import Remark

SURE = 0.9
"""Text read less surely is no reason to doubt a revision."""

_WORDED = re.compile(
    r"(?<![A-Z0-9])REV(?:ISION)?[ .:_-]*([A-Z]?\d{1,3}(?:\.\d{1,3}){0,2}[A-Z]?|[A-Z])(?![A-Z0-9.])", re.IGNORECASE
)
"""`REV B`, `Rev. 1.2`, `revision A2`, `rev: 3`."""
_VERSION = re.compile(
    r"(?<![A-Z0-9])(V|VER(?:SION)?[ .:_-]*)(\d{1,2}(?:\.\d{1,2}){1,2}[A-Z]?)(?![A-Z0-9.])", re.IGNORECASE
)
"""`v1.2`, `VER 1.2`; never without a point, for V1 is a part."""
_VOLTAGES = frozenset({"0.9", "1.1", "1.2", "1.5", "1.8", "2.5", "2.8", "3.0", "3.3", "5.0", "5.5", "9.0", "12.0"})
"""What a capital `V` before it may also be: a supply."""
_DECLARED = re.compile(
    r"(?:REV(?:ISION)?|VER(?:SION)?|V|R)?[ .:_-]*([A-Z]?\d{1,3}(?:\.\d{1,3}){0,2}[A-Z]?|[A-Z])", re.IGNORECASE
)
"""A revision as people enter it: `B`, `1.2`, `v1.2`, `Rev A2`; dates and words are none that a legend could show."""


def revision_remarks(project: Project | None, labels: Sequence[Label]) -> tuple[Remark, ...]:
    """A remark where the legend shows one revision and the files declare another, if both are certain."""
    declared = None if project is None or project.revision is None else _DECLARED.fullmatch(project.revision.strip())
    if declared is None or project is None:
        return ()
    shown = list(_shown(labels))
    different = {_plain(revision) for _, revision in shown}
    # Two revisions on one legend: that of a part or of a drawing among them, and nobody knows which is which.
    if len(different) != 1 or any(_same(revision, declared[1]) for revision in different):
        return ()
    label, revision = shown[0]
    return (
        Remark(
            "",
            None,
            f'The legend says revision {revision} ({label.called()} on the {label.side}), the files declare '
            f"revision {project.revision}. Correct the one that is wrong.",
        ),
    )


def _shown(labels: Iterable[Label]) -> Iterable[tuple[Label, str]]:
    """Labels that show a revision, and which."""
    for label in labels:
        if label.text is None or label.text_confidence < SURE:
            continue
        for found in _WORDED.finditer(label.text):
            yield label, found[1]
        for found in _VERSION.finditer(label.text):
            if found[1] != "V" or found[2] not in _VOLTAGES:
                yield label, found[2]


def _plain(revision: str) -> str:
    return revision.strip().lower()


def _same(shown: str, declared: str) -> bool:
    """Whether two revisions are the same: `1.0` is `1`, `02` is `2`, `1.2` is `1.2.0`."""
    return _parts(shown) == _parts(declared)


def _parts(revision: str) -> list[str]:
    parts = [part.lstrip("0") or "0" for part in _plain(revision).split(".")]
    while len(parts) > 1 and parts[-1] == "0":
        parts.pop()
    return parts
