"""Placement (centroid) files: where each component lies, out of tables of many habits.

Columns come in any order and under many names, separated by commas, semicolons, tabs, or set in fixed widths; lines
before the heading are a preamble; the unit stands in the preamble, in the heading, in the cells, or nowhere.
"""

import csv
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import Side
from labelcheck.trade.units import MM_PER_INCH

BYTES_LOOKED_AT = 20_000
HEADING_WITHIN_LINES = 200
ROWS_AT_MOST = 200_000
BYTES_AT_MOST = 50_000_000

_COLUMNS: dict[str, tuple[re.Pattern[str], ...]] = {
    # The first pattern that any heading matches wins: middles before pins and pads.
    "reference": tuple(
        re.compile(pattern)
        for pattern in (
            r"^(#\s*)?(ref(erence)?[\s_-]*(des(ignator|ig)?)?|designator|part[\s_-]*designator)\.?$",
            r"^(#\s*)?(name|part|component|id|comp\w*)\.?$",
        )
    ),
    "x": tuple(re.compile(pattern) for pattern in (
        r"^(mid|cent(er|re)|centroid|pos)[\s_-]*x([\s_-]*(pos|coord\w*))?(\s*[(\[].*)?$",
        r"^(loc(ation)?|place)?[\s_-]*x([\s_-]*(pos\w*|coord\w*|loc\w*))?(\s*[(\[].*)?$",
        r"^ref[\s_-]*x(\s*[(\[].*)?$",
    )),
    "y": tuple(re.compile(pattern) for pattern in (
        r"^(mid|cent(er|re)|centroid|pos)[\s_-]*y([\s_-]*(pos|coord\w*))?(\s*[(\[].*)?$",
        r"^(loc(ation)?|place)?[\s_-]*y([\s_-]*(pos\w*|coord\w*|loc\w*))?(\s*[(\[].*)?$",
        r"^ref[\s_-]*y(\s*[(\[].*)?$",
    )),
    "rotation": (re.compile(r"^(rot\w*|angle|orient\w*|theta)(\s*[(\[].*)?$"),),
    "side": (re.compile(r"^(side|layer|tb|t/b|board[\s_-]*side|mount\w*[\s_-]*side|placement[\s_-]*layer)$"),),
    "package": (
        re.compile(r"^(package|footprint|pattern|case|shape|land[\s_-]*pattern)([\s_-]*name)?$"),
        re.compile(r"^component$"),
    ),
    "value": (re.compile(r"^(val(ue)?|comment|part[\s_-]*(number|no)?|description)$"),),
}  # fmt: skip

_UNIT_SAID = re.compile(
    r"\bunits?\s*(?:used)?\s*[:=]?\s*\(?\s*(mm|millimet\w*|metric|inch\w*|in|mils?|thou|imperial)\b"
)
_UNIT_IN_HEADING = re.compile(r"[(\[]\s*(mm|inch\w*|in|mils?|thou)\s*[)\]]")
_CELL = re.compile(r"^\s*([+-]?\d*[.,]?\d+(?:[eE][+-]?\d{1,3})?)\s*(mm|mils?|thou|inch\w*|in|\")?\s*$", re.IGNORECASE)
_MM_PER = {
    "mi": MM_PER_INCH / 1000,
    "th": MM_PER_INCH / 1000,
    "in": MM_PER_INCH,
    "im": MM_PER_INCH,
    "me": 1.0,
    '"': MM_PER_INCH,
}
"""Millimetres of a unit by the first letters of its word; `mi` is `mil`, for millimetres are told apart before."""


@dataclass(frozen=True, slots=True)
class Placed:
    """One component, in the placement file's own coordinates."""

    reference: str
    package: str | None
    value: str | None
    x_mm: float
    y_mm: float
    rotation_deg: float
    """Counter-clockwise as the file writes it; None of the conventions for the bottom is undone here."""
    side: Side | None
    line: int


@dataclass(frozen=True, slots=True)
class Placement:
    """One placement file."""

    name: str
    placed: tuple[Placed, ...]
    """In order of their lines."""
    unit_guessed: bool
    """Whether the unit is a guess: the board's extent must decide."""
    mm_per_unit: float
    remarks: tuple[Remark, ...]


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
    wide = head.startswith((b"\xff\xfe", b"\xfe\xff"))
    if not wide and b"\x00" in head:
        return False
    text = head.decode("utf-16", "replace") if wide else decode_text("", head)
    return any(is_heading(split_cells(line)) for line in text.splitlines()[:100])


def read_placement(name: str, data: bytes) -> Placement:
    """Read a placement file; raises UnreadableFile where no heading names the columns needed."""
    if len(data) > BYTES_AT_MOST:
        problem = f"The table has more than {BYTES_AT_MOST:,} bytes."
        raise UnreadableFile(name, None, problem, "Export one board only.")
    lines = decode_text(name, data).splitlines()
    at = next((i for i, line in enumerate(lines[:HEADING_WITHIN_LINES]) if is_heading(split_cells(line))), None)
    if at is None:
        raise UnreadableFile(name, None, "No line names the columns of a placement table.",
                             "Export it with headings for reference, x, y and rotation.")  # fmt: skip
    if len(lines) > ROWS_AT_MOST:
        raise UnreadableFile(name, None, f"The table has more than {ROWS_AT_MOST:,} lines.", "Export one board only.")
    table = _Table(lines[at])
    scale, guessed = _scale(lines[: at + 1])
    placed: list[Placed] = []
    odd: list[int] = []
    for number, line in enumerate(lines[at + 1 :], start=at + 2):
        if not line.strip() or line.lstrip().startswith("#") or set(line.strip()) <= set("-=_ ,;\t"):
            continue
        row = _row(table.cells(line), number, scale)
        if row is None:
            odd.append(number)
        else:
            placed.append(row)
    remarks = []
    if odd:
        remarks.append(Remark(name, odd[0], f"{len(odd)} lines were not understood and were left out."))
    if guessed and placed and not _units_in_cells(table, lines[at + 1 :]):
        remarks.append(Remark(name, None, "The table does not say its unit; millimetres were taken."))
    else:
        guessed = False
    return Placement(name, tuple(placed), guessed, scale, tuple(remarks))


def split_cells(line: str) -> list[str]:
    """Cells of one line: split at its separator, or at two blanks and more where it has none."""
    separator = _separator(line)
    if separator is not None:
        return [cell.strip().strip('"').strip() for cell in line.split(separator)]
    return [cell.strip().strip('"') for cell in re.split(r"\s{2,}", line.strip())]


def is_heading(cells: Sequence[str]) -> bool:
    """Whether these cells name the columns of a placement table."""
    found = _columns(cells)
    return {"reference", "x", "y", "rotation"} <= found.keys()


def _separator(line: str) -> str | None:
    return next((separator for separator in ("\t", ";", ",") if line.count(separator) >= 3), None)


def _columns(cells: Sequence[str]) -> dict[str, int]:
    """Place of each known column; a cell stands for one column only."""
    found: dict[str, int] = {}
    for column, patterns in _COLUMNS.items():
        for pattern in patterns:
            places = [
                place for place, cell in enumerate(cells)
                if place not in found.values() and pattern.match(" ".join(cell.lower().split()))
            ]  # fmt: skip
            if places:
                found[column] = places[0]
                break
    return found


class _Table:
    """How the lines of one table are cut, told by its heading."""

    def __init__(self, heading: str) -> None:
        self._separator = _separator(heading)
        names = split_cells(heading)
        self._columns = _columns(names)
        starts = []
        at = 0
        for name in names:
            at = heading.find(name, at)
            starts.append(at)
            at += len(name)
        self._starts = starts

    def cells(self, line: str) -> dict[str, str]:
        """Text of each known column; what is missing is empty."""
        if self._separator is not None:
            parts = next(csv.reader([line.replace("\x00", "")], delimiter=self._separator), [])
        else:
            parts = re.split(r"\s{2,}", line.strip())
            if len(parts) != len(self._starts):
                parts = self._by_place(line)
        return {column: parts[place].strip() if place < len(parts) else "" for column, place in self._columns.items()}

    def _by_place(self, line: str) -> list[str]:
        """Words sorted into columns by where they stand: text by its beginning, numbers by their end."""
        parts = [""] * len(self._starts)
        for word in re.finditer(r"\S+", line):
            anchor = word.end() - 1 if _CELL.match(word[0]) else word.start()
            place = max((i for i, start in enumerate(self._starts) if start <= anchor), default=0)
            parts[place] = f"{parts[place]} {word[0]}".strip()
        return parts


def _scale(lines: Sequence[str]) -> tuple[float, bool]:
    """Millimetres of a number without unit, and whether that is a guess; the heading is the last line."""
    in_heading = _UNIT_IN_HEADING.search(lines[-1].lower())
    if in_heading is not None:
        return _mm_per(in_heading[1]), False
    for line in lines[:-1]:
        said = _UNIT_SAID.search(line.lower())
        if said is not None:
            return _mm_per(said[1]), False
    return 1.0, True


def _mm_per(word: str) -> float:
    word = word.lower()
    return 1.0 if word.startswith(("mm", "milli")) else _MM_PER[word[:2] if word != '"' else word]


def _units_in_cells(table: _Table, lines: Sequence[str]) -> bool:
    for line in lines:
        match = _CELL.match(table.cells(line).get("x", ""))
        if match is not None:
            return match[2] is not None
    return False


def _row(cells: dict[str, str], number: int, scale: float) -> Placed | None:
    x, y = _length(cells["x"], scale), _length(cells["y"], scale)
    turn = _length(re.sub(r"(?i)\s*(deg\w*|°)$", "", cells["rotation"]) or "0", 1.0)
    reference = cells["reference"]
    if x is None or y is None or turn is None or not reference:
        return None
    return Placed(
        reference=reference,
        package=cells.get("package") or None,
        value=cells.get("value") or None,
        x_mm=x,
        y_mm=y,
        rotation_deg=turn % 360.0,
        side=_side(cells.get("side", "")),
        line=number,
    )


def _length(text: str, scale: float) -> float | None:
    match = _CELL.match(text)
    if match is None:
        return None
    value = float(match[1].replace(",", ".")) * (scale if match[2] is None else _mm_per(match[2]))
    return value if math.isfinite(value) else None


def _side(text: str) -> Side | None:
    word = re.sub(r"[^a-z0-9]", "", text.lower())
    if word.startswith(("t", "f", "comp", "prim", "upper")) or word in ("1", "cs", "yes"):
        return Side.TOP
    if word.startswith(("b", "solder", "second", "lower")) or word in ("2", "ss"):
        return Side.BOTTOM
    return None
