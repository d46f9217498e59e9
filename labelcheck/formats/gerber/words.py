"""Plain bytes -> words as columns: a letter and the number behind it, decoded in bulk.

A statement such as `G01X100Y-25D01*` becomes the words G 1, X 100, Y -25, D 1 and the end word `*`.
"""

from dataclasses import dataclass
from string import ascii_letters

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.blocks import Bytes, Sheet
from labelcheck.formats.gerber.bounds import MOST_DIGITS
from labelcheck.formats.gerber.remarking import RemarkBook, shown

Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]

END = ord("*")
_BLANK, _DIGIT, _LETTER, _MINUS, _PLUS, _POINT, _OTHER = range(7)
_EIGHT = 8
"""Digits read at a time: as many bytes as a machine word has."""
_PAIRS = np.uint64(0x000000FF000000FF)
_LONGEST_WORD = 256
"""Bytes looked at for the number of one odd word; blanks may stand within."""
_CHUNK = 128 * 1024
"""Bytes decoded at a time: what is worked on stays in the processor's cache."""
_KNOWN = b"XYIJDGMN*"


def _classes() -> bytes:
    table = np.full(256, _OTHER, dtype=np.uint8)
    table[list(b" \t\r\n\v\f\0")] = _BLANK
    table[list(b"0123456789")] = _DIGIT
    table[list(ascii_letters.encode("ascii"))] = _LETTER
    table[END] = _LETTER
    table[ord("-")], table[ord("+")], table[ord(".")] = _MINUS, _PLUS, _POINT
    return table.tobytes()


_CLASS = _classes()


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
        found = plain[stop : stop + _LONGEST_WORD].tobytes().find(END)
        if found >= 0:
            return stop + found
        stop += _LONGEST_WORD
    return len(plain)


def _decode_chunk(plain: Bytes, offset: int) -> tuple[Bytes, Integers, Integers, Integers, Integers]:
    """Columns of one chunk, and the offsets of bytes that need a second look (points, garbage, stray signs)."""
    # Every byte that is no digit ends a number, so the numbers are the stretches between two of them.
    marks = np.append(np.flatnonzero(plain - np.uint8(ord("0")) > 9), (len(plain), len(plain)))
    characters = plain[marks[:-2]].tobytes()
    mark_kind = np.frombuffer(characters.translate(_CLASS) + bytes((_BLANK, _BLANK)), dtype=np.uint8)
    letters = np.flatnonzero(mark_kind == _LETTER)
    starts, ends, sign = marks.take(letters), marks.take(letters + 1), mark_kind.take(letters + 1)
    signed = ((sign == _MINUS) | (sign == _PLUS)) & (ends == starts + 1)
    signs = np.flatnonzero(signed)
    ends[signs] = marks[letters[signs] + 2]
    digits = ends - starts - 1
    digits[signs] -= 1
    value = _whole_numbers(plain, ends, digits)
    negative = signs[sign[signs] == _MINUS]
    value[negative] = -value[negative]
    odd = np.zeros(0, dtype=np.int64)
    strange = np.count_nonzero(mark_kind >= _MINUS) - len(signs)
    if strange or int(digits.sum()) != len(plain) - len(marks) + 2:
        expected = np.zeros(len(marks), dtype=np.bool_)
        expected[letters] = True
        expected[letters[signed] + 1] = True
        runs = np.append(np.diff(marks) > 1, False)
        odd = np.concatenate((marks[~expected & (mark_kind >= _MINUS)], marks[~expected & runs] + 1))
        odd = np.sort(np.append(odd, np.flatnonzero(marks[:1] > 0)))
    letter = np.frombuffer(characters.upper(), dtype=np.uint8)[letters]
    return letter, value, digits, starts + offset, odd + offset


def _whole_numbers(plain: Bytes, ends: Integers, digits: Integers) -> Integers:
    """Numbers written in plain digits, from where they end and how many digits they have, eight digits at a time."""
    padded = np.zeros((len(plain) + 5 * _EIGHT) // _EIGHT * _EIGHT, dtype=np.uint8)
    padded[3 * _EIGHT : 3 * _EIGHT + len(plain)] = plain
    machine_words = padded.view("<u8")
    value = _eight_digits(machine_words, ends + 2 * _EIGHT, digits)
    long = np.flatnonzero(digits > _EIGHT)
    for more in (1, 2):
        if len(long) == 0:
            break
        higher = _eight_digits(machine_words, ends[long] + (2 - more) * _EIGHT, digits[long] - more * _EIGHT)
        value[long] += higher * 10 ** (more * _EIGHT)
        long = long[digits[long] > (more + 1) * _EIGHT]
    return value


def _eight_digits(machine_words: NDArray[np.uint64], at: Integers, digits: Integers) -> Integers:
    """Number in the last `digits` of the eight characters from each byte offset on.

    The eight bytes are one machine word: neighbours are joined to pairs, pairs to fours, fours to the whole. A shift
    by all 64 bits leaves 0 in numpy, unlike in C; so a word without digits is 0.
    """
    place = at >> 3
    shift = ((at & 7) << 3).view(np.uint64)
    word = machine_words.take(place) >> shift
    word |= machine_words.take(place + 1) << (np.uint64(64) - shift)
    unused = ((_EIGHT - np.minimum(digits, _EIGHT)) << 3).view(np.uint64)
    word >>= unused
    word <<= unused
    zeros = np.uint64(0x3030303030303030) >> unused
    zeros <<= unused
    word -= zeros
    neighbour = word >> np.uint64(8)
    word *= np.uint64(10)
    word += neighbour
    np.right_shift(word, np.uint64(16), out=neighbour)
    word &= _PAIRS
    neighbour &= _PAIRS
    word *= np.uint64(100 + (1000000 << 32))
    neighbour *= np.uint64(1 + (10000 << 32))
    word += neighbour
    word >>= np.uint64(32)
    return word.view(np.int64)


def _understood(sheet: Sheet, words: Words, odd: Integers, remarks: RemarkBook) -> Words:
    """Drop the statements that hold unknown letters, garbage or impossible numbers; read decimal points."""
    unknown = words.letter.tobytes().translate(None, _KNOWN)
    too_long = len(words) > 0 and words.digits.max() > MOST_DIGITS
    bare = (words.digits == 0) & (words.letter != END)
    if not (len(odd) or unknown or too_long or bare.any() or words.digits[words.letter == END].any()):
        return words
    known = np.zeros(256, dtype=np.bool_)
    known[list(_KNOWN)] = True
    bad = ~known[words.letter] | (words.digits > MOST_DIGITS) | ((words.letter == END) & (words.digits > 0))
    decimals: dict[int, float] = {}
    owners = np.searchsorted(words.at, odd, side="right") - 1
    if (owners < 0).any():
        remarks.note("preamble", sheet.line(int(odd[0])), "What stands before the first command was passed over.")
    for word in np.unique(owners[owners >= 0]).tolist():
        text = _number_text(sheet.plain, words, word)
        if text is None:
            bad[word] = True
        elif b"." in text:
            decimals[word] = float(text)
        else:
            words.value[word], words.digits[word] = int(text), len(text.lstrip(b"+-"))
    bare[list(decimals)] = False
    bad |= bare & (words.digits == 0)
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
        line = bytes(sheet.plain[first : first + 100]).split(b"*")[0].decode("latin-1").splitlines()[0]
        message = f"'{shown(line.strip(), 24)}' is not a Gerber command; it was left out. Check this place."
        remarks.note("unknown statement", sheet.line(first), message, len(spoiled), lost=True)
    moved = np.cumsum(keep) - 1
    kept = {int(moved[word]): number for word, number in decimals.items() if keep[word]}
    return Words(words.letter[keep], words.value[keep], words.digits[keep], words.at[keep], kept)


def _number_text(plain: Bytes, words: Words, word: int) -> bytes | None:
    """The number of one word read with care: a sign, digits, one point at most; None where it is none."""
    start = int(words.at[word]) + 1
    stop = int(words.at[word + 1]) if word + 1 < len(words) else len(plain)
    text = bytes(plain[start : min(stop, start + _LONGEST_WORD)]).translate(None, b" \t\r\n\v\f\0")
    body = text[1:] if text[:1] in (b"-", b"+") else text
    well_formed = len(body) <= MOST_DIGITS and body.replace(b".", b"", 1).isdigit()
    return text if well_formed and stop - start <= _LONGEST_WORD else None
