"""Which labels of a board carry a text that is asked for."""

from collections.abc import Sequence

from labelcheck.labels.label import Label
from labelcheck.trade.stated import fits

_SAME_LINE = 0.5
"""Words of one line stand at most this share of their height above or below one another."""
_WORD_GAP = 3.0
"""Words of one line stand at most so many heights apart."""
_SAME_HEIGHT = 1.5
"""Words of one line differ in height at most by this factor."""
_SAME_TURN_DEG = 2.0
_TWINS = str.maketrans({"O": "0", "o": "0", "l": "1", "I": "1", "|": "1"})
"""Characters that typefaces draw alike: reading may take one for the other."""


def is_text(pattern: str, text: str) -> bool:
    """Whether a pattern with `*` and `?` fits a text.

    Capitals and small letters count alike, as do characters that are drawn alike (0 and O; 1, l and I), and any
    number of blanks is one.
    """
    pattern, text = " ".join(pattern.split()), " ".join(text.split())
    return fits(pattern.lower(), text.lower()) or fits(
        pattern.translate(_TWINS).lower(), text.translate(_TWINS).lower()
    )


def labels_that_carry(pattern: str, labels: Sequence[Label]) -> list[Label]:
    """Labels that a pattern fits: as a whole, or whole words of them, or with the words that follow on their line."""
    words = len(pattern.split())
    return [
        label
        for label in labels
        if label.text is not None and any(is_text(pattern, text) for text in _texts(label, labels, words))
    ]


def _texts(label: Label, labels: Sequence[Label], words: int) -> list[str]:
    """The whole text, and every run of so many of its words and of words that follow on its line."""
    own = (label.text or "").split()
    line = own + [word for other in _after(label, labels, words) for word in (other.text or "").split()]
    runs = [line[start : start + words] for start in range(len(own))]
    return [" ".join(own), *(" ".join(run) for run in runs if len(run) == words)]


def _after(label: Label, labels: Sequence[Label], at_most: int) -> list[Label]:
    """Labels that follow on the same line, nearest first."""
    following: list[Label] = []
    while len(following) < at_most:
        last = following[-1] if following else label
        near = [other for other in labels if other is not last and _follows(last, other)]
        if not near:
            break
        following.append(min(near, key=lambda other: _along(last, other)[0]))
    return following


def _follows(label: Label, other: Label) -> bool:
    """Whether the other is the next word of the same line."""
    if other.text is None or other.side is not label.side:
        return False
    if abs((other.turned_deg - label.turned_deg + 180) % 360 - 180) > _SAME_TURN_DEG:
        return False
    heights = sorted((label.character_height_mm, other.character_height_mm))
    gap, off_line = _along(label, other)
    return (
        heights[1] <= _SAME_HEIGHT * heights[0]
        and 0 <= gap <= _WORD_GAP * heights[1]
        and off_line <= _SAME_LINE * heights[1]
    )


def _along(label: Label, other: Label) -> tuple[float, float]:
    """The gap between two labels along the line that the first is read, and how far the other is off it.

    Only for the four main directions; aslant there is no next word.
    """
    quarters = round(label.turned_deg / 90)
    if abs(label.turned_deg - 90 * quarters) > _SAME_TURN_DEG:
        return -1.0, 0.0
    quarter = quarters % 4
    a, b = label.box_mm, other.box_mm
    # On the bottom, seen from the top, a label runs to the left.
    run = 1 if (quarter in (0, 1)) else -1
    axis = 0 if quarter in (0, 2) else 1
    if label.side == "bottom" and axis == 0:
        run = -run
    gap = b[axis] - a[axis + 2] if run > 0 else a[axis] - b[axis + 2]
    across = 1 - axis
    return gap, abs(a[across] + a[across + 2] - b[across] - b[across + 2]) / 2

