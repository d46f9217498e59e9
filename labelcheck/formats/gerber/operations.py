"""Words -> operations as columns: every move, stroke and flash with the state that its words set.

All that is modal (coordinates, G-codes, the D-code where none is written, the aperture) is carried forward with
running maxima of word numbers, so that a whole file is done in a few array operations.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.blocks import Sheet
from labelcheck.formats.gerber.coordinates import INCH, MM
from labelcheck.formats.gerber.program import Program
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.formats.gerber.words import END, Words

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]

DRAW, MOVE, FLASH = 1, 2, 3
LINEAR, CLOCKWISE, COUNTER_CLOCKWISE = 1, 2, 3
_QUIET_G = (0, 1, 2, 3, 36, 37, 54, 55, 70, 71, 74, 75, 90, 91)
_FINE_STEPS = (10, 11, 12, 60)
_MOST_TOLD = 10_000
"""Unknown codes looked at one by one; a damaged file may have millions."""
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
    d_words, g_words = (np.flatnonzero(words.letter == ord(letter)) for letter in "DG")
    d_values, g_values = words.value[d_words], words.value[g_words]
    _tell_unknown(words, d_words, g_words, sheet, remarks)
    does = d_words[(d_values >= DRAW) & (d_values <= FLASH)]
    ends, before, explicit = _ends(words, does)
    code = _latest(words, does, ends, MOVE)
    if len(ends) and not explicit[0]:
        first = int(does[0]) if len(does) else len(words)
        early = int(np.searchsorted(ends, first))
        message = "Coordinates stand before any D01, D02 or D03; they were taken as moves."
        remarks.note("no operation", sheet.line(int(words.at[ends[0]])), message, early)
    ways = g_words[(g_values <= 3) | (g_values == 60) | ((g_values >= 10) & (g_values <= 12))]
    way = _latest(words, ways, ends, LINEAR)
    quadrants = g_words[(g_values == 74) | (g_values == 75)]
    x, y, i, j = _coordinates(words, program, ends, before)
    return Operations(
        code=code,
        at=words.at[ends],
        x=x, y=y, i=i, j=j,
        way=np.where((way == CLOCKWISE) | (way == COUNTER_CLOCKWISE), way, LINEAR),
        quadrant=_latest(words, quadrants, ends, 0),
        region=_regions(words, g_words[(g_values == 36) | (g_values == 37)], ends),
        aperture=_latest_word(d_words[d_values >= 10], ends, len(words)),
    )


def _ends(words: Words, does: Integers) -> tuple[Integers, Integers, Flags]:
    """Words that end operations, the end before each, and whether each is a D-code.

    An operation ends with D01, D02 or D03; or with its statement, where coordinates stand without a D-code.
    """
    does_now = np.zeros(len(words), dtype=np.bool_)
    does_now[does] = True
    ends = np.flatnonzero(does_now | (words.letter == END))
    given = np.cumsum(_COORDINATE[words.letter], dtype=np.int32)[ends]
    pending = np.diff(given, prepend=np.int32(0)) > 0
    explicit = does_now[ends]
    # "D01X1Y1*": the code stands before its coordinates, and only tells what the end of statement does.
    ahead = explicit & ~pending & np.append(pending[1:], False) & np.append(~explicit[1:], False)
    acts = (explicit & ~ahead) | (~explicit & pending)
    before = np.append(-1, ends)[:-1]
    return ends[acts], before[acts], explicit[acts]


def _places(chosen: Integers, ends: Integers, count: int) -> Integers:
    """For each end the place in `chosen` of the last one up to it, -1 for none; both sorted, `count` words in all."""
    if len(chosen) * 16 < count:
        return np.searchsorted(chosen, ends, side="right") - 1
    marked = np.zeros(count, dtype=np.bool_)
    marked[chosen] = True
    return np.cumsum(marked, dtype=np.int32)[ends].astype(np.int64) - 1


def _latest_word(chosen: Integers, ends: Integers, count: int) -> Integers:
    """Number of the last chosen word up to each end, -1 where there is none."""
    return np.append(chosen, -1)[_places(chosen, ends, count)]


def _latest(words: Words, chosen: Integers, ends: Integers, default: int) -> Integers:
    """Value of the last chosen word up to each end."""
    return np.append(words.value[chosen], default)[_places(chosen, ends, len(words))]


def _regions(words: Words, marks: Integers, ends: Integers) -> Integers:
    """Number of the region statement (G36 … G37) that each operation stands in, from 1; 0 outside."""
    if len(marks) == 0:
        return np.zeros(len(ends), dtype=np.int64)
    last = _places(marks, ends, len(words))
    return np.where(np.append(words.value[marks] == 36, False)[last], last + 1, 0)


def _coordinates(
    words: Words, program: Program, ends: Integers, before: Integers
) -> tuple[Floats, Floats, Floats, Floats]:
    """Position after each operation, and its arc centre offsets (0 where not written in it)."""
    found: list[Floats] = []
    for letter in "XY":
        mine = np.flatnonzero(words.letter == ord(letter))
        value = _absolute(words, program, mine, _lengths(words, program, mine, letter))
        found.append(np.append(value, 0.0)[_places(mine, ends, len(words))])
    for letter, axis in ("IX", "JY"):
        mine = np.flatnonzero(words.letter == ord(letter))
        if len(mine) == 0:
            found.append(np.zeros(len(ends)))
            continue
        last = _places(mine, ends, len(words))
        written = np.append(mine, -1)[last] > before
        found.append(np.where(written, np.append(_lengths(words, program, mine, axis), 0.0)[last], 0.0))
    x, y, i, j = found
    return x, y, i, j


def _lengths(words: Words, program: Program, mine: Integers, axis: str) -> Floats:
    """Numbers of some words in millimetres, by the format and unit in force at each."""
    at = words.at[mine]
    formats = program.formats
    if len(formats) == 1 and len(program.unit_row.at) == 1 and not formats[0].trailing_omitted and not words.decimals:
        places = formats[0].x_decimals if axis == "X" else formats[0].y_decimals
        plain: Floats = np.asarray(words.value[mine] * program.units[program.unit_row.value[0]] / 10.0**places)
        return plain
    units = np.array(program.units)[program.unit_row.values_at(at)]
    rows = program.format_row.values_at(at)
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
    steps = np.array([f.incremental for f in program.formats])
    if not steps.any() and not ((words.letter == ord("G")) & (words.value == 91)).any():
        return lengths
    step = steps[program.format_row.values_at(words.at[mine])]
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


def _tell_unknown(words: Words, d_words: Integers, g_words: Integers, sheet: Sheet, remarks: RemarkBook) -> None:
    """Remark on codes that mean nothing here, and on those that need a second look."""
    m_words = np.flatnonzero(words.letter == ord("M"))
    d_values, m_values = words.value[d_words], words.value[m_words]
    odd = np.concatenate((
        d_words[(d_values < DRAW) | ((d_values > FLASH) & (d_values < 10))],
        g_words[~np.isin(words.value[g_words], _QUIET_G)],
        m_words[m_values != 1],
    ))
    for word in odd[:_MOST_TOLD].tolist():
        name = f"{chr(words.letter[word])}{words.value[word]:02d}"
        line = sheet.line(int(words.at[word]))
        if words.letter[word] == ord("G") and words.value[word] in _FINE_STEPS:
            remarks.note(name, line, f"The old code {name} is drawn as a straight line of full scale.")
        else:
            remarks.note(name, line, f"The code {name} is not known; it was passed over.")
    if words.decimals:
        first = min(words.decimals)
        message = "Coordinates are written with a decimal point; they were taken as lengths in the file's unit."
        remarks.note("decimal point", sheet.line(int(words.at[first])), message, len(words.decimals))
