"""Placement (centroid) files: told apart from other tables by their column headings."""

import re

from labelcheck.trade.errors import UnreadableFile

BYTES_LOOKED_AT = 20_000

_REFERENCE = re.compile(
    r"^(#\s*)?(ref(erence|des)?(\s*des(ignator)?)?|designator|name|part|component|id|comp\w*)\.?$"
)
_X = re.compile(
    r"^(pos|mid|cent(er|re)|centroid|ref|pad|loc(ation)?)?[\s_-]*(pos)?x([\s_-]*(pos|coord\w*))?"
    r"(\s*[(\[].*)?$"
)
_Y = re.compile(_X.pattern.replace("x(", "y(", 1))
_ROTATION = re.compile(r"^(rot\w*|angle|orient\w*|theta)(\s*[(\[].*)?$")


def decode_text(name: str, data: bytes) -> str:
    """Text of a table in UTF-8 or UTF-16 with or without byte-order mark, else Latin-1.

    Raises UnreadableFile where a UTF-16 text is broken.
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode("utf-16")
        except UnicodeDecodeError as error:
            raise UnreadableFile(name, None, "The text is broken UTF-16.", "Export the file again.") from error
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def looks_like_placement(data: bytes) -> bool:
    """Whether a heading line names a reference, an x, a y and a rotation."""
    head = data[: BYTES_LOOKED_AT - BYTES_LOOKED_AT % 2]
    if not head.startswith((b"\xff\xfe", b"\xfe\xff")) and b"\x00" in head:
        return False
    wide = head.startswith((b"\xff\xfe", b"\xfe\xff"))
    text = head.decode("utf-16", "replace") if wide else decode_text("", head)
    return any(is_heading(split_cells(line)) for line in text.splitlines()[:100])


def split_cells(line: str) -> list[str]:
    """Cells of one line: split at its separator, or at two blanks and more where it has none."""
    for separator in ("\t", ";", ","):
        if line.count(separator) >= 3:
            return [cell.strip().strip('"').strip() for cell in line.split(separator)]
    return [cell.strip().strip('"') for cell in re.split(r"\s{2,}|\t", line.strip())]


def is_heading(cells: list[str]) -> bool:
    """Whether these cells name the columns of a placement table."""
    lowered = [cell.lower() for cell in cells]
    return all(any(pattern.match(cell) for cell in lowered) for pattern in (_REFERENCE, _X, _Y, _ROTATION))
