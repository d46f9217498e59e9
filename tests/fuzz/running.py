"""One damaged file after another; every case is made anew from its kind, seed and number."""

import random
import resource
import signal
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial

from labelcheck.trade.errors import LabelcheckError

from .mangling import cut_short, json_mangled, mangled
from .seeds import json_seeds, seeds_of
from .targets import TARGETS

SECONDS_AT_MOST = 5.0
"""Processor time for one file."""
BYTES_AT_MOST = 1_000_000_000
"""Memory that the whole run may come to hold above what it held before."""
NO_FAULT = (LabelcheckError,)


class Hang(BaseException):
    """Raised by the alarm; no `except Exception` may catch it."""


@dataclass(frozen=True, slots=True)
class Failure:
    """A damaged file that was not borne."""

    kind: str
    seed: int
    number: int
    what: str
    """Class of the error, where it was raised, and its text."""


@dataclass(slots=True)
class Outcome:
    """What came of a run over one kind; mutable while it runs."""

    kind: str
    count: int = 0
    refused: int = 0
    """Files that gave a clear error."""
    slowest_s: float = 0.0
    failures: list[Failure] = field(default_factory=list)

    def table_row(self, seconds: float) -> str:
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        return (
            f"{self.kind:10} {self.count:7} {self.count - self.refused:8} {self.refused:8} {len(self.failures):9} "
            f"{self.slowest_s:9.2f} {peak:8} {seconds:7.0f}"
        )


HEADING = "kind         files     read  refused  failures slowest s  peak MB   run s"


def damaged(kind: str, seed: int, number: int) -> bytes:
    """The damaged file of this number; every twentieth is only cut short."""
    chance = random.Random(f"{kind} {seed} {number}")
    sound = seeds_of(kind)
    one, other = chance.choice(sound), chance.choice(sound)
    dialect = TARGETS[kind].dialect
    if kind in ("job", "record") and number % 2:
        return json_mangled(chance, chance.choice(json_seeds(kind)))
    return cut_short(chance, one, dialect, other) if number % 20 == 0 else mangled(chance, one, dialect, other)


def run(kind: str, seed: int, numbers: range) -> Outcome:
    """Bear every damaged file of these numbers."""
    outcome = Outcome(kind)
    for number in numbers:
        judge(outcome, seed, number, partial(TARGETS[kind].bear, damaged(kind, seed, number)))
    return outcome


def judge(outcome: Outcome, seed: int, number: int, bear: Callable[[], None]) -> None:
    """Count one case, and remember it where it fails."""
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    started = time.process_time()
    try:
        what = fault_of(bear)
    except LabelcheckError as error:
        what = None if str(error).strip().endswith((".", ")", "?")) else f"says too little: {error}"
        outcome.refused += 1
    took = time.process_time() - started
    outcome.count += 1
    outcome.slowest_s = max(outcome.slowest_s, took)
    if what is None and took > SECONDS_AT_MOST:
        what = f"took {took:.1f} s"
    if what is None and (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - held) * 1024 > BYTES_AT_MOST:
        what = "took more than 1 GB"
    if what is not None:
        outcome.failures.append(Failure(outcome.kind, seed, number, what))


def fault_of(bear: Callable[[], None]) -> str | None:
    """What went wrong other than a clear error, which is raised; None where nothing did."""
    try:
        with warnings.catch_warnings(), _alarm():
            warnings.simplefilter("error")
            bear()
    except NO_FAULT:
        raise
    except Hang:
        return f"took more than {SECONDS_AT_MOST:g} s"
    except Exception as error:  # whatever it is, it is what we are looking for
        place = traceback.extract_tb(error.__traceback__)[-1]
        ours = [one for one in traceback.extract_tb(error.__traceback__) if "labelcheck/" in one.filename]
        near = ours[-1] if ours else place
        if isinstance(error, AssertionError):
            return f"AssertionError: {error or near.line}"
        return f"{type(error).__name__} at {near.filename.rpartition('labelcheck/')[2]}:{near.lineno}: {error}"
    return None


@contextmanager
def _alarm() -> Iterator[None]:
    def ring(_signal: int, _frame: object) -> None:
        raise Hang

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, SECONDS_AT_MOST)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def shrunk(kind: str, data: bytes, seconds: float = 60.0) -> bytes:
    """A smaller file with the same fault, by leaving out ever smaller pieces."""
    place = _place(kind, data)
    until = time.process_time() + seconds
    size = max(len(data) // 2, 1)
    while size and time.process_time() < until:
        at = 0
        while at < len(data) and time.process_time() < until:
            fewer = data[:at] + data[at + size :]
            if _place(kind, fewer) == place:
                data = fewer
            else:
                at += size
        size //= 2
    return data


def _place(kind: str, data: bytes) -> str | None:
    try:
        fault = fault_of(lambda: TARGETS[kind].bear(data))
    except LabelcheckError:
        return None
    return None if fault is None else ":".join(fault.split(":")[:2])


def told(failures: list[Failure]) -> list[str]:
    """Failures by kind of fault, the most frequent first, each with the number that makes it again."""
    first: dict[str, Failure] = {}
    often: Counter[str] = Counter()
    for failure in failures:
        key = f"{failure.kind} {':'.join(failure.what.split(':')[:2])}"
        first.setdefault(key, failure)
        often[key] += 1
    return [
        f"{count} x {first[key].what}   (--again {first[key].kind} {first[key].number} --seed {first[key].seed})"
        for key, count in often.most_common()
    ]
