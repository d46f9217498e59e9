"""The worker is a process that may die: its job is tried once more, then told; and none outlives the watch."""

import os
import queue
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from labelcheck.trade.in_force import NOTHING_ASKED
from labelcheck.watching.hiring import Hired
from labelcheck.watching.messages import Came, Job, Result
from tests.sets_made import a_set, write

ROOT = Path(__file__).resolve().parents[2]
DEADLINE_S = 30.0

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc to see which processes live")


def children_of(pid: int) -> list[int]:
    found = []
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        for child in map(int, task.read_text().split()):
            found += [child, *children_of(child)]
    return found


def is_worker(pid: int) -> bool:
    try:
        return b"labelcheck.watching.worker" in Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return False


def workers() -> list[int]:
    return [pid for pid in children_of(os.getpid()) if is_worker(pid)]


def the_worker() -> int:
    """The one that was hired just now; it takes a moment to become what it is."""
    until_s = time.monotonic() + DEADLINE_S
    while len(found := workers()) != 1:
        assert time.monotonic() < until_s, found
        time.sleep(0.005)
    return found[0]


def lives(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except OSError:
        return False


def wait_until_gone(pids: list[int]) -> None:
    until_s = time.monotonic() + DEADLINE_S
    while any(map(lives, pids)):
        assert time.monotonic() < until_s, f"still there: {pids}"
        time.sleep(0.01)


def job(tmp_path: Path) -> Job:
    return Job(write(tmp_path / "a", a_set()), tmp_path / "a.review", None, NOTHING_ASKED)


def test_a_worker_that_is_killed_is_replaced_and_its_job_done(tmp_path) -> None:
    heard: queue.SimpleQueue[Result] = queue.SimpleQueue()
    hired = Hired(heard.put)
    try:
        hired.give(job(tmp_path), 0.0)
        first = the_worker()
        os.kill(first, signal.SIGKILL)
        died = heard.get(timeout=DEADLINE_S)
        assert died.came is Came.BROKE_OFF
        assert hired.took(died, 1.0) is None, "it is tried once more"
        done = hired.took(heard.get(timeout=DEADLINE_S), 2.0)
        assert done is not None and done.came is Came.CHECKED
        assert hired.free and workers() != [first]
        hired.give(job(tmp_path), 3.0)
        assert heard.get(timeout=DEADLINE_S).came is Came.CURRENT
    finally:
        hired.end()
    assert workers() == []


def test_a_job_that_kills_its_worker_twice_is_told(tmp_path) -> None:
    heard: queue.SimpleQueue[Result] = queue.SimpleQueue()
    hired = Hired(heard.put)
    try:
        hired.give(job(tmp_path), 0.0)
        for round_ in range(2):
            worker = the_worker()
            os.kill(worker, signal.SIGKILL)
            told = hired.took(heard.get(timeout=DEADLINE_S), float(round_))
        assert told is not None and told.came is Came.BROKE_OFF
        assert "for want of memory perhaps" in (told.trouble or "")
        assert hired.free
    finally:
        hired.end()
    assert heard.empty()


def test_a_check_that_hangs_is_ended(tmp_path) -> None:
    heard: queue.SimpleQueue[Result] = queue.SimpleQueue()
    hired = Hired(heard.put)
    try:
        hired.give(job(tmp_path), 0.0)
        worker = the_worker()
        os.kill(worker, signal.SIGSTOP)
        hired.end_if_it_hangs(10_000.0)
        told = hired.took(heard.get(timeout=DEADLINE_S), 10_000.0)
        assert told is not None and told.came is Came.BROKE_OFF
    finally:
        hired.end()


def test_a_worker_without_a_watch_ends(tmp_path) -> None:
    """As when the watch is killed: the end of its jobs ends the worker."""
    worker = subprocess.Popen(
        [sys.executable, "-m", "labelcheck.watching.worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        cwd=ROOT,
    )
    assert worker.stdin is not None and worker.stdout is not None
    worker.stdin.close()
    assert worker.wait(DEADLINE_S) == 0
    worker.stdout.close()


def test_a_signal_ends_the_watch_with_whole_files_and_no_process_left(tmp_path) -> None:
    for name in "abcd":
        write(tmp_path / "drop" / name, a_set())
    watch = subprocess.Popen(
        [sys.executable, "-m", "labelcheck", "watch", str(tmp_path / "drop"), "--quiet-time", "0.1"],
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert watch.stdout is not None
    while "RELEASE" not in watch.stdout.readline():
        assert watch.poll() is None
    children = children_of(watch.pid)
    assert any(map(is_worker, children))
    watch.send_signal(signal.SIGTERM)
    assert watch.wait(DEADLINE_S) == 0
    watch.stdout.close()
    wait_until_gone(children)
    assert list((tmp_path / "drop").rglob("*.unfinished")) == []
    for record in (tmp_path / "drop").rglob("record.json"):
        assert record.read_text().endswith("}\n")
