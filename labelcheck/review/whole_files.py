"""Single files of a result on the disk: where they go, written whole or not at all, never inside the fab set."""

import errno
import os
import secrets
import time
import zipfile
from pathlib import Path

from labelcheck.board.opening import SHEET_SUFFIX
from labelcheck.trade.errors import UnwritableResult
from labelcheck.trade.file_systems import ON_WINDOWS, file_name_for, is_same

UNFINISHED = ".unfinished"
"""Ending of a file that is still being written; it begins with a dot."""
_WAITS_S = (0.05, 0.1, 0.2, 0.4, 0.8) if ON_WINDOWS else ()
"""Windows lets nobody replace a file while another program has it open; a viewer lets go of it soon."""
_HELD_OPEN = frozenset({5, 32, 33})
"""Numbers of Windows for files that are open elsewhere: access denied, sharing violation, lock violation."""


def folder_for(path: Path, named: tuple[str, str], out: Path | None, alone: bool) -> Path:
    """Where what belongs to a set goes, by the set's name and an ending: beside the set, else in `out`."""
    set_name, ending = named
    name = file_name_for(set_name)
    if out is not None:
        return out if alone else out / f"{name}{ending}"
    whole = path.absolute()
    if whole.is_file() and not zipfile.is_zipfile(whole):
        whole = whole.parent
    # The parent of `sets/..` is not `sets`: such a path must be made plain first.
    return whole.resolve().parent / f"{name}{ending}"


def sheet_for(path: Path, set_name: str, out: Path | None) -> Path:
    """Where the true-size sheet of one board of the set at `path` goes: `NAME.true-size.pdf` beside it, or `out`."""
    return out if out is not None else folder_for(path, (set_name, SHEET_SUFFIX), None, alone=True)


def write_file(path: Path, content: bytes, set_path: Path) -> None:
    """Write one file for a set, outside of it: whole or not at all. Raises `UnwritableResult`."""
    if set_path.is_file() and not zipfile.is_zipfile(set_path):
        set_path = set_path.absolute().parent
    refuse_inside(path, set_path)
    if path.is_dir():
        raise UnwritableResult(f"{path}: a folder stands where the file should be. Name a file with --out.")
    write_alone(path, content)


def write_alone(path: Path, content: bytes) -> None:
    """Write one file under a temporary name, then move it into place. Raises `UnwritableResult`."""
    unfinished = path.with_name(f".{path.name}.{secrets.token_hex(4)}{UNFINISHED}")
    try:
        write_new(unfinished, content)
        put_in_place(unfinished, path)
    except OSError as failure:
        raise unwritable(path, failure) from failure
    finally:
        discard(unfinished)


def write_new(path: Path, content: bytes) -> None:
    """Write a file that is not there yet."""
    with path.open("xb") as file:
        file.write(content)


def put_in_place(unfinished: Path, path: Path) -> None:
    """Give a whole file its name, in place of an earlier one; on Windows, once no program has that open."""
    for wait_s in _WAITS_S:
        try:
            os.replace(unfinished, path)
            return
        except PermissionError:
            time.sleep(wait_s)
    os.replace(unfinished, path)


def discard(path: Path) -> None:
    """Remove a temporary file that is still there; a failure to do so must not hide the failure before it."""
    try:
        path.unlink(missing_ok=True)
    except OSError:
        return


def refuse_inside(folder: Path, set_path: Path) -> None:
    """Raise `UnwritableResult` for a place inside the fab set."""
    inside = folder.resolve()
    whole = set_path.resolve()
    if any(is_same(place, whole) for place in (inside, *inside.parents)):
        raise UnwritableResult(
            f"{folder}: this lies inside the fab set, which a check never writes to. "
            "Choose a folder outside of the set with --out."
        )


def _named_by_a_person(path: Path) -> Path:
    """The file that an unfinished one was to become, for nobody knows that name; any other path as it is."""
    if not path.name.endswith(UNFINISHED):
        return path
    return path.with_name(path.name.removeprefix(".").removesuffix(UNFINISHED).rpartition(".")[0])


def unwritable(folder: Path, failure: OSError) -> UnwritableResult:
    """What went wrong on the disk, for a person."""
    # Moving names two files; the second is the one that the person knows of.
    place = _named_by_a_person(Path(failure.filename2 or failure.filename or folder))
    problem, cure = _PROBLEMS.get(failure.errno or 0, (f"{failure.strerror or failure}.", _OTHER_CURE))
    if getattr(failure, "winerror", None) in _HELD_OPEN:
        problem = "writing here is not permitted, or another program has the file open."
        cure = "Close it there, or choose another folder with --out."
    return UnwritableResult(f"{place}: {problem} {cure}")


_OTHER_CURE = "Choose another folder with --out."
_PROBLEMS = {
    errno.ENOSPC: ("the disk is full.", "Make room, or choose a folder on another disk with --out."),
    errno.EDQUOT: ("the quota of this disk is used up.", "Make room, or choose a folder on another disk with --out."),
    errno.EACCES: ("writing here is not permitted.", "Choose a folder of your own with --out."),
    errno.EPERM: ("writing here is not permitted.", "Choose a folder of your own with --out."),
    errno.ENOENT: ("the folder is not there.", "Make it, or choose another one."),
    errno.EROFS: ("this disk can only be read.", "Choose a folder on another disk with --out."),
    errno.EEXIST: ("a file stands where the folder should be.", "Move it away, or choose another folder with --out."),
    errno.ENOTDIR: ("a file stands where a folder should be.", "Move it away, or choose another folder with --out."),
    errno.EISDIR: ("a folder stands where a file should be.", "Move it away, or choose another folder with --out."),
    errno.ENAMETOOLONG: ("the name is too long for this disk.", "Choose a shorter folder name with --out."),
}
