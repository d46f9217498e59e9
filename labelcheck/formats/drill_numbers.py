"""How the coordinates of a drill file are written: unit, digits, and which zeros are left out.

Coordinates without a decimal point mean nothing until the number of digits before and after the unwritten
point is known, and many drill files do not say it. The trade's defaults are 2 + 4 digits for inches and 3 + 3
for millimetres (common practice, from memory of the IPC-NC-349 family); everything else is a guess, and a guess
is given with its alternatives, so that the board can decide between them.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from labelcheck.trade.units import MM_PER_INCH, Unit

Zeros = Literal["leading", "trailing", "all"]
"""Which zeros are written. `leading`: trailing ones are left out, so digits count from the left."""

LONGEST_NUMBER = 15
"""Digits of a number that is still taken for a coordinate; a double holds 15 digits exactly."""

DEFAULT_DIGITS: dict[Unit, tuple[int, int]] = {"inch": (2, 4), "mm": (3, 3)}
"""Digits before and after the unwritten point where a file does not say; common practice, from memory."""

OTHER_DIGITS: dict[Unit, tuple[tuple[int, int], ...]] = {
    "inch": ((2, 4), (2, 5), (3, 5), (2, 3), (2, 6), (3, 3), (3, 4), (4, 4), (1, 5), (1, 6)),
    "mm": ((3, 3), (4, 3), (3, 2), (4, 4), (3, 4), (4, 2), (2, 4), (3, 5), (5, 3), (4, 5), (2, 3), (3, 6)),
}
"""Digits met in real files, the commonest first."""


@dataclass(frozen=True, slots=True)
class NumberFormat:
    """One way to understand the coordinates of a drill file."""

    unit: Unit
    whole_digits: int
    decimal_digits: int
    zeros: Zeros

    @property
    def mm_per_unit(self) -> float:
        return MM_PER_INCH if self.unit == "inch" else 1.0

    @property
    def mm_per_digit(self) -> float:
        """Scale of numbers without a decimal point: readings that leave out the same zeros differ by it alone."""
        exponent = self.whole_digits if self.zeros == "leading" else -self.decimal_digits
        return 10.0**exponent * self.mm_per_unit

    def length_mm(self, text: str) -> float:
        """A number as written (`X` or `C` left away) in millimetres; ValueError where it is none.

        A written decimal point settles the value whatever the format says.
        """
        digits = text.lstrip("+-")
        if not 0 < len(digits) <= LONGEST_NUMBER + 1:
            raise ValueError(text)
        if "." in digits:
            return float(text) * self.mm_per_unit
        exponent = self.whole_digits - len(digits) if self.zeros == "leading" else -self.decimal_digits
        return int(text) * 10.0**exponent * self.mm_per_unit

    def __str__(self) -> str:
        zeros = {"leading": ", trailing zeros left out", "trailing": ", leading zeros left out", "all": ""}
        unit = "inches" if self.unit == "inch" else "millimetres"
        return f"{unit} with {self.whole_digits}.{self.decimal_digits} digits{zeros[self.zeros]}"


@dataclass(frozen=True, slots=True)
class Declared:
    """What a drill file says about its numbers; None where it is silent."""

    unit: Unit | None = None
    whole_digits: int | None = None
    decimal_digits: int | None = None
    zeros: Zeros | None = None


@dataclass(frozen=True, slots=True)
class WrittenNumbers:
    """How the coordinates without a decimal point look: the evidence for a guess."""

    lengths: frozenset[int]
    leading_zero: bool
    """Whether any begins with a zero that is not all of it."""
    trailing_zero: bool

    @property
    def any(self) -> bool:
        """Whether there is a coordinate without a decimal point at all, other than zero."""
        return bool(self.lengths)

    @property
    def fixed_width(self) -> bool:
        return len(self.lengths) == 1 and self.leading_zero


def look_at_numbers(texts: Iterable[str]) -> WrittenNumbers:
    """The evidence in coordinates as written, sign and all."""
    lengths: set[int] = set()
    leading = trailing = False
    for text in set(texts):
        digits = text.lstrip("+-")
        if "." in digits or not digits.strip("0"):
            continue
        lengths.add(len(digits))
        leading = leading or digits[0] == "0"
        trailing = trailing or digits[-1] == "0"
    return WrittenNumbers(frozenset(lengths), leading, trailing)


def settle(
    declared: Declared, written: WrittenNumbers, tools_mm_if_metric: Iterable[float]
) -> tuple[tuple[NumberFormat, ...], tuple[str, ...]]:
    """Every format that the file may be in, the likeliest first, and what of the first is a guess.

    `tools_mm_if_metric` are tool diameters as if their unit were the millimetre: they tell the unit where the file
    does not.
    """
    units, unit_guessed = _units(declared, tuple(tools_mm_if_metric))
    guessed = ["unit"] if unit_guessed else []
    if not written.any:
        return tuple(NumberFormat(unit, *DEFAULT_DIGITS[units[0]], "trailing") for unit in units), tuple(guessed)
    zeros, zeros_guessed = _zeros(declared, written)
    digits_declared = declared.whole_digits is not None and declared.decimal_digits is not None
    if not digits_declared:
        guessed.append("number of digits")
    if zeros_guessed and not written.fixed_width:
        guessed.append("left-out zeros")
    formats: list[NumberFormat] = []
    for way in zeros:
        for unit in units:
            if declared.whole_digits is not None and declared.decimal_digits is not None:
                formats.append(NumberFormat(unit, declared.whole_digits, declared.decimal_digits, way))
            else:
                formats += _with_digits(unit, way, written)
    return tuple(sorted(dict.fromkeys(formats), key=lambda format: zeros.index(format.zeros))), tuple(guessed)


def alternatives(format: NumberFormat, written: WrittenNumbers) -> tuple[NumberFormat, ...]:
    """Formats to try where the declared one does not fit the board: other unit, digits, zeros."""
    ways: tuple[Zeros, ...] = ("trailing", "leading") if format.zeros != "leading" else ("leading", "trailing")
    units: tuple[Unit, ...] = ("mm", "inch") if format.unit == "mm" else ("inch", "mm")
    if not written.any:
        return tuple(replace(format, unit=unit) for unit in units[1:])
    tried = [NumberFormat(unit, *digits, way) for way in ways for unit in units for digits in OTHER_DIGITS[unit]]
    return tuple(other for other in dict.fromkeys(tried) if other != format)


def _units(declared: Declared, tools_mm_if_metric: tuple[float, ...]) -> tuple[tuple[Unit, ...], bool]:
    if declared.unit is not None:
        return (declared.unit,), False
    # Boards are drilled from about 0.1 mm to 6.5 mm, that is 0.004 to 0.26 inch: a set of tools of which none reaches
    # 0.3 can hardly be millimetres (common practice).
    if tools_mm_if_metric and max(tools_mm_if_metric) < 0.3:
        return ("inch", "mm"), True
    return ("mm", "inch"), True


def _zeros(declared: Declared, written: WrittenNumbers) -> tuple[tuple[Zeros, ...], bool]:
    if declared.zeros is not None:
        return (declared.zeros,), False
    if written.fixed_width:
        return ("all",), True
    if written.leading_zero:
        # Who leaves out leading zeros never writes one.
        return ("leading", "trailing") if written.trailing_zero else ("leading",), True
    return ("trailing",), True


def _with_digits(unit: Unit, way: Zeros, written: WrittenNumbers) -> list[NumberFormat]:
    longest = max(written.lengths)
    formats = [NumberFormat(unit, *digits, way) for digits in OTHER_DIGITS[unit]]
    if written.fixed_width:
        exact = [format for format in formats if format.whole_digits + format.decimal_digits == longest]
        return exact + [format for format in formats if format not in exact]
    long_enough = [format for format in formats if format.whole_digits + format.decimal_digits >= longest]
    return long_enough + [format for format in formats if format not in long_enough]
