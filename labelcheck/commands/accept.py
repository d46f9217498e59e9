"""`labelcheck accept SET FINDING… --because "…"`: write into the limits file that findings may stay."""

import argparse
import contextlib
import errno
import secrets
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from labelcheck.board.limits_beside import bytes_of, limits_file_of, limits_of_set, new_limits_file_for
from labelcheck.board.opening import REVIEW_SUFFIX, open_sets
from labelcheck.checking import check_set
from labelcheck.commands import a_path, add_limits
from labelcheck.formats.limits_file.appending import with_acceptances_appended
from labelcheck.judging import Finding
from labelcheck.labels.label import Label
from labelcheck.review.accepting import Outcome, acceptance_of
from labelcheck.review.contents import Review
from labelcheck.review.named_findings import found_again, ids_in, with_those_alike
from labelcheck.review.record import record_of
from labelcheck.review.seen import Seen, read_record, seen_in
from labelcheck.review.whole_files import put_in_place
from labelcheck.review.wording import printable, some_of
from labelcheck.review.writing import RECORD, review_folder_for
from labelcheck.trade.errors import UnreadableFile, UnwritableResult, WrongArguments
from labelcheck.trade.in_force import Asked

_SHOWN = 20

EPILOG = """\
examples:
  labelcheck accept turnout-driver/ F3 --because "Only read while the board is made; the jig covers it."
  labelcheck accept turnout-driver/ F3 F7-F12 --because "Names of test points, redrawn in revision C."
  labelcheck accept turnout-driver/ F3 --alike --because "As agreed with the fabricator."

Findings are named as in the last review of the set (SET.review/record.json; --out FOLDER where the check was told
to put it elsewhere; where there is none, as a check of now numbers them). They are looked up again in the set as it
is now, so that nothing is accepted that is no longer there or got worse. An acceptance is an [[accepted]] table at
the end of labelcheck.toml; what stands there before stays as it is. It covers the fault as long as it is no worse
and its label is not moved by more than 3 mm. An accepted finding stays in the record and does not hold the verdict.

exit status:
  0  written, or accepted already
  2  wrong arguments, or an error in the limits file
  3  the set or its record cannot be read
  4  the limits file cannot be written"""


@dataclass(frozen=True, slots=True)
class _Now:
    """The set as it is now."""

    review: Review
    outcome: Outcome
    seen: Seen
    """What the person looked at: the last review, or this one where there is none."""
    record: Path | None
    """Where that was read."""


def add_parser(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "accept",
        help="write into the limits file that findings may stay, and why",
        description="Accept findings: they are written into the limits file with the reason.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("set", type=a_path, metavar="SET", help="a folder, a zip, or any file of a set")
    parser.add_argument("findings", nargs="+", metavar="FINDING", help="F3, or several: F3 F7-F12")
    parser.add_argument("--because", required=True, metavar="REASON", help="why this may stay")
    parser.add_argument(
        "--alike", action="store_true", help="also accept the findings that the summary tells as the same fault"
    )
    parser.add_argument(
        "--out", "--record", dest="record", type=a_path, metavar="FOLDER", help="the review, or its record, in which "
        "the findings are named so: what check was given as --out (default: the last review beside the set)"
    )
    add_limits(parser)
    parser.set_defaults(run=run)


def run(chosen: argparse.Namespace) -> int:
    """Look the findings up, write what is not accepted yet, say what was written."""
    because = " ".join(chosen.because.split())
    if not because:
        raise WrongArguments("--because is empty. Say why the finding may stay; somebody will ask.")
    file = chosen.limits or limits_file_of(chosen.set) or new_limits_file_for(chosen.set)
    now = _check_again(chosen, file)
    ids = list(dict.fromkeys(identity for word in chosen.findings for identity in ids_in(word)))
    wanted = found_again(ids, now.seen, now.outcome, "the set" if now.record is None else str(now.record))
    if chosen.alike:
        wanted = with_those_alike(wanted, now.outcome)
    for finding in wanted:
        if finding.accepted is not None:
            print(f"Accepted already ({finding.accepted.source}): {printable(finding.message)}")
    new = [one for one in wanted if one.accepted is None]
    if new:
        board = (now.review.set_name, now.review.box_mm)
        labels = now.outcome.labels
        accepted = [acceptance_of(one, _label(one, labels), board, because) for one in new]
        content = bytes_of(file) if file.exists() else None
        after, lines = with_acceptances_appended(str(file), content, accepted)
        _write(file, after)
        print(f"Written into {printable(str(file))}:")
        for finding, line in list(zip(new, lines, strict=True))[:_SHOWN]:
            print(f"  line {line}: {finding.severity} on the {finding.side}: {printable(finding.message)}")
        if len(new) > _SHOWN:
            print(f"  and {len(new) - _SHOWN} more.")
        print(f"Check again for the verdict: labelcheck check {printable(str(chosen.set))}")
    return 0


def _check_again(chosen: argparse.Namespace, file: Path) -> _Now:
    sets = open_sets(chosen.set)
    if len(sets) != 1:
        names = some_of([printable(one.name) for one in sets], 5)
        raise WrongArguments(
            f"{chosen.set}: There are {len(sets)} boards in it ({names}). Name a file of the one that is meant."
        )
    asked = Asked(chosen.process, chosen.reading_distance, chosen.pitch)
    limits = limits_of_set(chosen.set, file if file.exists() else None, asked)
    review = check_set(sets[0], limits, datetime.now(UTC)).review
    outcome = Outcome(
        findings=review.findings,
        labels={state.label.id: state.label for state in review.labels},
        box_mm=review.box_mm,
        analysers=(),
        not_asked=frozenset(),
    )
    beside = review_folder_for(chosen.set, review.set_name, None, alone=True) / RECORD
    record = _record_in(chosen.record, review.set_name) if chosen.record is not None else beside
    if chosen.record is None and not record.is_file():
        print(
            "There is no review beside the set: findings are numbered as in a check of now. If you read their "
            "numbers elsewhere, name that review with --out."
        )
        return _Now(review, outcome, seen_in(record_of(review)), None)
    return _Now(review, outcome, _read(record, review.set_name), record)


def _record_in(path: Path, set_name: str) -> Path:
    """The record that a person means by a file, by the folder of a review, or by one with the reviews of several."""
    if not path.is_dir():
        return path
    places = (path, path / f"{set_name}{REVIEW_SUFFIX}")
    return next((folder / RECORD for folder in places if (folder / RECORD).is_file()), path / RECORD)


def _read(path: Path, set_name: str) -> Seen:
    """The record at a path, which must be one of this set: numbers of another one mean other findings."""
    try:
        seen = read_record(str(path), path.read_bytes())
    except OSError as error:
        problem = f"The record cannot be read ({error.strerror})."
        cure = "Check the set first, or name its review with --out."
        raise UnreadableFile(str(path), None, problem, cure) from error
    if seen.set_name != set_name:
        raise WrongArguments(
            f'{path}: This is the review of "{printable(seen.set_name)}", not of "{printable(set_name)}". Name the '
            "review of this set with --out, or check it again."
        )
    return seen


def _label(finding: Finding, labels: Mapping[str, Label]) -> Label | None:
    return None if finding.label is None else labels.get(finding.label)


def _write(file: Path, content: bytes) -> None:
    """Put the new content in place of the old, whole or not at all, through a link where there is one."""
    target = file.resolve()
    unfinished = target.with_name(f".{target.name}.{secrets.token_hex(4)}.unfinished")
    try:
        unfinished.write_bytes(content)
        if target.exists():
            shutil.copymode(target, unfinished)
        put_in_place(unfinished, target)
    except OSError as error:
        cure = "Make room" if error.errno in (errno.ENOSPC, errno.EDQUOT) else "Ask for the right to write there"
        raise UnwritableResult(
            f"{file}: The limits file cannot be written ({error.strerror}); it is as it was. {cure}, or name another "
            "file with --limits."
        ) from error
    finally:
        # A failure to tidy up must not hide the failure before it.
        with contextlib.suppress(OSError):
            unfinished.unlink(missing_ok=True)
