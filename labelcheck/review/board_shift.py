"""How far a whole board was moved in its coordinates between two checks: an export with another origin."""

import math
from collections import Counter
from collections.abc import Iterable, Sequence

import numpy as np

from labelcheck.labels.label import Box
from labelcheck.review.seen import LabelSeen, Seen

IN_PLACE_MM = 0.05
"""A label that is off by less did not move: the record rounds to 0.001 mm, exports to 0.01 mm at worst."""

Shift = tuple[float, float]
"""How far the whole board was moved, x and y in millimetres."""


def board_shift(old: Seen, new: Seen) -> Shift:
    """How far the whole board was moved in its coordinates between two checks.

    The outline tells where it kept its size; else the shift that leaves most labels in place, none where that does
    as well as any.
    """
    if old.box_mm is not None and new.box_mm is not None:
        corners = _corner_shifts(old.box_mm, new.box_mm)
        if max(math.dist(corners[0], other) for other in corners) <= 2 * IN_PLACE_MM:
            return _exact(corners[0])
    else:
        corners = []
    moves = _moves_of_single_texts(old.labels, new.labels)
    if not moves:
        return (0.0, 0.0)
    steps = Counter((round(x / IN_PLACE_MM), round(y / IN_PLACE_MM)) for x, y in moves)
    (x_steps, y_steps), _ = min(steps.items(), key=lambda item: (-item[1], item[0]))
    candidates = [(0.0, 0.0), *corners, (x_steps * IN_PLACE_MM, y_steps * IN_PLACE_MM)]

    def staying(shift: Shift) -> int:
        return sum(1 for move in moves if math.dist(move, shift) <= 2 * IN_PLACE_MM)

    best = max(candidates, key=staying)
    agreeing = [move for move in moves if math.dist(move, best) <= 2 * IN_PLACE_MM]
    if 2 * len(agreeing) <= len(moves):
        return (0.0, 0.0)
    x, y = np.median(np.array(agreeing), axis=0)
    return _exact((float(x), float(y)))


def _exact(shift: Shift) -> Shift:
    """No shift at all where it is as small as an export's rounding."""
    return (0.0, 0.0) if math.hypot(*shift) <= IN_PLACE_MM else (round(shift[0], 4), round(shift[1], 4))


def _corner_shifts(old: Box, new: Box) -> list[Shift]:
    return [(new[x] - old[x], new[y] - old[y]) for x in (0, 2) for y in (1, 3)]


def _moves_of_single_texts(old: Sequence[LabelSeen], new: Sequence[LabelSeen]) -> list[Shift]:
    """How far each label moved whose text stands once on its side, before and after."""
    before, after = _single_texts(old), _single_texts(new)
    return [
        (after[key].middle_mm[0] - before[key].middle_mm[0], after[key].middle_mm[1] - before[key].middle_mm[1])
        for key in sorted(before.keys() & after.keys())
    ]


def _single_texts(labels: Iterable[LabelSeen]) -> dict[tuple[str, str], LabelSeen]:
    grouped: dict[tuple[str, str], list[LabelSeen]] = {}
    for label in labels:
        if label.text is not None:
            grouped.setdefault((label.side, label.text), []).append(label)
    return {key: group[0] for key, group in grouped.items() if len(group) == 1}
