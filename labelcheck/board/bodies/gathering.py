"""Everything that the files of a set tell about its components, put together."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from labelcheck.board.board import Layer, Outline
from labelcheck.board.bodies.assembly import outlines_in
from labelcheck.board.bodies.choosing import choose_body, drawn_body, room_for_drawing, wants_drawing
from labelcheck.board.bodies.component_layer import read_component_layer
from labelcheck.board.bodies.origins import Shift, fit_to_pads
from labelcheck.board.bodies.pads import flashes_only, names_pins, pins_of_netlist, pins_on_copper
from labelcheck.board.bodies.placing import Ground, place_parts
from labelcheck.board.bodies.told import Told
from labelcheck.board.components import Body, BodySource, Component, Pin
from labelcheck.board.readings import Readings, remark_of
from labelcheck.board.recognising import Form
from labelcheck.board.roles import Role
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.formats.netlist import Netlist, read_netlist
from labelcheck.formats.placement import read_placement
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.stated import StatedBody

BOARD_SHARE = 0.5
"""An outline that takes so much of the board is a frame, or a board on the board, and no part's body."""
SAME_PART_MM = 5.0
"""Where a panel carries a reference several times, words about it belong together within this."""
AROUND_MM = 1.5
"""Lines of a legend this near to its pads tell on which side a part with leads only stands."""
LONG_LINE_MM = 2.5
"""Strokes of letters are shorter than the outline of a part with leads."""


@dataclass(frozen=True, slots=True, eq=False)
class Surroundings:
    """What is known of the board before its components."""

    openings: Mapping[Side, Layer | None]
    legends: Mapping[Side, Layer | None]
    leads: Floats
    """Middles of the holes for leads, (n, 2)."""
    outline: Outline | None


@dataclass(slots=True)
class _Part:
    """What is gathered about one component (mutable until it becomes a `Component`)."""

    told: Told
    known_by: BodySource
    more: list[Told] = field(default_factory=list)


def components_of(
    readings: Readings, around: Surroundings, stated: Sequence[StatedBody]
) -> tuple[Component, ...]:
    """The components of a set, in order of side and reference; what is guessed goes to the remarks."""
    parts: list[_Part] = []
    ground = _ground(around)
    _add(parts, _layer_parts(readings), "component layer")
    _add(parts, _pins(readings, ground), "pads")
    _add_placed(readings, parts, ground)
    merged = [_merged(part) for part in parts]
    below = [at for one in merged if one.side is Side.BOTTOM and (at := _place(one)) is not None]
    drawn = {side: _long_lines(layer) for side, layer in around.legends.items() if layer is not None}
    told = [_with_side(one, drawn, below) for one in merged]
    bodies = [choose_body(one, part.known_by, stated) for one, part in zip(told, parts, strict=True)]
    _look_at_drawings(readings, told, bodies, stated)
    _leave_out_unsoldered(readings, told, bodies)
    found = [_component(one, body, around.outline) for one, body in zip(told, bodies, strict=True)]
    order = {side: rank for rank, side in enumerate(OUTER_SIDES)}
    return tuple(sorted(found, key=lambda one: (order[one.side], _natural(one.reference or ""), one.at_mm or (0, 0))))


def _natural(reference: str) -> tuple[str, int, str]:
    letters = reference.rstrip("0123456789")
    digits = reference[len(letters) :]
    return letters, int(digits[:12]) if digits else -1, digits


def _ground(around: Surroundings) -> Ground:
    boxes = {}
    for side, layer in around.openings.items():
        if layer is None:
            boxes[side] = np.zeros((0, 4))
            continue
        all_boxes = layer.shapes.boxes()[layer.shapes.dark]
        boxes[side] = all_boxes[np.isfinite(all_boxes).all(axis=1)]
    return Ground(boxes, around.leads)


def _layer_parts(readings: Readings) -> list[Told]:
    told: list[Told] = []
    for side in OUTER_SIDES:
        for artwork in readings.read_all(readings.of_role(Role.COMPONENT, side)):
            told += read_component_layer(artwork, side)
    return told


def _pins(readings: Readings, ground: Ground) -> list[Told]:
    """Pads that say whose they are: from copper, else from a netlist."""
    copper: list[tuple[Side, Artwork]] = []
    for side in OUTER_SIDES:
        for one in readings.of_role(Role.COPPER, side):
            if names_pins(one.file.data) and (artwork := _flashes(readings, one.name)) is not None:
                copper.append((side, artwork))
    told = list(pins_on_copper(copper))
    return told if told else _netlist_pins(readings, ground)


def _flashes(readings: Readings, name: str) -> Artwork | None:
    """The flashes of a copper file; what is odd about the file is not told here, where only hints are looked for."""
    if name in readings.artworks:
        return readings.artworks[name]
    try:
        return read_artwork(name, flashes_only(readings.found[name].file.data))
    except UnreadableFile:
        return None


def _netlist_pins(readings: Readings, ground: Ground) -> list[Told]:
    told: list[Told] = []
    for name, one in list(readings.found.items()):
        if one.form is not Form.NETLIST or one.role is not Role.NETLIST:
            continue
        try:
            netlist = read_netlist(name, one.file.data)
        except UnreadableFile as error:
            readings.remarks.append(remark_of(name, error))
            continue
        told += _laid_on_pads(readings, netlist, ground)
    return told


def _laid_on_pads(readings: Readings, netlist: Netlist, ground: Ground) -> list[Told]:
    """The parts of a netlist where its pads lie on those of the artwork; none where no shift brings them there."""
    told = pins_of_netlist(netlist.points)
    places = np.array([(pin.x_mm, pin.y_mm) for one in told for pin in one.pins]).reshape(-1, 2)
    if len(places) == 0:
        return []
    shift = fit_to_pads(places, ground.pads())
    if shift is None:
        what = "Its pads lie on those of the artwork under no single shift; it was not used."
        readings.remarks.append(Remark(netlist.name, None, what))
        return []
    if shift.none:
        return list(told)
    moved = (
        f"Its places were taken moved by {shift.x_mm:.3f}, {shift.y_mm:.3f} mm: so {shift.share * 100:.0f} % of its "
        "pads lie on those of the artwork."
    )
    readings.remarks.append(Remark(netlist.name, None, moved))
    return [replace(one, pins=tuple(_moved(pin, shift) for pin in one.pins)) for one in told]


def _moved(pin: Pin, shift: Shift) -> Pin:
    return replace(pin, x_mm=pin.x_mm + shift.x_mm, y_mm=pin.y_mm + shift.y_mm)


def _add(parts: list[_Part], told: Iterable[Told], known_by: BodySource) -> None:
    """Words of one source: about parts known already, or about new ones."""
    known: dict[str, list[_Part]] = defaultdict(list)
    for part in parts:
        known[part.told.reference].append(part)
    for one in told:
        same = _same(known.get(one.reference) or _cut_off(known, one.reference), one)
        if same is not None:
            same.more.append(one)
        else:
            parts.append(_Part(one, known_by))


def _cut_off(known: Mapping[str, list[_Part]], reference: str) -> list[_Part]:
    """Netlists keep six characters of a reference: the one part that begins with them."""
    if len(reference) != 6:
        return []
    longer = [name for name in known if name.startswith(reference)]
    return known[longer[0]] if len(longer) == 1 else []


def _same(candidates: Sequence[_Part], one: Told) -> _Part | None:
    """The part that words are about: the only one of its name, else the nearest within reach."""
    if len(candidates) < 2:
        return candidates[0] if candidates else None
    at = _place(one)
    places = [(_place(part.told), part) for part in candidates]
    if at is None:
        return None
    near = [(abs(x[0] - at[0]) + abs(x[1] - at[1]), number) for number, (x, _) in enumerate(places) if x is not None]
    return places[min(near)[1]][1] if near and min(near)[0] <= SAME_PART_MM else None


def _place(one: Told) -> tuple[float, float] | None:
    if one.at_mm is not None or not one.pins:
        return one.at_mm
    places = np.array([(pin.x_mm, pin.y_mm) for pin in one.pins])
    x, y = (places.min(axis=0) + places.max(axis=0)) / 2
    return float(x), float(y)


def _add_placed(readings: Readings, parts: list[_Part], ground: Ground) -> None:
    """Placement files, laid where they fit; a part that they place and that was known by its pads is known better."""
    placements = []
    for name, one in list(readings.found.items()):
        if one.form is Form.PLACEMENT and one.role is Role.PLACEMENT:
            try:
                placements.append((read_placement(name, one.file.data), one.side))
            except UnreadableFile as error:
                readings.remarks.append(remark_of(name, error))
    middles = {part.told.reference: place for part in parts if (place := _place(_merged(part))) is not None}
    told, remarks = place_parts(placements, middles, ground)
    readings.remarks += remarks
    placed = {one.reference for one in told}
    _add(parts, told, "placement")
    for part in parts:
        if part.known_by == "pads" and part.told.reference in placed:
            part.known_by = "placement"


def _look_at_drawings(
    readings: Readings, told: Sequence[Told], bodies: list[Body | None], stated: Sequence[StatedBody]
) -> None:
    """Put what assembly drawings show in the place of estimates; they are read only where some part has no better."""
    for one in readings.of_role(Role.ASSEMBLY):
        rooms = {
            number: room
            for number, (part, body) in enumerate(zip(told, bodies, strict=True))
            if part.side is one.side and wants_drawing(part, body, stated)
            and (room := room_for_drawing(part)) is not None
        }  # fmt: skip
        artwork = readings.read(one) if rooms else None
        if artwork is None:
            continue
        for number, drawn in zip(rooms, outlines_in(artwork.shapes, list(rooms.values())), strict=True):
            bodies[number] = drawn_body(told[number], drawn) or bodies[number]


def _leave_out_unsoldered(readings: Readings, told: Sequence[Told], bodies: list[Body | None]) -> None:
    """Take away estimates on lands of which none gets paste: touch pads, fingers of an edge, solder bridges.

    A side whose paste layer is missing or empty tells nothing.
    """
    for side in OUTER_SIDES:
        lands = [
            number
            for number, (part, body) in enumerate(zip(told, bodies, strict=True))
            if part.side is side and body is not None and body.estimated and body.known_by == "pads"
            and not any(pin.through for pin in part.pins)
        ]  # fmt: skip
        pasted = readings.read_all(readings.of_role(Role.PASTE, side)) if lands else []
        boxes = np.concatenate([np.zeros((0, 4)), *(one.shapes.boxes()[one.shapes.dark] for one in pasted)])
        boxes = boxes[np.isfinite(boxes).all(axis=1)]
        if len(boxes) == 0:
            continue
        tree = shapely.STRtree(shapely.box(*boxes.T))
        for number in lands:
            if len(tree.query(_land_boxes(told[number].pins), predicate="intersects")[0]) == 0:
                bodies[number] = None


def _land_boxes(pins: Sequence[Pin]) -> np.ndarray:
    """Boxes of the lands, (n,) geometries."""
    table = np.array([(pin.x_mm, pin.y_mm, pin.width_mm or 0.2, pin.height_mm or 0.2) for pin in pins])
    x, y, width, height = table.T
    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _merged(part: _Part) -> Told:
    """All words about a part, the first that speaks heard in each matter; pins of whoever tells nets or most pads."""
    words = [part.told, *part.more]

    def first(name: str) -> object:
        return next((value for one in words if (value := getattr(one, name)) is not None), None)

    pins = max((one.pins for one in words), key=lambda pins: (sum(pin.net is not None for pin in pins), len(pins)))
    values = {name: first(name) for name in ("side", "package", "value", "at_mm", "rotation_deg", "height_mm")}
    return replace(part.told, pins=_with_functions(pins, words), **values)  # type: ignore[arg-type]  # fields of Told


def _with_functions(pins: tuple[Pin, ...], words: Sequence[Told]) -> tuple[Pin, ...]:
    """Functions that another source tells of the same pins."""
    functions = {pin.name: pin.function for one in words for pin in one.pins if pin.function is not None}
    if not functions or all(pin.function is not None for pin in pins):
        return pins
    return tuple(
        replace(pin, function=functions[pin.name]) if pin.function is None and pin.name in functions else pin
        for pin in pins
    )


def _with_side(told: Told, drawn: Mapping[Side, Floats], below: Sequence[tuple[float, float]]) -> Told:
    """A part whose side no file tells stands where a legend draws it; not on parts of the bottom, places `below`.

    `drawn` as from `_long_lines`, for each side that has a legend.
    """
    if told.side in OUTER_SIDES:
        return told
    side = _side_by_ink(told.pins, drawn)
    if side is Side.BOTTOM and below:
        pads, others = np.array([(pin.x_mm, pin.y_mm) for pin in told.pins]), np.array(below)
        if ((others > pads.min(axis=0)) & (others < pads.max(axis=0))).all(axis=1).any():
            side = Side.TOP
    return replace(told, side=side)


def _component(told: Told, body: Body | None, outline: Outline | None) -> Component:
    if body is not None and outline is not None and body.area.area > BOARD_SHARE * outline.area.area:
        body = None
    return Component(
        reference=told.reference, side=told.side or Side.TOP, package=told.package, value=told.value,
        at_mm=_place(told), rotation_deg=told.rotation_deg, pins=told.pins, body=body,
    )  # fmt: skip


def _long_lines(legend: Layer) -> Floats:
    """Middles (n, 2) of the long lines of a legend."""
    shapes = legend.shapes
    long = np.abs(shapes.x1 - shapes.x0) + np.abs(shapes.y1 - shapes.y0) >= LONG_LINE_MM
    return np.asarray(np.column_stack((shapes.x0 + shapes.x1, shapes.y0 + shapes.y1))[long] / 2)


def _side_by_ink(pins: Sequence[Pin], drawn: Mapping[Side, Floats]) -> Side:
    """The bottom where only its legend draws long lines about the pads of a part with leads, else the top."""
    if not pins:
        return Side.TOP
    places = np.array([(pin.x_mm, pin.y_mm) for pin in pins])
    low, high = places.min(axis=0) - AROUND_MM, places.max(axis=0) + AROUND_MM
    about = {side: bool(((lines >= low) & (lines <= high)).all(axis=1).any()) for side, lines in drawn.items()}
    return Side.BOTTOM if about.get(Side.BOTTOM, False) and not about.get(Side.TOP, False) else Side.TOP
