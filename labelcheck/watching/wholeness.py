"""Says which files of a set are cut short, by their ends alone."""

import re
import zipfile
from pathlib import Path

from labelcheck.board.archives import UNPACKING_ERRORS
from labelcheck.board.names import layer_extension, may_be_layer
from labelcheck.board.soundness import END_WITHIN
from labelcheck.formats.drill import looks_like_drill
from labelcheck.formats.gerber.sniffing import looks_like_gerber
from labelcheck.watching.looking import HEAD_BYTES, Place, Stamp, read_part

_ARTWORK_END = re.compile(rb"M0?[02]\s*\*", re.IGNORECASE)
"""Gerber layer format, end-of-file command; M00 in older files."""
_DRILL_END = re.compile(rb"M(?:30|0?0|95)\b", re.IGNORECASE)
"""End of a drill program: M30, M00 in older ones; a program whose header alone was written ends with M95 or `%`."""


def lacking_in(place: Place) -> tuple[str, ...]:
    """Names of files that are not whole: no end of artwork or drills, an empty layer, a zip that does not open."""
    if not place.is_folder:
        return () if _opens(place.path) else (place.path.name,)
    return tuple(stamp.name for stamp in place.stamps if not _is_whole(place.path, stamp))


def _is_whole(folder: Path, stamp: Stamp) -> bool:
    """Whether a file is no layer, or one that ends; a file that cannot be read is for the check to tell."""
    if not may_be_layer(stamp.name):
        return True
    path = folder / stamp.name
    if stamp.size == 0:
        return not layer_extension(stamp.name)
    head = read_part(path, 0, HEAD_BYTES)
    if not head:
        return True
    if looks_like_gerber(head):
        return _ARTWORK_END.search(read_part(path, -END_WITHIN, END_WITHIN)) is not None
    if looks_like_drill(head):
        return _DRILL_END.search(read_part(path, -END_WITHIN, END_WITHIN)) is not None
    return True


def _opens(path: Path) -> bool:
    """Whether a zip has its list of files, which is written last."""
    try:
        with zipfile.ZipFile(path):
            return True
    except UNPACKING_ERRORS:
        return False
