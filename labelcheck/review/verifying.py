"""Whether a set as it lies there now, under the limits in force now, is what a check record tells."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from labelcheck.board.fab_set import FabSet, SetFile, fingerprint
from labelcheck.review.limits_told import acceptance_entries, limit_entries
from labelcheck.review.record import FORM
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.in_force import Asked
from labelcheck.trade.limits import Limits, Process
from labelcheck.trade.version import MADE_BY

_CURE = "Name a record.json that labelcheck wrote, or the review folder that it lies in."
_SAME_NUMBER = 6e-5
"""Records round to four decimals."""

_OPTIONS = {"process": "--process", "reading distance": "--reading-distance", "raster pitch": "--pitch"}
"""What a check may ask for on the command line, by its name in the record."""


@dataclass(frozen=True, slots=True)
class CheckedThen:
    """What one record tells of the set and the limits of its check."""

    set_name: str
    verdict: str
    checked_at: str
    made_by: str
    fingerprint: str
    files: Mapping[str, str]
    """Digest by name."""
    limits: Mapping[str, tuple[float | str | None, str]]
    """Value and source by name; acceptances among them."""


@dataclass(frozen=True, slots=True)
class Differences:
    """What is no more as it was checked; sentences."""

    files: tuple[str, ...]
    limits: tuple[str, ...]
    remarks: tuple[str, ...]
    """Worth knowing, and no difference."""

    @property
    def none(self) -> bool:
        """Whether all is as it was checked."""
        return not self.files and not self.limits


def records_in(name: str, content: bytes) -> tuple[CheckedThen, ...]:
    """The records in a file: one, or one after the other, as a check of several boards writes them.

    Raises `UnreadableFile` where there is none, or anything else.
    """
    try:
        text = content.decode("utf-8-sig").strip()
        decoder, at, parsed = json.JSONDecoder(), 0, []
        while at < len(text):
            record, at = decoder.raw_decode(text, at)
            parsed.append(record)
            while at < len(text) and text[at].isspace():
                at += 1
        if not parsed:
            raise UnreadableFile(name, None, "The file is empty.", _CURE)
        return tuple(_checked_then(name, record) for record in parsed)
    except json.JSONDecodeError as error:
        raise UnreadableFile(name, error.lineno, f"This is no check record ({error.msg}).", _CURE) from error
    except (AttributeError, KeyError, TypeError, ValueError, RecursionError) as error:
        raise UnreadableFile(name, None, "This is no check record.", _CURE) from error


def _checked_then(name: str, record: Mapping[str, Any]) -> CheckedThen:
    if record["record"] != FORM:
        raise UnreadableFile(
            name, None, f"This is no record of the form {FORM}.", "Check the set again with this version."
        )
    about = record["set"]
    limits = {str(key): (one["value"], str(one["source"])) for key, one in record["limits"].items()}
    accepted = (record.get("acceptances") or {}).items()
    return CheckedThen(
        set_name=str(about["name"]),
        verdict=str(record["verdict"]),
        checked_at=str(record["checked_at"]),
        made_by=str(record["made_by"]),
        fingerprint=str(about["fingerprint"]),
        files={str(file["name"]): str(file["sha256"]) for file in about["files"]},
        limits=limits | {str(key): (str(one["because"]), str(one["source"])) for key, one in accepted},
    )


def asked_then(record: CheckedThen) -> Asked:
    """What the command line of that check asked for, so that the same is asked for now."""
    asked = {
        name: record.limits[name][0]
        for name, option in _OPTIONS.items()
        if name in record.limits and record.limits[name][1] == option
    }
    process, distance, pitch = (asked.get(name) for name in _OPTIONS)
    return Asked(
        Process(process) if process in tuple(Process) else None,
        float(distance) if isinstance(distance, int | float) else None,
        float(pitch) if isinstance(pitch, int | float) else None,
    )


def differences(fab_set: FabSet, limits: Limits, record: CheckedThen) -> Differences:
    """Everything that differs between the record and the set and limits of now."""
    # The same bytes under another name are the same board, and what is stated about it counts.
    same = record.fingerprint == fab_set.fingerprint
    limits = limits.on_board(record.set_name if same else fab_set.name)
    remarks = []
    if record.made_by != MADE_BY:
        remarks.append(f"The record was made by {record.made_by}, and this is {MADE_BY}, which may judge otherwise.")
    if record.set_name != fab_set.name:
        remarks.append(f'The set was named "{record.set_name}" then, and is named "{fab_set.name}" now.')
    files = _file_differences(fab_set.files, record)
    if not files and record.fingerprint != fab_set.fingerprint:
        files = ["The files are those that the record lists, but its fingerprint is not theirs: it was changed."]
    elif files and not _is_sound(record):
        files.append("The fingerprint of the record is not that of the files that it lists: the record was changed.")
    return Differences(tuple(files), tuple(_limit_differences(limits, record)), tuple(remarks))


def _is_sound(record: CheckedThen) -> bool:
    """Whether the fingerprint of a record is that of its own list of files."""
    listed = [
        SetFile(name.encode("utf-8", "surrogateescape").decode("utf-8", "surrogateescape"), b"", digest)
        for name, digest in record.files.items()
    ]
    return fingerprint(listed) == record.fingerprint


def _file_differences(files: Sequence[SetFile], record: CheckedThen) -> list[str]:
    now = {_as_recorded(file.name): file.sha256 for file in files}
    renamed = _renamed(now, record.files)
    told = []
    for name in sorted(now.keys() | record.files.keys()):
        if name in renamed.values():
            continue
        if name in renamed:
            told.append(f"{name} was named {renamed[name]} when it was checked; its content is the same.")
        elif name not in record.files:
            told.append(f"{name} is new: it was not checked.")
        elif name not in now:
            told.append(f"{name} was checked, and is gone.")
        elif now[name] != record.files[name]:
            told.append(f"{name} was changed since it was checked.")
    return told


def _renamed(now: Mapping[str, str], then: Mapping[str, str]) -> dict[str, str]:
    """New names by old ones, where content alone tells beyond doubt."""
    came = {name: digest for name, digest in now.items() if name not in then and digest}
    went = {name: digest for name, digest in then.items() if name not in now and digest}
    renamed = {}
    for name, digest in came.items():
        olds = [old for old, of_old in went.items() if of_old == digest]
        if len(olds) == 1 and list(came.values()).count(digest) == 1:
            renamed[name] = olds[0]
    return renamed


def _limit_differences(limits: Limits, record: CheckedThen) -> list[str]:
    entries = (*limit_entries(limits), *acceptance_entries(limits))
    now = {_as_recorded(one.name): (one.value, one.source) for one in entries}
    told = []
    for name in dict.fromkeys([*record.limits, *now]):
        if name not in now:
            then, source = record.limits[name]
            told.append(f"{name} was {_shown(then)} then ({source}), and is not stated now.")
        elif name not in record.limits:
            value, source = now[name]
            told.append(f"{name} is {_shown(value)} now ({source}), and was not stated then.")
        elif not _same(record.limits[name][0], now[name][0]):
            told.append(
                f"{name} was {_shown(record.limits[name][0])} then ({record.limits[name][1]}), "
                f"and is {_shown(now[name][0])} now ({now[name][1]})."
            )
    return told


def _same(then: float | str | None, now: float | str | None) -> bool:
    if isinstance(then, int | float) and isinstance(now, int | float):
        return abs(then - now) <= _SAME_NUMBER
    return then == (_as_recorded(now) if isinstance(now, str) else now)


def _shown(value: float | str | None) -> str:
    return f"{value:g}" if isinstance(value, int | float) else f'"{value}"'


def _as_recorded(text: str) -> str:
    """Text as a record spells it: bytes of a file name that are no characters are spelt out."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")
