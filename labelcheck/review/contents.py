"""What a review holds: pure data, written last."""

from dataclasses import dataclass, replace
from enum import StrEnum

from labelcheck.cures.cure import Cure
from labelcheck.judging import Finding, Severity
from labelcheck.labels.label import Box, Label
from labelcheck.press.evidence import WHOLE, Printed
from labelcheck.trade.idle import IdleStatement
from labelcheck.trade.limits import Limits, LimitsFileBytes
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import Side


class Verdict(StrEnum):
    """Whether the board may be ordered as far as its labels go."""

    RELEASE = "release"
    HOLD = "hold"


@dataclass(frozen=True, slots=True)
class FileEntry:
    """One file of the set, as the record tells it."""

    name: str
    sha256: str
    role: str
    """legend, mask, copper, paste, outline, drill, component, assembly, job, placement, netlist, other or unread."""
    side: Side | None
    known_by: str
    """attribute, job file, file name or content."""
    ink_mm2: float | None
    box_mm: Box | None


@dataclass(frozen=True, slots=True)
class LimitEntry:
    """One value in force, with its source."""

    name: str
    value: float | str
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class LabelState:
    """What becomes of one label on the real board, beside the label itself."""

    label: Label
    printed_fraction: float
    visible_fraction: float
    reads_as_printed: str | None
    reads_as_assembled: str | None = None
    """None where the text, or whatever stands on its side, is not known."""
    printed: Printed = WHOLE


@dataclass(frozen=True, slots=True)
class NotApplied:
    """An analyser that had nothing to go by on one side, which must not look like a clean answer."""

    analyser: str
    side: Side
    why: str


@dataclass(frozen=True, slots=True)
class Review:
    """One check of one board; `holding` tells why the verdict is hold beyond its findings."""

    set_name: str
    set_path: str
    fingerprint: str
    checked_at: str
    """ISO 8601 in UTC, to the second."""
    files: tuple[FileEntry, ...]
    limits: tuple[LimitEntry, ...]
    box_mm: Box | None
    outline_known_by: str | None
    labels: tuple[LabelState, ...]
    """Top first, in reading order."""
    findings: tuple[Finding, ...]
    """Worst first."""
    remarks: tuple[Remark, ...]
    holding: tuple[str, ...]
    """Reasons, as sentences, why this set cannot be released although no finding says so: a layer not read."""

    not_applied: tuple[NotApplied, ...] = ()
    limits_file: LimitsFileBytes | None = None
    """The limits file that was in force, None where there was none."""
    acceptances: tuple[LimitEntry, ...] = ()
    """Everything that the limits file accepts of this board, whether it is found or not."""
    cures: tuple[Cure, ...] = ()
    """What to change, one a label at most, in the order of the labels."""

    idle: tuple[IdleStatement, ...] = ()
    """Tables of the limits file that fit nothing here, and name no board: they may be for others."""

    judged_by: Limits | None = None
    """All limits that were in force, for pictures that print a label again."""

    def cure_of(self, label: str | None) -> Cure | None:
        """What to change about a label, None where nothing was worked out."""
        return next((cure for cure in self.cures if cure.label == label), None)

    def as_the_only_board(self) -> "Review":
        """The same with a remark for each idle table: no other board is checked that it could be for."""
        return replace(self, remarks=(*self.remarks, *(one.remark() for one in self.idle)))

    @property
    def open_findings(self) -> tuple[Finding, ...]:
        """Those that nobody has accepted: what the verdict rests on."""
        return tuple(finding for finding in self.findings if finding.accepted is None)

    @property
    def accepted_findings(self) -> tuple[Finding, ...]:
        """Those that the limits file accepts."""
        return tuple(finding for finding in self.findings if finding.accepted is not None)

    @property
    def verdict(self) -> Verdict:
        """`hold` where a finding that is not accepted says unreadable or a layer was not read, else `release`."""
        unreadable = any(finding.severity is Severity.UNREADABLE for finding in self.open_findings)
        return Verdict.HOLD if unreadable or self.holding else Verdict.RELEASE
