"""Numbers in extended commands, as patterns with a bounded number of digits."""

import re

DECIMAL = r"[-+]?(?:\d{1,18}\.?\d{0,18}|\.\d{1,18})"
"""A decimal number; exponents do not exist in the format."""

_AXES = re.compile(rf"(?:A({DECIMAL}))?(?:B({DECIMAL}))?", re.IGNORECASE)
_NUMBER = re.compile(DECIMAL)


def number_in(text: str) -> float | None:
    """The number that a text is; None where it is none."""
    return float(text) if _NUMBER.fullmatch(text) is not None else None


def axes_in(text: str) -> tuple[float | None, float | None] | None:
    """`A1B-2.5` -> its two numbers, None for one that is missing; None where the text is no such pair."""
    found = _AXES.fullmatch(text)
    if found is None:
        return None
    a, b = found.groups()
    return None if a is None else float(a), None if b is None else float(b)
