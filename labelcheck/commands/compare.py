"""`labelcheck compare OLD NEW`: what changed between two states of a board, and whether it got worse."""

import argparse
import json
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from labelcheck.board.board import Board
from labelcheck.board.opening import open_sets
from labelcheck.checking import check_set
from labelcheck.commands import a_path, add_limits, limits_for_path
from labelcheck.review.changes import changes_between
from labelcheck.review.comparison import comparison_line, comparison_told, worse
from labelcheck.review.comparison_picture import draw_comparison
from labelcheck.review.picture.sheet import png_of
from labelcheck.review.record import record_of
from labelcheck.review.seen import Seen, read_record, seen_in
from labelcheck.review.summary import TERMINAL_COLUMNS, Terminal
from labelcheck.review.wording import listed, printable
from labelcheck.review.writing import COMPARISON, RECORD, comparison_folder_for, write_files
from labelcheck.trade.errors import UnreadableFile, WrongArguments
from labelcheck.trade.units import Unit

NO_WORSE, WORSE = 0, 1
_RECORD_BYTES_AT_MOST = 500_000_000

EPILOG = """\
examples:
  labelcheck compare rev-a/ rev-b/                    two fab sets: folders, zips, or files of them
  labelcheck compare board.review/ board/             the review of last week with the set of today
  labelcheck compare old/record.json new/record.json  two records, without a picture

A finding is the same one where question and label are; a label is the same where its text or its place is. Where the
whole board was moved in its coordinates, that alone moves no label.

exit status:
  0  nothing got worse
  1  something did: a finding is new, worse or no longer accepted, a question can no longer be asked, or there is a
     new reason to hold (notes and accepted findings count for nothing here)
  2  wrong arguments
  3  one of the two cannot be read
  4  the picture cannot be written"""


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """One board as it is compared; without a board where only its record is known."""

    seen: Seen
    board: Board | None
    path: Path


def add_parser(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "compare",
        help="say what changed between two sets, reviews or records, and whether it got worse",
        description="Compare two states of a board: labels new, gone, moved, changed; findings new, fixed, left.\n"
        "Where both are fab sets, NEW.comparison/ beside NEW holds a picture with both states side by side.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    what = "a fab set, a review folder, or a record.json"
    parser.add_argument("old", type=a_path, metavar="OLD", help=what)
    parser.add_argument("new", type=a_path, metavar="NEW", help=what)
    parser.add_argument("--out", type=a_path, metavar="FOLDER", help="put the picture there")
    add_limits(parser)
    parser.add_argument("--quiet", action="store_true", help="print one line a board")
    parser.add_argument("--inch", action="store_true", help="show lengths in inches")
    parser.set_defaults(run=run)


def run(chosen: argparse.Namespace) -> int:
    """Compare each board of the one with its partner in the other."""
    old, new = _states(chosen.old, chosen), _states(chosen.new, chosen)
    pairs = _pairs(old, new)
    status = NO_WORSE
    for before, now in pairs:
        changes = changes_between(before.seen, now.seen)
        status = max(status, WORSE if worse(changes) else NO_WORSE)
        if chosen.quiet:
            print(comparison_line(before.seen, now.seen, changes))
        else:
            terminal = Terminal(shutil.get_terminal_size((TERMINAL_COLUMNS, 24)).columns)
            print(comparison_told(before.seen, now.seen, changes, _unit(chosen), terminal))
        if before.board is not None and now.board is not None:
            folder = comparison_folder_for(now.path, now.seen.set_name, chosen.out, alone=len(pairs) == 1)
            names = (before.seen.set_name, now.seen.set_name)
            picture = png_of(draw_comparison((before.board, now.board), names, changes, _unit(chosen)))
            write_files(folder, {COMPARISON: picture}, now.path)
            if not chosen.quiet:
                print(f"\nWritten\n  - {printable(str(folder / COMPARISON))}: both states side by side")
        if not chosen.quiet and (before, now) != pairs[-1]:
            print()
    return status


def _unit(chosen: argparse.Namespace) -> Unit:
    return "inch" if chosen.inch else "mm"


def _states(path: Path, chosen: argparse.Namespace) -> tuple[_State, ...]:
    """The boards behind a path: those of a record, else those of a fab set, which is checked now."""
    record = _record_at(path)
    if record is not None:
        return (_State(read_record(str(record), _bytes(record)), None, path),)
    limits = limits_for_path(path, chosen)
    checked = [check_set(fab_set, limits, datetime.now(UTC)) for fab_set in open_sets(path)]
    return tuple(_State(seen_in(record_of(one.review)), one.board, path) for one in checked)


def _record_at(path: Path) -> Path | None:
    """The record that a path names: itself, or the one in a review folder; None where it is a fab set."""
    if path.is_dir():
        inside = path / RECORD
        return inside if inside.is_file() and _looks_like_record(inside) else None
    return path if path.suffix.lower() == ".json" and path.is_file() and _looks_like_record(path) else None


def _looks_like_record(path: Path) -> bool:
    """Whether a file of this name is meant as a record; one that is broken is, and will be told so."""
    if path.name == RECORD:
        return True
    try:
        parsed = json.loads(_bytes(path))
    except (ValueError, RecursionError):
        return False
    return isinstance(parsed, dict) and "record" in parsed


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(_RECORD_BYTES_AT_MOST)
    except OSError as error:
        problem = f"The record cannot be read ({error.strerror})."
        raise UnreadableFile(str(path), None, problem, "Name a record.json, or check the set first.") from error


def _pairs(old: Sequence[_State], new: Sequence[_State]) -> list[tuple[_State, _State]]:
    """Each board with its partner: the only ones, else those of one name."""
    if len(old) == 1 and len(new) == 1:
        return [(old[0], new[0])]
    named = {state.seen.set_name: state for state in old}
    pairs = [(named[state.seen.set_name], state) for state in new if state.seen.set_name in named]
    if len(pairs) == len(new) == len(old):
        return pairs
    olds, news = ([f'"{printable(state.seen.set_name)}"' for state in states] for states in (old, new))
    raise WrongArguments(
        f"The boards cannot be told apart: OLD holds {listed(olds)}, NEW holds {listed(news)}. "
        "Compare the records of the two that belong together."
    )
