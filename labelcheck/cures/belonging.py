"""What a label belongs to, and whether it still does at another place: its own part, or the pin that it stands at."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from labelcheck.board.components import Component
from labelcheck.labels.label import Box, Label
from labelcheck.press.whose import box_of, distances, pin_box, reference_said
from labelcheck.trade.shapes import Flags, Floats
from labelcheck.trade.sides import Side

AT_A_PIN_MM = 2.0
"""A label that names no part belongs to a pin this near to it (judgement)."""
SLACK_MM = 0.02
"""Another part or pin has to be so much nearer to count as nearer."""

CLEARLY = 0.7
"""A label that was taken for another part's is to come so much nearer to its own than to any other."""


@dataclass(frozen=True, slots=True, eq=False)
class Company:
    """Boxes (n, 4) of parts or pins near a label, and which of them is its own."""

    boxes: Floats
    own: int
    mistaken: bool = False
    """Whether it is taken for that of another part: then it must become its own part's, clearly."""

    def suits(self, as_it_stands: Box, changed: Box, shifts: Floats) -> Flags:
        """Whether a label, changed so and moved by each of the shifts (n, 2), is nearest to its own.

        Where it is not so as it stands, it must only come no farther from it.
        """
        now = distances(np.array([as_it_stands]), self.boxes)[0]
        unmoved = distances(np.array([changed]), self.boxes)[0]
        farthest = float(np.hypot(shifts[:, 0], shifts[:, 1]).max(initial=0.0))
        rivals = unmoved <= (unmoved[self.own] + farthest) / CLEARLY + farthest + SLACK_MM
        moved = np.array(changed) + np.hstack((shifts, shifts))
        far = distances(moved, self.boxes[rivals])
        own = distances(moved, self.boxes[[self.own]])[:, 0]
        nearest = own <= far.min(axis=1) + SLACK_MM
        if self.mistaken:
            far[:, np.count_nonzero(rivals[: self.own])] = np.inf
            clearly = own <= CLEARLY * far.min(axis=1)
            return np.asarray(clearly & (own <= now[self.own] + SLACK_MM))
        if now[self.own] <= now.min() + SLACK_MM:
            return np.asarray(nearest)
        return np.asarray(nearest | (own <= now[self.own] + SLACK_MM))


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """The parts that can be named on one side, and the pins that can: boxes (n, 4), references (n,) in capitals."""

    references: tuple[str | None, ...]
    boxes: Floats
    pins: Floats


def parts_on(components: Sequence[Component], side: Side, openings: Floats) -> Parts:
    """Parts of a side with those that go through; without any pin known the boxes of openings stand for pins."""
    seen = [one for one in components if one.side is side or any(pin.through for pin in one.pins)]
    boxed = [
        (None if one.reference is None else one.reference.upper(), box)
        for one in seen if (box := box_of(one, body_side=side)) is not None
    ]
    pins = [pin_box(pin) for one in seen for pin in one.pins if one.side is side or pin.through]
    return Parts(
        tuple(reference for reference, _ in boxed),
        np.array([box for _, box in boxed], dtype=np.float64).reshape(-1, 4),
        np.array(pins, dtype=np.float64).reshape(-1, 4) if pins else openings,
    )


def company_of(label: Label, parts: Parts, far_mm: float) -> Company | None:
    """The part that a label names, else the pin at which it stands; None where it has neither.

    `far_mm` is how far the label may be moved: what lies beyond that cannot come to be nearest.
    """
    said = reference_said(label)
    if said is not None and said in parts.references:
        own = parts.references.index(said)
        return _among(label, parts.boxes, own, far_mm)
    if len(parts.pins) == 0 or label.kind == "reference":
        return None
    far = distances(np.array([label.box_mm]), parts.pins)[0]
    own = int(np.argmin(far))
    return _among(label, parts.pins, own, far_mm) if far[own] <= AT_A_PIN_MM else None


def _among(label: Label, boxes: Floats, own: int, far_mm: float) -> Company:
    far = distances(np.array([label.box_mm]), boxes)[0]
    near = far <= far[own] + 2 * far_mm
    # A shield or a module around a part is near to everything within it.
    mine = boxes[own]
    around = (boxes[:, :2] <= mine[:2]).all(axis=1) & (boxes[:, 2:] >= mine[2:]).all(axis=1)
    near &= ~around
    near[own] = True
    kept = np.flatnonzero(near)
    return Company(boxes[kept], int(np.searchsorted(kept, own)))
