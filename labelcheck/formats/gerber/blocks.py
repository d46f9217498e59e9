"""Bytes -> comments and extended commands, and the plain words left between them.

Comments run to the next `*`, extended commands stand between two `%` (Gerber layer format 2.4, 3.5.2). Both are
few beside the coordinates, so they are found by their first byte and handled one by one; what is left is decoded
in bulk by `words`. Where a `%` is missing or one too many, reading falls back into step at the next statement that
can only be a plain command, with a remark.
"""

import re
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.remarking import RemarkBook

Bytes = NDArray[np.uint8]

EXTENDED_CODES = (
    "FS", "MO", "AD", "AM", "AB", "SR", "LP", "LM", "LR", "LS", "TF", "TA", "TO", "TD",
    "AS", "IC", "IF", "IJ", "IN", "IO", "IP", "IR", "KO", "LN", "MI", "OF", "PF", "RO", "SF",
)
"""Every extended command of the format, today's and deprecated ones."""
_CODE_OF = {code.encode("ascii"): code for code in EXTENDED_CODES if code != "AM"}

_PLAIN_COMMAND = re.compile(rb"\s*[GDMXYIJN]\s*[-+0-9]")
_EXTENDED_CODE = re.compile(rb"\s*([A-Za-z]{2})")
_COMMAND_AFTER_BREAK = re.compile(rb"[\r\n][ \t]*(%[A-Z]{2})")
_SWALLOWED = re.compile(rb"[\r\n][ \t]*(?!G0?4(?![0-9]))[GDMXY][-+]?[0-9][^\r\n]*$")
_DRAWS = re.compile(rb"D0*[123]\s*\*|%[A-Z]{2}[^%*]*\*")
_MACRO_STARTS = tuple("0123456789$")
_ATTRIBUTE_MARK = re.compile(rb"[Gg]0?4[ \t]{0,8}#@!")
_BLANK = ord(" ")
_END = ord("*")
_PERCENT = ord("%")
_LONG = 4096
"""Bytes from which on a stretch is blanked by itself; shorter ones are blanked all at once."""


class Statement(NamedTuple):
    """One extended command; a macro definition holds its contents too."""

    at: int
    """Byte offset in the file."""
    code: str
    """Its two letters, such as `AD`."""
    rest: str
    """What follows, without `*`, line breaks and the blanks around it."""
    body: tuple[tuple[int, str], ...] = ()
    """Contents of a macro: byte offset and text of each of its statements."""

    @property
    def text(self) -> str:
        """The whole command."""
        return self.code + self.rest

    @property
    def packed(self) -> str:
        """What follows the code, without any blanks."""
        return self.rest.replace(" ", "").replace("\t", "")


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A file taken apart: extended commands in order, and the bytes with all that is not a plain word blanked."""

    statements: tuple[Statement, ...]
    plain: Bytes
    line_breaks: NDArray[np.int64]
    whole: bool
    """Whether the end-of-file command was met; nothing after it counts."""

    def line(self, at: int) -> int:
        """Line number, from 1, of a byte offset."""
        return int(np.searchsorted(self.line_breaks, at, side="left")) + 1


def take_apart(data: bytes, remarks: RemarkBook) -> Sheet:
    """Split a file into extended commands and plain bytes; attributes written in comments count as commands."""
    raw = np.frombuffer(data, dtype=np.uint8)
    breaks = _line_breaks(raw)
    plain = raw.copy()
    sheet = Sheet((), plain, breaks, whole=False)
    statements: list[Statement] = []
    done, whole = 0, False
    taken: list[tuple[int, int]] = []
    for at in _candidates(raw).tolist():
        if at < done:
            continue
        first = data[at]
        if first == _PERCENT:
            done = _extended(data, at, statements, sheet, remarks)
        elif first in b"Gg":
            done = _comment(data, at, statements, sheet, remarks)
        else:
            whole, done = True, len(data)
            _look_after_end(data, at, sheet, remarks)
        taken.append((at, done))
    _blank(plain, taken)
    return Sheet(tuple(statements), plain, breaks, whole)


def _blank(plain: Bytes, taken: list[tuple[int, int]]) -> None:
    """Blank stretches, each from one byte offset to another; an end of statement stays at the start of each.

    A comment or an extended command ends whatever statement was left open before it.
    """
    if not taken:
        return
    starts, stops = np.array(taken, dtype=np.int64).T
    lengths = stops - starts
    for place in np.flatnonzero(lengths > _LONG).tolist():
        plain[starts[place] : stops[place]] = _BLANK
    lengths[lengths > _LONG] = 0
    ends = np.cumsum(lengths)
    plain[np.arange(int(ends[-1])) + np.repeat(starts - (ends - lengths), lengths)] = _BLANK
    plain[starts] = _END


def _line_breaks(raw: Bytes) -> NDArray[np.int64]:
    """Offsets where lines end: at LF, at CR LF (its LF), or at CR alone."""
    feeds = np.flatnonzero(raw == ord("\n"))
    returns = np.flatnonzero(raw == ord("\r"))
    if len(returns) == 0:
        return feeds
    alone = returns[np.append(raw, 0)[returns + 1] != ord("\n")]
    return np.sort(np.concatenate((feeds, alone))) if len(alone) else feeds


def _candidates(raw: Bytes) -> NDArray[np.int64]:
    """Offsets of every `%`, of every comment (`G04`, `G4`) and end (`M02`, `M00`, `M2`, `M0`), sorted."""
    padded = np.concatenate((raw, np.zeros(3, dtype=np.uint8)))
    small = raw | 0x20
    found = [np.flatnonzero(raw == _PERCENT)]
    for letter, numbers in (("g", "4"), ("m", "02")):
        at = np.flatnonzero(small == ord(letter))
        # One digit, or two of which the first is 0, and no further one.
        second, third = padded[at + 1], padded[at + 2]
        zero = (second == ord("0")) & _is_digit(third)
        number, after = np.where(zero, third, second), np.where(zero, padded[at + 3], third)
        found.append(at[np.isin(number, list(numbers.encode("ascii"))) & ~_is_digit(after)])
    return np.sort(np.concatenate(found))


def _is_digit(byte: Bytes) -> NDArray[np.bool_]:
    return (byte >= ord("0")) & (byte <= ord("9"))


def _look_after_end(data: bytes, at: int, sheet: Sheet, remarks: RemarkBook) -> None:
    """Tell where drawing commands stand after the end-of-file command."""
    drawn = _DRAWS.search(data, at)
    if drawn is not None:
        message = "Commands stand after the end-of-file command; they are not drawn. Check that the file is one file."
        remarks.note("after end", sheet.line(drawn.start()), message, lost=True)


def text_of(raw: bytes) -> str:
    """Text as UTF-8, else as Latin-1, without line breaks and the blanks around it."""
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    if "\n" in text or "\r" in text:
        text = text.replace("\r", "").replace("\n", "")
    return text.strip()


def _statement(at: int, text: str, body: tuple[tuple[int, str], ...] = ()) -> Statement:
    return Statement(at, text[:2].upper(), text[2:].strip(), body)


def _comment(data: bytes, at: int, statements: list[Statement], sheet: Sheet, remarks: RemarkBook) -> int:
    """Read one comment; returns where reading goes on."""
    star = data.find(b"*", at)
    end = len(data) if star < 0 else star
    content = data[at:end]
    if b"\n" in content or b"\r" in content:
        command = _COMMAND_AFTER_BREAK.search(content)
        if command is not None:
            message = "A comment is not ended by *; it was ended where an extended command begins."
            remarks.note("open comment", sheet.line(at), message)
            return at + command.start(1)
        if _SWALLOWED.search(content) is not None:
            message = "A comment is not ended by *; the command on its next line counts as comment and is not drawn."
            remarks.note("swallowed", sheet.line(at), message, lost=True)
    mark = _ATTRIBUTE_MARK.match(content)
    if mark is not None:
        statement = _statement(at, text_of(content[mark.end() :]))
        if statement.code in ("TF", "TA", "TO", "TD"):
            statements.append(statement)
    return min(end + 1, len(data))


def _extended(data: bytes, at: int, statements: list[Statement], sheet: Sheet, remarks: RemarkBook) -> int:
    """Read the commands between two `%`; returns where reading goes on."""
    close = data.find(b"%", at + 1)
    end = len(data) if close < 0 else close
    alone = _CODE_OF.get(data[at + 1 : at + 3])
    if alone is not None and data.find(b"*", at, end) == end - 1:
        # The usual case, one command in one line, without further looks.
        statements.append(Statement(at + 1, alone, text_of(data[at + 3 : end - 1])))
        return _after(close, at, sheet, remarks)
    code = _EXTENDED_CODE.match(data, at + 1, end)
    if code is None or (code.group(1).decode("ascii").upper() not in EXTENDED_CODES and b"*" not in data[at:end]):
        remarks.note("stray %", sheet.line(at), "A % stands where no extended command begins; it was passed over.")
        return at + 1
    macro: _OpenMacro | None = None
    start = at + 1
    while start < end:
        star = data.find(b"*", start, end)
        stop = end if star < 0 else star
        content = data[start:stop]
        lead = len(content) - len(content.lstrip())
        if _PLAIN_COMMAND.match(content) is not None:
            start += lead
            remarks.note("open %", sheet.line(start), "A % is missing before this line; reading went on without it.")
            _finish(macro, statements)
            return start
        text = text_of(content)
        start += lead
        if macro is not None and text[:1] in _MACRO_STARTS:
            macro.body.append((start, text))
        elif text:
            _finish(macro, statements)
            macro = _OpenMacro(start, text, []) if text[:2].upper() == "AM" else None
            if macro is None:
                statements.append(_statement(start, text))
        start = stop + 1
    _finish(macro, statements)
    return _after(close, at, sheet, remarks)


def _after(close: int, at: int, sheet: Sheet, remarks: RemarkBook) -> int:
    """Where reading goes on after an extended command."""
    if close >= 0:
        return close + 1
    remarks.note("last %", sheet.line(at), "The last extended command is not closed by %.")
    return len(sheet.plain)


@dataclass(frozen=True, slots=True)
class _OpenMacro:
    """A macro definition whose statements are still being read."""

    at: int
    text: str
    body: list[tuple[int, str]]


def _finish(macro: _OpenMacro | None, statements: list[Statement]) -> None:
    if macro is not None:
        statements.append(_statement(macro.at, macro.text, tuple(macro.body)))
