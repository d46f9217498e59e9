"""Labels along a row of pins that change together: each to the pin whose name it says, or all nearer to their row."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from labelcheck.board.components import Component
from labelcheck.cures.belonging import CLEARLY
from labelcheck.cures.cure import Cure
from labelcheck.cures.placing import Ask, Change, Margins, Place, Scene, stays
from labelcheck.cures.searching import around
from labelcheck.cures.shapes_of_labels import boxes_of
from labelcheck.cures.sizing import AS_IT_IS
from labelcheck.labels.label import Label
from labelcheck.press.pin_rows import rows_with_names
from labelcheck.press.swapped_names import Confusion, confusions
from labelcheck.press.undecided import Between, names_between
from labelcheck.press.whose import distances, pin_box
from labelcheck.trade.limits import Limits
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import Side

ROWS = frozenset({"pin-order", "between-two-parts"})
"""Analysers whose findings may be about several labels along a row of pins."""
ELSEWHERE_MM = 1e6
STEP_MM = 0.05
LEAST_OFF_PIN_MM = 0.1
AMONG_PINS = Margins(0.05, 0.0, 0.0)
"""Along a row labels stand as near to one another, and to the outline of the connector, as they did before."""


@dataclass(frozen=True, slots=True, eq=False)
class Together:
    """Labels of one row, and for each how far it moves (n, 2), and to which pin where that is another one."""

    labels: tuple[Label, ...]
    shifts_mm: Floats
    pins: tuple[str | None, ...]


def along_pins(
    components: Sequence[Component], labels: Sequence[Label], side: Side, limits: Limits
) -> Iterator[tuple[str, tuple[Together, ...]]]:
    """For the label that each finding about a row of pins names, the changes that would mend it, the least first."""
    rows = rows_with_names(components, labels, side)
    for confusion in confusions(rows):
        yield confusion.misplaced[0].named.label.id, (_to_their_pins(confusion),)
    for between in names_between(rows, max(limits.undecided_part.bounds, default=-math.inf)):
        yield between.named[0].label.id, tuple(_nearer(between))


def _to_their_pins(confusion: Confusion) -> Together:
    named, right = [one.named for one in confusion.misplaced], confusion.right_pins()
    shifts = [(pin.x_mm - one.pin.x_mm, pin.y_mm - one.pin.y_mm) for one, pin in zip(named, right, strict=True)]
    return Together(
        tuple(one.label for one in named), np.round(np.array(shifts), 3) + 0.0, tuple(pin.name for pin in right)
    )


def _nearer(between: Between) -> Iterator[Together]:
    """All labels of a row in steps towards their own pins, from where they are clearly nearer to those."""
    labels = [one.label for one in between.row]
    boxes = np.array([label.box_mm for label in labels])
    own = np.array([pin_box(one.pin) for one in between.row])
    other = np.array([pin_box(one.pin) for one in between.there])
    apart = (own[:, :2] + own[:, 2:] - other[:, :2] - other[:, 2:])[0]
    along = np.zeros(2)
    along[int(np.argmax(np.abs(apart)))] = np.sign(apart[int(np.argmax(np.abs(apart)))])
    for step in range(1, 100):
        shift = np.round(along * STEP_MM * step, 3) + 0.0
        moved = boxes + np.hstack((shift, shift))
        off_own, off_other = (np.diag(distances(moved, pins)) for pins in (own, other))
        if off_own.min() < LEAST_OFF_PIN_MM:
            return
        if (off_own <= CLEARLY * off_other).all():
            yield Together(tuple(labels), np.tile(shift, (len(labels), 1)), (None,) * len(labels))


def moved_together(group: Together, asks: Mapping[str, Ask], scene: Scene) -> list[Cure]:
    """The cures of all labels of a group, which then stand at their new places; none where one meets something."""
    places = [
        Place(Change(AS_IT_IS, 0, boxes_of(label)), (float(x), float(y)), float(np.hypot(x, y)))
        for label, (x, y) in zip(group.labels, group.shifts_mm, strict=True)
    ]
    for label in group.labels:
        scene.standing.put(label, boxes_of(label) + ELSEWHERE_MM, 0)
    free = []
    for label, place in zip(group.labels, places, strict=True):
        # Each in turn, so that those that follow keep off those that have gone before.
        free.append(stays(label, replace(place.change, boxes=place.boxes), asks[label.id], scene, AMONG_PINS))
        scene.standing.put(label, place.boxes, 0)
    if not all(free):
        for label in group.labels:
            scene.standing.put(label, boxes_of(label), 0)
        return []
    ids = tuple(label.id for label in group.labels)
    over = len(ids) == 2 and bool(np.allclose(group.shifts_mm[0], -group.shifts_mm[1])) and group.pins[0] is not None
    return [
        Cure(
            label.id, shift_mm=place.shift_mm, box_mm=around(place.boxes), together=ids, at_pin=pin,
            over_with=ids[1 - at] if over else None,
        )
        for at, (label, place, pin) in enumerate(zip(group.labels, places, group.pins, strict=True))
    ]
