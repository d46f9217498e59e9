"""Does a watch keep up, lose nothing and survive? Each part drives `labelcheck watch` as a process of its own.

`python tests/benchmarks/watching.py PART…`, parts: `soak` (500 exports in random order of writes, with cut-short
states, renames and deletions; then every set must have the review of its last bytes), `latency` (from the last write
of an export to the new picture on the disk), `kill` (kill -9 at random moments, 100 times), `again` (what a change of
one legend costs beside the first check, in seconds of the processor). Without a part, all of them. Linux only.
"""

import argparse
import json
import os
import random
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:  # run as a script, only this folder is on the path
    sys.path.insert(0, str(ROOT))

from boards.synthetic import Recipe, write_synthetic  # noqa: E402  # needs the path set above
from labelcheck.board.opening import open_sets  # noqa: E402  # the same
from labelcheck.checking import check_path  # noqa: E402  # the same
from labelcheck.review.writing import write_review  # noqa: E402  # the same
from labelcheck.trade import together  # noqa: E402  # the same
from labelcheck.trade.errors import UnreadableSet  # noqa: E402  # the same
from labelcheck.trade.limits import limits_for  # noqa: E402  # the same
from labelcheck.trade.remembering import Memory  # noqa: E402  # the same
from tests.sets_made import a_set, artwork, word, write  # noqa: E402  # the same

REAL = ROOT.parent / "shared" / "real-boards"
QUIET_S = 0.2
SETTLED_S = 120.0
"""So long the watch may take to come to rest after the last export."""

Files = dict[str, str]


@contextmanager
def watching(folder: Path, quiet_s: float, log: Path) -> "Iterator[subprocess.Popen[bytes]]":
    """A watch of a folder, ended as by Ctrl-C."""
    process = start(folder, quiet_s, log)
    try:
        yield process
    finally:
        process.send_signal(signal.SIGINT)
        begun_s = time.monotonic()
        process.wait(20)
        print(f"  ended by Ctrl-C in {time.monotonic() - begun_s:.2f} s with status {process.returncode}")


def start(folder: Path, quiet_s: float, log: Path) -> "subprocess.Popen[bytes]":
    """A watch in a session of its own, so that it can be killed with all that it started."""
    command = [sys.executable, "-m", "labelcheck", "watch", str(folder), "--quiet-time", str(quiet_s)]
    with log.open("ab") as told:
        return subprocess.Popen(command, stdout=told, stderr=told, cwd=ROOT, start_new_session=True)


def children_of(pid: int) -> list[int]:
    """All processes below one, the worker and what it forked."""
    found = []
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        for child in map(int, task.read_text().split()):
            found += [child, *children_of(child)]
    return found


def resident_mb(pid: int) -> float:
    """Memory that a process holds now."""
    return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def wait_until(true: Callable[[], bool], deadline_s: float) -> bool:
    """Whether it became true in time."""
    until_s = time.monotonic() + deadline_s
    while time.monotonic() < until_s:
        if true():
            return True
        time.sleep(0.003)
    return False


# --- soak ---------------------------------------------------------------------------------------------------------


class Exports:
    """Sets in a drop folder, exported in all the ways that programs and people do."""

    def __init__(self, drop: Path, seed: int) -> None:
        self.drop, self.chance = drop, random.Random(seed)
        self.places = [drop / f"points {number}" for number in range(4)]
        self.places += [drop / "line" / "signal_Ä", drop / "b.zip"]
        self.counts: dict[str, int] = {}

    def one(self) -> None:
        """One export of one set."""
        place = self.chance.choice(self.places)
        ways = [self.plainly, self.renamed, self.anew, self.cut_short, self.touched, self.replaced, self.gone]
        way = self.zipped if place.suffix == ".zip" else self.chance.choice([self.plainly, *ways])
        self.counts[way.__name__] = self.counts.get(way.__name__, 0) + 1
        way(place)

    def files(self) -> Files:
        """A board that is one of many."""
        pen = self.chance.choice([0.08, 0.15, 0.18])
        x, y = self.chance.randint(3, 20), self.chance.randint(3, 14)
        return a_set(artwork("Legend,Top", pen, word(x, y, self.chance.choice([0.7, 1.5]))))

    def shuffled(self, files: Files) -> list[tuple[str, str]]:
        """Files in an order of writing."""
        return self.chance.sample(sorted(files.items()), len(files))

    def plainly(self, place: Path) -> None:
        """Every file is written over in pieces."""
        place.mkdir(parents=True, exist_ok=True)
        for name, text in self.shuffled(self.files()):
            with (place / name).open("w") as stream:
                for start in range(0, len(text), 400):
                    stream.write(text[start : start + 400])
                    stream.flush()
                    if self.chance.random() < 0.05:
                        time.sleep(0.01)

    def renamed(self, place: Path) -> None:
        """Every file is written under another name and moved into place."""
        place.mkdir(parents=True, exist_ok=True)
        for name, text in self.shuffled(self.files()):
            (place / f"{name}.part").write_text(text)
            os.replace(place / f"{name}.part", place / name)

    def anew(self, place: Path) -> None:
        """All files are deleted first."""
        for path in sorted(place.glob("*")):
            path.unlink()
        self.plainly(place)

    def cut_short(self, place: Path) -> None:
        """One file stays half written until the next export."""
        files = self.files()
        self.plainly(place)
        name = self.chance.choice(sorted(name for name in files if name.endswith("gbr")))
        text = files[name]
        place.mkdir(parents=True, exist_ok=True)
        (place / name).write_text(text[: self.chance.randint(0, len(text) - 5)])

    def touched(self, place: Path) -> None:
        """The same bytes with another time."""
        for path in sorted(place.glob("*")):
            os.utime(path)

    def replaced(self, place: Path) -> None:
        """The whole folder is another one."""
        fresh = self.drop.parent / "fresh"
        write(fresh, self.files())
        shutil.rmtree(place, ignore_errors=True)
        place.parent.mkdir(parents=True, exist_ok=True)
        os.rename(fresh, place)

    def gone(self, place: Path) -> None:
        """The set is deleted."""
        shutil.rmtree(place, ignore_errors=True)

    def zipped(self, place: Path) -> None:
        """A zip is copied in pieces."""
        whole = self.drop.parent / "whole.zip"
        with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, text in self.shuffled(self.files()):
                archive.writestr(name, text)
        data = whole.read_bytes()
        with place.open("wb") as stream:
            for start in range(0, len(data), 700):
                stream.write(data[start : start + 700])
                stream.flush()
                time.sleep(0.002)

    def stale(self) -> list[str]:
        """Sets that have not the review of their bytes."""
        return [place.name for place in self.places if place.exists() and not self._is_reviewed(place)]

    def _is_reviewed(self, place: Path) -> bool:
        try:
            (fab_set,) = open_sets(place)
        except UnreadableSet:
            return True  # an empty folder is no set
        try:
            record = json.loads((place.with_name(f"{place.stem}.review") / "record.json").read_bytes())
        except (OSError, ValueError):
            return False
        return bool(record["set"]["fingerprint"] == fab_set.fingerprint)


def soak(count: int, seed: int) -> bool:
    """Many exports with short pauses; whether every set ends with the review of its last bytes."""
    print(f"soak: {count} exports, seed {seed}")
    with tempfile.TemporaryDirectory() as folder:
        drop, log = Path(folder) / "drop", Path(folder) / "log"
        drop.mkdir()
        exports = Exports(drop, seed)
        held: list[float] = []
        with watching(drop, QUIET_S, log) as process:
            exports.plainly(exports.places[0])
            assert wait_until(lambda: not exports.stale(), SETTLED_S)
            before = _handles(process.pid)
            for number in range(count):
                exports.one()
                time.sleep(exports.chance.choice([0.0, 0.0, 0.05, 0.15, 0.5]))
                if number % 25 == 24:
                    held.append(sum(resident_mb(pid) for pid in [process.pid, *children_of(process.pid)[:1]]))
            settled = wait_until(lambda: not exports.stale(), SETTLED_S)
            time.sleep(1.0)
            after = _handles(process.pid)
            stale = exports.stale()
        told = log.read_text()
        checks = len(re.findall(r"^\d\d:\d\d:\d\d  .*(?:RELEASE|HOLD): (?!as reviewed)", told, re.MULTILINE))
        unchanged = told.count("its review is up to date")
        print(f"  {exports.counts}")
        print(f"  {checks} checks, {unchanged} found unchanged, stale at the end: {stale or 'none'}")
        print(f"  threads and handles before {before}, after {after}")
        print(f"  memory of watch and worker, MB: {' '.join(f'{mb:.0f}' for mb in held)}")
        if "broke off" in told or "Traceback" in told:
            print(told)
            return False
        return settled and not stale and after[0] == before[0] and after[1] <= before[1]


def _handles(pid: int) -> tuple[int, int]:
    """Threads and open files of a process."""
    return len(os.listdir(f"/proc/{pid}/task")), len(os.listdir(f"/proc/{pid}/fd"))


# --- latency ------------------------------------------------------------------------------------------------------


def latency(rounds: int, seed: int, labels: int) -> bool:
    """From the last write of an export to the new picture, for a board of 100 x 80 mm; and for one label alone."""
    quiet_s = 0.8
    print(f"latency: 100 x 80 mm, {labels} labels, seed {seed}, {rounds} exports, quiet time {quiet_s} s")
    with tempfile.TemporaryDirectory() as folder:
        board, sound = Path(folder) / "board", Path(folder) / "sound"
        write_synthetic(board, Recipe(seed=seed, labels=labels))
        for extra in board.glob("expected.json"):
            extra.unlink()
        write(sound, a_set())
        waits, processor_s = _waits(board, rounds, quiet_s)
        alone, _ = _waits(sound, rounds, quiet_s)
    median, worst = statistics.median(waits), max(waits)
    print(f"  last write to new picture: median {median:.2f} s, worst {worst:.2f} s (bound {quiet_s + 1:.1f} s)")
    print(f"  a check took {processor_s:.2f} s of the processor")
    share = f"median {statistics.median(alone) - quiet_s:.2f} s, worst {max(alone) - quiet_s:.2f} s"
    print(f"  a board of one label, less the quiet time: {share}; most of it is the watch's own")
    return worst < quiet_s + 1


def _waits(place: Path, rounds: int, quiet_s: float) -> tuple[list[float], float]:
    """Seconds from the last write of each export to the new picture, and of the processor for one of them."""
    picture = place.with_name(f"{place.name}.review") / "top.png"
    waits = []
    with watching(place, quiet_s, place.with_name("log")) as process:
        assert wait_until((picture.with_name("record.json")).exists, SETTLED_S)
        legend = next(path for path in sorted(place.glob("*.gbr")) if b"Legend,Top" in path.read_bytes())
        before_s = _processor_s(process.pid)
        for _ in range(rounds):
            time.sleep(0.3)
            before = picture.stat().st_ino
            legend.write_bytes(_one_stroke_moved(legend.read_bytes()))
            begun_s = time.monotonic()
            assert wait_until(lambda before=before: picture.stat().st_ino != before, SETTLED_S)
            waits.append(time.monotonic() - begun_s)
        time.sleep(0.3)
        return waits, (_processor_s(process.pid) - before_s) / rounds


def _processor_s(pid: int) -> float:
    """What a process, and all that it started, have used of the processor."""
    used = 0
    for one in [pid, *children_of(pid)]:
        used += sum(map(int, Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()[11:15]))
    return used / os.sysconf("SC_CLK_TCK")


def _one_stroke_moved(data: bytes) -> bytes:
    """A legend with the end of one stroke 2000 steps (0.002 mm in most formats) further right."""
    ends = list(re.finditer(rb"X(-?\d+)(?=(?:Y-?\d+)?D0?1\*)", data))
    middle = ends[len(ends) // 2]
    return data[: middle.start()] + b"X%d" % (int(middle[1]) + 2000) + data[middle.end() :]


# --- kill -9 ------------------------------------------------------------------------------------------------------


def kill(times: int, seed: int) -> bool:
    """Kill the watch and its worker at random moments after an export; whether every file is always whole.

    Every other time the moment is right after an unfinished file was seen, which is rare by chance alone.
    """
    print(f"kill -9: {times} times, seed {seed}")
    chance, halves, left_over, mid_write, unreviewed = random.Random(seed), 0, 0, 0, 0
    with tempfile.TemporaryDirectory() as folder:
        drop, log = Path(folder) / "drop", Path(folder) / "log"
        drop.mkdir()
        exports = Exports(drop, seed)
        for number in range(times):
            exports.plainly(exports.places[0])
            process = start(drop, 0.05, log)
            if number % 2:
                known = left_over
                wait_until(lambda known=known: len(list(drop.rglob("*.unfinished"))) > known, 10)
            else:
                time.sleep(chance.uniform(0.5, 3.0))
            victims = [process.pid, *children_of(process.pid)]
            chance.shuffle(victims)
            for pid in victims:
                try:
                    os.kill(pid, signal.SIGKILL)
                except ProcessLookupError:
                    continue
            process.wait()
            halves += sum(not _is_whole(path) for path in drop.rglob("*.review/*") if not path.name.startswith("."))
            unfinished = len(list(drop.rglob("*.unfinished")))
            mid_write += unfinished != left_over
            left_over = unfinished
            unreviewed += bool(exports.stale())
        with watching(drop, 0.05, log):
            repaired = wait_until(lambda: not exports.stale(), SETTLED_S)
    print(f"  half files: {halves}; killed while files were written: {mid_write}, before the review: {unreviewed}")
    print(f"  repaired by the next start: {repaired}")
    return halves == 0 and repaired


def _is_whole(path: Path) -> bool:
    try:
        if path.suffix == ".png":
            with Image.open(path) as picture:
                picture.load()
        elif path.suffix == ".json":
            json.loads(path.read_bytes())
        elif path.suffix == ".html":
            return path.read_text(encoding="utf-8").rstrip().endswith("</html>")
    except (OSError, ValueError, SyntaxError):
        return False
    return True


# --- only what changed --------------------------------------------------------------------------------------------


def again() -> bool:
    """What a change of one legend costs beside the first check, on one core."""
    together._can_split = lambda: False  # all work in this process, so that its seconds count
    print("again: seconds of the processor for the check and its files, on one core")
    same = True
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "100 x 80 mm, 400 labels"
        write_synthetic(made, Recipe(seed=5, labels=400))
        (made / "expected.json").unlink(missing_ok=True)
        same &= _change_of_legends(made, "*legend-top*")
    for name, pattern in (("a64-sbc", "*SilkS.gbr"), ("video-itx", "*SilkS*"), ("isa-sound", "*ilk*")):
        if not (REAL / name).is_dir():
            print(f"  {name}: left out, the real sets do not lie beside the project")
            continue
        with tempfile.TemporaryDirectory() as folder:
            place = Path(folder) / name
            shutil.copytree(REAL / name, place)
            same &= _change_of_legends(place, pattern)
    return same


def _change_of_legends(place: Path, pattern: str) -> bool:
    """Check a set, then each of its legends with one stroke moved; whether the records are those of checks anew."""
    same, memory = True, Memory()
    first_s, _ = _timed(place, memory)
    unchanged_s, _ = _timed(place, memory)
    held = f"held {memory.held_bytes / 1e6:.0f} MB"
    print(f"  {place.name}: first {first_s:.2f} s, the same bytes {unchanged_s:.2f} s, {held}")
    for legend in sorted(place.glob(pattern)):
        legend.write_bytes(_one_stroke_moved(legend.read_bytes()))
        changed_s, record = _timed(place, memory)
        fresh_s, fresh = _timed(place, Memory())
        same &= record == fresh
        told = "the same record" if record == fresh else "ANOTHER RECORD"
        share = f"{changed_s / fresh_s:.2f} of a check anew"
        print(f"    {legend.name} changed: {changed_s:.2f} s, {share}; {told}")
    return same


def _timed(place: Path, memory: Memory) -> tuple[float, bytes]:
    begun_s = time.process_time()
    out = place.with_name("out")
    with memory.in_use():
        for checked in check_path(place, limits_for(), datetime(2026, 1, 31, tzinfo=UTC)):
            write_review(out, checked.review, checked.board)
    return time.process_time() - begun_s, (out / "record.json").read_bytes()


def main() -> int:
    """Run the parts asked for; 1 where one of them falls short."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("parts", nargs="*", metavar="PART", help="soak, latency, kill, again (default: all)")
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--exports", type=int, default=500)
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--labels", type=int, default=400)
    chosen = parser.parse_args()
    parts = {
        "soak": lambda: soak(chosen.exports, chosen.seed),
        "latency": lambda: latency(chosen.rounds, chosen.seed, chosen.labels),
        "kill": lambda: kill(chosen.kills, chosen.seed),
        "again": again,
    }
    held = [parts[name]() for name in chosen.parts or parts]
    return 0 if all(held) else 1


if __name__ == "__main__":
    sys.exit(main())
