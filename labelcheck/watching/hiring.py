"""The watch's side of its worker: hire one when there is a job, hear its results, end it at once."""

import os
import pickle
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from labelcheck.trade.threads import with_one_thread
from labelcheck.watching.messages import Came, Do, Job, Order, Result
from labelcheck.watching.working import broke_off

LONGEST_CHECK_S = 900.0
"""A check that takes longer hangs; the largest panels take half a minute on a slow core."""

_PACKAGE_LIES_IN = Path(__file__).resolve().parents[2]

ENDING_S = 1.0
"""How long a worker may take to tidy up when the watch ends."""


_GIVE_UP = getattr(signal, "SIGUSR1", None) if hasattr(signal, "pthread_sigmask") else None
"""Breaks off what is prepared; without such a signal nothing is, for a change would have to wait for its end."""


class Hired:
    """At most one worker and one job at a time; `heard` is called from another thread with each result."""

    def __init__(self, heard: Callable[[Result], None]) -> None:
        self._heard = heard
        self._process: subprocess.Popen[bytes] | None = None
        self._job: Job | None = None
        self._at_work: Job | None = None
        """What the worker was given and has not answered: the job, or one that is prepared."""
        self._ahead: Job | None = None
        """What is prepared."""
        self._given_up = False
        """Whether the worker was told that what it prepares is not wanted."""
        self._again = False
        self._begun_s = 0.0

    @property
    def free(self) -> bool:
        """Whether it has no job."""
        return self._job is None

    @property
    def prepares(self) -> Path | None:
        """The set whose check is prepared."""
        return None if self._ahead is None else self._ahead.path

    @property
    def may_prepare(self) -> bool:
        """Whether the worker has nothing to do, and could be interrupted."""
        return self._job is None and self._ahead is None and _GIVE_UP is not None

    def hire(self) -> None:
        """Have a worker ready, if the system lets us: it takes half a second to load what it needs."""
        with suppress(OSError):
            if self._process_is_dead():
                self._hire()

    def prepare(self, job: Job) -> None:
        """Have a job worked out that may be given later, without anything being written before."""
        self._ahead, self._given_up = job, False
        self._send(Order(Do.PREPARE, job))

    def give_up(self) -> None:
        """What is prepared is not wanted any more."""
        if self._ahead is None or self._given_up:
            return
        self._given_up = True
        if self._process is not None and _GIVE_UP is not None:
            self._process.send_signal(_GIVE_UP)
        self._write(Order(Do.ABANDON))

    def give(self, job: Job, now_s: float) -> None:
        """Have a job done: published where it was prepared, else begun, at once or when the worker is free for it."""
        self._job, self._again, self._begun_s = job, False, now_s
        if self._ahead is None:
            self._send(Order(Do.CHECK, job))
        elif self._ahead == job and not self._given_up:
            self._ahead, self._at_work = None, job
            self._write(Order(Do.PUBLISH))
        else:
            self.give_up()

    def took(self, result: Result, now_s: float) -> Result | None:
        """The result of the job at hand; None where it is of none, or the worker died and it is tried once more."""
        job = self._job
        died = result.came is Came.BROKE_OFF and self._process_is_dead()
        if self._ahead is not None:
            self._ahead = None
            if job is not None:
                self._begun_s = now_s
                self._send(Order(Do.CHECK, job))
            return None
        if died and job is not None and not self._again:
            self._again, self._begun_s = True, now_s
            self._send(Order(Do.CHECK, job))
            return None
        self._job = None
        return result

    def end_if_it_hangs(self, now_s: float) -> None:
        """Kill a worker that takes far too long; its death is then heard as any other."""
        if self._job is not None and now_s - self._begun_s > LONGEST_CHECK_S and self._process is not None:
            self._again = True  # what hung once is not tried again
            _kill(self._process)

    def end(self) -> None:
        """End the worker and all that it started: first so that it removes its unfinished files, then for certain."""
        process, self._process = self._process, None
        self._job = self._ahead = None
        if process is None:
            return
        process.terminate()
        with suppress(subprocess.TimeoutExpired):
            process.wait(ENDING_S)
        _kill(process)
        process.wait()
        _close(process)

    def _process_is_dead(self) -> bool:
        return self._process is None or self._process.poll() is not None

    def _send(self, order: Order) -> None:
        assert order.job is not None  # it is answered
        try:
            if self._process_is_dead():
                self._hire()
        except OSError as error:
            trouble = broke_off(f"no process: {error.strerror}")
            self._heard(Result(order.job.path, Came.BROKE_OFF, trouble=trouble))
            return
        self._at_work = order.job
        self._write(order)

    def _write(self, order: Order) -> None:
        process = self._process
        assert process is not None and process.stdin is not None  # hired before, with a pipe
        with suppress(OSError):  # it retired or died meanwhile; its listener tells
            pickle.dump(order, process.stdin)
            process.stdin.flush()

    def _hire(self) -> None:
        if self._process is not None:
            _close(self._process)
        before = os.environ.get("PYTHONPATH")
        path = os.pathsep.join([str(_PACKAGE_LIES_IN), *([before] if before else [])])
        # -P: the folder that we were started in holds exports, not modules. A group of its own: Ctrl-C in the
        # terminal reaches the watch alone, and nothing of the worker outlives us.
        with _held_back(_GIVE_UP):
            self._process = subprocess.Popen(
                [sys.executable, "-P", "-W", "ignore", "-m", "labelcheck.watching.worker"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                start_new_session=True,
                env=with_one_thread(os.environ) | {"PYTHONPATH": path},
            )
        threading.Thread(target=self._listen, args=(self._process,), daemon=True, name="worker's results").start()

    def _listen(self, process: "subprocess.Popen[bytes]") -> None:
        assert process.stdout is not None  # it was asked for a pipe
        answered: Job | None = None
        while True:
            try:
                result = pickle.load(process.stdout)
            except Exception:  # half a result, or none: the worker is gone, whatever the reason
                break
            answered = self._at_work
            self._heard(result)
        status = process.wait()
        job = self._at_work
        # A worker that retires has answered its last job, whether or not the watch has taken the answer yet.
        if process is self._process and job is not None and job is not answered:
            self._heard(Result(job.path, Came.BROKE_OFF, trouble=broke_off(_how_it_ended(status))))


@contextmanager
def _held_back(number: signal.Signals | None) -> Iterator[None]:
    """A process that is begun meanwhile does not get the signal before it lets it through: it would end by it."""
    if number is None or sys.platform == "win32":
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {number})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _how_it_ended(status: int) -> str:
    if status == -int(getattr(signal, "SIGKILL", 9)):
        return "its process was killed, for want of memory perhaps"
    return f"its process ended with status {status}"


def _kill(process: "subprocess.Popen[bytes]") -> None:
    try:
        if hasattr(os, "killpg"):
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
    except (ProcessLookupError, PermissionError):  # all of them are gone
        return


def _close(process: "subprocess.Popen[bytes]") -> None:
    for stream in (process.stdin, process.stdout):
        if stream is not None:
            try:
                stream.close()
            except OSError:
                continue
