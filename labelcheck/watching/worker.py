"""The process that checks sets for a watch: `python -m labelcheck.watching.worker`, jobs on stdin, results on stdout.

It is a process of its own so that a crash, a lack of memory or a hang ends the check and not the watch, so that
memory is given back, and so that it has a single thread and a check may split over two cores.
"""

import gc
import os
import pickle
import signal
import sys
from types import FrameType
from typing import BinaryIO

from labelcheck.watching.ahead import Abandoned, Gate
from labelcheck.watching.messages import Came, Do, Order, Result
from labelcheck.watching.working import Surroundings, work

RETIRE_BYTES = 1_500_000_000
"""A worker that holds so much memory after a job makes place for a fresh one."""


def main() -> None:
    """Do jobs until there are no more; a process without its parent ends before it writes anything."""
    jobs, results = sys.stdin.buffer, _kept_stdout()
    signal.signal(signal.SIGTERM, _end)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the watch, which ends us
    parent = os.getppid()
    gate = Gate(lambda: (order := _next(jobs)) is not None and order.do is Do.PUBLISH)
    _listen_for_giving_up(gate)
    surroundings = Surroundings(may_write=lambda: os.getppid() == parent, gate=gate)
    while (order := _next(jobs)) is not None:
        if order.job is None:
            continue  # of what was broken off already
        gate.begin(is_open=order.do is Do.CHECK)
        try:
            result = work(order.job, surroundings)
        except Abandoned:
            gc.enable()  # should it have been broken off right behind its being disabled
            result = Result(order.job.path, Came.ABANDONED)
        try:
            pickle.dump(result, results)
            results.flush()
        except OSError:  # the watch is gone
            return
        if _held_bytes() > RETIRE_BYTES:
            return


def _listen_for_giving_up(gate: Gate) -> None:
    """The watch has held the signal back until here."""
    if sys.platform != "win32":
        signal.signal(signal.SIGUSR1, lambda _signal, _frame: gate.give_up())
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGUSR1})


def _kept_stdout() -> BinaryIO:
    """A stream for results that nothing else writes to: what libraries print goes nowhere."""
    results = os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    return results


def _next(jobs: BinaryIO) -> Order | None:
    try:
        order = pickle.load(jobs)
    except (EOFError, OSError, pickle.UnpicklingError):
        return None
    return order if isinstance(order, Order) else None


def _end(_signal: int, _frame: FrameType | None) -> None:
    # Unwinds, so that unfinished files are removed on the way.
    sys.exit(0)


def _held_bytes() -> int:
    """Memory that this process holds now; 0 where the system does not tell."""
    try:
        with open("/proc/self/statm", encoding="ascii") as told:
            return int(told.read().split()[1]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError, IndexError):
        return 0


if __name__ == "__main__":
    try:
        main()
    finally:
        # Taking all modules apart would keep a watch that ends waiting; what it forked is ended by the watch.
        os._exit(0)
