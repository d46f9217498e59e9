"""`labelcheck verify SET RECORD`: are these the bytes that were checked, with these limits?"""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from labelcheck.board.fab_set import FabSet
from labelcheck.board.limits_beside import limits_of_set
from labelcheck.board.opening import open_sets
from labelcheck.commands import a_path, add_limits_file, file_or_pipe
from labelcheck.review.verifying import CheckedThen, Differences, asked_then, differences, records_in
from labelcheck.review.wording import listed, printable, short_fingerprint
from labelcheck.review.writing import RECORD
from labelcheck.trade.errors import UnreadableFile, WrongArguments

SAME, DIFFERS = 0, 1
_RECORD_BYTES_AT_MOST = 500_000_000
_SHOWN = 20

EPILOG = """\
examples:
  labelcheck verify turnout-driver.zip turnout-driver.review/record.json
  labelcheck verify turnout-driver/ turnout-driver.review/     the record in that folder
  labelcheck check --record - board/ | labelcheck verify board/ -

The limits are compared too: those of the limits file as it is now, with the options that the check was run with.
A file of the set under another name, or a zip in place of the folder that it was packed from, is told where it
makes a difference: a fingerprint counts names and contents, not dates.

exit status:
  0  these are the files that were checked, with these limits
  1  a file is new, gone or changed, or a limit is another one
  2  wrong arguments
  3  the set or the record cannot be read"""


def add_parser(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "verify",
        help="say whether a set is the one that a record tells of",
        description="Say whether the files of a set are the bytes that were checked, with the limits in force now.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("set", type=a_path, metavar="SET", help="a folder, a zip, or any file of a set")
    parser.add_argument(
        "record", type=file_or_pipe, metavar="RECORD", help="record.json, the review folder that holds it, or -"
    )
    add_limits_file(parser)
    parser.add_argument("--quiet", action="store_true", help="print nothing; the exit status tells")
    parser.set_defaults(run=run)


def run(chosen: argparse.Namespace) -> int:
    """Compare each board of the set with its record."""
    name, content = _content(chosen.record)
    records = records_in(name, content)
    status = SAME
    for fab_set in open_sets(chosen.set):
        record = _record_for(fab_set, records)
        if record is None:
            names = listed([f'"{printable(one.set_name)}"' for one in records])
            raise WrongArguments(
                f"{name}: There is no record of {printable(fab_set.name)} in it, but of {names}. "
                "Name the record of this board."
            )
        found = differences(fab_set, limits_of_set(chosen.set, chosen.limits, asked_then(record)), record)
        status = max(status, SAME if found.none else DIFFERS)
        if not chosen.quiet:
            print(_told(fab_set, record, found))
    return status


def _content(record: str) -> tuple[str, bytes]:
    """What to call the record, and its bytes."""
    if record == "-":
        return "standard input", sys.stdin.buffer.read(_RECORD_BYTES_AT_MOST)
    path = Path(record)
    path = path / RECORD if path.is_dir() else path
    try:
        with path.open("rb") as file:
            return str(path), file.read(_RECORD_BYTES_AT_MOST)
    except OSError as error:
        problem = f"The record cannot be read ({error.strerror})."
        raise UnreadableFile(str(path), None, problem, "Name a record.json, or check the set first.") from error


def _record_for(fab_set: FabSet, records: Sequence[CheckedThen]) -> CheckedThen | None:
    """The record of the same bytes, else of the same name, else the only one there is."""
    same = [record for record in records if record.fingerprint == fab_set.fingerprint]
    named = [record for record in records if record.set_name == fab_set.name]
    for fitting in (same, named, records if len(records) == 1 else ()):
        if fitting:
            return fitting[-1]
    return None


def _told(fab_set: FabSet, record: CheckedThen, found: Differences) -> str:
    when = record.checked_at.replace("T", " ").replace("Z", " UTC")
    verdict = f"The verdict of {when} was {record.verdict.upper()} ({short_fingerprint(record.fingerprint)})."
    if found.none:
        first = f"SAME: {printable(fab_set.name)} is what was checked, with these limits."
    else:
        what = listed([word for word, there in (("files", found.files), ("limits", found.limits)) if there])
        first = f"DIFFERS: {printable(fab_set.name)} is not what was checked; {what} differ. Check it again."
    lines = [first, verdict]
    for heading, sentences in (("Files", found.files), ("Limits", found.limits), ("Remarks", found.remarks)):
        if sentences:
            lines += ["", heading, *(f"  - {printable(sentence)}" for sentence in sentences[:_SHOWN])]
            if len(sentences) > _SHOWN:
                lines.append(f"  - and {len(sentences) - _SHOWN} more")
    return "\n".join(lines)
