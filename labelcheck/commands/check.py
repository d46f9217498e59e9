"""`labelcheck check SET…`: check fab sets, write a review of each, print a summary."""

import argparse
import shutil
import sys
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

from labelcheck.board.fab_set import FabSet
from labelcheck.board.limits_beside import limits_file_of
from labelcheck.board.opening import open_sets
from labelcheck.checking import check_set
from labelcheck.commands import a_path, add_limits, file_or_pipe, limits_for_path, print_for_a_program
from labelcheck.review.contents import Verdict
from labelcheck.review.progress import Progress
from labelcheck.review.record import record_text
from labelcheck.review.results import results_text, run_of
from labelcheck.review.summary import TERMINAL_COLUMNS, BatchLine, Terminal, batch_end, summarise
from labelcheck.review.wording import printable
from labelcheck.review.writing import review_folder_for, write_record, write_review
from labelcheck.trade.errors import LabelcheckError, UnreadableSet, WrongArguments
from labelcheck.trade.file_systems import one_place
from labelcheck.trade.idle import IdleStatement, idle_on_all
from labelcheck.trade.limits import Limits
from labelcheck.trade.storage import without_collecting
from labelcheck.trade.together import in_turn
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
  labelcheck check rev-a/ rev-b/ --out reviews/ several sets, reviews side by side, a table at the end
  labelcheck check board/ --results a.sarif     findings for a build server, as SARIF 2.1.0
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
        description="Check fab sets: print a summary, and write SET.review/ beside each set with review.html,\n"
        "top.png, bottom.png and record.json.",
        epilog=EXAMPLES + STATUSES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    check.add_argument("sets", nargs="+", metavar="SET", type=a_path, help="a folder, a zip, or any file of a set")
    check.add_argument(
        "--out", type=a_path, metavar="FOLDER", help="put the review there (with several boards: a folder each in it)"
    )
    add_limits(check)
    check.add_argument(
        "--record",
        type=file_or_pipe,
        metavar="FILE",
        help="write the record there too (of several boards one after the other); - prints it and nothing else",
    )
    check.add_argument(
        "--results",
        type=file_or_pipe,
        metavar="FILE",
        help="write the findings for a build server there too (SARIF 2.1.0); - prints them and nothing else",
    )
    check.add_argument("--quiet", action="store_true", help="print one line a board")
    check.add_argument("--inch", action="store_true", help="show lengths in inches")
    check.set_defaults(run=run)


@dataclass(frozen=True, slots=True)
class _Told:
    """What one board has to say, ready to be printed in its turn."""

    line: BatchLine
    status: int
    printed: str = ""
    complaint: str = ""
    record: str = ""
    results: dict[str, Any] | None = None
    idle: tuple[Path | None, tuple[IdleStatement, ...]] = (None, ())
    """The limits file, and what of it fits nothing on this board."""


def run(chosen: argparse.Namespace) -> int:
    """Check each set; one that fails does not keep the others from a check, and the highest status counts."""
    if chosen.record == chosen.results == "-":
        raise WrongArguments("--record - and --results - both print. Give one of them a file.")
    printing = "-" not in (chosen.record, chosen.results)
    columns = shutil.get_terminal_size((TERMINAL_COLUMNS, 24)).columns
    progress = Progress(sys.stderr, columns)
    told: list[_Told] = []
    try:
        for one in in_turn(_works(chosen, progress, columns), progress.tell):
            told.append(one)
            progress.end(one.line.name)
            if one.complaint:
                complaint = "\n".join(printable(line) for line in one.complaint.split("\n"))
                print(f"labelcheck: {complaint}", file=sys.stderr)
            if one.printed and printing:
                print(one.printed, flush=True)
    finally:
        progress.clear()
    if printing and max(len(told), len(chosen.sets)) > 1 and not chosen.quiet:
        print(batch_end([one.line for one in told], Terminal(columns)))
    _tell_idle(told)
    records = [one.record for one in told if one.record]
    if records:
        _hand_over(chosen.record, records)
    _hand_over(chosen.results, [results_text([one.results for one in told if one.results is not None])])
    return max(one.status for one in told)


def _tell_idle(told: Sequence[_Told]) -> None:
    """What of a limits file fits nothing on any of several boards; of a single board its review tells."""
    by_file: dict[Path, list[tuple[IdleStatement, ...]]] = {}
    for one in told:
        file, idle = one.idle
        if file is not None:
            by_file.setdefault(file, []).append(idle)
    for file, boards in by_file.items():
        for statement in idle_on_all(boards):
            remark = statement.remark_of_many(len(boards)) if len(boards) > 1 else statement.remark()
            print(printable(f"labelcheck: {file.parent / str(remark)}"), file=sys.stderr)


def _hand_over(place: str | None, texts: list[str]) -> None:
    """Texts for a program, one after the other: to a file of that name, or printed where it is `-`."""
    if place == "-":
        print_for_a_program("".join(texts))
    elif place is not None:
        write_record(Path(place), texts)


def _works(chosen: argparse.Namespace, progress: Progress, columns: int) -> Iterator[Callable[[], _Told]]:
    """One work a board, in order; each set is opened only when its turn comes, and each folder is named here."""
    taken: set[str] = set()
    seen: set[tuple[Path, str]] = set()
    again = 0
    for path in chosen.sets:
        try:
            limits = limits_for_path(path, chosen)
            boards = open_sets(path)
        except Exception as failure:  # what went wrong with one set is told in its turn, and keeps no other back
            progress.begin(str(path))
            yield partial(_failed, str(path), failure, 0.0)
            continue
        for fab_set in boards:
            known_by = (Path(fab_set.path).resolve(), fab_set.name)
            if known_by in seen:
                again += 1
                continue
            seen.add(known_by)
            alone = len(chosen.sets) == 1 and len(boards) == 1
            folder = _unused(review_folder_for(path, fab_set.name, chosen.out, alone), taken)
            progress.begin(fab_set.name)
            progress.tell("reading and measuring") if alone else progress.tell()
            terminal = Terminal(columns, cautioned=not alone)
            file = chosen.limits or limits_file_of(path)
            yield partial(_check, _Task(fab_set, folder, limits, file, terminal, alone), chosen, progress)
    if again:
        progress.clear()
        names = "1 more argument names a set that is" if again == 1 else f"{again} more arguments name sets that are"
        print(f"labelcheck: {names} checked already; each set is checked once.", file=sys.stderr)


@dataclass(frozen=True, slots=True)
class _Task:
    """One board to be checked, and where its review goes."""

    fab_set: FabSet
    folder: Path
    limits: Limits
    limits_file: Path | None
    terminal: Terminal
    alone: bool
    """Whether it is the only board of the run."""


@without_collecting()
def _check(task: _Task, chosen: argparse.Namespace, progress: Progress) -> _Told:
    """Check one board and write its review; nothing is printed here, for this may run beside others."""
    begun_s = time.monotonic()
    unit: Unit = "inch" if chosen.inch else "mm"
    try:
        checked = check_set(task.fab_set, task.limits, datetime.now(UTC))
        review = checked.review.as_the_only_board() if task.alone else checked.review
        progress.tell("drawing")
        write_review(task.folder, review, checked.board, unit)
    except Exception as failure:  # a fault of ours in one set must neither release it nor stop others
        return _failed(task.fab_set.name, failure, time.monotonic() - begun_s)
    summary = summarise(review, unit, task.folder, chosen.quiet, task.terminal)
    return _Told(
        line=BatchLine(review.set_name, review, time.monotonic() - begun_s),
        status=HELD if review.verdict is Verdict.HOLD else RELEASED,
        printed=summary if chosen.quiet else f"{summary}\n",
        record=record_text(review),
        results=None if chosen.results is None else run_of(review),
        idle=(None, ()) if task.alone else (task.limits_file, review.idle),
    )


def _failed(name: str, failure: Exception, seconds: float) -> _Told:
    line = BatchLine(name, None, seconds)
    if isinstance(failure, LabelcheckError):
        return _Told(line, failure.exit_status, complaint=str(failure))
    return _Told(line, UnreadableSet.exit_status, complaint=f"{name}: {_fault_told(failure)}")


def _fault_told(fault: Exception) -> str:
    """A fault of the program for a person: what it was, where, and what to do."""
    place = traceback.extract_tb(fault.__traceback__)[-1]
    return (
        f"the check broke off ({type(fault).__name__}: {fault}; {Path(place.filename).name}:{place.lineno}). "
        "This is a fault of labelcheck, not of your files: nothing is released. Please report it with the set."
    )


def _unused(folder: Path, written: set[str]) -> Path:
    """The folder, with a number behind its name where an earlier set of this run has taken it."""
    number, free = 1, folder
    while one_place(free) in written:
        number += 1
        free = folder.with_name(f"{folder.stem}-{number}{folder.suffix}")
    written.add(one_place(free))
    return free
