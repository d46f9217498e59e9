"""The best outline of one component's body that the sources allow, and what it rests on."""

import math
from collections.abc import Iterable, Sequence

import numpy as np
from shapely.geometry import Point, Polygon

from labelcheck.board.bodies.frames import Frame, frame_of, turned_box
from labelcheck.board.bodies.packages import Package, package_named, stands_nowhere
from labelcheck.board.bodies.told import Told
from labelcheck.board.components import Body, BodySource
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import StatedBody

COURTYARD_EXCESS_MM = 0.25
"""How far a courtyard commonly reaches beyond body and pads: nominal excess of IPC-7352 (at second hand)."""
HALF_PITCH_AT_MOST_MM = 1.27
HALF_PITCH_OF_LANDS_MM = 0.65
"""How far an estimate reaches beyond the last pads of a row: half a pitch, of leads and of lands."""
ROW_ENDS = 2
"""At most so many pads at an end of a row; more of them are a row of their own, across."""
PLACED_BESIDE_MM = 2.0
"""A part whose pads are this far from where it is said to be was not found right."""

DRAWN_BEYOND_MM = 0.1
"""How far a drawn body may reach out of its courtyard: rounding, and pens."""
LEAST_OF_COURTYARD = 0.1
"""Smaller outlines in a courtyard are letters and marks."""

_EXACT_OUTLINES = ("Body", "Lead2Lead")
_ROOMY_OUTLINES = ("Footprint", "Courtyard")


def choose_body(part: Told, known_by: BodySource, stated: Sequence[StatedBody]) -> Body | None:
    """The body of a component, None where nothing tells or nothing stands there.

    `known_by` is the source of its place and package. What an assembly drawing shows is better than an estimate: see
    `drawn_body`.
    """
    user = _stated_for(part, stated)
    if user is not None:
        return _stated_body(part, user)
    outlines = dict(part.outlines)
    for kind in _EXACT_OUTLINES:
        if kind in outlines:
            return Body(outlines[kind], part.height_mm, "component layer", False, "its component layer")
    if stands_nowhere(part.package) or "*" in part.reference:
        # A reference that was never given (`REF**`) stands for many things at once, none of them bought.
        return None
    frame = frame_of(part.pins, part.rotation_deg)
    package = package_named(part.package)
    by_table = _standard_body(part, package, frame, known_by) if package is not None else None
    if by_table is not None:
        return by_table
    for kind in _ROOMY_OUTLINES:
        if kind in outlines:
            inner = outlines[kind].buffer(-COURTYARD_EXCESS_MM, join_style="mitre")
            if isinstance(inner, Polygon) and not inner.is_empty:
                told = f"its {kind.lower()} in the component layer, a little less"
                return Body(inner, part.height_mm, "component layer", True, told)
    return None if frame is None else _estimate(part, frame)


def wants_drawing(part: Told, body: Body | None, stated: Sequence[StatedBody]) -> bool:
    """Whether a part has no better body than an assembly drawing may give."""
    if body is not None:
        return body.estimated
    nowhere = stands_nowhere(part.package) or "*" in part.reference or _stated_for(part, stated) is not None
    return not nowhere and (part.at_mm is not None or len(part.pins) > 1)


def _stated_for(part: Told, stated: Iterable[StatedBody]) -> StatedBody | None:
    return next((one for one in stated if one.is_for(part.reference, part.package)), None)


def _stated_body(part: Told, user: StatedBody) -> Body | None:
    """What the limits file states, laid where the part lies; None for parts that are not fitted or lie nowhere."""
    frame = frame_of(part.pins, part.rotation_deg)
    at = part.at_mm or (frame.middle_mm if frame is not None else None)
    if at is None and len(part.pins) == 1:
        at = part.pins[0].x_mm, part.pins[0].y_mm  # a pin or a clip: it stands on its only land
    if at is None or user.length_mm * user.width_mm == 0:
        return None
    turned = part.rotation_deg
    if turned is None:
        turned = 0.0 if frame is None else _length_direction(frame, user.length_mm >= user.width_mm)
    x, y = user.offset_mm
    # A part on the bottom is seen through the board: what is right of it lies left.
    x = -x if part.side is Side.BOTTOM else x
    cos, sin = math.cos(math.radians(turned)), math.sin(math.radians(turned))
    middle = (at[0] + x * cos - y * sin, at[1] + x * sin + y * cos)
    area = turned_box(middle, user.length_mm, user.width_mm, turned)
    height = user.height_mm if user.height_mm is not None else part.height_mm
    return Body(area, height, "limits file", False, user.source)


def _length_direction(frame: Frame, lengthwise: bool) -> float:
    """Direction of the longer extent of the pads, or of the other one."""
    along, across = frame.extents_mm
    return frame.turned_deg + (0.0 if (along >= across) == lengthwise else 90.0)


def _standard_body(part: Told, package: Package, frame: Frame | None, known_by: BodySource) -> Body | None:
    """The largest body of a standard package; None where the pads show that the name means something else."""
    height = part.height_mm if part.height_mm is not None else package.height_mm
    whence = {"component layer": "at its place in the component layer", "placement": "at its place in the placement"}
    basis = f"the largest {package.name} {whence.get(known_by, 'on its pads')}"
    if frame is None:
        if part.at_mm is None or package.leads == "rows":
            # Where a header stands on its holes nobody knows: it may be placed by its middle or its first pin.
            return None
        # Zero rotation of IPC-7351: two pads lie side by side, rows of leads stand upright.
        turned = (part.rotation_deg or 0.0) + (90.0 if package.leads == "sides" else 0.0)
        area = _shape(package, part.at_mm, turned)
        return Body(area, height, known_by, package.leads != "round", basis)
    seat = _seat(package, frame)
    if seat is None:
        return None
    return Body(_shape(package, frame.middle_mm, seat), height, known_by, not package.sure, basis)


def _shape(package: Package, middle_mm: tuple[float, float], turned_deg: float) -> Polygon:
    if package.leads == "round":
        return Point(middle_mm).buffer(package.length_mm / 2)
    return turned_box(middle_mm, package.length_mm, package.width_mm, turned_deg)


def _seat(package: Package, frame: Frame) -> float | None:
    """Direction of a package's length on its pads, None where it does not sit on them."""
    options = [
        (misfit, frame.turned_deg + turned)
        for turned, extents, rows in (
            (0.0, frame.extents_mm, frame.rows()),
            (90.0, frame.extents_mm[::-1], frame.rows()[::-1]),
        )
        if (misfit := _misfit(package, extents, rows)) is not None
    ]
    return min(options)[1] if options else None


def _misfit(package: Package, extents: tuple[float, float], rows: tuple[int, int]) -> tuple[int, float] | None:
    """How badly a package lies with its length along the first of the pads' extents; None where it cannot."""
    along, across = extents
    length, width = package.length_mm, package.width_mm
    match package.leads:
        case "ends":
            if not 0.35 * length <= along <= 1.7 * length + 0.3 or across > width + 0.6:
                return None
            return 0, abs(along - length)
        case "sides":
            if not width * 0.55 <= across <= width + 4.0 or along > length + 0.4:
                return None
            return rows[1], abs(across - width - 1.2) + abs(along - length + 1.0)
        case "around":
            if along > length + 2.8 or across > width + 2.8 or along < 0.4 * length:
                return None
            return 0, abs(along - length) + abs(across - width)
        case "rows":
            if abs(along - length) > 4.0 or across > width + 0.3:
                return None
            return 0, abs(along - length)
        case "round":
            return (0, 0.0) if max(along, across) <= package.length_mm + 0.5 else None


def room_for_drawing(part: Told) -> Polygon | None:
    """Where the body of a part may be drawn: in its courtyard, else about its pads or its place."""
    courtyard = dict(part.outlines).get("Courtyard")
    if courtyard is not None:
        return courtyard.buffer(DRAWN_BEYOND_MM, join_style="mitre")
    frame = frame_of(part.pins, part.rotation_deg)
    middle = frame.middle_mm if frame is not None else part.at_mm
    if middle is None:
        return None
    reach = max((*frame.extents_mm, 1.0)) if frame is not None else 4.0
    return turned_box(middle, 4 * reach + 2.0, 4 * reach + 2.0, 0.0)


def drawn_body(part: Told, drawn: Sequence[Polygon]) -> Body | None:
    """The largest of the outlines drawn in a part's room that can be its body."""
    courtyard = dict(part.outlines).get("Courtyard")
    if courtyard is not None:
        fitting = [one for one in drawn if one.area > LEAST_OF_COURTYARD * courtyard.area]
    else:
        frame = frame_of(part.pins, part.rotation_deg)
        middle = frame.middle_mm if frame is not None else part.at_mm
        fitting = [
            one
            for one in drawn
            if middle is not None and one.intersects(Point(middle)) and (frame is None or _about(frame, one))
        ]
    if not fitting:
        return None
    return Body(max(fitting, key=lambda outline: outline.area), part.height_mm, "assembly drawing", False,
                "the assembly drawing")  # fmt: skip


def _about(frame: Frame, outline: Polygon) -> bool:
    """Whether an outline is large enough to be the body on these pads, rather than a letter or a mark in it."""
    box = frame.box(*(max(extent, 0.3) for extent in frame.extents_mm))
    return outline.area > 0.2 * box.area and box.intersection(outline).area > 0.3 * min(box.area, outline.area)


def _estimate(part: Told, frame: Frame) -> Body | None:
    """Roughly the box of the pads' middles: a body covers about that of lands and leads."""
    pads = np.column_stack((frame.along, frame.across))
    leads = any(pin.through for pin in part.pins)
    along, across = frame.extents_mm
    if len(pads) == 2:
        # Between two pads, as wide as they are.
        size = max(min(frame.pad_along_mm, frame.pad_across_mm), 0.3)
        return _told_estimate(part, frame.box(max(along, size), max(across, size)))
    most = HALF_PITCH_AT_MOST_MM if leads else HALF_PITCH_OF_LANDS_MM
    sides = [
        extent + 2 * (min(_pitch(pads) / 2, most) if _ends(pads[:, axis]) <= ROW_ENDS or extent == 0 else 0.0)
        for axis, extent in enumerate((along, across))
    ]
    return _told_estimate(part, frame.box(*sides))


def _told_estimate(part: Told, area: Polygon) -> Body | None:
    if area.area == 0:
        return None
    return Body(area, part.height_mm, "pads", True, "its pads, an estimate")


def _pitch(pads: np.ndarray) -> float:
    """Typical distance from a pad to its nearest neighbour."""
    if len(pads) > 400:
        pads = pads[:: len(pads) // 400]
    between = np.hypot(*(pads[:, None, :] - pads[None, :, :]).transpose(2, 0, 1))
    between[between < 1e-6] = np.inf
    nearest = between.min(axis=1)
    nearest = nearest[np.isfinite(nearest)]
    return float(np.median(nearest)) if len(nearest) else 0.0


def _ends(places: np.ndarray) -> int:
    """How many pads lie at the fuller end of an extent."""
    low, high = (int(np.count_nonzero(np.abs(places - end) < 0.1)) for end in (places.min(), places.max()))
    return max(low, high)
