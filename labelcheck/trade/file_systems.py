"""What the file systems of Windows, macOS and Linux do otherwise: names, one name for two files, links to folders."""

import os
import unicodedata
from pathlib import Path
from typing import Any

ON_WINDOWS = os.name == "nt"

_NO_FILE_NAME = frozenset('/\\:*?"<>|\0')
"""Signs that no file name may hold on Windows, where names of exchanged folders come from, too."""
_RESERVED = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in "123456789¹²³")}
)
"""Names of devices on Windows, whatever ending follows them ("Naming Files, Paths, and Namespaces")."""


def file_name_for(name: str, on_windows: bool = ON_WINDOWS) -> str:
    """A name for a file or folder of ours after the name of a set, one that every system takes before an ending.

    Control characters, which only Windows refuses, are kept elsewhere, so that the folder is called as its set.
    """
    kept = "".join("_" if sign in _NO_FILE_NAME or (on_windows and sign < " ") else sign for sign in name)
    kept = kept.strip(" .") or "set"
    return f"_{kept}" if kept.partition(".")[0].rstrip(" ").lower() in _RESERVED else kept


def one_place(path: Path) -> str:
    """Equal for paths that are one on disks that tell neither capitals apart nor two spellings of an accent."""
    return unicodedata.normalize("NFC", str(path)).casefold()


def is_same(one: Path, other: Path) -> bool:
    """Whether two resolved paths are one file or folder, however they are spelt; False where one is not there."""
    if one == other:
        return True
    try:
        return os.path.samefile(one, other)
    except (OSError, ValueError):
        return False


def is_link(entry: "os.DirEntry[str]") -> bool:
    """Whether an entry of a folder is a symbolic link, or a junction, the link to a folder that Windows has."""
    junction: Any = getattr(entry, "is_junction", None)  # known from Python 3.12 on
    return entry.is_symlink() or (junction is not None and junction())
