"""What goes between the watch and its worker: jobs, and what came of them."""

from dataclasses import dataclass
from enum import Enum, auto
from pathlib import Path

from labelcheck.review.changes import Changes
from labelcheck.trade.in_force import Asked
from labelcheck.trade.units import Unit


@dataclass(frozen=True, slots=True)
class Job:
    """One set to check."""

    path: Path
    folder: Path
    """Where the review of its board goes; those of several boards go beside it."""
    limits_file: Path | None
    asked: Asked
    unit: Unit = "mm"
    alone: bool = False
    """Whether the watched folder is this set: its limits file then serves no other."""


class Do(Enum):
    """What the worker is to do."""

    CHECK = auto()
    PREPARE = auto()
    """Work a job out and write nothing before PUBLISH comes; ABANDON may come instead."""
    PUBLISH = auto()
    ABANDON = auto()


@dataclass(frozen=True, slots=True)
class Order:
    """One message to the worker, which answers each CHECK and each PREPARE with one result."""

    do: Do
    job: Job | None = None
    """Of CHECK and PREPARE."""


class Came(Enum):
    """What came of a job, or of one of its boards."""

    CHECKED = auto()
    CURRENT = auto()
    """The review that lies there is of these bytes, limits and version."""
    FAILED = auto()
    """The set cannot be read, or the limits file is wrong: no check before something changes."""
    NOT_WRITTEN = auto()
    """The review could not be written: to be tried again."""
    ABANDONED = auto()
    """It was prepared and is not wanted any more; nothing was written."""
    BROKE_OFF = auto()
    """A fault of the program, or the worker was ended from outside."""


@dataclass(frozen=True, slots=True)
class BoardTold:
    """What is told of one board that was checked, or whose review was found to be current."""

    name: str
    folder: Path
    verdict: str
    words: str
    """The verdict and its main reason, one line."""
    tally: str
    """How many labels have which trouble."""
    checked_at: str
    fingerprint: str
    came: Came
    changes: Changes | None
    """Since the review before, or of a review that another watch wrote, since what this one told; None where there
    was none."""


@dataclass(frozen=True, slots=True)
class Result:
    """What came of a job."""

    path: Path
    came: Came
    boards: tuple[BoardTold, ...] = ()
    trouble: str | None = None
    """A sentence and its cure, where it failed."""
    not_a_set: bool = False
    """Whether it holds nothing that was made for fabrication."""
