"""Words -> operations as columns: every move, stroke and flash with the state that its words set.

All that is modal (coordinates, G-codes, the D-code where none is written, the aperture) is carried forward with
running maxima of word numbers, so that a whole file is done in a few array operations.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.blocks import Sheet
from labelcheck.formats.gerber.commands import Program
from labelcheck.formats.gerber.coordinates import INCH, MM
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.formats.gerber.words import END, Words

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]

DRAW, MOVE, FLASH = 1, 2, 3
LINEAR, CLOCKWISE, COUNTER_CLOCKWISE = 1, 2, 3
_QUIET_G = (0, 1, 2, 3, 36, 37, 54, 55, 70, 71, 74, 75, 90, 91)
_FINE_STEPS = (10, 11, 12, 60)
_COORDINATE = np.zeros(256, dtype=np.bool_)
_COORDINATE[list(b"XYIJ")] = True


@dataclass(frozen=True, slots=True, eq=False)
class Operations:
    """Operations in file order, columns of shape (n,); millimetres as in the file, before any deprecated move."""

    code: Integers
    """`DRAW`, `MOVE` or `FLASH`."""
    at: Integers
    """Byte offset of the word that ends the operation."""
    x: Floats
    y: Floats
    i: Floats
    j: Floats
    way: Integers
    """`LINEAR`, `CLOCKWISE` or `COUNTER_CLOCKWISE`."""
    quadrant: Integers
    """74, 75, or 0 where none was chosen."""
    region: Integers
    """Number of the region statement, 0 outside."""
    aperture: Integers
    """Word that selected the aperture, -1 for none."""

    def __len__(self) -> int:
        return len(self.code)


def unit_words(words: Words) -> list[tuple[int, float]]:
    """Where G70 (inch) and G71 (mm) stand, and the unit's length."""
    chosen = np.flatnonzero((words.letter == ord("G")) & ((words.value == 70) | (words.value == 71)))
    return [(int(words.at[word]), INCH if words.value[word] == 70 else MM) for word in chosen]


def find_operations(words: Words, program: Program, sheet: Sheet, remarks: RemarkBook) -> Operations:
    """All operations of a file."""
    _tell_unknown(words, sheet, remarks)
    count = len(words)
    order = np.arange(count)
    is_d = words.letter == ord("D")
    does = is_d & (words.value >= DRAW) & (words.value <= FLASH) & (words.digits > 0)
    ends = np.flatnonzero(does | (words.letter == END))
    given = np.cumsum(_COORDINATE[words.letter])[ends]
    pending = np.diff(given, prepend=0) > 0
    explicit = does[ends]
    # "D01X1Y1*": the code stands before its coordinates, and only tells what the end of statement does.
    ahead = explicit & ~pending & np.append(pending[1:], False) & np.append(~explicit[1:], False)
    acts = (explicit & ~ahead) | (~explicit & pending)
    before = np.concatenate(([-1], ends[:-1]))[acts] if len(ends) else np.zeros(0, dtype=np.int64)
    ends = ends[acts]
    code = _latest(words, does, order, ends, MOVE)
    early = np.flatnonzero((code == MOVE) & ~explicit[acts] & (np.cumsum(does)[ends] == 0)) if len(ends) else ends
    if len(early):
        message = "Coordinates stand before any D01, D02 or D03; they were taken as moves."
        remarks.note("no operation", sheet.line(int(words.at[ends[early[0]]])), message, len(early))
    is_g = words.letter == ord("G")
    value = words.value
    way = _latest(words, is_g & ((value <= 3) | np.isin(value, _FINE_STEPS)), order, ends, LINEAR)
    way = np.where((way == CLOCKWISE) | (way == COUNTER_CLOCKWISE), way, LINEAR)
    x, y, i, j = _coordinates(words, program, order, ends, before)
    return Operations(
        code=code,
        at=words.at[ends],
        x=x, y=y, i=i, j=j,
        way=way,
        quadrant=_latest(words, is_g & ((value == 74) | (value == 75)), order, ends, 0),
        region=_regions(words, is_g, ends),
        aperture=_latest_word(is_d & (value >= 10), order, ends),
    )


def _latest_word(chosen: Flags, order: Integers, ends: Integers) -> Integers:
    """Number of the last chosen word up to each end, -1 where there is none."""
    if not chosen.any():
        return np.full(len(ends), -1)
    found: Integers = np.maximum.accumulate(np.where(chosen, order, -1))[ends]
    return found


def _latest(words: Words, chosen: Flags, order: Integers, ends: Integers, default: int) -> Integers:
    """Value of the last chosen word up to each end."""
    word = _latest_word(chosen, order, ends)
    return np.where(word >= 0, words.value[word], default) if len(words) else word


def _regions(words: Words, is_g: Flags, ends: Integers) -> Integers:
    """Number of the region statement (G36 … G37) that each operation stands in, from 1; 0 outside."""
    marks = np.flatnonzero(is_g & ((words.value == 36) | (words.value == 37)))
    if len(marks) == 0:
        return np.zeros(len(ends), dtype=np.int64)
    last = np.searchsorted(marks, ends) - 1
    inside = (last >= 0) & (words.value[marks[last]] == 36)
    return np.where(inside, last + 1, 0)


def _coordinates(
    words: Words, program: Program, order: Integers, ends: Integers, before: Integers
) -> tuple[Floats, Floats, Floats, Floats]:
    """Position after each operation, and its arc centre offsets (0 where not written in it)."""
    found: list[Floats] = []
    for letter in "XY":
        mine = np.flatnonzero(words.letter == ord(letter))
        value = _absolute(words, program, mine, _lengths(words, program, mine, letter))
        last = np.searchsorted(mine, ends) - 1
        found.append(np.where(last >= 0, np.append(value, 0.0)[last], 0.0))
    for letter, axis in ("IX", "JY"):
        mine = np.flatnonzero(words.letter == ord(letter))
        last = np.searchsorted(mine, ends) - 1
        value = np.append(_lengths(words, program, mine, axis), 0.0)
        written = (last >= 0) & (np.append(mine, -1)[last] > before)
        found.append(np.where(written, value[last], 0.0))
    x, y, i, j = found
    return x, y, i, j


def _lengths(words: Words, program: Program, mine: Integers, axis: str) -> Floats:
    """Numbers of some words in millimetres, by the format and unit in force at each."""
    at = words.at[mine]
    units = np.array(program.units)[program.unit_row.values_at(at)]
    rows = program.format_row.values_at(at)
    formats = program.formats
    decimals = np.array([f.x_decimals if axis == "X" else f.y_decimals for f in formats])
    whole = np.array([f.x_whole if axis == "X" else f.y_whole for f in formats])
    exponent = -decimals[rows].astype(np.float64)
    trailing = np.array([f.trailing_omitted for f in formats])
    if trailing.any():
        left_aligned = whole[rows] - words.digits[mine]
        exponent = np.where(trailing[rows], left_aligned, exponent)
    # Dividing by a power of ten gives the nearest number; multiplying by 1e-6 would not.
    lengths = words.value[mine] * units / 10.0**-exponent
    if words.decimals:
        for word, number in words.decimals.items():
            place = int(np.searchsorted(mine, word))
            if place < len(mine) and mine[place] == word:
                lengths[place] = number * units[place]
    return lengths


def _absolute(words: Words, program: Program, mine: Integers, lengths: Floats) -> Floats:
    """Positions from numbers that may be steps (G91, or FS with I) instead of positions."""
    rows = program.format_row.values_at(words.at[mine])
    step = np.array([f.incremental for f in program.formats])[rows]
    notation = np.flatnonzero((words.letter == ord("G")) & ((words.value == 90) | (words.value == 91)))
    if len(notation):
        last = np.searchsorted(notation, mine) - 1
        step = np.where(last >= 0, words.value[notation[last]] == 91, step)
    if not step.any():
        return lengths
    run = np.cumsum(np.where(step, lengths, 0.0))
    place = np.maximum.accumulate(np.where(step, -1, np.arange(len(mine))))
    base = np.where(place >= 0, lengths[place] - run[place], 0.0)
    return run + base


def _tell_unknown(words: Words, sheet: Sheet, remarks: RemarkBook) -> None:
    """Remark on codes that mean nothing here, and on those that need a second look."""
    letter, value = words.letter, words.value
    odd = ((letter == ord("G")) & ~np.isin(value, _QUIET_G)) | ((letter == ord("M")) & (value != 1))
    odd |= (letter == ord("D")) & ((value < DRAW) | ((value > FLASH) & (value < 10)))
    for word in np.flatnonzero(odd)[:10_000].tolist():
        name = f"{chr(letter[word])}{value[word]:02d}"
        line = sheet.line(int(words.at[word]))
        if letter[word] == ord("G") and value[word] in _FINE_STEPS:
            remarks.note(name, line, f"The old code {name} is drawn as a straight line of full scale.")
        else:
            remarks.note(name, line, f"The code {name} is not known; it was passed over.")
    if words.decimals:
        first = min(words.decimals)
        message = "Coordinates are written with a decimal point; they were taken as lengths in the file's unit."
        remarks.note("decimal point", sheet.line(int(words.at[first])), message, len(words.decimals))
