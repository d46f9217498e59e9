"""Fab sets in zip form: read within stated bounds, and nothing written anywhere."""

import io
import re
import stat
import struct
import zipfile
import zlib
from dataclasses import dataclass, field

from labelcheck.board.fab_set import SetFile, set_file
from labelcheck.trade.errors import UnreadableSet
from labelcheck.trade.places import Remark

MEMBERS_AT_MOST = 2_000
"""Files of one zip; the largest real sets hold under a hundred."""

UNPACKED_BYTES_AT_MOST = 1_000_000_000
"""Bytes that all files of one zip may unpack to."""

RATIO_AT_MOST = 400
"""Unpacked to packed bytes of one file larger than `RATIO_MATTERS_BYTES`; panels of repeats reach about 100."""

RATIO_MATTERS_BYTES = 20_000_000

_DRIVE = re.compile(r"^[A-Za-z]:")

UNPACKING_ERRORS = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    OSError,
    RuntimeError,
    NotImplementedError,
    ValueError,
    OverflowError,
    MemoryError,
)
"""What the standard library raises for corrupt members: CRC, stream, password, method, header numbers."""


@dataclass(slots=True)
class Unpacked:
    """What a zip gave; mutable while it is filled."""

    files: list[SetFile] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)


def looks_like_zip(data: bytes) -> bool:
    """Whether the bytes begin as a zip does (also an empty one)."""
    return data[:4] in (b"PK\x03\x04", b"PK\x05\x06")


def unpack(place: str, data: bytes) -> Unpacked:
    """All files of a zip; `place` names it in errors.

    Raises UnreadableSet where it is no zip or passes the bounds. A member that cannot be had is a file with a
    problem; a member with a name that climbs out is left out with a remark.
    """
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except UNPACKING_ERRORS as error:
        raise UnreadableSet(f"{place}: The zip is damaged or cut short. Pack or download it again.") from error
    with archive:
        members = files_of(archive)
        if len(members) > MEMBERS_AT_MOST:
            raise UnreadableSet(
                f"{place}: The zip holds more than {MEMBERS_AT_MOST:,} files. Name the zip of one fab set."
            )
        return _unpack_members(place, archive, members)


def files_of(archive: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
    """The entries of a zip that are no folders; a damaged entry may have an empty name.

    Some programs write backslashes, also behind the names of folders.
    """
    return [entry for entry in archive.infolist() if not entry.filename.endswith(("/", "\\"))]


def _unpack_members(place: str, archive: zipfile.ZipFile, members: list[zipfile.ZipInfo]) -> Unpacked:
    unpacked = Unpacked()
    left = UNPACKED_BYTES_AT_MOST
    seen: dict[str, SetFile] = {}
    for member in members:
        name = member.filename.replace("\\", "/").removeprefix("./")
        refused = _refused(name, member)
        if refused is not None:
            unpacked.remarks.append(Remark(_printable(name), None, f"{refused}, and was left out of the set."))
            continue
        file = _read(place, archive, member, name, left)
        left -= len(file.data)
        if name in seen:
            if seen[name].sha256 != file.sha256:
                unpacked.remarks.append(
                    Remark(
                        name,
                        None,
                        "The zip holds two different files of this name; the last one was taken, as unpacking would.",
                    )
                )
            unpacked.files.remove(seen[name])
        seen[name] = file
        unpacked.files.append(file)
    return unpacked


def _refused(name: str, member: zipfile.ZipInfo) -> str | None:
    parts = name.split("/")
    if name.startswith("/") or _DRIVE.match(name) or ".." in parts or not parts[-1]:
        return "The zip holds a name that leads out of the set"
    if any(ord(character) < 32 for character in name):
        return "The zip holds a name with control characters"
    if stat.S_IFMT(member.external_attr >> 16) not in (0, stat.S_IFREG):
        return "The zip holds a link or a device, which is never followed"
    return None


def _printable(name: str) -> str:
    return "".join(character if character.isprintable() else "?" for character in name)


def _read(place: str, archive: zipfile.ZipFile, member: zipfile.ZipInfo, name: str, left: int) -> SetFile:
    if member.flag_bits & 0x1:
        return SetFile(name, b"", "", "The file is encrypted. Pack the set again without a password.")
    try:
        with archive.open(member) as stream:
            data = stream.read(left + 1)
    except UNPACKING_ERRORS:
        return SetFile(name, b"", "", "The file is damaged inside the zip. Pack or download the set again.")
    packed = max(member.compress_size, 1)
    too_dense = len(data) > RATIO_MATTERS_BYTES and len(data) / packed > RATIO_AT_MOST
    if len(data) > left or too_dense:
        raise UnreadableSet(
            f"{place}: The zip unpacks to more than {UNPACKED_BYTES_AT_MOST:,} bytes, or {name} to more than "
            f"{RATIO_AT_MOST} times its size. This is no fab set; name the right zip."
        )
    return set_file(name, data)
