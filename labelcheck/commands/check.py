"""`labelcheck check SET…`: check fab sets, write a review of each, print a summary."""

import argparse
import shutil
import sys
import traceback
from datetime import UTC, datetime
from pathlib import Path

from labelcheck.checking import Checked, check_path
from labelcheck.commands import add_limits, limits_for_path
from labelcheck.review.contents import Verdict
from labelcheck.review.record import record_text
from labelcheck.review.summary import TERMINAL_COLUMNS, Terminal, summarise
from labelcheck.review.writing import review_folder_for, write_record, write_review
from labelcheck.trade.errors import LabelcheckError, UnreadableSet
from labelcheck.trade.units import Unit

RELEASED, HELD = 0, 1
STATUSES = """\
exit status:
  0  release: no label was found unreadable
  1  hold: a label is unreadable, or a layer that matters was not read
  2  wrong arguments
  3  the set cannot be read
  4  the result cannot be written
With several sets the highest counts."""

EXAMPLES = """\
examples:
  labelcheck check turnout-driver/              a folder of exported files
  labelcheck check turnout-driver.zip           the zip that would be ordered
  labelcheck check out/board-F_Silkscreen.gbr   the set that this file belongs to
  labelcheck check rev-a/ rev-b/ --out reviews/ several sets, reviews side by side
  labelcheck check board/ --process inkjet --reading-distance 400
  labelcheck check board/ --limits house.toml   limits of your own; without it labelcheck.toml beside the set

A check is no certificate. Where a label concerns safety (polarity, voltage, fuses, mains), the product's own
standard, local codes and a licensed practitioner decide.

"""


def add_parser(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the command line."""
    check = commands.add_parser(
        "check",
        help="check fab sets and write a review of each",
        description="Check fab sets: print a summary, and write SET.review/ beside each set with record.json,\n"
        "top.png and bottom.png.",
        epilog=EXAMPLES + STATUSES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    check.add_argument("sets", nargs="+", metavar="SET", type=Path, help="a folder, a zip, or any file of a set")
    check.add_argument(
        "--out", type=Path, metavar="FOLDER", help="put the review there (with several boards: a folder each in it)"
    )
    add_limits(check)
    check.add_argument("--record", metavar="FILE", help="write the record there too; - prints it and nothing else")
    check.add_argument("--quiet", action="store_true", help="print one line a board")
    check.add_argument("--inch", action="store_true", help="show lengths in inches")
    check.set_defaults(run=run)


def run(chosen: argparse.Namespace) -> int:
    """Check each set; one that fails does not keep the others from a check, and the highest status counts."""
    status = RELEASED
    records: list[str] = []
    written: set[Path] = set()
    for path in chosen.sets:
        try:
            boards = check_path(path, limits_for_path(path, chosen), datetime.now(UTC))
            for checked in boards:
                alone = len(chosen.sets) == 1 and len(boards) == 1
                folder = _unused(review_folder_for(path, checked.review.set_name, chosen.out, alone), written)
                _tell(checked, folder, chosen)
                records.append(record_text(checked.review))
                status = max(status, HELD if checked.review.verdict is Verdict.HOLD else RELEASED)
        except LabelcheckError as error:
            print(f"labelcheck: {error}", file=sys.stderr)
            status = max(status, error.exit_status)
        except Exception as fault:  # a fault of ours in one set must neither release it nor stop others
            print(f"labelcheck: {path}: {_fault_told(fault)}", file=sys.stderr)
            status = max(status, UnreadableSet.exit_status)
    if chosen.record == "-":
        print("".join(records), end="")
    elif chosen.record is not None and records:
        write_record(Path(chosen.record), records)
    return status


def _fault_told(fault: Exception) -> str:
    """A fault of the program for a person: what it was, where, and what to do."""
    place = traceback.extract_tb(fault.__traceback__)[-1]
    return (
        f"the check broke off ({type(fault).__name__}: {fault}; {Path(place.filename).name}:{place.lineno}). "
        "This is a fault of labelcheck, not of your files: nothing is released. Please report it with the set."
    )


def _tell(checked: Checked, folder: Path, chosen: argparse.Namespace) -> None:
    """Write one review, then say what it found."""
    unit: Unit = "inch" if chosen.inch else "mm"
    write_review(folder, checked.review, checked.board, unit)
    if chosen.record == "-":
        return
    terminal = Terminal(columns=shutil.get_terminal_size((TERMINAL_COLUMNS, 24)).columns)
    print(summarise(checked.review, unit, folder, chosen.quiet, terminal))
    if not chosen.quiet:
        print()


def _unused(folder: Path, written: set[Path]) -> Path:
    """The folder, with a number behind its name where an earlier set of this run has taken it."""
    number, free = 1, folder
    while free in written:
        number += 1
        free = folder.with_name(f"{folder.name}-{number}")
    written.add(free)
    return free
