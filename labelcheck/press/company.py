"""What is known of a label only among the others of the board: a namesake, a reading direction of its own."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from labelcheck.labels.label import Label
from labelcheck.press.evidence import Evidence
from labelcheck.trade.sides import Side

SURE = 0.9
"""Text read less surely takes no part."""
SAME_PART_MM = 8.0
"""A reference on both sides this near to itself names one through-hole part twice."""
PANEL_SHARE = 0.5
"""Where so many references of a side stand there twice, the board is a panel of several alike."""
PIN_PITCH_MM, PITCH_SLACK_MM = 2.54, 0.4
"""Pitch of common pin headers, and how far names of different width stand off it."""
PINS_ALONG = 3
"""Names of pins are looked for so many pins along."""
PIN_NAME = 3
"""Characters of the name of a pin at most, as beside the pins of a dense header."""
CHANNELS = frozenset("ABEGNVWZ")
"""Letters that name terminals, channels and coils (`A1`, `B2`, `N1`) more often than parts (common practice, no
source): the same one in two places is no fault."""
QUARTER_SLACK_DEG = 10.0
EITHER_WAY_UP = frozenset("0HINOSXZosxz8+-=.|_*#%~:")
"""Characters that read the same, or as another one, upside down: they tell no direction."""


def among_others(evidence: Sequence[Evidence]) -> tuple[Evidence, ...]:
    """The same evidence about all labels of a board, each with what its company tells."""
    namesakes = _namesakes([one.label for one in evidence if not one.far_off_board])
    astray = {
        label.id
        for side in (Side.TOP, Side.BOTTOM)
        for label in _astray([one.label for one in evidence if one.label.side is side])
    }
    return tuple(
        replace(one, namesake=namesakes.get(one.label.id), third_direction=one.label.id in astray)
        if one.label.id in namesakes or one.label.id in astray
        else one
        for one in evidence
    )


def _namesakes(labels: Sequence[Label]) -> dict[str, Label]:
    """For each reference that came before on the board, the earlier label; none on a panel of boards alike."""
    earlier: dict[str, list[Label]] = defaultdict(list)
    found: dict[str, Label] = {}
    beside = _Beside(labels)
    for label in labels:
        if label.kind != "reference" or label.text is None or label.text_confidence < SURE:
            continue
        if _letters(label) in CHANNELS:
            continue
        for other in earlier[label.text]:
            if other.side is label.side or _distance(other, label) > SAME_PART_MM:
                if not _is_pin_name(label, beside.of(label)) and not _is_pin_name(other, beside.of(other)):
                    found[label.id] = other
                break
        earlier[label.text].append(label)
    repeated = sum(len(alike) > 1 for alike in earlier.values())
    return {} if len(earlier) > 3 and repeated >= PANEL_SHARE * len(earlier) else found


class _Beside:
    """Finds the labels about a label, which are few among thousands."""

    def __init__(self, labels: Sequence[Label]) -> None:
        self._labels = labels
        boxes = np.array([label.box_mm for label in labels]).reshape(-1, 4)
        self._middle = (boxes[:, :2] + boxes[:, 2:]) / 2

    def of(self, label: Label) -> list[Label]:
        """Those not too far to name a pin of the same row."""
        x0, y0, x1, y1 = label.box_mm
        off = np.abs(self._middle - np.array([(x0 + x1) / 2, (y0 + y1) / 2])).max(axis=1)
        near = np.flatnonzero(off <= PINS_ALONG * PIN_PITCH_MM + 2 * PITCH_SLACK_MM)
        return [self._labels[place] for place in near.tolist()]


def _is_pin_name(label: Label, labels: Sequence[Label]) -> bool:
    """Whether two more names of pins stand beside it at their pitch: `D1 D2 D3` or `CD D5 G` along a header."""
    at_pitch = 0
    for other in labels:
        if other is label or other.side is not label.side or not _may_name_a_pin(other, label):
            continue
        along = _distance(other, label)
        across = min(abs(a) for a in _shift(other, label))
        steps = round(along / PIN_PITCH_MM)
        off_pitch = max(abs(along - steps * PIN_PITCH_MM), across)
        at_pitch += 1 <= steps <= PINS_ALONG and off_pitch <= PITCH_SLACK_MM
    return at_pitch >= 2


def _may_name_a_pin(other: Label, label: Label) -> bool:
    """Whether a label names a pin if another does: it has the same letters, or is a short word and no reference."""
    short = other.kind != "reference" and 0 < len(other.text or "") <= PIN_NAME
    return short or _letters(other) == _letters(label)


def _letters(label: Label) -> str:
    return (label.text or "").rstrip("0123456789")


def _shift(a: Label, b: Label) -> tuple[float, float]:
    """From the middle of one label to that of the other."""
    x, y = ((a.box_mm[at] + a.box_mm[at + 2] - b.box_mm[at] - b.box_mm[at + 2]) / 2 for at in (0, 1))
    return x, y


def _distance(a: Label, b: Label) -> float:
    return max(abs(step) for step in _shift(a, b))


def _astray(labels: Sequence[Label]) -> list[Label]:
    """Labels of one side read from another than its two main directions, which are a quarter turn apart."""
    directions = {label.id: direction for label in labels if (direction := _direction(label)) is not None}
    main = main_directions(labels)
    return [label for label in labels if directions.get(label.id, main[0]) not in main]


def main_directions(labels: Sequence[Label]) -> tuple[int, int]:
    """The two directions, a quarter turn apart, from which most labels of one side are read."""
    count = Counter(direction for label in labels if (direction := _direction(label)) is not None)
    # From the bottom and from the right is common practice, so that pair wins where two are used alike.
    pairs = [(0, 90), (0, 270), (90, 180), (180, 270)]
    return max(pairs, key=lambda pair: (sum(count[way] for way in pair), -pairs.index(pair)))


def _direction(label: Label) -> int | None:
    """The quarter turn nearest to a label's direction; None where it is aslant, or its text tells none."""
    if label.text is None or label.text_confidence < SURE or label.mirrored:
        return None
    if sum(character not in EITHER_WAY_UP for character in label.text.replace(" ", "")) < 2:
        return None
    quarter = round(label.turned_deg / 90)
    return quarter % 4 * 90 if abs(label.turned_deg - 90 * quarter) <= QUARTER_SLACK_DEG else None
