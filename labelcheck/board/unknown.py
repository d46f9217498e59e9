"""Layers of which nobody says what they are, and legends that do not look like legends."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from labelcheck.board.board import Layer, Outline
from labelcheck.board.content import Look, look_of
from labelcheck.board.readings import Readings
from labelcheck.board.recognising import UNKNOWN
from labelcheck.board.roles import KnownBy, Role
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats, Shapes
from labelcheck.trade.sides import OUTER_SIDES, Side

LEGEND_OBJECTS = 10
"""A drawing of fewer objects is no legend worth the name."""


def tell_unknown(
    readings: Readings, legends: Mapping[Side, Layer | None], outline: Outline | None, pads: Floats, leads: Floats
) -> None:
    """Decide unknown layers by their look; those that may be a missing legend are a reason to hold."""
    without = [str(side) for side in OUTER_SIDES if legends[side] is None]
    candidates: list[str] = []
    for one in readings.of_role(Role.OTHER):
        artwork = readings.read(one) if one.detail == UNKNOWN else None
        if artwork is None:
            continue
        look = look_of(artwork.shapes, pads, leads)
        if look is Look.CONDUCTOR:
            readings.found[one.name] = replace(one, role=Role.COPPER, side=None, known_by=KnownBy.CONTENT)
        elif look is Look.LINES and _on_board(artwork.shapes, outline):
            candidates.append(one.name)
        readings.remarks.append(Remark(one.name, None, f"Nothing says what this layer is; {_TOLD[look]}"))
    if candidates and without:
        listed = ", ".join(candidates[:3]) + (f" and {len(candidates) - 3} more" if len(candidates) > 3 else "")
        readings.holding.append(
            f"The legend of the {' or '.join(without)} side may be among files of which nothing says what they are "
            f"({listed}). Name them by what they are, or take them out of the set."
        )


_TOLD = {
    Look.CONDUCTOR: "it draws pads and tracks, so it was taken for copper.",
    Look.OPENINGS: "it draws pads only, like a mask or paste. It was not used.",
    Look.EMPTY: "it is empty.",
    Look.LINES: "it draws lines or lettering. It was not used.",
}


def _on_board(shapes: Shapes, outline: Outline | None) -> bool:
    """Whether a drawing could be a legend: it has some objects, and most of them lie on the board."""
    boxes = shapes.boxes()
    boxes = boxes[np.isfinite(boxes).all(axis=1)]
    if len(boxes) < LEGEND_OBJECTS or outline is None:
        return len(boxes) >= LEGEND_OBJECTS
    x0, y0, x1, y1 = outline.area.bounds
    on = (boxes[:, 0] >= x0) & (boxes[:, 1] >= y0) & (boxes[:, 2] <= x1) & (boxes[:, 3] <= y1)
    return float(np.mean(on)) >= 0.7


def doubt_legends(readings: Readings, pads: Floats, leads: Floats) -> None:
    """A file that only its name makes a legend, and that draws the pads, is none: a reason to hold."""
    for one in readings.of_role(Role.LEGEND):
        artwork = readings.artworks.get(one.name)
        if artwork is None or one.known_by is not KnownBy.FILE_NAME:
            continue
        look = look_of(artwork.shapes, pads, leads)
        if look in (Look.CONDUCTOR, Look.OPENINGS):
            readings.holding.append(f"{one.name} is named like a legend but draws {look}; it may be another layer.")
