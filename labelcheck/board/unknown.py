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
    """Decide unknown layers by their look; one that may be a missing legend is a reason to hold."""
    without = [str(side) for side in OUTER_SIDES if legends[side] is None]
    for one in readings.of_role(Role.OTHER):
        if one.detail != UNKNOWN:
            continue
        artwork = readings.read(one)
        if artwork is None:
            continue
        match look_of(artwork.shapes, pads, leads):
            case Look.CONDUCTOR:
                readings.found[one.name] = replace(one, role=Role.COPPER, side=None, known_by=KnownBy.CONTENT)
                told = "Nothing says what this layer is; it draws pads and tracks, so it was taken for copper."
            case Look.OPENINGS:
                told = "Nothing says what this layer is; it draws pads only, like a mask. It is not used."
            case Look.EMPTY:
                told = "Nothing says what this layer is; it is empty."
            case Look.LINES:
                told = "Nothing says what this layer is; it draws lines or lettering. It was not used."
                if without:
                    readings.holding.append(
                        f"{one.name} may be the legend of the {' or '.join(without)} side; nothing says what it is. "
                        "Name it by what it is, or take it out of the set."
                    )
        readings.remarks.append(Remark(one.name, None, told))


def doubt_legends(readings: Readings, pads: Floats, leads: Floats) -> None:
    """A file that only its name makes a legend, and that draws the pads, is none: a reason to hold."""
    for one in readings.of_role(Role.LEGEND):
        artwork = readings.artworks.get(one.name)
        if artwork is None or one.known_by is not KnownBy.FILE_NAME:
            continue
        look = look_of(artwork.shapes, pads, leads)
        if look in (Look.CONDUCTOR, Look.OPENINGS):
            readings.holding.append(f"{one.name} is named like a legend but draws {look}; it may be another layer.")
