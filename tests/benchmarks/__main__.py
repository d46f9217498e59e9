"""All benchmarks by one command: `python -m tests.benchmarks [NAME …]`.

Without a name, the parts of the table of speed: reading, raster, check, panel, growth, steps. Each other benchmark of
this folder (cures, planted_faults, …) prints a table of its own and takes minutes: it runs when it is named.
"""

import argparse
import os
import platform
import runpy
import sys
from datetime import UTC, datetime
from pathlib import Path

from tests.benchmarks.speed import HEADING, PARTS

FOLDER = Path(__file__).parent
OTHERS = sorted(
    path.stem
    for path in FOLDER.glob("*.py")
    if "__main__" in path.read_text(encoding="utf-8") and not path.stem.startswith("_")
)


def main() -> int:
    """Print the table of the parts asked for; then run the other benchmarks that were named."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join([*PARTS, *OTHERS])}")
    parser.add_argument("--repeats", type=int, default=3, help="runs of each, of which the quickest counts")
    chosen = parser.parse_args()
    unknown = [name for name in chosen.names if name not in (*PARTS, *OTHERS)]
    if unknown:
        parser.error(f"there is no benchmark {unknown[0]}; there are {', '.join([*PARTS, *OTHERS])}")
    parts = [name for name in PARTS if name in chosen.names or not chosen.names]
    if parts:
        print(f"{datetime.now(UTC):%Y-%m-%d}, {_machine()}; the quickest of {chosen.repeats}\n")
        print(HEADING, flush=True)
    for name in parts:
        for row in PARTS[name](chosen.repeats):
            print(row.line(), flush=True)
    for name in chosen.names:
        if name in OTHERS:
            sys.argv = [name]
            runpy.run_path(str(FOLDER / f"{name}.py"), run_name="__main__")
    return 0


def _machine() -> str:
    """What kind of machine this is, as far as it matters, and how busy others keep it."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    busy = f", load before the run {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return f"{platform.machine()}, {cores} cores, Python {platform.python_version()}{busy}"


if __name__ == "__main__":
    sys.exit(main())
