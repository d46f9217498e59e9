"""Works at once, one on each core, where the system lets a process split; what works so never splits again."""

import multiprocessing
import os
import signal
import sys
import threading
import warnings
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import ForkProcess
from typing import Generic, TypeVar

First = TypeVar("First")
Second = TypeVar("Second")
Result = TypeVar("Result")

_TICK_S = 0.2
"""How often whoever waits is told so."""


def both(first: Callable[[], First], second: Callable[[], Second], worthwhile: bool) -> tuple[First, Second]:
    """The results of both, which must not depend on one another; errors of either are raised here.

    Where it is `worthwhile`, and the process can split safely (Linux, several cores, a single thread), the second
    runs in a child that sees all that is in memory and sends back only its result, which must be picklable. Else one
    runs after the other.
    """
    if not (worthwhile and _can_split()):
        return first(), second()
    child = _start(second)
    try:
        own = first()
    except BaseException:
        child.end()
        raise
    return own, child.result()


def in_turn(
    works: Iterable[Callable[[], Result]], waiting: Callable[[], None] = lambda: None
) -> Iterator[Result]:
    """The results of many works in their order, as many worked at once as there are cores.

    Works are taken from the iterable only as a core falls free. A work that stands alone, and all of them where the
    process cannot split, run here one after the other; else each runs in a child, as with `both`, and there nothing
    splits again. `waiting` is called several times a second while a result is waited for. An error of a work is
    raised when its turn comes; what still runs is then ended.
    """
    coming = iter(works)
    first = next(coming, None)
    second = None if first is None else next(coming, None)
    if first is None:
        return
    if second is None or not _can_split():
        yield first()
        while second is not None:
            yield second()
            second = next(coming, None)
        return
    running = deque([_start(first), _start(second)])
    try:
        while running:
            while len(running) < _cores() and (work := next(coming, None)) is not None:
                running.append(_start(work))
            while not running[0].is_ready(_TICK_S):
                waiting()
                # A later one may be done: its core takes the next work, the result keeps its place.
                busy = sum(1 for child in running if not child.is_ready(0))
                if busy < _cores() and len(running) < 4 * _cores() and (work := next(coming, None)) is not None:
                    running.append(_start(work))
            yield running.popleft().result()
    finally:
        for child in running:
            child.end()


@dataclass(frozen=True, slots=True)
class _Child(Generic[Result]):
    """A process that does one work, and the line on which its result comes."""

    process: ForkProcess
    line: Connection
    work: Callable[[], Result]

    def is_ready(self, within_s: float) -> bool:
        """Whether a result, or the end of the process, is there to be taken."""
        return self.line.poll(within_s)

    def result(self) -> Result:
        """Wait for the result; raises what the work raised."""
        try:
            succeeded, answer = self.line.recv()
        except EOFError:
            # The child was ended from outside, for want of memory perhaps: do its work here.
            succeeded, answer = True, self.work()
        except BaseException:
            self.end()
            raise
        self.line.close()
        self.process.join()
        if not succeeded:
            raise answer
        return answer

    def end(self) -> None:
        """Nobody waits for it any more."""
        self.process.terminate()
        self.line.close()
        self.process.join()


def _start(work: Callable[[], Result]) -> _Child[Result]:
    receiver, sender = multiprocessing.Pipe(duplex=False)
    process = multiprocessing.get_context("fork").Process(target=_send, args=(sender, work), daemon=True)
    with warnings.catch_warnings():
        # Threads of the linear algebra library are at rest and made anew in the child; none of ours is running.
        warnings.simplefilter("ignore", DeprecationWarning)
        process.start()
    sender.close()
    return _Child(process, receiver, work)


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1


def _can_split() -> bool:
    # A child of ours is daemonic, and may have no children: the cores are taken already.
    within_child = multiprocessing.current_process().daemon
    return sys.platform == "linux" and _cores() > 1 and threading.active_count() == 1 and not within_child


def _send(sender: Connection, work: Callable[[], object]) -> None:
    # An interruption from the keyboard reaches the parent too, which ends its children.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        answer = (True, work())
    except Exception as error:  # every failure of the child is the parent's to tell
        answer = (False, error)
    try:
        sender.send(answer)
    except Exception:  # what cannot be sent is worked out anew by the parent, which sees the line go dead
        os._exit(1)
    sender.close()
