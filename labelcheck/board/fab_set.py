"""A fab set as it lies on the disk: the files of one board, their bytes, and a fingerprint over all of them."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from labelcheck.trade.places import Remark


@dataclass(frozen=True, slots=True)
class SetFile:
    """One file of a set."""

    name: str
    """Path within the set, `/` between folders."""
    data: bytes
    """Empty where `problem` says why the bytes could not be had."""
    sha256: str
    """Hexadecimal, over the bytes; empty where they could not be had."""
    problem: str | None = None
    """A sentence and its cure, or None where all is well."""

    @property
    def base(self) -> str:
        """Its name without the folders."""
        return self.name.rpartition("/")[2]


@dataclass(frozen=True, slots=True)
class FabSet:
    """The exported files that one board is ordered with."""

    name: str
    """What to call it: the folder or zip, and the board's own name where that holds several."""
    path: str
    """The folder or zip, as the person named it."""
    files: tuple[SetFile, ...]
    """In order of name."""
    fingerprint: str
    """`sha256:` and a digest over names and contents of all files."""
    remarks: tuple[Remark, ...]
    """What was met while opening it."""


def set_file(name: str, data: bytes) -> SetFile:
    """A file whose bytes are here."""
    return SetFile(name, data, hashlib.sha256(data).hexdigest())


def make_set(name: str, path: str, files: Iterable[SetFile], remarks: Iterable[Remark]) -> FabSet:
    """A set of these files, sorted, with its fingerprint."""
    ordered = tuple(sorted(files, key=lambda file: file.name))
    return FabSet(name, path, ordered, fingerprint(ordered), tuple(remarks))


def fingerprint(files: Iterable[SetFile]) -> str:
    """One digest over names and contents, whatever the order: `sha256:…`.

    A file that could not be read counts with its name and an empty content digest.
    """
    digest = hashlib.sha256()
    for file in sorted(files, key=lambda file: file.name):
        # Lengths keep names and digests apart, so that no two different sets give the same stream.
        name = file.name.encode("utf-8", "surrogateescape")
        digest.update(f"{len(name)}:".encode() + name + f":{file.sha256};".encode())
    return f"sha256:{digest.hexdigest()}"
