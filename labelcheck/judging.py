"""How any measurement becomes a finding."""

from dataclasses import dataclass
from enum import StrEnum

from labelcheck.labels.label import Box
from labelcheck.trade.sides import Side


class Severity(StrEnum):
    """How bad a finding is for the person who reads the board."""

    UNREADABLE = "unreadable"
    DOUBTFUL = "doubtful"
    NOTE = "note"


SEVERITIES = tuple(Severity)
"""Worst first."""


@dataclass(frozen=True, slots=True)
class Finding:
    """An analyser's answer about one label, or about a side where `label` is None."""

    id: str
    """`F1`, `F2`, … worst first."""
    analyser: str
    severity: Severity
    label: str | None
    """Id of the label."""
    side: Side
    at_mm: tuple[float, float]
    """The middle of what is wrong."""
    box_mm: Box
    """The box of what is wrong: the whole label, or the part that is lost."""
    measured: float | None
    limit: float | None
    unit: str
    message: str
    advice: str | None
    source: str
