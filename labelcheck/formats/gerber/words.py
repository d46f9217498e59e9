"""Plain bytes -> words as columns: a letter and the number behind it, decoded in bulk.

A statement such as `G01X100Y-25D01*` becomes the words G 1, X 100, Y -25, D 1 and the end word `*`. Whole numbers
are summed from digit x 10^rank in a few array operations, about 50 MB/s.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.blocks import Bytes, Sheet
from labelcheck.formats.gerber.bounds import MOST_DIGITS
from labelcheck.formats.gerber.remarking import RemarkBook

Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]

END = ord("*")
_BLANK, _DIGIT, _LETTER, _MINUS, _PLUS, _POINT, _OTHER = range(7)
_LONGEST_WORD = 256
"""Bytes looked at for the number of one odd word; blanks may stand within."""
_CHUNK = 8 * 1024 * 1024
_KNOWN = np.zeros(256, dtype=np.bool_)
_KNOWN[list(b"XYIJDGMN*")] = True


def _classes() -> Bytes:
    table = np.full(256, _OTHER, dtype=np.uint8)
    table[list(b" \t\r\n\v\f\0")] = _BLANK
    table[list(b"0123456789")] = _DIGIT
    for letter in range(26):
        table[[ord("A") + letter, ord("a") + letter]] = _LETTER
    table[END] = _LETTER
    table[ord("-")], table[ord("+")], table[ord(".")] = _MINUS, _PLUS, _POINT
    return table


_CLASS = _classes()
_UPPER = np.arange(256, dtype=np.uint8)
_UPPER[ord("a") : ord("z") + 1] -= 32
_POWER = 10 ** np.arange(MOST_DIGITS + 1, dtype=np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """Words in file order, each column of shape (n,)."""

    letter: Bytes
    """ASCII capital, or `END`."""
    value: Integers
    """The whole number behind the letter, 0 where there is none."""
    digits: Integers
    """How many digits were written."""
    at: Integers
    """Byte offset of the letter."""
    decimals: dict[int, float]
    """Numbers written with a decimal point: word -> number as written."""

    def __len__(self) -> int:
        return len(self.letter)


def decode(sheet: Sheet, remarks: RemarkBook) -> Words:
    """All words of a file whose statements are understood; the others are left out, with a remark."""
    plain = sheet.plain
    parts: list[tuple[Bytes, Integers, Integers, Integers, Integers]] = []
    start = 0
    while start < len(plain):
        stop = _cut(plain, start)
        parts.append(_decode_chunk(plain[start:stop], start))
        start = stop
    if not parts:
        none = np.zeros(0, dtype=np.int64)
        return Words(np.zeros(0, dtype=np.uint8), none, none, none, {})
    letter, value, digits, at, odd = (np.concatenate(column) for column in zip(*parts, strict=True))
    return _understood(sheet, Words(letter, value, digits, at, {}), odd, remarks)


def _cut(plain: Bytes, start: int) -> int:
    """Where a chunk may end: just before an end of statement, so that no word is cut."""
    stop = start + _CHUNK
    while stop < len(plain):
        ends = np.flatnonzero(plain[stop : stop + _CHUNK] == END)
        if len(ends):
            return stop + int(ends[0])
        stop += _CHUNK
    return len(plain)


def _decode_chunk(plain: Bytes, offset: int) -> tuple[Bytes, Integers, Integers, Integers, Integers]:
    """Columns of one chunk, and the offsets of bytes that need a second look (points, garbage, stray signs)."""
    kind = _CLASS[plain]
    starts = np.flatnonzero(kind == _LETTER)
    is_digit = kind == _DIGIT
    seen = np.cumsum(is_digit, dtype=np.int32)
    first = seen[starts].astype(np.int64)
    total = int(seen[-1]) if len(seen) else 0
    lead = int(first[0]) if len(first) else total
    last = np.append(first[1:], total) if len(first) else first
    counts = last - first
    numerals = (plain[is_digit][lead:] - ord("0")).astype(np.int64)
    rank = np.repeat(last, counts) - np.arange(lead + 1, total + 1)
    if len(counts) and counts.max() > MOST_DIGITS:
        rank = np.minimum(rank, MOST_DIGITS)
    numerals *= _POWER[rank]
    value = np.zeros(len(starts), dtype=np.int64)
    filled = counts > 0
    if len(numerals):
        value[filled] = np.add.reduceat(numerals, first[filled] - lead)
    signed = np.append(kind, np.uint8(_BLANK))[starts + 1] == _MINUS
    np.negative(value, out=value, where=signed)
    odd = np.flatnonzero(kind >= _PLUS)
    if len(odd):
        leading = (kind[odd] == _PLUS) & (odd > 0) & (kind[odd - 1] == _LETTER)
        odd = odd[~leading]
    if np.count_nonzero(kind == _MINUS) != np.count_nonzero(signed):
        odd = np.union1d(odd, np.setdiff1d(np.flatnonzero(kind == _MINUS), starts + 1))
    if lead:
        odd = np.union1d(odd, np.flatnonzero(is_digit)[:1])
    return _UPPER[plain[starts]], value, counts, starts + offset, odd + offset


def _understood(sheet: Sheet, words: Words, odd: Integers, remarks: RemarkBook) -> Words:
    """Drop the statements that hold unknown letters, garbage or impossible numbers; read decimal points."""
    bad = ~_KNOWN[words.letter] | (words.digits > MOST_DIGITS) | ((words.letter == END) & (words.digits > 0))
    decimals: dict[int, float] = {}
    owners = np.searchsorted(words.at, odd, side="right") - 1
    if (owners < 0).any():
        remarks.note("preamble", sheet.line(int(odd[0])), "What stands before the first command was passed over.")
    for word in np.unique(owners[owners >= 0]).tolist():
        number = _number(sheet.plain, words, word)
        if number is None:
            bad[word] = True
        elif isinstance(number, int):
            words.value[word] = number
        else:
            decimals[word] = number
    if not bad.any():
        return Words(words.letter, words.value, words.digits, words.at, decimals)
    ends = np.flatnonzero(words.letter == END)
    spoiled = np.unique(np.searchsorted(ends, np.flatnonzero(bad & (words.letter != END))))
    after = np.searchsorted(ends, np.flatnonzero(bad & (words.letter == END)), side="right")
    spoiled = np.union1d(spoiled, after)
    statement = np.searchsorted(ends, np.arange(len(words)))
    keep = ~np.isin(statement, spoiled) | (words.letter == END)
    dropped = np.flatnonzero(~keep)
    if len(dropped):
        first = int(words.at[dropped[0]])
        shown = bytes(sheet.plain[first : first + 24]).split(b"*")[0].decode("latin-1").split("\n")[0].strip()
        message = f"'{shown}' is not a Gerber command; it was left out. Check this place in the file."
        remarks.note("unknown statement", sheet.line(first), message, len(spoiled))
    moved = np.cumsum(keep) - 1
    kept = {int(moved[word]): number for word, number in decimals.items() if keep[word]}
    return Words(words.letter[keep], words.value[keep], words.digits[keep], words.at[keep], kept)


def _number(plain: Bytes, words: Words, word: int) -> int | float | None:
    """The number of one word read with care: a sign, digits, one point at most; None where it is none."""
    start = int(words.at[word]) + 1
    stop = int(words.at[word + 1]) if word + 1 < len(words) else len(plain)
    text = bytes(plain[start : min(stop, start + _LONGEST_WORD)]).translate(None, b" \t\r\n\v\f\0")
    body = text[1:] if text[:1] in (b"-", b"+") else text
    whole, point, fraction = body.partition(b".")
    if stop - start > _LONGEST_WORD or len(body) > MOST_DIGITS or not (whole + fraction).isdigit():
        return None
    sign = -1 if text[:1] == b"-" else 1
    return sign * float(body) if point else sign * int(body)
