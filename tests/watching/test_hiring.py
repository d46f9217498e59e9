"""The worker is a process that may die: its job is tried once more, then told; and none outlives the watch."""

import json
import os
import queue
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from labelcheck.board.opening import open_sets
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


def review_of(place: Path) -> str:
    return json.loads((place.with_name(f"{place.name}.review") / "record.json").read_bytes())["set"]["fingerprint"]


def fingerprint(place: Path) -> str:
    return open_sets(place)[0].fingerprint


def test_what_is_prepared_is_written_when_it_is_given_and_not_before(tmp_path) -> None:
    heard: queue.SimpleQueue[Result] = queue.SimpleQueue()
    hired, ahead = Hired(heard.put), job(tmp_path)
    try:
        hired.prepare(ahead)
        assert hired.free and not hired.may_prepare
        with pytest.raises(queue.Empty):
            heard.get(timeout=2.0)
        assert not ahead.folder.exists(), "nothing is written ahead"
        hired.give(job(tmp_path), 0.0)
        done = hired.took(heard.get(timeout=DEADLINE_S), 1.0)
        assert done is not None and done.came is Came.CHECKED
        assert review_of(ahead.path) == fingerprint(ahead.path)
        # What is current is not told ahead either.
        hired.prepare(ahead)
        with pytest.raises(queue.Empty):
            heard.get(timeout=0.3)
        hired.give(ahead, 2.0)
        assert heard.get(timeout=DEADLINE_S).came is Came.CURRENT
    finally:
        hired.end()


def test_bytes_that_changed_since_are_never_published(tmp_path) -> None:
    """Not even where the file's size and times tell nothing of it, as on drives whose clock ticks slowly."""
    heard: queue.SimpleQueue[Result] = queue.SimpleQueue()
    hired, ahead = Hired(heard.put), job(tmp_path)
    legend = ahead.path / "crossing-legend-top.gbr"
    try:
        for number in range(5):
            legend.write_bytes(re.sub(rb"C,0\.\d\d", b"C,0.%d" % (20 + number), legend.read_bytes()))
            hired.prepare(ahead)
            # At any moment of the work, and when it waits.
            time.sleep(0.1 * number)
            times = legend.stat()
            legend.write_bytes(re.sub(rb"C,0\.\d\d", b"C,0.%d" % (30 + number), legend.read_bytes()))
            os.utime(legend, ns=(times.st_atime_ns, times.st_mtime_ns))
            hired.give(ahead, 0.0)
            done = hired.took(heard.get(timeout=DEADLINE_S), 1.0)
            assert done is not None and done.came is Came.CHECKED
            assert done.boards[0].fingerprint == review_of(ahead.path) == fingerprint(ahead.path)
        hired.prepare(ahead)
        legend.unlink()
        hired.give(ahead, 0.0)
        assert heard.get(timeout=DEADLINE_S).boards[0].verdict == "hold"
    finally:
        hired.end()


def test_what_is_prepared_is_given_up_for_another_job(tmp_path) -> None:
    heard: queue.SimpleQueue[Result] = queue.SimpleQueue()
    hired, ahead = Hired(heard.put), job(tmp_path)
    other = Job(write(tmp_path / "b", a_set()), tmp_path / "b.review", None, NOTHING_ASKED)
    try:
        # At any moment of its start, its work, and when it waits.
        for pause_s in (0.0, 0.0, 0.05, 0.1, 0.2, 0.4, 1.5):
            hired.prepare(ahead)
            time.sleep(pause_s)
            if pause_s < 0.2:
                hired.give_up()
            hired.give(other, 0.0)
            assert hired.took(heard.get(timeout=DEADLINE_S), 1.0) is None, "of what was given up nothing is told"
            done = hired.took(heard.get(timeout=DEADLINE_S), 2.0)
            assert done is not None and done.path == other.path
            assert hired.free and hired.may_prepare
            assert len(workers()) == 1, "it was not ended by the signal"
        assert not ahead.folder.exists()
        assert review_of(other.path) == fingerprint(other.path)
    finally:
        hired.end()


def test_a_worker_that_dies_of_what_it_prepares_is_replaced(tmp_path) -> None:
    heard: queue.SimpleQueue[Result] = queue.SimpleQueue()
    hired, ahead = Hired(heard.put), job(tmp_path)
    try:
        hired.prepare(ahead)
        os.kill(the_worker(), signal.SIGKILL)
        assert hired.took(heard.get(timeout=DEADLINE_S), 1.0) is None
        assert hired.may_prepare
        hired.prepare(ahead)
        os.kill(the_worker(), signal.SIGKILL)
        hired.give(ahead, 2.0)
        told = [heard.get(timeout=DEADLINE_S)]
        assert hired.took(told[0], 3.0) is None, "it is tried once more"
        assert heard.get(timeout=DEADLINE_S).came is Came.CHECKED
    finally:
        hired.end()


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
