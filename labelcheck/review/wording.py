"""How numbers, lists and lengths are put into words for a person."""

import re
from collections.abc import Sequence

from labelcheck.trade.units import MM_PER_INCH, Unit

_NUMBER = r"[-+]?\d+(?:\.\d+)?"
_MILLIMETRES = re.compile(rf"(?<![\w.])({_NUMBER}(?:(?:, | x | × | to | and | or |–){_NUMBER})*) mm(?![\w²³^/])")
"""A length in millimetres, or several of them before one unit: `0.71 mm`, `41.2, 17.9 mm`, `0.1 to 0.2 mm`."""
_QUOTED = re.compile('("[^"]*"|“[^”]*”)')
_QUOTES = ('"', "“")


def in_unit(sentence: str, unit: Unit) -> str:
    """The sentence with its lengths in the unit asked for; areas and everything else stay as they are.

    A length in inches is written with two decimals more than it had in millimetres, which is finer than it was.
    """
    if unit == "mm":
        return sentence

    def inches(found: re.Match[str]) -> str:
        return re.sub(_NUMBER, lambda number: _inches(number.group()), found.group(1)) + " in"

    # What stands in quotes is the text of a label, which nobody may change.
    parts = _QUOTED.split(sentence)
    return "".join(part if part.startswith(_QUOTES) else _MILLIMETRES.sub(inches, part) for part in parts)


def _inches(number: str) -> str:
    decimals = len(number.partition(".")[2]) + 2
    sign = "+" if number.startswith("+") else ""
    return f"{sign}{float(number) / MM_PER_INCH:.{decimals}f}"


def without_name(sentence: str, name: str) -> str:
    """The sentence without the name it begins with, where the name is told already; the rest begins in lower case."""
    if sentence[: len(name)].lower() != name.lower():
        return sentence
    return sentence[len(name) :].lstrip()


def counted(count: int, singular: str, plural: str | None = None) -> str:
    """`1 label`, `2 labels`, `no labels`."""
    if count == 1:
        return f"1 {singular}"
    return f"{'no' if count == 0 else count} {plural or singular + 's'}"


def listed(names: Sequence[str], joint: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {joint} {names[-1]}"


def some_of(names: Sequence[str], shown: int, others: str = "more") -> str:
    """`a, b and c`, or the first few and how many more there are: `a, b, c and 57 more`."""
    if len(names) <= shown + 1:
        return listed(names)
    return f"{', '.join(names[:shown])} and {len(names) - shown} {others}"


def printable(text: str) -> str:
    """Text that is safe on a terminal and in a picture: controls and the like become replacement characters."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)


def amount(value: float, unit_of_value: str, unit: Unit) -> str:
    """A measured value for a person: `0.71 mm`, `38 %` of a fraction, `3.0 deg`, `4.5:1` of a ratio, `2` counted."""
    if unit_of_value == "mm":
        return in_unit(f"{value:.2f} mm", unit)
    if unit_of_value == "fraction":
        return f"{value * 100:.0f} %"
    if unit_of_value == "deg":
        return f"{value:.1f}°"
    if unit_of_value == "ratio":
        return f"{value:.1f}:1"
    number = f"{value:.0f}" if value == int(value) else f"{value:.2f}"
    return f"{number} {unit_of_value}".strip()


def short_fingerprint(fingerprint: str) -> str:
    """The first digits of a fingerprint, enough to tell two sets apart by eye: `sha256:1a2b3c4d5e6f`."""
    method, colon, digits = fingerprint.rpartition(":")
    return f"{method}{colon}{digits[:12]}"
