"""Parts that fit both ways round, and whether the legend tells which way is right.

A part whose pads look the same turned half round is told by the legend alone. Whatever marks it (a dot, a `1`, a
bevel, a bar, names along its pins), the ink around it then looks different turned half round; where it looks the
same, nothing tells. Nothing needs to be known of how a board marks its first pins.
"""

import re
from collections.abc import Sequence

import numpy as np

from labelcheck.board.components import Component
from labelcheck.labels.label import Label
from labelcheck.press.whose import box_of, class_of
from labelcheck.raster.rendering import render
from labelcheck.raster.runs import Runs
from labelcheck.raster.windows import Flags, Window, to_bitmap
from labelcheck.trade.shapes import Floats, Shapes
from labelcheck.trade.sides import Side

PITCH_MM = 0.05
AROUND_MM = 1.2
"""A mark stands this near to its part (judgement)."""
SAME_MM = 0.15
"""Ink this near to its like is the same: how evenly a part is drawn about its middle."""
LEAST_MARK_MM2 = 0.02
"""The smallest mark: a dot of 0.16 mm."""
LARGEST_MM = 60.0
"""A larger part, a card edge or a module, goes in one way only."""
DIRECTED = frozenset(("U", "IC", "J", "P", "CN", "CON", "X", "D", "LED", "BT", "BAT", "OK", "K", "RLY"))
"""Classes of references of parts that must not be turned half round."""
POLAR = re.compile(r"(^|[_\W])(CP|ELEC|ELKO|TANT|POLARI[SZ]ED)|CPOL", re.IGNORECASE)
"""Capacitors with a polarity, by what their package or value is called."""


def unmarked_parts(components: Sequence[Component], legend: Shapes, labels: Sequence[Label], side: Side) -> list[str]:
    """References of the parts of a side that fit both ways round, with nothing on the legend to tell; in order."""
    asked = [
        (one, box) for one in components
        if one.side is side and one.reference is not None and _has_a_direction(one) and _pads_are_even(one)
        and (box := box_of(one)) is not None and max(box[2] - box[0], box[3] - box[1]) <= LARGEST_MM
    ]
    if not asked:
        return []
    ink = render(_without_references(legend, components, labels), PITCH_MM)
    return [str(one.reference) for one, box in asked if _is_even(_around(ink, _middle(_pads(one)), box))]


def _has_a_direction(component: Component) -> bool:
    letters = class_of(str(component.reference))
    if letters == "C":
        return any(POLAR.search(word) for word in (component.package, component.value) if word is not None)
    return letters in DIRECTED and len(component.pins) >= 2


def _pads(component: Component) -> Floats:
    """Middle and size of each pad, (n, 4)."""
    return np.array([
        (pin.x_mm, pin.y_mm, pin.width_mm or 0.0, pin.height_mm or 0.0) for pin in component.pins
    ]).reshape(-1, 4)


def _middle(pads: Floats) -> Floats:
    return np.asarray((pads[:, :2].min(axis=0) + pads[:, :2].max(axis=0)) / 2)


def _pads_are_even(component: Component) -> bool:
    """Whether the pads look the same turned half round: else they tell the way themselves."""
    pads = _pads(component)
    if len(pads) < 2:
        return False
    turned = pads.copy()
    turned[:, :2] = 2 * _middle(pads) - pads[:, :2]
    apart = np.abs(pads[:, None, :] - turned[None, :, :])
    return bool((apart.max(axis=2).min(axis=1) <= SAME_MM).all())


def _without_references(legend: Shapes, components: Sequence[Component], labels: Sequence[Label]) -> Shapes:
    """The legend less the references, which stand where there is room and mark nothing."""
    named = {component.reference for component in components}
    rows = [row for label in labels if label.text in named for mark in label.marks for row in mark.objects]
    kept = np.ones(len(legend), dtype=np.bool_)
    kept[rows] = False
    return legend.take(kept)


def _around(ink: Runs, middle: Floats, box: tuple[float, float, float, float]) -> Flags:
    """The ink about a part, in a window that is even about the middle of its pads."""
    reach = np.maximum(middle - np.array(box[:2]), np.array(box[2:]) - middle) + AROUND_MM
    columns, rows = np.ceil(reach / PITCH_MM).astype(int).tolist()
    column, row = np.rint(middle / PITCH_MM).astype(int).tolist()
    return to_bitmap(ink, Window(row - rows, column - columns, 2 * rows, 2 * columns))


def _is_even(bitmap: Flags) -> bool:
    """Whether a bitmap looks the same turned half round, but for the slack."""
    turned = bitmap[::-1, ::-1]
    odd = bitmap & ~_grown(turned, round(SAME_MM / PITCH_MM))
    return bool(odd.sum() * PITCH_MM * PITCH_MM < LEAST_MARK_MM2)


def _grown(bitmap: Flags, steps: int) -> Flags:
    """The bitmap with a margin of so many pixels, corners included."""
    grown = bitmap.copy()
    for axis in (0, 1):
        before = np.moveaxis(grown.copy(), axis, 0)
        after = np.moveaxis(grown, axis, 0)
        for step in range(1, steps + 1):
            after[step:] |= before[:-step]
            after[:-step] |= before[step:]
    return grown
