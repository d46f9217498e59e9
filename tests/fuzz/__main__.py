"""Damage files of every format and see that they are borne: `python -m tests.fuzz --count 20000 artwork`.

Prints one row a kind: files tried, read, refused with a clear error, failures (a traceback, a hang, too much memory,
a release of what was not read whole). `--again KIND NUMBER` makes one case again, shrinks it and prints it.
"""

import argparse
import sys
import time
from pathlib import Path

from .damaged_sets import run_sets
from .running import HEADING, Outcome, damaged, run, shrunk, told
from .targets import TARGETS
from .watched import run_watched

KINDS = (*TARGETS, "set", "watch")


def main() -> int:
    """Run what was asked for; 1 where anything failed."""
    asked = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    asked.add_argument("kinds", nargs="*", metavar="KIND", help=f"of {', '.join(KINDS)}; all where none is named")
    asked.add_argument("--count", type=int, default=500, help="files of each kind")
    asked.add_argument("--first", type=int, default=0, help="number of the first file")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--again", nargs=2, metavar=("KIND", "NUMBER"), help="make one case again and shrink it")
    asked.add_argument("--only", metavar="DAMAGE", help="for sets: one way of damage")
    asked.add_argument("--to", type=Path, help="write the case made again into this file")
    chosen = asked.parse_args()
    if chosen.again:
        return _again(chosen)
    print(HEADING)
    failures = []
    for kind in chosen.kinds or KINDS:
        started = time.monotonic()
        numbers = range(chosen.first, chosen.first + chosen.count)
        outcome = _outcome(kind, chosen, numbers)
        print(outcome.table_row(time.monotonic() - started), flush=True)
        failures += outcome.failures
    for line in told(failures):
        print(line)
    return 1 if failures else 0


def _outcome(kind: str, chosen: argparse.Namespace, numbers: range) -> Outcome:
    if kind == "set":
        return run_sets(chosen.seed, numbers, chosen.only)
    return run_watched(chosen.seed, numbers) if kind == "watch" else run(kind, chosen.seed, numbers)


def _again(chosen: argparse.Namespace) -> int:
    kind, number = chosen.again[0], int(chosen.again[1])
    if kind not in TARGETS:  # what many files and their order make cannot be shrunk: it is only done again
        failures = _outcome(kind, chosen, range(number, number + 1)).failures
        print("\n".join(told(failures)))
        return 1 if failures else 0
    data = shrunk(kind, damaged(kind, chosen.seed, number))
    print(data)
    if chosen.to is not None:
        chosen.to.write_bytes(data)
    return 0


if __name__ == "__main__":
    sys.exit(main())
