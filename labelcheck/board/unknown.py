"""Layers of which nobody says what they are, and legends that do not look like legends."""

from collections.abc import Mapping
from dataclasses import replace

from labelcheck.board.board import Layer
from labelcheck.board.content import Look, look_of
from labelcheck.board.readings import Readings
from labelcheck.board.recognising import UNKNOWN
from labelcheck.board.roles import KnownBy, Role
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import OUTER_SIDES, Side


def tell_unknown(readings: Readings, legends: Mapping[Side, Layer | None], pads: Floats, leads: Floats) -> None:
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
        elif look is Look.LINES:
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


def doubt_legends(readings: Readings, pads: Floats, leads: Floats) -> None:
    """A file that only its name makes a legend, and that draws the pads, is none: a reason to hold."""
    for one in readings.of_role(Role.LEGEND):
        artwork = readings.artworks.get(one.name)
        if artwork is None or one.known_by is not KnownBy.FILE_NAME:
            continue
        look = look_of(artwork.shapes, pads, leads)
        if look in (Look.CONDUCTOR, Look.OPENINGS):
            readings.holding.append(f"{one.name} is named like a legend but draws {look}; it may be another layer.")
