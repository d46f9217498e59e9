"""Rows of pins, and the labels that stand along them: which label a person takes for the name of which pin.

A label belongs to a row as a whole: its pin is the one straight across from it, not merely the nearest.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from labelcheck.board.components import Component, Pin
from labelcheck.labels.label import Label
from labelcheck.press.whose import distances
from labelcheck.trade.shapes import Floats, Integers
from labelcheck.trade.sides import Side

IN_ROW_MM = 0.3
"""Pins of one row stand on one line but for this."""
FARTHEST_MM = 4.0
"""A label farther from its pin than this names something else, or the row (judgement)."""
OFF_CENTRE = 0.4
"""A label stands straight across from its pin but for this share of the pitch."""
LONGEST = 1.6
"""A label along the row that is longer than so many pitches names the row, not a pin."""
NEARLY_MM = 0.6
"""The pin straight across is hardly farther than the nearest pin of all."""


@dataclass(frozen=True, slots=True)
class NamedPin:
    """A pin, and the label that stands at it."""

    component: Component
    pin: Pin
    label: Label


@dataclass(frozen=True, slots=True)
class PinRow:
    """One row of pins of a component on one side of the board, and the labels along it."""

    component: Component
    side: Side
    pins: tuple[Pin, ...]
    """From one end to the other, at least two."""
    named: tuple[NamedPin, ...]
    """One entry a label, in order of the pins."""


def rows_with_names(components: Sequence[Component], labels: Sequence[Label], side: Side) -> tuple[PinRow, ...]:
    """Every row of pins that can be reached on a side, with the labels that stand along it."""
    seen = [one for one in components if one.side is side or any(pin.through for pin in one.pins)]
    pins = [pin for one in seen for pin in one.pins if one.side is side or pin.through]
    named = {(one.reference, one.side) for one in components}
    free = [label for label in labels if label.side is side and (label.text, label.side) not in named]
    if not pins or not free:
        return ()
    every = _boxes(pins)
    around = np.array([label.box_mm for label in free])
    nearest = distances(around, every).min(axis=1)
    # Few labels stand near any pin, and most parts have none near theirs.
    close = nearest <= FARTHEST_MM
    free, around, nearest = [free[at] for at in np.flatnonzero(close).tolist()], around[close], nearest[close]
    rows = []
    reached = [[pin for pin in one.pins if one.side is side or pin.through] for one in seen]
    places = [np.array([(pin.x_mm, pin.y_mm) for pin in own]).reshape(-1, 2) for own in reached]
    for component, own, at, beside in zip(seen, reached, places, _any_near(places, around), strict=True):
        for members in _rows(at):
            row = tuple([own[place] for place in members.tolist()])
            names = _named(component, row, free, (around, nearest)) if beside else ()
            rows.append(PinRow(component, side, row, names))
    return tuple(rows)


def _any_near(places: Sequence[Floats], around: Floats) -> list[bool]:
    """Of which parts, by the places (n, 2) of their pins, a label may be within reach; `around` boxes of labels."""
    filled = [at if len(at) else np.full((1, 2), np.nan) for at in places]
    low, high = (np.array([edge(at, axis=0) for at in filled]) for edge in (np.min, np.max))
    reach = FARTHEST_MM + (high - low).max(axis=1, keepdims=True)  # no pitch is longer than its row
    near, _ = shapely.STRtree(shapely.box(*around.T)).query(shapely.box(*np.hstack((low - reach, high + reach)).T))
    found = np.zeros(len(places), dtype=np.bool_)
    found[near] = True
    return found.tolist()


def _boxes(pins: Sequence[Pin]) -> Floats:
    half = np.array([((pin.width_mm or 0.5) / 2, (pin.height_mm or 0.5) / 2) for pin in pins])
    at = np.array([(pin.x_mm, pin.y_mm) for pin in pins])
    return np.hstack((at - half, at + half))


def _rows(at: Floats) -> list[Integers]:
    """Pins in straight rows along the axes, in order; of a pin in two rows only the longer row counts."""
    if len(at) < 2:
        return []
    if len(at) == 2:
        return _row_of_two(at)
    found: list[Integers] = []
    for across in (0, 1):
        order = np.argsort(at[:, across], kind="stable")
        breaks = np.flatnonzero(np.diff(at[order, across]) > IN_ROW_MM) + 1
        for block in np.split(order, breaks):
            if len(block) >= 2:
                found.append(block[np.argsort(at[block, 1 - across], kind="stable")])
    found.sort(key=lambda block: (-len(block), block[0]))
    taken: set[int] = set()
    rows = []
    for block in found:
        if not taken.intersection(block.tolist()):
            taken.update(block.tolist())
            rows.append(block)
    return rows


def _row_of_two(at: Floats) -> list[Integers]:
    """The same for the many parts of two pins."""
    off = np.abs(at[1] - at[0])
    if off.min() > IN_ROW_MM:
        return []
    return [np.argsort(at[:, int(off[1] > off[0])], kind="stable")]


def _named(
    component: Component, row: Sequence[Pin], labels: Sequence[Label], placed: tuple[Floats, Floats]
) -> tuple[NamedPin, ...]:
    """The labels along one row, each with the pin straight across from it."""
    around, nearest = placed
    at = np.array([(pin.x_mm, pin.y_mm) for pin in row])
    along = int(np.ptp(at[:, 1]) > np.ptp(at[:, 0]))
    pitch = float(np.min(np.abs(np.diff(at[:, along]))))
    if pitch <= 0:
        return ()
    boxes = _boxes(row)
    low, high = at.min(axis=0) - FARTHEST_MM - pitch, at.max(axis=0) + FARTHEST_MM + pitch
    near = (around[:, 2:] >= low).all(axis=1) & (around[:, :2] <= high).all(axis=1)
    near &= around[:, along + 2] - around[:, along] <= LONGEST * pitch
    found = []
    for place in np.flatnonzero(near).tolist():
        off = np.abs(at[:, along] - (around[place, along] + around[place, along + 2]) / 2)
        pin = int(np.argmin(off))
        if off[pin] > OFF_CENTRE * pitch:
            continue
        far = float(distances(around[place : place + 1], boxes[pin : pin + 1])[0, 0])
        if far <= FARTHEST_MM and far <= nearest[place] + NEARLY_MM:
            found.append((pin, far, place))
    return tuple(NamedPin(component, row[pin], labels[place]) for pin, _, place in sorted(found))
