"""What is measured for the one table of speed; where there is a reference, it runs in the same run.

Every measurement runs in a fresh interpreter, the quickest of several counts: other work on the machine can only
make a run slower. Seconds are those on the wall; `cpu` are seconds of the processor, of all processes together.
"""

import json
import math
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from labelcheck.trade.threads import with_one_thread

ROOT = Path(__file__).resolve().parents[2]
REAL = ROOT.parent / "shared" / "real-boards"
LARGE_BYTES = 300_000


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table."""

    what: str
    took: str
    cpu_s: float | None = None
    memory_mb: float | None = None
    reference: str = ""
    ratio: str = ""
    goal: str = ""

    def line(self) -> str:
        """As it stands in the table."""
        cpu = "" if self.cpu_s is None else f"{self.cpu_s:.2f} s"
        memory = "" if self.memory_mb is None else f"{self.memory_mb:.0f} MB"
        return f"| {self.what} | {self.took} | {cpu} | {memory} | {self.reference} | {self.ratio} | {self.goal} |"


HEADING = "| what | took | cpu | memory | reference in the same run | ratio | goal |\n|---|---|---|---|---|---|---|"

CHECK = """
import json, os, sys, time
begun = time.perf_counter()
from datetime import UTC, datetime
from pathlib import Path
from labelcheck.checking import check_path
from labelcheck.review.writing import write_review
from labelcheck.trade.limits import limits_for
started = time.perf_counter()
labels = 0
for checked in check_path(Path(sys.argv[1]), limits_for(), datetime.now(UTC)):
    write_review(Path(sys.argv[2]), checked.review, checked.board)
    labels += len(checked.review.labels)
ended, spent = time.perf_counter(), os.times()
import resource
peaks = [resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
print(json.dumps({
    "start_s": started - begun, "check_s": ended - started, "labels": labels, "memory_mb": max(peaks) / 1024,
    "cpu_s": spent.user + spent.system + spent.children_user + spent.children_system,
}))
"""

AGAIN = """
import json, sys, time
from datetime import UTC, datetime
from pathlib import Path
from labelcheck.checking import check_path
from labelcheck.review.writing import write_review
from labelcheck.trade.limits import limits_for
from labelcheck.trade.remembering import Memory
from tests.benchmarks.watching import _one_stroke_moved
place, memory, took = Path(sys.argv[1]), Memory(), []
legend = next(path for path in sorted(place.glob("*.gbr")) if b"Legend,Top" in path.read_bytes())
for _ in range(4):
    begun = time.perf_counter()
    with memory.in_use():
        for checked in check_path(place, limits_for(), datetime.now(UTC)):
            write_review(Path(sys.argv[2]), checked.review, checked.board)
    took.append(time.perf_counter() - begun)
    legend.write_bytes(_one_stroke_moved(legend.read_bytes()))
print(json.dumps({"first_s": took[0], "again_s": min(took[1:])}))
"""

REFERENCE = """
import json, sys, time, warnings
warnings.simplefilter("ignore")
from gerbonara import GerberFile
begun = time.process_time()
for path in sys.argv[1:]:
    GerberFile.open(path)
print(json.dumps({"cpu_s": time.process_time() - begun}))
"""

BARE_START = """
import json, time
begun = time.perf_counter()
import numpy, shapely, PIL.Image
print(json.dumps({"start_s": time.perf_counter() - begun}))
"""

STEPS = """
import json, sys
from datetime import UTC, datetime
from pathlib import Path
from tests.benchmarks.steps import Shares
import labelcheck.checking, labelcheck.review.writing
from labelcheck.trade.limits import limits_for
shares = Shares()
shares.watch()
(fab_set,) = labelcheck.checking.open_sets(Path(sys.argv[1]))
checked = labelcheck.checking.check_set(fab_set, limits_for(), datetime.now(UTC))
labelcheck.review.writing.write_review(Path(sys.argv[2]), checked.review, checked.board)
print(json.dumps(dict(shares.seconds)))
"""


def run(program: str, *arguments: str) -> dict[str, Any]:
    """What a program measured, run by a fresh interpreter, with one thread for linear algebra as the command has."""
    command = [sys.executable, "-W", "ignore", "-c", program, *arguments]
    environment = with_one_thread(os.environ)
    done = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True, cwd=ROOT, env=environment)
    return json.loads(done.stdout.splitlines()[-1])  # type: ignore[no-any-return]  # as the programs above print it


@contextmanager
def board(**recipe: float | str) -> Iterator[tuple[str, Callable[[], str]]]:
    """A random board on the disk, and what gives a fresh folder for its review."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "board"
        wanted = ", ".join(f"{key}={value}" for key, value in recipe.items())
        make = f"write_synthetic(Path({str(place)!r}), Recipe(seed=1, {wanted}))"
        names = "from boards.synthetic import Recipe, write_synthetic\nfrom boards.tiles import HOUSE_STYLE"
        run(f"from pathlib import Path\n{names}\n{make}\nprint(1)")
        yield str(place), lambda: tempfile.mkdtemp(dir=folder)


def legends_of(place: Path) -> list[str]:
    """The legend files of a set, by their names."""
    words = ("legend-", "silk", ".gto", ".gbo", "overlay")
    return [str(path) for path in sorted(place.iterdir()) if any(word in path.name.lower() for word in words)]


def best(repeats: int, program: str, place: str, out: Callable[[], str], by: str) -> dict[str, Any]:
    """The quickest of several runs."""
    return min((run(program, place, out()) for _ in range(repeats)), key=lambda told: told[by])


def check(repeats: int) -> Iterator[Row]:
    """A whole check of 100 x 80 mm with 400 labels, from files to pictures, and the start before it."""
    with board(labels=400, variety="HOUSE_STYLE") as (place, out):
        told = best(repeats, CHECK, place, out, "check_s")
        reading_s = min(run(REFERENCE, *legends_of(Path(place)))["cpu_s"] for _ in range(repeats))
        bare_s = min(run(BARE_START)["start_s"] for _ in range(repeats))
        again = best(repeats, AGAIN, place, out, "again_s")
    yield Row(
        f"whole check, 100 x 80 mm, {told['labels']} labels", f"{told['check_s']:.2f} s", told["cpu_s"],
        told["memory_mb"], f"gerbonara opens its legends: {reading_s:.2f} s cpu",
        f"{told['check_s'] / reading_s:.1f} times that", "0.7 s",
    )  # fmt: skip
    cold_s = told["start_s"] + told["check_s"]
    yield Row(
        "the same, start of the program included", f"{cold_s:.2f} s",
        reference=f"numpy, shapely, pillow imported: {bare_s:.2f} s",
        ratio=f"start {told['start_s'] / bare_s:.1f} times that", goal="1.3 s",
    )  # fmt: skip
    yield Row(
        "again in a watch, one legend changed", f"{again['again_s']:.2f} s",
        reference=f"the first check: {again['first_s']:.2f} s",
        ratio=f"{again['again_s'] / again['first_s']:.2f} of it", goal="0.35 s",
    )  # fmt: skip
    with board(labels=400) as (place, out):
        told = best(repeats, CHECK, place, out, "check_s")
    yield Row(
        "400 labels, each drawn in a way of its own", f"{told['check_s']:.2f} s", told["cpu_s"], told["memory_mb"]
    )


def panel(_repeats: int) -> Iterator[Row]:
    """The largest panel."""
    size = {"labels": 6400, "width_mm": 400.0, "height_mm": 300.0}
    with board(**size) as (place, out):
        told = run(CHECK, place, out())
    yield Row(
        "panel, each label drawn in a way of its own", f"{told['check_s']:.1f} s", told["cpu_s"], told["memory_mb"]
    )
    with board(**size, variety="HOUSE_STYLE") as (place, out):
        told = run(CHECK, place, out())
        reading_s = run(REFERENCE, *legends_of(Path(place)))["cpu_s"]
    yield Row(
        f"panel, 400 x 300 mm, {told['labels']} labels", f"{told['check_s']:.1f} s", told["cpu_s"],
        told["memory_mb"], f"gerbonara opens its legends: {reading_s:.1f} s cpu",
        f"{told['check_s'] / reading_s:.1f} times that", "8 s, 700 MB",
    )  # fmt: skip


def growth(repeats: int) -> Iterator[Row]:
    """How the seconds grow with the labels; strokes grow with them."""
    sizes, cpu_s = (100, 400, 1600, 6400), []
    for labels in sizes:
        with board(labels=labels, width_mm=400.0, height_mm=300.0) as (place, out):
            cpu_s.append(best(1 if labels > 1600 else repeats, CHECK, place, out, "cpu_s")["cpu_s"])
    steps = [math.log(after / before) / math.log(4) for before, after in pairwise(cpu_s)]
    told = ", ".join(f"{labels}: {seconds:.2f} s" for labels, seconds in zip(sizes, cpu_s, strict=True))
    yield Row(
        "growth with labels and strokes", f"exponent {max(steps):.2f} at most", cpu_s[-1], None, told,
        " ".join(f"{step:.2f}" for step in steps), "1.1",
    )  # fmt: skip


def reading(repeats: int) -> Iterator[Row]:
    """Reading of legends against a reading library of general purpose, in turns in one process."""
    program = """
import json, sys
from pathlib import Path
from tests.benchmarks.reading_artwork import best_ms, parse
from labelcheck.formats.gerber.reading import read_artwork
data = Path(sys.argv[1]).read_bytes()
text = data.decode("utf-8", "replace")
try:
    parse(text)
except Exception:
    print("null")
else:
    print(json.dumps(best_ms([lambda: read_artwork("x.gbr", data), lambda: parse(text)], int(sys.argv[2]))))
"""
    # Sets of the project itself where the real ones are not there.
    folders = sorted(REAL.iterdir()) if REAL.is_dir() else []
    files = [file for folder in folders if folder.is_dir() for file in legends_of(folder)]
    large = [file for file in files if Path(file).is_file() and Path(file).stat().st_size >= LARGE_BYTES]
    pairs = [pair for file in large if isinstance(pair := run(program, file, str(repeats)), list)]
    if not pairs:
        with board(labels=1600, width_mm=200.0, height_mm=160.0) as (place, _):
            pairs = [run(program, file, str(repeats)) for file in legends_of(Path(place))]
    ratios = [theirs / ours for ours, theirs in pairs]
    ours_ms, theirs_ms = (sum(times) for times in zip(*pairs, strict=True))
    yield Row(
        f"reading {len(pairs)} large legends", f"{ours_ms:.0f} ms", ours_ms / 1e3, None,
        f"gerbonara: {theirs_ms:.0f} ms cpu", f"{min(ratios):.1f} to {max(ratios):.1f} times as fast", "12 times",
    )  # fmt: skip


def raster(repeats: int) -> Iterator[Row]:
    """Shapes into rows of runs, against an exact vector union and painted polygons."""
    program = """
import json
from tests.benchmarks.rasterising import *
shapes = lettering(8000, 100, 80)
polygons = outlines(shapes)
print(json.dumps([
    seconds(lambda: render(shapes, PITCH), 5), seconds(lambda: shapely.union_all(outlines(shapes)), 1),
    seconds(lambda: pillow_picture(polygons, PITCH), 1),
]))
"""
    ours_s, union_s, painted_s = map(min, zip(*(run(program) for _ in range(repeats)), strict=True))
    yield Row(
        "8000 strokes into rows of runs of 0.01 mm", f"{ours_s * 1e3:.0f} ms", ours_s, None,
        f"shapely union: {union_s * 1e3:.0f} ms, pillow polygons: {painted_s * 1e3:.0f} ms",
        f"{union_s / ours_s:.0f} and {painted_s / ours_s:.1f} times as fast",
    )  # fmt: skip


def steps(repeats: int) -> Iterator[Row]:
    """The share of each step of a check, on one core, without the start of the program."""
    with board(labels=400) as (place, out):
        told = min((run(STEPS, place, out()) for _ in range(repeats)), key=lambda shares: sum(shares.values()))
    whole_s = sum(told.values())
    for step, cpu_s in sorted(told.items(), key=lambda one: -one[1]):
        yield Row(f"step of a check: {step}", f"{cpu_s * 1e3:.0f} ms", cpu_s, ratio=f"{cpu_s / whole_s:.0%} of it")


PARTS: dict[str, Callable[[int], Iterator[Row]]] = {
    "reading": reading,
    "raster": raster,
    "check": check,
    "panel": panel,
    "growth": growth,
    "steps": steps,
}
