"""The limits file of a fab set: beside it, in a folder above, or where the command line says."""

import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from labelcheck.board.opening import LIMITS_FILE, OWN_FOLDERS
from labelcheck.formats.limits_file.reading import BYTES_AT_MOST, read_limits_file
from labelcheck.trade.errors import WrongArguments
from labelcheck.trade.in_force import NOTHING_ASKED, Asked, limits_in_force
from labelcheck.trade.limits import Limits

_NAMES_AT_MOST = 5000
"""Where more stands beside a limits file it is no folder of boards, and no name in it can be called wrong."""


def limits_of_set(path: Path, named: Path | None = None, asked: Asked = NOTHING_ASKED) -> Limits:
    """The limits for the set at a path; `named` is the limits file that the command line names.

    Raises `WrongArguments` where the limits file is wrong or cannot be read.
    """
    file = named if named is not None else limits_file_of(path)
    if file is None:
        return limits_in_force(None, asked)
    limits = limits_in_force(read_limits_file(file.name, str(file), bytes_of(file)), asked)
    return replace(limits, boards_beside=_boards_beside(path, file)) if limits.boards_named() else limits


def limits_file_of(path: Path) -> Path | None:
    """The limits file for the set at a path: in the folder itself, beside it, or in the nearest folder above.

    The path may be a folder, a zip, or any file of a set.
    """
    whole = path.resolve()
    folders = [*([] if _is_file(whole) else [whole]), *whole.parents]
    return next((file for folder in folders if _is_file(file := folder / LIMITS_FILE)), None)


def new_limits_file_for(path: Path) -> Path:
    """Where a limits file for the set at a path goes when there is none: beside the set, never in it."""
    whole = path.resolve()
    if _is_file(whole) and whole.suffix.lower() != ".zip":
        whole = whole.parent
    return whole.parent / LIMITS_FILE


def _boards_beside(path: Path, file: Path) -> tuple[str, ...] | None:
    """Names that a board may have in the folder of the set, and up to two folders below that of the limits file."""
    names: set[str] = set()
    for folder, depth in ((path.resolve().parent, 1), (file.resolve().parent, 2)):
        for name in _names_in(folder, depth):
            names.add(name)
            if len(names) > _NAMES_AT_MOST:
                return None
    return tuple(sorted(names))


def _names_in(folder: Path, depth: int) -> Iterator[str]:
    """Folders, and zips without their ending."""
    try:
        with os.scandir(folder) as entries:
            found = [(entry.name, entry.is_dir(follow_symlinks=False)) for entry in entries]
    except OSError:  # a folder that may not be looked into tells no names
        return
    for name, is_folder in found:
        if name.endswith(OWN_FOLDERS):
            continue
        if is_folder:
            yield name
            if depth > 1 and not name.startswith("."):
                yield from _names_in(folder / name, depth - 1)
        elif name.lower().endswith(".zip"):
            yield name[:-4]


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:  # a folder that may not be looked into, or a name too long for the disk, holds none of ours
        return False


def bytes_of(file: Path) -> bytes:
    """The bytes of a limits file, or so many that it is refused as too long."""
    try:
        if file.is_dir():
            raise WrongArguments(f"{file}: This is a folder. Name the limits file in it, or leave --limits away.")
        if not file.is_file():
            raise WrongArguments(f"{file}: There is no such file. Name a limits file, or leave --limits away.")
        with file.open("rb") as stream:
            return stream.read(BYTES_AT_MOST + 1)
    except OSError as error:
        raise WrongArguments(
            f"{file}: The limits file cannot be read ({error.strerror}). Ask for the right to read it."
        ) from error
