"""The labels of two checks matched with one another: by text and place, never by number.

A label that stayed where it was is found by its place; one that was moved by its text; one that was renamed, or read
otherwise, by the place that it shares with an earlier one. Distances are judgement of this project, no source.
"""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from labelcheck.labels.label import Box
from labelcheck.review.board_shift import IN_PLACE_MM, Shift, board_shift
from labelcheck.review.joining import MOST_PARTS, Group, letters, lying_in, neighbours_on_a_line, one_of, same_box
from labelcheck.review.seen import LabelSeen, Seen

REPEATED_WITHIN_MM = 10.0
"""How far a label is followed whose text stands on the board more than once, or was not read."""

SHARED_AT_LEAST = 0.5
"""Share of the smaller box that must be common for two labels of different text to be one that was renamed."""

SAME_INK = 0.8
"""Common area of two boxes, as a share of what both take, at which a label that was read once is that ink."""

GROWN_AT_MOST = 1.6
"""A label that was renamed keeps its character height within this factor."""

UNREAD_WITHIN_MM = 3.0
"""How far a label is followed that was read in one of the two checks only: another one may have its size."""

SAME_SIZE_MM = 0.1
"""Unread labels are followed by their size: width and height within this much."""

LONG_IN_HEIGHTS = 4.0
"""A label that is this long, and alone on its side with its size, is followed by it wherever it goes."""

CONTINUED_WITHIN_MM = 3.0
CONTINUED_AT_LEAST = 3
"""How near a label stands, and how long it was, whose text was added to or cut: "PMOD" that is "PMODa" now."""


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
        """Whether its text is another, or was read otherwise; where its blanks stand does not matter."""
        return letters(self.old.text) != letters(self.new.text)

    @property
    def told_otherwise(self) -> bool:
        """Whether one check tells as several labels what the other one tells as one."""
        return bool(self.old.parts or self.new.parts)


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

    In turn: same text in the same place; several labels where one was, or the other way round, of the same text
    nearby or in the same place; same text elsewhere on the side, the nearest first; another text in the same place;
    the same size where one of both was not read; a text that goes on, or was cut, nearby; a text that stands on the
    board once, on the other side.
    """
    shift = board_shift(old, new)
    matcher = _Matcher(old.labels, new.labels, shift)
    matcher.take(matcher.same_text(within_mm=IN_PLACE_MM, repeated_within_mm=IN_PLACE_MM))
    matcher.join(lambda old: (one for one in matcher.parts_of_same_text(old) if not matcher.have_their_own(old, one)))
    matcher.join(matcher.parts_in_place)
    matcher.take(matcher.same_text(within_mm=math.inf, repeated_within_mm=REPEATED_WITHIN_MM))
    matcher.join(matcher.parts_of_same_text)
    matcher.take(matcher.same_place())
    matcher.join(matcher.parts_of_same_size)
    matcher.take(matcher.same_size())
    matcher.take(matcher.text_goes_on())
    matcher.take(matcher.other_side())
    return matcher.result()


Candidate = tuple[float, int, int]
"""How unlike two labels are, less being better, and their rows among the old and the new ones."""


Joint = tuple[float, int, Group]
"""How unlike a label of one check and several of the other are, its row, and theirs."""


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

    def join(self, joints: Callable[[bool], Iterable[Joint]]) -> None:
        """Pair labels with several of the other check, the likest first; each label once."""
        for parts_are_old in (False, True):
            parts, parts_left = (self.old, self.old_left) if parts_are_old else (self.new, self.new_left)
            wholes_left = self.new_left if parts_are_old else self.old_left
            for _, whole, group in sorted(joints(parts_are_old)):
                if whole in wholes_left and parts_left.issuperset(group):
                    parts_left.difference_update(group)
                    parts.append(one_of([parts[row] for row in group]))
                    parts_left.add(len(parts) - 1)
                    joined = (len(parts) - 1, whole) if parts_are_old else (whole, len(parts) - 1)
                    self.take([(0.0, *joined)])

    def parts_in_place(self, parts_are_old: bool) -> Iterator[Joint]:
        """Labels in whose place several others stand in the other check, whatever they were read as."""
        parts, rows, wholes = self._sides_of_joint(parts_are_old)
        for side in ("top", "bottom"):
            ours = [row for row in rows if parts[row].side == side]
            boxes = np.array([self._box(parts_are_old, row) for row in ours])
            for whole in (row for row in wholes if self._label(not parts_are_old, row).side == side):
                group = lying_in(self._box(not parts_are_old, whole), boxes)
                if 2 <= len(group) <= MOST_PARTS:
                    yield 0.0, whole, tuple(ours[place] for place in group)

    def parts_of_same_text(self, parts_are_old: bool) -> Iterator[Joint]:
        """Neighbours nearby that read as one label, and it as them."""
        parts, rows, wholes = self._sides_of_joint(parts_are_old)
        by_text: dict[tuple[str, str | None], list[int]] = {}
        for whole in wholes:
            label = self._label(not parts_are_old, whole)
            if label.text is not None:
                by_text.setdefault((label.side, letters(label.text)), []).append(whole)
        for group in neighbours_on_a_line(parts, rows) if by_text else ():
            joined = one_of([parts[row] for row in group])
            for whole in by_text.get((joined.side, letters(joined.text)), ()):
                label = self._label(not parts_are_old, whole)
                distance = self._apart(joined, label, parts_are_old)
                if distance <= REPEATED_WITHIN_MM and _alike_in_height(joined, label):
                    yield distance, whole, group

    def have_their_own(self, parts_are_old: bool, joint: Joint) -> bool:
        """Whether each of several labels may be one of the other check: `1` and `2` of a header are no `12` then."""
        parts, _, wholes = self._sides_of_joint(parts_are_old)
        others = (self._label(not parts_are_old, row) for row in wholes)
        texts = {(other.side, other.text) for other in others}
        return all((parts[row].side, parts[row].text) in texts for row in joint[2])

    def parts_of_same_size(self, parts_are_old: bool) -> Iterator[Joint]:
        """Neighbours that together have the size of one label, where something of it was not read."""
        parts, rows, wholes = self._sides_of_joint(parts_are_old)
        for group in neighbours_on_a_line(parts, rows) if wholes else ():
            joined = one_of([parts[row] for row in group])
            for whole in wholes:
                label = self._label(not parts_are_old, whole)
                unread = joined.text is None or label.text is None
                if unread and joined.side == label.side and math.dist(_size(joined), _size(label)) <= SAME_SIZE_MM:
                    distance = self._apart(joined, label, parts_are_old)
                    if distance <= UNREAD_WITHIN_MM or self._alone_with_its_size(label):
                        yield distance, whole, group

    def _sides_of_joint(self, parts_are_old: bool) -> tuple[list[LabelSeen], list[int], list[int]]:
        """The labels that may be parts with the rows that are left, and the rows left of the wholes."""
        if parts_are_old:
            return self.old, sorted(self.old_left), sorted(self.new_left)
        return self.new, sorted(self.new_left), sorted(self.old_left)

    def _label(self, is_old: bool, row: int) -> LabelSeen:
        return self.old[row] if is_old else self.new[row]

    def _box(self, is_old: bool, row: int) -> Box:
        """Where a label stands, in the coordinates of the new check."""
        return _moved(self.old[row].box_mm, self.shift) if is_old else self.new[row].box_mm

    def _apart(self, one: LabelSeen, other: LabelSeen, one_is_old: bool) -> float:
        old, new = (one, other) if one_is_old else (other, one)
        (x0, y0), (x1, y1) = old.middle_mm, new.middle_mm
        return round(math.hypot(x1 - x0 - self.shift[0], y1 - y0 - self.shift[1]), 4)

    def _alone_with_its_size(self, label: LabelSeen) -> bool:
        """Whether it is long, and no other label of its side has its size in either check: then it is known by it."""
        long, high = sorted(_size(label), reverse=True)
        if long < LONG_IN_HEIGHTS * high:
            return False
        return all(
            sum(1 for one in labels if one.side == label.side and math.dist(_size(one), _size(label)) <= SAME_SIZE_MM)
            <= 1
            for labels in (self.old, self.new)
        )

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
                box = _moved(old.box_mm, self.shift)
                shared = _shared(box, new.box_mm)
                # What is known of a label that was not read is its ink: its height may be that of a whole line.
                unread = old.text is None or new.text is None
                alike = _alike_in_height(old, new) or (unread and same_box(box, new.box_mm) >= SAME_INK)
                if shared >= SHARED_AT_LEAST and alike:
                    yield -shared, one, other

    def same_size(self) -> Iterator[Candidate]:
        """Pairs nearby of the same size, of which at least one was not read."""
        for one, others in self._near(math.inf):
            old = self.old[one]
            for other in others:
                new = self.new[other]
                if old.text is not None and new.text is not None:
                    continue
                if math.dist(_size(old), _size(new)) > SAME_SIZE_MM:
                    continue
                distance = math.hypot(*self._move(one, other))
                bound = REPEATED_WITHIN_MM if old.text is None and new.text is None else UNREAD_WITHIN_MM
                if distance <= bound or self._alone_with_its_size(old):
                    yield distance, one, other

    def text_goes_on(self) -> Iterator[Candidate]:
        """Pairs nearby of which one text begins with the other; R1 and R12 are two parts, PMOD and PMODa one word."""
        for one, others in self._near(CONTINUED_WITHIN_MM):
            old = self.old[one]
            for other in others:
                new = self.new[other]
                distance = math.hypot(*self._move(one, other))
                if distance <= CONTINUED_WITHIN_MM and _goes_on(old.text, new.text) and _alike_in_height(old, new):
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


def _goes_on(old: str | None, new: str | None) -> bool:
    """Whether one text is the other with something after it that is no number of a reference."""
    if old is None or new is None or old == new:
        return False
    short, long = sorted((old, new), key=len)
    return len(short) >= CONTINUED_AT_LEAST and long.startswith(short) and not long[len(short)].isdigit()


def _alike_in_height(old: LabelSeen, new: LabelSeen) -> bool:
    ours, theirs = old.character_height_mm, new.character_height_mm
    if ours is None or theirs is None or ours <= 0 or theirs <= 0:
        return True
    return max(ours, theirs) <= GROWN_AT_MOST * min(ours, theirs)
