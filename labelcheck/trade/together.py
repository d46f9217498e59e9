"""Two pieces of work at once, one on each of two cores, where the system lets a process split."""

import multiprocessing
import os
import sys
import threading
import warnings
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import TypeVar

First = TypeVar("First")
Second = TypeVar("Second")


def both(first: Callable[[], First], second: Callable[[], Second], worthwhile: bool) -> tuple[First, Second]:
    """The results of both, which must not depend on one another; errors of either are raised here.

    Where it is `worthwhile`, and the process can split safely (Linux, several cores, a single thread), the second
    runs in a child that sees all that is in memory and sends back only its result, which must be picklable. Else one
    runs after the other.
    """
    if not (worthwhile and _can_split()):
        return first(), second()
    receiver, sender = multiprocessing.Pipe(duplex=False)
    child = multiprocessing.get_context("fork").Process(target=_send, args=(sender, second), daemon=True)
    with warnings.catch_warnings():
        # Threads of the linear algebra library are at rest and made anew in the child; none of ours is running.
        warnings.simplefilter("ignore", DeprecationWarning)
        child.start()
    sender.close()
    try:
        own = first()
        try:
            succeeded, result = receiver.recv()
        except EOFError:
            # The child was ended from outside, for want of memory perhaps: do its work here.
            succeeded, result = True, second()
    finally:
        receiver.close()
        child.join()
    if not succeeded:
        raise result
    return own, result


def _can_split() -> bool:
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1
    return sys.platform == "linux" and cores > 1 and threading.active_count() == 1


def _send(sender: Connection, work: Callable[[], object]) -> None:
    try:
        answer = (True, work())
    except Exception as error:  # every failure of the child is the parent's to tell
        answer = (False, error)
    try:
        sender.send(answer)
    except Exception:  # what cannot be sent is worked out anew by the parent, which sees the line go dead
        os._exit(1)
    sender.close()
