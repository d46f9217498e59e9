"""What a drill file declares: unit, digits, zeros, tools with their diameters, and what is plated.

Declarations are looked for in the whole file, because in real files they stand in the header, behind it, in
comments, or after the first hole; a hole is never understood by half.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from labelcheck.formats.drill_numbers import Declared, Zeros
from labelcheck.trade.units import MM_PER_INCH, Unit

COMMENT_AT_MOST = 300
"""Characters of a comment that are looked at."""

_UNIT_WORD = re.compile(r"^(METRIC|INCH|M71|M72)\b(.*)$")
_DIGIT_PATTERN = re.compile(r"\b(0{1,6})\.(0{1,6})\b")
_FILE_FORMAT = re.compile(r"FILE_FORMAT\s*=\s*(\d)\s*:\s*(\d)\s*$")
_FORMAT_COMMENT = re.compile(r"^\s*FORMAT\s*[:=]?\s*\{?\s*(\d)\s*[:.]\s*(\d)\b(.*)$")
_ZEROS_SAID: tuple[tuple[str, Zeros], ...] = (
    ("SUPPRESS LEADING", "trailing"),
    ("SUPPRESS TRAILING", "leading"),
    ("KEEP ZEROS", "all"),
)
_TYPE = re.compile(r"^\s*TYPE\s*=\s*(NON[-_ ]?PLATED|UNPLATED|PLATED)")
_ATTRIBUTE = re.compile(r"#@!\s*(T[FADO])\.?(.*)$", re.IGNORECASE)
_NOT_PLATED = re.compile(r"\b(NON[-_ ]?PLATED|UNPLATED|NPTH|NOT PLATED)\b")
_PLATED = re.compile(r"\b(PLATED|PTH)\b")
_TOOL_COMMENT = re.compile(
    r"^\s*(?:T|TOOL\s*)0*(\d{1,5})\b(?:\s*HOLESIZE\s*\d+\.?)?\s*[:=]?\s*(?:(?:SIZE|DIA\w*|Ø)\s*[:=]?\s*)?"
    r"(\d*\.?\d+)\s*(MM|MILLIMET\w*|MILS?|THOU|INCH\w*|IN\b|\")?(.*)$"
)
_HOLE_SIZE = re.compile(r"HOLESIZE\s*0*(\d{1,5})\.?\s*=\s*(\d*\.?\d+)(.*)$")
_TOOL_WORDS = re.compile(r"^T0*(\d{1,7})((?:[A-Z][\d.+-]*)*)$")
_DIAMETER = re.compile(r"C(\d*\.?\d*)")
_UNITS_IN_MM = (
    ("MIL", MM_PER_INCH / 1000),
    ("THOU", MM_PER_INCH / 1000),
    ("METRIC", 1.0),
    ("MM", 1.0),
    ("INCH", MM_PER_INCH),
    ("ENGLISH", MM_PER_INCH),
    ("IN", MM_PER_INCH),
    ('"', MM_PER_INCH),
)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a drill file."""

    number: int
    """From 1."""
    code: str
    """Upper case, blanks and comments taken out."""
    comment: str
    """Upper case, without its mark; empty where there is none."""


@dataclass(slots=True)
class Declarations:
    """What the whole file declares; mutable while it is collected line by line, and it never leaves the reader."""

    numbers: Declared = field(default_factory=Declared)
    plated: bool | None = None
    tool_plated: dict[int, bool] = field(default_factory=dict)
    comment_diameter_mm: dict[int, float] = field(default_factory=dict)
    comment_diameter_unitless: dict[int, float] = field(default_factory=dict)
    attributes: dict[str, tuple[str, ...]] = field(default_factory=dict)
    has_end: bool = False


def split_lines(text: str) -> tuple[Line, ...]:
    """Lines in every convention of line ends; blank lines are left out, numbers count them."""
    lines = []
    for number, raw in enumerate(re.split(r"\r\n|\n|\r", text), start=1):
        code, mark, comment = raw.upper().partition(";")
        if "(" in code and code.rstrip().endswith(")"):
            # Comments of machine programs: `(TOOL 1 0.8 MM)`.
            code, mark, rest = code.partition("(")
            comment = rest.rstrip().rstrip(")")
        code = "".join(code.split()).replace("\x00", "")
        if code or mark:
            lines.append(Line(number, code, " ".join(comment[:COMMENT_AT_MOST].split())))
    return tuple(lines)


def collect(lines: Iterable[Line]) -> Declarations:
    """Everything declared anywhere in the file; the first declaration of a thing holds."""
    found = Declarations()
    section: bool | None = None
    next_tool: bool | None = None
    for line in lines:
        if line.comment:
            section, next_tool = _comment(line.comment, found, section, next_tool)
        code = line.code
        if not code or code[0] in "XY":
            continue
        tool = _TOOL_WORDS.match(code)
        if tool is not None and "C" in tool[2]:
            plated = next_tool if next_tool is not None else section
            if plated is not None:
                found.tool_plated.setdefault(int(tool[1]), plated)
            continue
        _code(code, found)
    return found


def tool_definition(code: str) -> tuple[int, str | None] | None:
    """`T1C0.8F200S65` as (1, "0.8"); the diameter is None for a mere choice of tool; None for anything else."""
    match = _TOOL_WORDS.match(code)
    if match is None:
        return None
    diameter = _DIAMETER.search(match[2])
    if diameter is None or not diameter[1].strip("."):
        return int(match[1]), None
    return int(match[1]), diameter[1]


def _code(code: str, found: Declarations) -> None:
    if code.startswith(("M30", "M00")) or code.endswith("M30"):
        found.has_end = True
    match = _UNIT_WORD.match(code)
    if match is None:
        return
    _declare_unit(found, "mm" if match[1] in ("METRIC", "M71") else "inch")
    words = match[2]
    _declare_zeros(found, "leading" if ",LZ" in words else "trailing" if ",TZ" in words else None)
    digits = _DIGIT_PATTERN.search(words)
    if digits is not None:
        _declare_digits(found, len(digits[1]), len(digits[2]))


def _declare_unit(found: Declarations, unit: Unit) -> None:
    if found.numbers.unit is None:
        found.numbers = replace(found.numbers, unit=unit)


def _declare_zeros(found: Declarations, zeros: Zeros | None) -> None:
    if zeros is not None and found.numbers.zeros is None:
        found.numbers = replace(found.numbers, zeros=zeros)


def _declare_digits(found: Declarations, whole: int, decimal: int) -> None:
    # The last of several wins: real files hold a default first and the truth behind it.
    if whole + decimal > 0:
        found.numbers = replace(found.numbers, whole_digits=whole, decimal_digits=decimal)


def _comment(
    comment: str, found: Declarations, section: bool | None, next_tool: bool | None
) -> tuple[bool | None, bool | None]:
    attribute = _ATTRIBUTE.search(comment)
    if attribute is not None:
        return section, _attribute(attribute[1], attribute[2], found, next_tool)
    if (match := _FILE_FORMAT.search(comment)) or (match := _FORMAT_COMMENT.match(comment)):
        _declare_digits(found, int(match[1]), int(match[2]))
        # `FORMAT={3:3/ absolute / metric / suppress leading zeros}`
        _declare_zeros(found, next((zeros for words, zeros in _ZEROS_SAID if words in comment), None))
    if match := _TYPE.match(comment):
        return not match[1].startswith(("NON", "UN")), next_tool
    if match := _HOLE_SIZE.search(comment):
        numbered = re.search(r"\bT0*(\d{1,5})\b", comment)
        _comment_tool(found, int((numbered or match)[1]), match[2], match[3])
    elif match := _TOOL_COMMENT.match(comment):
        _comment_tool(found, int(match[1]), match[2], f"{match[3] or ''} {match[4]}")
    elif found.plated is None and (told := _plating(comment)) is not None and "DRILL" in comment:
        found.plated = told
    return section, next_tool


def _comment_tool(found: Declarations, number: int, diameter: str, rest: str) -> None:
    plated = _plating(rest)
    if plated is not None:
        found.tool_plated.setdefault(number, plated)
    scale = next((mm for word, mm in _UNITS_IN_MM if re.search(rf"(^|[\s\d]){re.escape(word)}", rest)), None)
    if scale is None:
        found.comment_diameter_unitless.setdefault(number, float(diameter))
    else:
        found.comment_diameter_mm.setdefault(number, float(diameter) * scale)


def _plating(text: str) -> bool | None:
    if _NOT_PLATED.search(text):
        return False
    return True if _PLATED.search(text) else None


def _attribute(kind: str, text: str, found: Declarations, next_tool: bool | None) -> bool | None:
    name, *values = (word.strip() for word in text.split(","))
    if kind == "TF":
        found.attributes.setdefault(f".{name}", tuple(values))
        if name == "FILEFUNCTION" and values and found.plated is None:
            found.plated = {"PLATED": True, "NONPLATED": False}.get(values[0])
    elif kind == "TA" and name == "APERFUNCTION" and values:
        return {"PLATED": True, "NONPLATED": False}.get(values[0], next_tool)
    elif kind == "TD":
        return None
    return next_tool
