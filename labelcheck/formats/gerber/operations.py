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
_COORDINATE = bytes(letter in b"XYIJ" for letter in range(256))
"""By letter: whether it is a coordinate."""


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
    selection: Integers
    """Place in `selections` of the aperture selection in force, -1 for none."""
    selections: Integers
    """Words that select apertures, in file order."""

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
    ends, explicit = _ends(words, does)
    if len(ends) and not explicit[0]:
        first = int(does[0]) if len(does) else len(words)
        early = int(np.searchsorted(ends, first))
        message = "Coordinates stand before any D01, D02 or D03; they were taken as moves."
        remarks.note("no operation", sheet.line(int(words.at[ends[0]])), message, early)
    owners = _Owners(ends, len(words))
    ways = g_words[(g_values <= 3) | (g_values == 60) | ((g_values >= 10) & (g_values <= 12))]
    way = owners.carried(ways, words.value, LINEAR)
    selections = d_words[d_values >= 10]
    quadrants = g_words[(g_values == 74) | (g_values == 75)]
    numbers = [np.flatnonzero(words.letter == ord(letter)) for letter in "XYIJ"]
    x, y = (
        owners.carried_values(mine, _absolute(words, program, mine, _lengths(words, program, mine, axis)))
        for mine, axis in zip(numbers[:2], "XY", strict=True)
    )
    i, j = (
        owners.own_values(mine, _lengths(words, program, mine, axis))
        for mine, axis in zip(numbers[2:], "XY", strict=True)
    )
    _tell_repeated(words, numbers, owners, sheet, remarks)
    return Operations(
        code=owners.carried(does, words.value, MOVE),
        at=words.at[ends],
        x=x, y=y, i=i, j=j,
        way=np.where((way == CLOCKWISE) | (way == COUNTER_CLOCKWISE), way, LINEAR),
        quadrant=owners.carried(quadrants, words.value, 0),
        region=_regions(words, g_words[(g_values == 36) | (g_values == 37)], owners),
        selection=owners.last(selections),
        selections=selections,
    )


def _ends(words: Words, does: Integers) -> tuple[Integers, Flags]:
    """Words that end operations, and whether each is a D-code.

    An operation ends with D01, D02 or D03; or with its statement, where coordinates stand without a D-code.
    """
    does_now = np.zeros(len(words), dtype=np.bool_)
    does_now[does] = True
    ends = np.flatnonzero(does_now | (words.letter == END))
    is_coordinate = np.frombuffer(words.letter.tobytes().translate(_COORDINATE), dtype=np.uint8)
    given = np.cumsum(is_coordinate, dtype=np.int32)[ends]
    pending = np.diff(given, prepend=np.int32(0)) > 0
    explicit = does_now[ends]
    # "D01X1Y1*": the code stands before its coordinates, and only tells what the end of statement does.
    ahead = explicit & ~pending & np.append(pending[1:], False) & np.append(~explicit[1:], False)
    acts = (explicit & ~ahead) | (~explicit & pending)
    return ends[acts], explicit[acts]


def _tell_repeated(
    words: Words, numbers: list[Integers], owners: "_Owners", sheet: Sheet, remarks: RemarkBook
) -> None:
    """Remark on operations in which a coordinate is written twice: two commands that have grown together."""
    again = [owners.repeated(mine) for mine in numbers]
    first = min((int(twice[0]) for twice in again if len(twice)), default=None)
    if first is not None:
        message = "A coordinate is written twice in one command; the last was taken. Check this place."
        remarks.note("repeated", sheet.line(int(words.at[first])), message, sum(map(len, again)), lost=True)


class _Owners:
    """Which operation each word belongs to, to carry what is modal from one operation to the next."""

    def __init__(self, ends: Integers, count: int) -> None:
        """`ends` are the last words of the operations, of `count` words in all."""
        self._operations = len(ends)
        after = np.zeros(count + 1, dtype=np.int32)
        after[ends + 1] = 1
        self._owner = np.cumsum(after, dtype=np.int32)[:-1] if count else after[:0]

    def _places(self, chosen: Integers) -> Integers:
        """For each operation the place in `chosen` of the last word that belongs to it, -1 for none."""
        place = np.full(self._operations + 1, -1)
        # Of several words of one operation the last assignment holds; words after the last operation go astray.
        place[self._owner[chosen]] = np.arange(len(chosen))
        return place[:-1]

    def repeated(self, chosen: Integers) -> Integers:
        """Those of the chosen words that have another one before them in the same operation."""
        owner = self._owner[chosen]
        return chosen[1:][owner[1:] == owner[:-1]]

    def last(self, chosen: Integers) -> Integers:
        """For each operation the place in `chosen` of the last word up to its end, -1 for none."""
        if len(chosen) == 0:
            return np.full(self._operations, -1)
        found: Integers = np.maximum.accumulate(self._places(chosen))
        return found

    def carried(self, chosen: Integers, values: Integers, default: int) -> Integers:
        """Value at the last of the chosen words up to each operation's end."""
        return np.append(values[chosen], default)[self.last(chosen)]

    def carried_values(self, chosen: Integers, values: Floats) -> Floats:
        """The same for values given by chosen word, 0 before the first."""
        return np.append(values, 0.0)[self.last(chosen)]

    def own_values(self, chosen: Integers, values: Floats) -> Floats:
        """Value of the chosen word within each operation, 0 where it has none."""
        if len(chosen) == 0:
            return np.zeros(self._operations)
        return np.append(values, 0.0)[self._places(chosen)]


def _regions(words: Words, marks: Integers, owners: _Owners) -> Integers:
    """Number of the region statement (G36 … G37) that each operation stands in, from 1; 0 outside."""
    last = owners.last(marks)
    return np.where(np.append(words.value[marks] == 36, False)[last], last + 1, 0)


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
            # An unknown M-code draws nothing and changes nothing.
            lost = words.letter[word] != ord("M")
            remarks.note(name, line, f"The code {name} is not known; it was passed over.", lost=lost)
    if words.decimals:
        first = min(words.decimals)
        message = "Coordinates are written with a decimal point; they were taken as lengths in the file's unit."
        remarks.note("decimal point", sheet.line(int(words.at[first])), message, len(words.decimals))
