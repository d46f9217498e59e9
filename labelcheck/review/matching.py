"""The labels of two checks matched with one another: by text and place, never by number.

A label that stayed where it was is found by its place; one that was moved by its text; one that was renamed, or read
otherwise, by the place that it shares with an earlier one. Distances are judgement of this project, no source.
"""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from labelcheck.labels.label import Box
from labelcheck.review.seen import LabelSeen, Seen

IN_PLACE_MM = 0.05
"""A label that is off by less did not move: the record rounds to 0.001 mm, exports to 0.01 mm at worst."""

REPEATED_WITHIN_MM = 10.0
"""How far a label is followed whose text stands on the board more than once, or was not read."""

SHARED_AT_LEAST = 0.5
"""Share of the smaller box that must be common for two labels of different text to be one that was renamed."""

GROWN_AT_MOST = 1.6
"""A label that was renamed keeps its character height within this factor."""

UNREAD_WITHIN_MM = 3.0
"""How far a label is followed that was read in one of the two checks only: another one may have its size."""

SAME_SIZE_MM = 0.1
"""Unread labels are followed by their size: width and height within this much."""

Shift = tuple[float, float]
"""How far the whole board was moved, x and y in millimetres."""


@dataclass(frozen=True, slots=True)
class LabelPair:
    """One label in two checks."""

    old: LabelSeen
    new: LabelSeen
    moved_mm: tuple[float, float]
    """How far its middle moved on the board, x right, y up as seen from the top; zeros where it stayed in place."""

    @property
    def moved(self) -> bool:
        """Whether it stands elsewhere, or on the other side."""
        return self.moved_mm != (0.0, 0.0) or self.old.side != self.new.side

    @property
    def renamed(self) -> bool:
        """Whether its text is another, or was read otherwise."""
        return self.old.text != self.new.text


@dataclass(frozen=True, slots=True)
class LabelMatching:
    """Every label of both checks, once."""

    pairs: tuple[LabelPair, ...]
    """In the order of the new labels."""
    added: tuple[LabelSeen, ...]
    removed: tuple[LabelSeen, ...]
    shift_mm: Shift
    """How far the whole board lies from where it lay."""


def match_labels(old: Seen, new: Seen) -> LabelMatching:
    """Match the labels of two checks; the order and the numbers of labels do not matter.

    In turn: same text in the same place; same text elsewhere on the side, the nearest first; another text in the
    same place; unread labels of the same size nearby; a text that stands on the board once, on the other side.
    """
    shift = board_shift(old, new)
    matcher = _Matcher(old.labels, new.labels, shift)
    matcher.take(matcher.same_text(within_mm=IN_PLACE_MM, repeated_within_mm=IN_PLACE_MM))
    matcher.take(matcher.same_text(within_mm=math.inf, repeated_within_mm=REPEATED_WITHIN_MM))
    matcher.take(matcher.same_place())
    matcher.take(matcher.same_size())
    matcher.take(matcher.other_side())
    return matcher.result()


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


Candidate = tuple[float, int, int]
"""How unlike two labels are, less being better, and their rows among the old and the new ones."""


class _Matcher:
    """Labels that have no partner yet; each step takes the likest pairs first."""

    def __init__(self, old: Sequence[LabelSeen], new: Sequence[LabelSeen], shift: Shift) -> None:
        # Sorted by what they are, so that neither order nor number decides between equals.
        self.old, self.new = sorted(old, key=_by_place), sorted(new, key=_by_place)
        self.given = {label.id: place for place, label in enumerate(new)}
        self.shift = shift
        self.old_left, self.new_left = set(range(len(self.old))), set(range(len(self.new)))
        self.pairs: list[LabelPair] = []

    def take(self, candidates: Iterable[Candidate]) -> None:
        """Pair the likest first; each label once."""
        for _, one, other in sorted(candidates):
            if one in self.old_left and other in self.new_left:
                self.old_left.remove(one)
                self.new_left.remove(other)
                self.pairs.append(LabelPair(self.old[one], self.new[other], self._move(one, other)))

    def result(self) -> LabelMatching:
        place = self.given
        return LabelMatching(
            pairs=tuple(sorted(self.pairs, key=lambda pair: place[pair.new.id])),
            added=tuple(sorted((self.new[row] for row in self.new_left), key=lambda label: place[label.id])),
            removed=tuple(self.old[row] for row in sorted(self.old_left)),
            shift_mm=self.shift,
        )

    def same_text(self, within_mm: float, repeated_within_mm: float) -> Iterator[Candidate]:
        """Pairs of one text on one side; the second bound counts for a text that stands there more than once."""
        ours, theirs = self._by_text(self.old, self.old_left), self._by_text(self.new, self.new_left)
        often = {
            key
            for labels in (self.old, self.new)
            for key, count in Counter((label.side, label.text) for label in labels).items()
            if count > 1 or key[1] is None
        }
        for key in ours.keys() & theirs.keys():
            if key[1] is None and repeated_within_mm > IN_PLACE_MM:
                continue  # labels that were not read are followed by their size
            bound = repeated_within_mm if key in often else within_mm
            for one in ours[key]:
                for other in theirs[key]:
                    distance = math.hypot(*self._move(one, other))
                    alike = key not in often or distance == 0 or _alike_in_height(self.old[one], self.new[other])
                    if distance <= bound and alike:
                        yield distance, one, other

    def same_place(self) -> Iterator[Candidate]:
        """Pairs of different text whose boxes lie on one another."""
        for one, others in self._near(0.0):
            old = self.old[one]
            for other in others:
                new = self.new[other]
                shared = _shared(_moved(old.box_mm, self.shift), new.box_mm)
                if shared >= SHARED_AT_LEAST and _alike_in_height(old, new):
                    yield -shared, one, other

    def same_size(self) -> Iterator[Candidate]:
        """Pairs nearby of the same size, of which at least one was not read."""
        for one, others in self._near(REPEATED_WITHIN_MM):
            old = self.old[one]
            for other in others:
                new = self.new[other]
                distance = math.hypot(*self._move(one, other))
                if old.text is None and new.text is None:
                    follows = True
                else:
                    follows = (old.text is None or new.text is None) and distance <= UNREAD_WITHIN_MM
                if follows and math.dist(_size(old), _size(new)) <= SAME_SIZE_MM:
                    yield distance, one, other

    def other_side(self) -> Iterator[Candidate]:
        """Labels of a text that is left once before and once after, on different sides."""
        ours = _rows_by_text(self.old, self.old_left)
        theirs = _rows_by_text(self.new, self.new_left)
        for text in ours.keys() & theirs.keys():
            if len(ours[text]) == len(theirs[text]) == 1:
                one, other = ours[text][0], theirs[text][0]
                if self.old[one].side != self.new[other].side:
                    yield 0.0, one, other

    def _by_text(self, labels: Sequence[LabelSeen], left: set[int]) -> dict[tuple[str, str | None], list[int]]:
        grouped: dict[tuple[str, str | None], list[int]] = {}
        for row in sorted(left):
            grouped.setdefault((labels[row].side, labels[row].text), []).append(row)
        return grouped

    def _near(self, within_mm: float) -> Iterator[tuple[int, list[int]]]:
        """For each old label without a partner, the new ones of its side whose boxes lie within a distance."""
        rows = sorted(self.new_left)
        if not rows:
            return
        boxes = np.array([self.new[row].box_mm for row in rows])
        for one in sorted(self.old_left):
            x0, y0, x1, y1 = _moved(self.old[one].box_mm, self.shift)
            near = (boxes[:, 0] <= x1 + within_mm) & (boxes[:, 2] >= x0 - within_mm)
            near &= (boxes[:, 1] <= y1 + within_mm) & (boxes[:, 3] >= y0 - within_mm)
            side = self.old[one].side
            yield one, [rows[place] for place in np.flatnonzero(near) if self.new[rows[place]].side == side]

    def _move(self, one: int, other: int) -> tuple[float, float]:
        (x0, y0), (x1, y1) = self.old[one].middle_mm, self.new[other].middle_mm
        move = (x1 - x0 - self.shift[0], y1 - y0 - self.shift[1])
        return (0.0, 0.0) if math.hypot(*move) <= IN_PLACE_MM else (round(move[0], 4), round(move[1], 4))


def _rows_by_text(labels: Sequence[LabelSeen], left: set[int]) -> dict[str, list[int]]:
    grouped: dict[str, list[int]] = {}
    for row in sorted(left):
        text = labels[row].text
        if text is not None:
            grouped.setdefault(text, []).append(row)
    return grouped


def _by_place(label: LabelSeen) -> tuple[str, Box, str, str]:
    return label.side, label.box_mm, label.text or "", label.id


def _moved(box: Box, shift: Shift) -> Box:
    return (box[0] + shift[0], box[1] + shift[1], box[2] + shift[0], box[3] + shift[1])


def _size(label: LabelSeen) -> tuple[float, float]:
    x0, y0, x1, y1 = label.box_mm
    return x1 - x0, y1 - y0


def _shared(one: Box, other: Box) -> float:
    """Common area as a share of the smaller box."""
    width = min(one[2], other[2]) - max(one[0], other[0])
    height = min(one[3], other[3]) - max(one[1], other[1])
    least = min((box[2] - box[0]) * (box[3] - box[1]) for box in (one, other))
    return 0.0 if width <= 0 or height <= 0 or least <= 0 else width * height / least


def _alike_in_height(old: LabelSeen, new: LabelSeen) -> bool:
    ours, theirs = old.character_height_mm, new.character_height_mm
    if ours is None or theirs is None or ours <= 0 or theirs <= 0:
        return True
    return max(ours, theirs) <= GROWN_AT_MOST * min(ours, theirs)
