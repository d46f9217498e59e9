"""Checks one set for a watch: nothing where its review is current, else the check, the files, and what changed."""

import os
import zlib
from collections import OrderedDict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from labelcheck.board.fab_set import FabSet
from labelcheck.board.limits_beside import limits_of_set
from labelcheck.board.opening import open_sets
from labelcheck.checking import check_set
from labelcheck.review.changes import Changes, changes_between
from labelcheck.review.contents import Review
from labelcheck.review.record import record_of
from labelcheck.review.seen import Record, read_record, seen_in
from labelcheck.review.verdict import tally, verdict_words
from labelcheck.review.wording import counted
from labelcheck.review.writing import RECORD, review_files, review_folder_for, write_files
from labelcheck.trade.errors import LabelcheckError, UnreadableFile, UnreadableSet, UnwritableResult
from labelcheck.trade.file_systems import one_place
from labelcheck.trade.limits import Limits
from labelcheck.trade.places import Remark
from labelcheck.trade.remembering import Memory
from labelcheck.watching.ahead import Gate
from labelcheck.watching.messages import BoardTold, Came, Job, Result
from labelcheck.watching.reviewed import alone_with, is_current, record_in, remove_abandoned


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a check asks of the world beside its files."""

    now: Callable[[], datetime] = lambda: datetime.now(UTC)
    may_write: Callable[[], bool] = lambda: True
    """False where whoever asked for the check is gone."""
    memory: Memory = field(default_factory=Memory)
    """What need not be worked out again."""
    gate: Gate = field(default_factory=Gate)
    """Closed while nobody has asked for what is worked out."""
    told: "Told" = field(default_factory=lambda: Told())
    """What the person was told before."""


TOLD_AT_MOST = 200
"""Reviews kept for comparing; a record of 400 labels takes 20 kB."""


class Told:
    """The records that were told last, by review folder: another watch may have written the one that lies there."""

    def __init__(self) -> None:
        self._packed: OrderedDict[Path, bytes] = OrderedDict()

    def changes_to(self, folder: Path, record: bytes) -> Changes | None:
        """What changed since this watch told of a review; None where it did not, or the set is the same."""
        before = self._packed.get(folder)
        if before is None:
            return None
        old, new = read_record(RECORD, zlib.decompress(before)), read_record(RECORD, record)
        same = (old.fingerprint, old.limits) == (new.fingerprint, new.limits)
        return None if same else changes_between(old, new)

    def note(self, folder: Path, record: bytes) -> None:
        """This record is told now."""
        self._packed[folder] = zlib.compress(record, 1)
        self._packed.move_to_end(folder)
        if len(self._packed) > TOLD_AT_MOST:
            self._packed.popitem(last=False)


class _Changed(Exception):
    """The set, or its limits, are not what was worked out ahead."""


def work(job: Job, surroundings: Surroundings) -> Result:
    """Do one job; failures are told in the result, never raised, but for MemoryError and what ends a process.

    Ahead of its time nothing is written or told before the gate opens, and nothing that is not of the bytes that are
    there then. Raises `Abandoned` where it does not.
    """
    gate = surroundings.gate
    with surroundings.memory.in_use():
        try:
            result = _work(job, surroundings)
        except _Changed:
            return _work(job, surroundings)
        if gate.is_open:
            return result
        # Nothing had to be written, or nothing could be worked out: both take no time to be found out again.
        gate.pass_through()
        return _work(job, surroundings)


def _work(job: Job, surroundings: Surroundings) -> Result:
    try:
        limits = limits_of_set(job.path, job.limits_file, job.asked)
        sets = open_sets(job.path)
    except LabelcheckError as error:
        return Result(job.path, Came.FAILED, trouble=str(error))
    boards: list[BoardTold] = []
    taken: set[str] = set()
    for fab_set in sets:
        folder = _unused(_folder_of(job, fab_set, alone=len(sets) == 1), taken)
        try:
            boards.append(_board(_Task(job, sets, fab_set, limits), folder, surroundings))
        except _Changed:
            raise
        except UnwritableResult as error:
            return Result(job.path, Came.NOT_WRITTEN, tuple(boards), str(error))
        except LabelcheckError as error:
            return Result(job.path, Came.FAILED, tuple(boards), str(error))
        except Exception as fault:  # a fault of ours in one set must neither release it nor stop the watch
            return Result(job.path, Came.BROKE_OFF, tuple(boards), broke_off(f"{type(fault).__name__}: {fault}"))
    came = Came.CURRENT if all(board.came is Came.CURRENT for board in boards) else Came.CHECKED
    return Result(job.path, came, tuple(boards))


def broke_off(why: str) -> str:
    """A check that came to no end, for a person."""
    return (
        f"the check broke off ({why}). This is a fault of labelcheck, not of your files: nothing is released. "
        "Please report it with the set."
    )


def _folder_of(job: Job, fab_set: FabSet, alone: bool) -> Path:
    return job.folder if alone else review_folder_for(job.path, fab_set.name, job.folder.parent, alone=False)


def _unused(folder: Path, taken: set[str]) -> Path:
    number, free = 1, folder
    while one_place(free) in taken:
        number += 1
        free = folder.with_name(f"{folder.stem}-{number}{folder.suffix}")
    taken.add(one_place(free))
    return free


@dataclass(frozen=True, slots=True)
class _Task:
    """One board of a job."""

    job: Job
    sets: Sequence[FabSet]
    """All boards of the job, as they were opened."""
    fab_set: FabSet
    limits: Limits
    """Of all boards."""

    def is_of_now(self) -> bool:
        """Whether all bytes, and the limits, are still what they were when the job was begun."""
        try:
            limits = limits_of_set(self.job.path, self.job.limits_file, self.job.asked)
            now = open_sets(self.job.path)
        except LabelcheckError:
            return False
        return limits == self.limits and _contents(now) == _contents(self.sets)


def _contents(sets: Iterable[FabSet]) -> list[tuple[str, str, tuple[Remark, ...]]]:
    return [(one.name, one.fingerprint, one.remarks) for one in sets]


def _board(task: _Task, folder: Path, surroundings: Surroundings) -> BoardTold:
    """One board: what lies there is kept where it is current, else checked and written."""
    job, gate = task.job, surroundings.gate
    limits = task.limits.on_board(task.fab_set.name)
    with alone_with(folder, lambda: gate.given_up):
        record = record_in(folder)
        if record is not None and is_current(folder, record, task.fab_set, limits):
            if not gate.is_open:
                return _told_of_record(folder, record, None)
            changes = surroundings.told.changes_to(folder, record)
            surroundings.told.note(folder, record)
            return _told_of_record(folder, record, changes)
        with gate.breakable():
            checked = check_set(task.fab_set, limits, surroundings.now())
            review = checked.review.as_the_only_board() if job.alone else checked.review
            contents = review_files(review, checked.board, job.unit)
            changes = _changes(record, record_of(review))
        if not gate.is_open:
            gate.pass_through()
            if not task.is_of_now():
                raise _Changed
        if not surroundings.may_write():
            os._exit(0)  # nobody waits for the review any more, and another watch may have begun
        if not os.path.lexists(job.path):
            # Writing would make the folder anew that was moved away, or fill the place where a drive was.
            raise UnreadableSet(f"{job.path}: The set went away while it was checked. Nothing was written.")
        write_files(folder, contents, job.path)
        remove_abandoned(folder)
    surroundings.told.note(folder, contents[RECORD])
    return _told_of_review(folder, review, changes)


def _changes(before: bytes | None, now: Record) -> Changes | None:
    """What changed since the record that lay there; None where there was none that this version can read."""
    if before is None:
        return None
    try:
        return changes_between(read_record(RECORD, before), seen_in(now))
    except UnreadableFile:
        return None


def _told_of_review(folder: Path, review: Review, changes: Changes | None) -> BoardTold:
    return BoardTold(
        name=review.set_name,
        folder=folder,
        verdict=str(review.verdict),
        words=verdict_words(review),
        tally=tally(review.findings, len(review.labels)),
        checked_at=review.checked_at,
        fingerprint=review.fingerprint,
        came=Came.CHECKED,
        changes=changes,
    )


def _told_of_record(folder: Path, record: bytes, changes: Changes | None) -> BoardTold:
    seen = read_record(RECORD, record)
    open_findings = [finding for finding in seen.findings if not finding.accepted]
    worst = {finding.label for finding in open_findings if finding.severity == "unreadable"}
    return BoardTold(
        name=seen.set_name,
        folder=folder,
        verdict=seen.verdict,
        words=f"{seen.verdict.upper()}: as reviewed {seen.checked_at.replace('T', ' ').replace('Z', ' UTC')}",
        tally=f"{counted(len(seen.labels), 'label')}, {counted(len(open_findings), 'finding')}, "
        f"{len(worst) or 'none'} unreadable",
        checked_at=seen.checked_at,
        fingerprint=seen.fingerprint,
        came=Came.CURRENT,
        changes=changes,
    )
