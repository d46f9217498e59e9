"""Looks at a watched folder: which fab sets lie in it, and the state of each, without reading more than it must."""

import os
import stat
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from enum import Enum, auto
from pathlib import Path

from labelcheck.board.archives import UNPACKING_ERRORS, files_of, looks_like_zip
from labelcheck.board.limits_beside import limits_file_of
from labelcheck.board.names import layer_extension, may_be_layer
from labelcheck.board.opening import FOLDERS_DEEP, OWN_FOLDERS, is_litter
from labelcheck.formats.drill import looks_like_drill
from labelcheck.formats.gerber.sniffing import looks_like_gerber
from labelcheck.trade.file_systems import is_link

FOLDERS_BELOW = 6
"""How far below a drop folder sets are looked for."""

ENTRIES_AT_MOST = 50_000
"""Files and folders of one watched folder that are looked at; the rest is left alone, and that is told."""

HEAD_BYTES = 16 * 1024
"""Read of a file, once for each of its states, to tell artwork and drill files from everything else."""

MEMBERS_SNIFFED = 20
"""Files of a zip that are looked into where none has the name of a layer."""


@dataclass(frozen=True, slots=True, order=True)
class Stamp:
    """The state of one file as the disk tells it without opening it."""

    name: str
    """Path within the set, `/` between folders."""
    size: int
    modified_ns: int
    changed_ns: int
    """Also moved by a rename or a change of rights; where the system has no such time, that of its making."""


@dataclass(frozen=True, slots=True)
class Place:
    """One fab set on the disk."""

    path: Path
    stamps: tuple[Stamp, ...]
    """In order of name; one for a zip."""
    limits: Stamp | None
    """Of the limits file in force."""
    is_folder: bool


@dataclass(frozen=True, slots=True)
class Looked:
    """One look at a watched folder."""

    there: bool
    places: tuple[Place, ...] = ()
    is_set: bool = False
    """Whether the folder itself is a set, not a drop folder."""
    troubles: tuple[str, ...] = ()
    """Sentences: what was left out, and why."""


@dataclass(slots=True)
class _Folder:
    """One folder while it is looked at."""

    path: Path
    files: list[tuple[Stamp, str]] = field(default_factory=list)
    """With what each holds: `gerber`, `drill`, `zip`, `unknown`."""
    others: list["os.DirEntry[str]"] = field(default_factory=list)
    """Files that are no layer by their names; they are not looked at unless they lie in a set."""
    folders: list["_Folder"] = field(default_factory=list)
    depth: int = 0

    def is_empty(self) -> bool:
        """Whether nothing lies in it, our own results apart."""
        return not (self.files or self.others or self.folders)


class _Named(Enum):
    """What a name alone tells."""

    LEFT_ALONE = auto()
    """Leavings of a desktop, and our own results."""
    OTHER = auto()
    """As a file, neither a layer nor a zip."""
    PERHAPS = auto()


class Looker:
    """Looks at one folder again and again; what a file holds is found out once for each of its states."""

    def __init__(self, root: Path, left_alone: Iterable[Path] = ()) -> None:
        self.root = root
        self._left_alone = frozenset(map(str, left_alone))
        self._holds: dict[tuple[str, int, int, int], str] = {}
        self._names: dict[str, _Named] = {}
        self._drive: int | None = None
        """Of the system's numbers, that of the drive on which something lay here."""

    def look(self) -> Looked:
        """The sets that lie there now."""
        try:
            status = self.root.stat()
        except OSError:
            return Looked(False)
        if not stat.S_ISDIR(status.st_mode):
            return Looked(False, troubles=(f"{self.root}: This is no folder.",))
        known, self._holds = self._holds, {}
        names, self._names = self._names, {}
        troubles: list[str] = []
        tree = self._walk(troubles, known, names)
        if tree.is_empty() and self._drive not in (None, status.st_dev):
            return Looked(False)  # the bare place where a drive was
        self._drive = self._drive if tree.is_empty() else status.st_dev
        places = sorted(self._places(tree, troubles), key=lambda place: place.path)
        is_set = len(places) == 1 and places[0].path == self.root
        return Looked(True, tuple(places), is_set, tuple(dict.fromkeys(troubles)))

    def _walk(
        self, troubles: list[str], known: dict[tuple[str, int, int, int], str], names: dict[str, _Named]
    ) -> _Folder:
        top = _Folder(self.root)
        pending, count = [top], 0
        while pending:
            folder = pending.pop()
            for entry in _entries(folder.path, troubles):
                count += 1
                if count > ENTRIES_AT_MOST:
                    told = f"There are more than {ENTRIES_AT_MOST:,} files; the rest was left out."
                    troubles.append(f"{self.root}: {told}")
                    return top
                name = entry.name
                named = self._names[name] = names.get(name) or _named(name)
                if named is _Named.LEFT_ALONE or entry.path in self._left_alone:
                    continue
                if named is _Named.OTHER and not entry.is_symlink() and entry.is_file(follow_symlinks=False):
                    folder.others.append(entry)
                    continue
                try:
                    self._take(entry, folder, pending, troubles, known)
                except OSError:  # it vanished while it was looked at, or may not be looked at
                    continue
        return top

    def _take(
        self,
        entry: "os.DirEntry[str]",
        folder: _Folder,
        pending: list[_Folder],
        troubles: list[str],
        known: dict[tuple[str, int, int, int], str],
    ) -> None:
        if entry.is_dir(follow_symlinks=False) and not is_link(entry):
            if folder.depth < FOLDERS_BELOW + FOLDERS_DEEP:
                folder.folders.append(_Folder(folder.path / entry.name, depth=folder.depth + 1))
                pending.append(folder.folders[-1])
            return
        if entry.is_dir():
            told = "This link to a folder is not followed. Name the folder itself to watch it."
            troubles.append(f"{entry.path}: {told}")
            return
        status = entry.stat()
        if not stat.S_ISREG(status.st_mode):
            return
        stamp = _stamp(entry.name, status)
        key = (entry.path, stamp.size, stamp.modified_ns, stamp.changed_ns)
        holds = known.get(key)
        if holds is None:
            holds = _what_it_holds(folder.path / entry.name)
        self._holds[key] = holds
        if holds == "unknown" and entry.name.lower().endswith(".zip"):
            troubles.append(f"{entry.path}: There is no artwork in this zip; it is left alone.")
        folder.files.append((stamp, holds))

    def _places(self, folder: _Folder, troubles: list[str]) -> list[Place]:
        """The folder itself where its files make it a set, else the sets in it."""
        fab = [stamp for stamp, holds in folder.files if holds in ("gerber", "drill")]
        zips = [stamp for stamp, holds in folder.files if holds == "zip"]
        below = sorted(folder.folders, key=lambda one: one.path)
        within = [(one, self._places(one, troubles)) for one in below]
        places = [place for _, found in within for place in found]
        places += [_place(folder.path / stamp.name, (stamp,), False) for stamp in zips]
        parts = [one for one, found in within if len(found) == 1 and found[0].path == one.path]
        itself = len(fab) >= 2 or (fab and not places) or _are_parts(parts)
        if folder.depth > FOLDERS_BELOW and (itself or zips):
            troubles.append(f"{folder.path}: Sets more than {FOLDERS_BELOW} folders deep are not watched.")
            return []
        if itself:
            return [_place(folder.path, tuple(sorted(_stamps(folder))), True)]
        troubles += [
            f"{folder.path / stamp.name}: This file lies beside sets and belongs to none. Put it into its folder."
            for stamp in fab
        ]
        return places


def _entries(folder: Path, troubles: list[str]) -> list["os.DirEntry[str]"]:
    try:
        with os.scandir(folder) as listing:
            return sorted(listing, key=lambda entry: entry.name)
    except FileNotFoundError:
        return []
    except OSError as error:
        troubles.append(f"{folder}: The folder cannot be read ({error.strerror}). Ask for the right to read it.")
        return []


def _are_parts(folders: Iterable[_Folder]) -> bool:
    """Whether folders side by side are one export: its artwork in one of them, its drill files in another."""
    drawn = [{holds for _, holds in _files(folder)} for folder in folders]
    return any("gerber" in holds for holds in drawn) and any(
        "drill" in holds and "gerber" not in holds for holds in drawn
    )


def _files(folder: _Folder) -> Iterator[tuple[Stamp, str]]:
    yield from folder.files
    for below in folder.folders:
        yield from _files(below)


def _stamps(folder: _Folder, prefix: str = "", depth: int = 0) -> Iterator[Stamp]:
    """The files of a set, as deep as a check reads it."""
    for stamp, _ in folder.files:
        yield Stamp(prefix + stamp.name, stamp.size, stamp.modified_ns, stamp.changed_ns) if prefix else stamp
    for entry in folder.others:
        with suppress(OSError):  # it vanished meanwhile
            yield _stamp(prefix + entry.name, entry.stat())
    if depth < FOLDERS_DEEP:
        for below in folder.folders:
            yield from _stamps(below, f"{prefix}{below.path.name}/", depth + 1)


def _place(path: Path, stamps: tuple[Stamp, ...], is_folder: bool) -> Place:
    return Place(path, stamps, _limits_stamp(path), is_folder)


def _limits_stamp(path: Path) -> Stamp | None:
    try:
        file = limits_file_of(path)
        if file is None:
            return None
        status = file.stat()
    except (OSError, RuntimeError):  # RuntimeError: a loop of links, up to Python 3.12
        return None
    return _stamp(str(file), status)


def _stamp(name: str, status: os.stat_result) -> Stamp:
    return Stamp(name, status.st_size, status.st_mtime_ns, status.st_ctime_ns)


def _named(name: str) -> _Named:
    if is_litter(name) or name.lower().endswith(OWN_FOLDERS):
        return _Named.LEFT_ALONE
    return _Named.PERHAPS if may_be_layer(name) or name.lower().endswith(".zip") else _Named.OTHER


def _what_it_holds(path: Path) -> str:
    """`gerber`, `drill`, `zip` or `unknown`, by its first bytes; by its name where those cannot be had yet."""
    is_zip = path.suffix.lower() == ".zip"
    if not is_zip and not may_be_layer(path.name):
        return "unknown"
    head = read_part(path, 0, HEAD_BYTES)
    if is_zip:
        return "zip" if not head or (looks_like_zip(head) and _may_hold_a_set(path)) else "unknown"
    if not head:
        return "gerber" if layer_extension(path.name) else "unknown"
    if looks_like_gerber(head):
        return "gerber"
    return "drill" if looks_like_drill(head) else "unknown"


def _may_hold_a_set(path: Path) -> bool:
    """Whether a zip has a layer in it, or cannot be opened yet."""
    try:
        with zipfile.ZipFile(path) as archive:
            names = [entry.filename for entry in files_of(archive)]
            if any(layer_extension(name) for name in names):
                return True
            likely = [name for name in names if may_be_layer(name)][:MEMBERS_SNIFFED]
            heads = [_head_of(archive, name) for name in likely]
    except UNPACKING_ERRORS:  # half written, locked with a password, or none at all
        return True
    return any(looks_like_gerber(head) or looks_like_drill(head) for head in heads)


def _head_of(archive: zipfile.ZipFile, name: str) -> bytes:
    with archive.open(name) as member:
        return member.read(HEAD_BYTES)


def read_part(path: Path, start: int, count: int) -> bytes:
    """Some bytes of a regular file, a negative start counting from its end; none where they cannot be had."""
    try:
        # Never waits, should the path be a pipe by now.
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with os.fdopen(descriptor, "rb") as stream:
            status = os.fstat(stream.fileno())
            if not stat.S_ISREG(status.st_mode):
                return b""
            stream.seek(max(0, status.st_size + start) if start < 0 else start)
            return stream.read(count)
    except (OSError, ValueError):
        return b""
