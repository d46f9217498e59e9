"""How long does a whole check take, and how much memory? Each case in a process of its own.

`python tests/benchmarks/whole_check.py` prints, for random boards of stated size and for the real sets where they lie
beside the project: seconds from the end of start-up to the written review, seconds of start-up (imports), seconds of
the processor, peak memory. The yardstick in the same run is what a reading library of general purpose (gerbonara)
takes to merely open the legends of the same set.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from labelcheck.trade.threads import with_one_thread

ROOT = Path(__file__).resolve().parents[2]
REAL = ROOT.parent / "shared" / "real-boards"

CASES = {
    "100 x 80 mm, 400 labels": {"labels": 400},
    "100 x 80 mm, 100 labels": {"labels": 100},
    "400 x 300 mm, 1600 labels": {"labels": 1600, "width_mm": 400.0, "height_mm": 300.0},
    "400 x 300 mm, 6400 labels": {"labels": 6400, "width_mm": 400.0, "height_mm": 300.0},
}
REAL_CASES = ("isa-sound", "a64-sbc", "video-itx", "rotary-breakout")

ONE_CHECK = """
import resource, sys, time
begun = time.perf_counter()
from datetime import UTC, datetime
from pathlib import Path
from labelcheck.checking import check_path
from labelcheck.review.writing import write_review
from labelcheck.trade.limits import limits_for
import json
started = time.perf_counter()
labels = 0
for checked in check_path(Path(sys.argv[1]), limits_for(), datetime.now(UTC)):
    write_review(Path(sys.argv[2]) / checked.review.set_name, checked.review, checked.board)
    labels += len(checked.review.labels)
ended = time.perf_counter()
usage = resource.getrusage(resource.RUSAGE_SELF)
print(json.dumps({
    "start": started - begun, "check": ended - started, "processor": usage.ru_utime + usage.ru_stime,
    "memory_mb": usage.ru_maxrss / 1024, "labels": labels,
}))
"""

ONE_READING = """
import sys, time, warnings
from gerbonara import GerberFile
warnings.simplefilter("ignore")
begun = time.perf_counter()
for path in sys.argv[1:]:
    GerberFile.open(path)
print(time.perf_counter() - begun)
"""


def run(program: str, *arguments: str) -> str:
    """What a program prints, run by a fresh interpreter."""
    command = [sys.executable, "-W", "ignore", "-c", program, *arguments]
    environment = with_one_thread(os.environ)  # as the command does
    return subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT, env=environment).stdout


def measure(name: str, place: Path, repeats: int) -> None:
    """Check one set several times and print the best of them."""
    results = []
    for _ in range(repeats):
        with tempfile.TemporaryDirectory() as out:
            results.append(json.loads(run(ONE_CHECK, str(place), out)))
    best = min(results, key=lambda result: result["check"])
    legends = [
        str(path)
        for path in sorted(place.iterdir())
        if any(word in path.name.lower() for word in ("legend-", "silk", ".gto", ".gbo", "overlay"))
    ]
    try:
        reading = float(run(ONE_READING, *legends))
        ratio = f"{best['check'] / reading:6.2f}"
    except (subprocess.CalledProcessError, ZeroDivisionError):
        ratio = "     -"
    print(
        f"{name:28} {best['labels']:6} {best['start']:7.2f} {best['check']:7.2f} {best['processor']:7.2f} "
        f"{best['memory_mb']:7.0f} {ratio}"
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--repeats", type=int, default=3)
    parser.add_argument("--quick", action="store_true", help="leave out the large panels")
    chosen = parser.parse_args()
    print(f"{'case':28} {'labels':>6} {'start s':>7} {'check s':>7} {'cpu s':>7} {'MB':>7} {'of reading':>6}")
    for name, size in CASES.items():
        if chosen.quick and size["labels"] > 400:
            continue
        with tempfile.TemporaryDirectory() as folder:
            place = Path(folder) / "board"
            arguments = ", ".join(f"{key}={value}" for key, value in size.items())
            recipe = f"Recipe(seed=1, {arguments})"
            run(f"from boards.synthetic import *; write_synthetic(Path({str(place)!r}), {recipe})")
            measure(name, place, 1 if size["labels"] > 400 else chosen.repeats)
    for name in REAL_CASES:
        if (REAL / name).is_dir():
            measure(name, REAL / name, chosen.repeats)
        else:
            print(f"{name:28} left out: the real sets do not lie beside the project")


if __name__ == "__main__":
    main()
