"""Labels that a tall part keeps from the eye of someone who looks at the board aslant."""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from labelcheck.board.components import Component
from labelcheck.labels.label import Label
from labelcheck.press.evidence import Shadow
from labelcheck.trade.sides import Side

TALL_MM = 3.0
"""Lower parts are looked over by moving the head a little (judgement, no source)."""
HELD = 0.2
"""Less of a label than this in a shadow is not followed up."""


def shadows_on(
    labels: Sequence[Label], components: Sequence[Component], angle_deg: float
) -> tuple[Shadow | None, ...]:
    """For each label how much of it tall parts hide from its reader; None for a label that none does.

    The reader stands below the label, as it reads, and looks at the board at an angle off the normal: a part of
    height h then hides what lies up to h tan(angle) behind it.
    """
    bodies = _tall(components)
    if not bodies or not labels:
        return (None,) * len(labels)
    slope = math.tan(math.radians(angle_deg))
    reach = np.array([height * slope for _, height, _ in bodies])
    reached = [area.buffer(far, join_style="mitre") for (area, _, _), far in zip(bodies, reach, strict=True)]
    tree = shapely.STRtree(reached)
    boxes = shapely.box(*np.array([label.box_mm for label in labels]).T)
    near: dict[int, list[int]] = {}
    for label, body in zip(*tree.query(boxes, predicate="intersects"), strict=True):
        near.setdefault(int(label), []).append(int(body))
    return tuple(
        _shadow(label, boxes[number], [bodies[body] for body in sorted(near[number])], slope)
        if number in near
        else None
        for number, label in enumerate(labels)
    )


def _tall(components: Sequence[Component]) -> list[tuple[Polygon, float, str | None]]:
    """Outline, height and reference of the parts that are surely tall."""
    known = [(one.body, one.reference) for one in components if one.body is not None and not one.body.estimated]
    return [
        (body.area, body.height_mm or 0.0, reference)
        for body, reference in known if (body.height_mm or 0.0) >= TALL_MM
    ]


def shadows_of(
    components: Sequence[Component], turned_deg: float, side: Side, angle_deg: float
) -> tuple[list[Polygon], list[Polygon]]:
    """What tall parts hide of labels turned so, seen from below and from above, as they read; parts included."""
    slope = math.tan(math.radians(angle_deg))
    up = _up(turned_deg, side)
    front, back = (
        [_swept(body, up, sign * height * slope) for body, height, _ in _tall(components)] for sign in (1.0, -1.0)
    )
    return front, back


def _up(turned_deg: float, side: Side) -> tuple[float, float]:
    """The way that is up for who reads a label turned so."""
    angle = math.radians(turned_deg)
    mirrored = -1.0 if side is Side.BOTTOM else 1.0
    return -math.sin(angle) * mirrored, math.cos(angle)


def _shadow(
    label: Label, area: Polygon, bodies: Sequence[tuple[Polygon, float, str | None]], slope: float
) -> Shadow | None:
    """Shares of the label's box behind the one part that hides most, from below and from above, as it reads."""
    up = _up(label.turned_deg, label.side)
    # What stands on the label is the matter of another question.
    clear = area.difference(shapely.union_all([body for body, _, _ in bodies]))
    shares = []
    for sign in (1.0, -1.0):
        behind = [
            (clear.intersection(_swept(body, up, sign * height * slope)).area / area.area, reference or "a part")
            for body, height, reference in bodies
        ]
        shares.append(max(behind))
    (front, by), (back, other) = shares
    return None if front < HELD else Shadow(front, back, by, other)


def _swept(body: Polygon, way: tuple[float, float], by_mm: float) -> Polygon:
    """Everything that a body passes over when it moves: for outlines bent inwards a little more."""
    corners = np.asarray(body.exterior.coords)[:, :2]
    moved = corners + np.array(way) * by_mm
    return shapely.multipoints(np.concatenate((corners, moved))).convex_hull
