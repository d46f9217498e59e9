"""Labels of which nobody can tell whose they are: as near to another part as to their own, with nothing to decide.

What decides: another label that the other part has nearer by, the order of labels along a row of parts, or, of names
of pins, one more of them that stands at their own row alone.
"""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from labelcheck.board.components import Component
from labelcheck.labels.label import Label
from labelcheck.press.pin_rows import NamedPin, PinRow
from labelcheck.press.swapped_names import agrees, contradicted
from labelcheck.press.whose import (
    NEAR_MM,
    SURE,
    box_of,
    class_of,
    distances,
    pin_box,
    references_drawn,
    references_on,
)
from labelcheck.trade.shapes import Flags, Floats
from labelcheck.trade.sides import Side

BESIDE_MM = 2.0
"""A reference farther from its part than this belongs to a list of them, whose order decides (judgement)."""
IN_ORDER = 0.5
"""Cosine between the way from label to label and that from part to part from which they stand in one order."""


@dataclass(frozen=True, slots=True, eq=False)
class Undecided:
    """A reference, its own part, and the other one of the same kind that it may name as well."""

    label: Label
    own: Component
    other: Component
    own_mm: float
    farther_mm: float
    """How much farther the other part is, by that of two measures in which it is more: from the edge of the label,
    and from its middle."""
    both_ways: bool
    """Whether the other part's own reference may name this part as well."""


@dataclass(frozen=True, slots=True, eq=False)
class Between:
    """Names of pins midway between two rows of pins, and the row whose nets they say."""

    named: tuple[NamedPin, ...]
    row: tuple[NamedPin, ...]
    """All labels of the own row, also those that say no net."""
    there: tuple[NamedPin, ...]
    """The same labels, with the pins of the other row."""
    other: Component
    farther_mm: float
    """How much farther the other row is from the label of which that is said."""


def undecided_references(
    components: Sequence[Component], labels: Sequence[Label], side: Side, alike_mm: float
) -> list[Undecided]:
    """References of one side that could name another part of their class as well as their own.

    Distances that differ by no more than `alike_mm` tell nothing. Two parts that could carry one
    another's are told once.
    """
    named = references_on(labels, components, side)
    parts = _parts_apart(components, side)
    references = [str(one.reference) for one in parts]
    shown = [place for place, reference in enumerate(references) if reference in named]
    if len(parts) < 2 or not shown:
        return []
    around = np.array([box_of(one) for one in parts])
    own_labels = [named[references[place]] for place in shown]
    farther, own_mm = _farther(np.array([label.box_mm for label in own_labels]), around, shown)
    kinds = np.array([class_of(reference) for reference in references])
    may = (farther <= alike_mm) & (kinds[shown, None] == kinds[None, :]) & (own_mm[:, None] <= BESIDE_MM)
    may[np.arange(len(shown)), shown] = False
    if not may.any():
        return []
    row_of = {place: row for row, place in enumerate(shown)}
    _leave_out_what_stands_in_order(may, own_labels, around, row_of)
    known = may, row_of, _without_label(references, around, labels)
    found: list[Undecided] = []
    told: set[tuple[int, int]] = set()
    for row, place in enumerate(shown):
        others = [
            int(other) for other in np.flatnonzero(may[row])
            if (int(other), place) not in told and _can_change_hands(place, int(other), known)
        ]
        if not others:
            continue
        other = min(others, key=lambda one: float(farther[row, one]))
        both = other in row_of and bool(may[row_of[other], place])
        told.update({(place, other)} if both else ())
        found.append(Undecided(
            own_labels[row], parts[place], parts[other], float(own_mm[row]), float(farther[row, other]), both
        ))
    return sorted(found, key=lambda one: (-one.label.box_mm[3], one.label.box_mm[0]))


def _parts_apart(components: Sequence[Component], side: Side) -> list[Component]:
    """The parts of a side whose place is known, but for those of classes in which a reference stands for several."""
    parts = [one for one in components if one.reference is not None and one.side is side and box_of(one) is not None]
    count = Counter(one.reference for one in parts)
    repeated = {class_of(str(reference)) for reference, times in count.items() if times > 1}
    return [one for one in parts if class_of(str(one.reference)) not in repeated]


def _farther(labels: Floats, parts: Floats, own: Sequence[int]) -> tuple[Floats, Floats]:
    """For labels (n, 4), and parts (m, 4), of which `own` (n,) are theirs: (n, m) and (n,).

    How much farther each part is than the own one, and how far that is.
    """
    middle = (labels[:, :2] + labels[:, 2:]) / 2
    edges, middles = distances(labels, parts), distances(np.hstack((middle, middle)), parts)
    rows = np.arange(len(labels))
    farther = np.maximum(edges - edges[rows, own][:, None], middles - middles[rows, own][:, None])
    return farther, edges[rows, own]


def _leave_out_what_stands_in_order(
    may: Flags, labels: Sequence[Label], parts: Floats, row_of: Mapping[int, int]
) -> None:
    """No label may name a part whose own label stands to it as that part stands to its own: their order decides."""
    own = {row: place for place, row in row_of.items()}
    for row, other in np.argwhere(may).tolist():
        if other in row_of:
            part, label = _way(parts[own[row]], parts[other]), _way(labels[row].box_mm, labels[row_of[other]].box_mm)
            along = part[0] * label[0] + part[1] * label[1]
            may[row, other] = along <= IN_ORDER * math.hypot(*part) * math.hypot(*label)


def _way(a: Sequence[float] | Floats, b: Sequence[float] | Floats) -> tuple[float, float]:
    """From the middle of one box to that of another."""
    return float(b[0] + b[2] - a[0] - a[2]) / 2, float(b[1] + b[3] - a[1] - a[3]) / 2


def _without_label(references: Sequence[str], parts: Floats, labels: Sequence[Label]) -> set[int]:
    """Parts that no label of the side names, nor may name because it was not read surely."""
    drawn = references_drawn(labels)
    unsure = [label.box_mm for label in labels if label.text is None or label.text_confidence < SURE]
    near: Flags = np.asarray(distances(parts, np.array(unsure).reshape(-1, 4)) <= NEAR_MM)
    return {place for place, one in enumerate(references) if one.upper() not in drawn and not near[place].any()}


def _can_change_hands(own: int, other: int, known: tuple[Flags, Mapping[int, int], set[int]]) -> bool:
    """Whether the label of a part may be that of another one, so that all labels still have a part each.

    The label of that part then has to name another one, and so on, until one has none, or the first part gets it.
    """
    may, row_of, free = known
    seen, left = {other}, [other]
    while left:
        one = left.pop()
        if one in free:
            return True
        if one not in row_of:
            continue
        if may[row_of[one], own]:
            return True
        nexts = [int(two) for two in np.flatnonzero(may[row_of[one]]) if int(two) not in seen]
        seen.update(nexts)
        left += nexts
    return False


def names_between(rows: Sequence[PinRow], alike_mm: float) -> list[Between]:
    """Names of pins as near to a row of another part as to their own, where the nets there are others.

    Only where all labels of the own row stand so, and the other row has none of its own.
    """
    found = []
    named_alike: dict[frozenset[str], list[PinRow]] = {}
    for row in rows:
        named_alike.setdefault(frozenset(named.label.id for named in row.named), []).append(row)
    for row in rows:
        own = {named.label.id: named for named in row.named}
        for other in named_alike[frozenset(own)] if own else ():
            if other.component is row.component or other.side is not row.side:
                continue
            beside = {named.label.id: named for named in other.named}
            farther = {label: _apart(beside[label]) - _apart(own[label]) for label in own}
            if max(abs(one) for one in farther.values()) > alike_mm:
                continue
            sure = [
                label for label in own
                if agrees(own[label].label.text, own[label].pin) and contradicted(beside[label])
            ]
            if sure:
                most = max(farther[label] for label in sure)
                named = tuple(own[label] for label in sure)
                there = tuple(beside[label] for label in own)
                found.append(Between(named, row.named, there, other.component, most))
    return found


def _apart(named: NamedPin) -> float:
    return float(distances(np.array([named.label.box_mm]), np.array([pin_box(named.pin)]))[0, 0])
