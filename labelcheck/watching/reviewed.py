"""Whether the review that lies in a folder is whole and of these bytes, limits and version."""

import json
import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from labelcheck.board.fab_set import FabSet
from labelcheck.review.contents import Review
from labelcheck.review.limits_told import acceptance_entries, limit_entries
from labelcheck.review.record import FORM, record_of
from labelcheck.review.whole_files import UNFINISHED
from labelcheck.review.writing import OWN_FILES, RECORD
from labelcheck.trade.limits import Limits
from labelcheck.trade.version import MADE_BY

if sys.platform != "win32":
    import fcntl

ABANDONED_S = 10.0
"""A check outside of any watch may be writing beside us, but never takes so long from its first file to its last."""

WAIT_FOR_OTHERS_S = 30.0
"""How long another watch may work on a review folder before this one goes ahead."""
_LOOK_AGAIN_S = 0.05


def record_in(folder: Path) -> bytes | None:
    """The bytes of the record that lies in a review folder; None where there is none."""
    try:
        return (folder / RECORD).read_bytes()
    except OSError:
        return None


def is_current(folder: Path, record: bytes, fab_set: FabSet, limits: Limits) -> bool:
    """Whether the record is of these bytes, limits and this version, and every file of the review belongs to it.

    The record is written last: a picture that is newer was left by a check that was killed in between.
    """
    try:
        parsed = json.loads(record)
        same = parsed["record"] == FORM and parsed["made_by"] == MADE_BY
        same = same and parsed["set"]["fingerprint"] == fab_set.fingerprint
        same = same and {key: parsed[key] for key in _TOLD} == _limits_told(limits)
        times = {name: (folder / name).stat().st_mtime_ns for name in OWN_FILES}
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return False
    return bool(same) and times[RECORD] >= max(times.values())


_TOLD = ("limits", "limits_file", "acceptances")
"""Entries of the record that the limits make."""


def _limits_told(limits: Limits) -> dict[str, Any]:
    """What a record of a check by these limits says of them."""
    empty = Review(
        "", "", "", "", (), limit_entries(limits), None, None, (), (), (), (),
        limits_file=limits.file, acceptances=acceptance_entries(limits),
    )  # fmt: skip
    told = record_of(empty)
    return {key: json.loads(json.dumps(told[key])) for key in _TOLD}


def remove_abandoned(folder: Path) -> None:
    """Remove what checks that were killed left half written in a review folder; whoever calls is alone with it."""
    try:
        written_s = (folder / RECORD).stat().st_mtime
        for path in folder.glob(f".*{UNFINISHED}"):
            if path.stat().st_mtime < written_s - ABANDONED_S:
                path.unlink()
    except OSError:  # another took it away first, or it may not be removed: it is litter, no fault
        return


@contextmanager
def alone_with(folder: Path, given_up: Callable[[], bool] = lambda: False) -> Iterator[None]:
    """Keep other watches out of a review folder meanwhile, where the system can; the lock dies with its process.

    A folder that is not there yet cannot be locked: at worst two watches do the same work. Waiting for another watch
    ends when it is `given_up`.
    """
    descriptor = None
    if sys.platform != "win32":
        try:
            descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
            _lock(descriptor, given_up)
        except OSError:  # not there, or a drive that knows no locks
            pass
    try:
        yield
    finally:
        if descriptor is not None:
            os.close(descriptor)


def _lock(descriptor: int, given_up: Callable[[], bool]) -> None:
    until_s = time.monotonic() + WAIT_FOR_OTHERS_S
    while sys.platform != "win32" and time.monotonic() < until_s and not given_up():
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except BlockingIOError:
            time.sleep(_LOOK_AGAIN_S)
