"""A path becomes the fab sets that lie there: a folder, a zip, or any file of a set.

Only regular files are opened, never through a link that leaves the folder, and nothing is ever written.
"""

import os
import stat
from dataclasses import dataclass, field
from pathlib import Path

from labelcheck.board.archives import Unpacked, looks_like_zip, unpack
from labelcheck.board.fab_set import FabSet, SetFile, make_set, set_file
from labelcheck.board.splitting import split_boards
from labelcheck.trade.errors import UnreadableSet
from labelcheck.trade.file_systems import is_link
from labelcheck.trade.places import Remark

FILES_AT_MOST = 2_000
"""Files of one folder with its sub-folders; the largest real sets hold under a hundred."""

FOLDERS_DEEP = 4
"""How far down sub-folders belong to a set."""

FILE_BYTES_AT_MOST = 256_000_000
"""A larger file is not read; the largest real artwork is near 100 MB."""

SET_BYTES_AT_MOST = 1_500_000_000
"""All files of one folder together."""

LIMITS_FILE = "labelcheck.toml"
"""Name of the limits file; it may lie among the files of a set and is no part of it."""

LITTER = frozenset({"__macosx", ".ds_store", "thumbs.db", "desktop.ini", ".directory", "ehthumbs.db", LIMITS_FILE})
"""What desktops leave in folders, in lower case; no part of any set, nor of its fingerprint."""

REVIEW_SUFFIX = ".review"
COMPARISON_SUFFIX = ".comparison"
OWN_FOLDERS = (REVIEW_SUFFIX, COMPARISON_SUFFIX)
"""Endings of folders that this program writes beside a set; never part of one."""

SHEET_SUFFIX = ".true-size.pdf"
"""Files that it writes beside a set; the folder that holds several sets may be opened as well."""


@dataclass(slots=True)
class _Found:
    """Files met while walking a folder; mutable while it is filled."""

    files: list[SetFile] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    total_bytes: int = 0
    listed: int = 0


def open_sets(path: str | os.PathLike[str]) -> tuple[FabSet, ...]:
    """The fab sets at a path, one for each board, in order of name.

    A folder or a zip gives all of its boards; any other file stands for the folder that it lies in, and where that
    holds several boards, for those that the file belongs to. Raises UnreadableSet where nothing can be read.
    """
    given = Path(path)
    try:
        mode = given.stat().st_mode
    except (OSError, ValueError) as error:
        raise UnreadableSet(
            f"{given}: There is no such file or folder. Name a fab set: a folder or a zip."
        ) from error
    if stat.S_ISDIR(mode):
        return _sets_of(given, _walk(given))
    if not stat.S_ISREG(mode):
        raise UnreadableSet(f"{given}: This is neither a file nor a folder. Name a fab set: a folder or a zip.")
    head = _read_regular(given, FILE_BYTES_AT_MOST)
    if isinstance(head, bytes) and looks_like_zip(head):
        return _sets_of(given, _opened_zip(str(given), head))
    if given.suffix.lower() == ".zip":
        reason = "is empty" if head == b"" else "cannot be read" if isinstance(head, str) else "is no zip inside"
        raise UnreadableSet(f"{given}: The file {reason}. Pack or download it again.")
    folder = given.parent
    sets = _sets_of(folder, _walk(folder))
    holding = tuple(fab_set for fab_set in sets if any(file.name == given.name for file in fab_set.files))
    if not holding and len(sets) > 1:
        raise UnreadableSet(
            f"{given}: This file belongs to none of the {len(sets)} boards in its folder. Name a file of one of "
            "them, or the folder to have all of them checked."
        )
    return holding if holding else sets


def _sets_of(place: Path, found: _Found) -> tuple[FabSet, ...]:
    found = _without_inner_zips(place, found)
    if not found.files:
        raise UnreadableSet(f"{place}: There is no file in it. Export the fab set again, or name another folder.")
    resolved = place if place.name not in ("", "..") else place.resolve()
    name = resolved.stem if resolved.suffix.lower() == ".zip" else resolved.name
    return split_boards(make_set(name or str(resolved), str(place), found.files, found.remarks))


def _opened_zip(place: str, data: bytes) -> _Found:
    unpacked: Unpacked = unpack(place, data)
    files = [file for file in unpacked.files if not is_litter(file.name)]
    told = "This limits file lies inside the zip, where it is not read. Put it beside the zip."
    packed = [Remark(file.name, None, told) for file in unpacked.files if file.base.lower() == LIMITS_FILE]
    return _Found(_without_common_folder(files), [*unpacked.remarks, *packed])


def _without_common_folder(files: list[SetFile]) -> list[SetFile]:
    """Names without the one folder that all files of a zip lie in, as most packers write it."""
    tops = {file.name.partition("/")[0] for file in files if "/" in file.name}
    if len(tops) != 1 or any("/" not in file.name for file in files):
        return files
    cut = len(tops.pop()) + 1
    return [SetFile(file.name[cut:], file.data, file.sha256, file.problem) for file in files]


def is_litter(name: str) -> bool:
    """Whether a name within a folder is that of a desktop's leavings or of our results; `/` parts folders."""
    parts = name.lower().split("/")
    base = parts[-1]
    return (
        any(part in LITTER or (part.startswith(".") and part not in (".", "..")) for part in parts)
        or base.startswith("~$")
        or base.endswith("~")
        or base.endswith(SHEET_SUFFIX)
        or any(part.endswith(OWN_FOLDERS) for part in parts[:-1])
    )


def _without_inner_zips(place: Path, found: _Found) -> _Found:
    """Zips beside the files: ignored where they hold the same, opened where there is nothing else."""
    zips = [file for file in found.files if looks_like_zip(file.data) and file.base.lower().endswith(".zip")]
    if not zips:
        return found
    others = [file for file in found.files if file not in zips]
    fabrication = [file for file in others if b"*" in file.data[:4096] or b"M48" in file.data[:4096]]
    if not fabrication and len(zips) == 1:
        inner = _opened_zip(f"{place}/{zips[0].name}", zips[0].data)
        told = Remark(zips[0].name, None, "There is nothing else to check here, so the zip was opened.")
        renamed = [
            SetFile(f"{zips[0].name}/{file.name}", file.data, file.sha256, file.problem) for file in inner.files
        ]
        return _Found([*others, *renamed], [*found.remarks, told, *inner.remarks])
    if not fabrication:
        names = ", ".join(file.name for file in zips[:5])
        raise UnreadableSet(f"{place}: There are several zips and no other fab files ({names}). Name one of them.")
    known = {file.sha256 for file in others}
    remarks = [_about_twin(file, known) for file in zips]
    return _Found(found.files, [*found.remarks, *remarks])


def _about_twin(file: SetFile, known: set[str]) -> Remark:
    try:
        inner = [member for member in unpack(file.name, file.data).files if not is_litter(member.name)]
    except UnreadableSet:
        return Remark(file.name, None, "The zip cannot be opened; it was ignored.")
    different = [member.base for member in inner if member.sha256 not in known]
    if not different:
        return Remark(file.name, None, "The zip holds the same files as the folder; it was ignored.")
    names = ", ".join(different[:3]) + (", …" if len(different) > 3 else "")
    return Remark(
        file.name,
        None,
        f"The zip holds {len(different)} files that differ from those in the folder ({names}). "
        "The folder was checked, not the zip: order what was checked.",
    )


def _walk(folder: Path) -> _Found:
    found = _Found()
    root = folder.resolve()
    _walk_into(folder, root, "", 0, found)
    return found


def _walk_into(folder: Path, root: Path, prefix: str, depth: int, found: _Found) -> None:
    try:
        with os.scandir(folder) as listing:
            entries = []
            for entry in listing:
                entries.append(entry)
                found.listed += 1
                if found.listed > FILES_AT_MOST:
                    raise UnreadableSet(
                        f"{folder}: There are more than {FILES_AT_MOST:,} files. Name the folder of one fab set."
                    )
    except OSError as error:
        if not prefix:
            raise UnreadableSet(
                f"{folder}: The folder cannot be read ({error.strerror}). Ask for the right to read it."
            ) from error
        found.remarks.append(Remark(prefix.rstrip("/"), None, "This folder cannot be read; it was left out."))
        return
    for entry in sorted(entries, key=lambda entry: entry.name):
        name = prefix + entry.name
        if not is_litter(name) and not entry.name.lower().endswith(OWN_FOLDERS):
            _take(entry, name, root, depth, found)


def _take(entry: "os.DirEntry[str]", name: str, root: Path, depth: int, found: _Found) -> None:
    try:
        if is_link(entry):
            target = Path(entry.path).resolve()
            if not target.is_file() or root not in target.parents:
                found.remarks.append(
                    Remark(name, None, "This link leads out of the set or to no file; it was not followed.")
                )
                return
        elif entry.is_dir(follow_symlinks=False):
            if depth < FOLDERS_DEEP:
                _walk_into(Path(entry.path), root, name + "/", depth + 1, found)
            else:
                found.remarks.append(Remark(name, None, f"Folders more than {FOLDERS_DEEP} deep were left out."))
            return
        elif not entry.is_file(follow_symlinks=False):
            found.remarks.append(Remark(name, None, "This is no regular file (a pipe or device); it was not opened."))
            return
    except (OSError, RuntimeError):  # RuntimeError: a loop of links, up to Python 3.12
        found.remarks.append(Remark(name, None, "This link leads nowhere; it was not followed."))
        return
    data = _read_regular(Path(entry.path), FILE_BYTES_AT_MOST)
    if isinstance(data, str):
        found.files.append(SetFile(name, b"", "", data))
        return
    found.total_bytes += len(data)
    if found.total_bytes > SET_BYTES_AT_MOST:
        raise UnreadableSet(
            f"{root}: The files are larger than {SET_BYTES_AT_MOST:,} bytes together. Name the folder of one fab set."
        )
    found.files.append(set_file(name, data))


def _read_regular(path: Path, most: int) -> bytes | str:
    """The bytes of a regular file, or a sentence about why they cannot be had; never waits on a pipe."""
    try:
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except PermissionError:
        return "The file may not be read. Ask for the right to read it."
    except (OSError, ValueError):
        return "The file vanished while the set was read. Check again when the export is complete."
    try:
        with os.fdopen(descriptor, "rb") as stream:
            status = os.fstat(stream.fileno())
            if not stat.S_ISREG(status.st_mode):
                return "This is no regular file."
            if status.st_size > most:
                return f"The file is larger than {most:,} bytes. Take it out of the set if it does not belong there."
            data = stream.read(most + 1)
    except OSError:
        return "The file cannot be read from the disk. Copy or export it again."
    if len(data) > most:
        return f"The file is larger than {most:,} bytes. Take it out of the set if it does not belong there."
    return data
