"""A fab set becomes a board: what is needed is read, put together, and checked against each other."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import MultiPolygon, box

from labelcheck.board.belonging import (
    closed_leads,
    empty_masks,
    off_the_holes,
    outline_of_another_size,
    undrilled_pads,
    without_drills,
)
from labelcheck.board.board import Appearance, Board, BoardSide, Holes, Layer, Outline
from labelcheck.board.bodies.gathering import Surroundings, components_of
from labelcheck.board.consistency import inconsistent, project_of
from labelcheck.board.drilling import Ground
from labelcheck.board.edges import declared_edge, framed_edge, routed_edge
from labelcheck.board.fab_set import FabSet
from labelcheck.board.hole_files import component_holes, finish, read_holes
from labelcheck.board.layering import merge, without_revisions
from labelcheck.board.masks import box_area, covered_share, drawn_as_mask, inverted
from labelcheck.board.readings import Readings
from labelcheck.board.recognising import Form, Recognised, recognise
from labelcheck.board.registration import shifted
from labelcheck.board.roles import KnownBy, Role
from labelcheck.board.soundness import cut_short, misplaced, missing, missing_from_job, sideless, unsound
from labelcheck.board.straying import Drawn, box_of_board, no_board, straying
from labelcheck.board.unknown import doubt_legends, tell_unknown
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.job_file import JobFile
from labelcheck.raster.ink_area import exact_box, ink_area_and_box
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats, Kind, Shapes
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.stated import StatedBody

INK_PITCH_MM = 0.02
"""Pitch at which ink areas for the record are taken: within about 0.1 %, in a third of the time of 0.01 mm."""

PADS_AT_MOST = 2_000
"""Pads that the outline and the holes are checked against; more add nothing but time."""

PAD_AT_MOST_MM = 15.0
"""Larger openings (heat sinks, bare planes) are no pads whose middle means anything."""

PADS_AT_LEAST = 3
"""Fewer pads do not tell where the board is."""

BESIDE_PADS_MM = 5.0
"""How far the board reaches beyond its pads, where its outline is not known."""

Box = tuple[float, float, float, float]
Layers = dict[Side, Layer | None]


@dataclass(frozen=True, slots=True, eq=False)
class FileReading:
    """One file of the set: what it is, and what came of reading it."""

    name: str
    sha256: str
    """Empty where the bytes could not be had."""
    role: str
    side: Side | None
    known_by: str
    artwork: Artwork | None
    """None where the file is no artwork, was not needed, or could not be read."""
    ink_mm2: float | None
    """Area of the dark image as drawn in the file, after clear polarity."""
    box_mm: Box | None
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True, eq=False)
class BuiltBoard:
    """A board, and the files that it was built from."""

    board: Board
    files: tuple[FileReading, ...]
    """In order of name."""


def build_board(
    fab_set: FabSet, with_copper: bool = False, bodies: Sequence[StatedBody] = (), copper_over_mm: float = math.inf
) -> BuiltBoard:
    """The board of a fab set; `with_copper` also reads copper and paste of the outer sides, which takes longer.

    So it does where the job file tells of copper thicker than `copper_over_mm`. `bodies` are those that the limits
    file states.

    Whatever cannot be had is None, a remark, and, where no true release is possible without it, a reason to hold.
    """
    found, jobs = recognise(fab_set.files)
    readings = Readings({one.name: one for one in found}, remarks=list(fab_set.remarks))
    readings.remarks += [remark for one in found for remark in one.remarks]
    readings.remarks += [remark for job in jobs for remark in job.remarks]
    legends = _layers(readings, Role.LEGEND)
    masks = _layers(readings, Role.MASK)
    appearance = _appearance(jobs)
    with_copper = with_copper or (appearance.copper_mm is not None and appearance.copper_mm > copper_over_mm)
    copper = _layers(readings, Role.COPPER) if with_copper else dict.fromkeys(OUTER_SIDES)
    paste = _layers(readings, Role.PASTE) if with_copper else dict.fromkeys(OUTER_SIDES)
    pads = _pads(readings, masks)
    outline, holes, drilled = _outline_and_holes(readings, pads)
    leads = component_holes(holes)
    openings = {side: _openings(readings, masks[side], side, outline, leads) for side in OUTER_SIDES}
    legends = {side: _as_ink(readings, legends[side], outline) for side in OUTER_SIDES}
    _judge(readings, jobs, legends, openings, outline)
    _judge_reach(readings, (legends, openings), drilled, outline, pads)
    readings.remarks += inconsistent(found, jobs, outline)
    shifts = shifted(openings, holes)
    readings.remarks += [*shifts, *undrilled_pads(openings, holes), *empty_masks(openings)]
    readings.holding += [*off_the_holes(shifts), *closed_leads(openings, holes), *without_drills(openings, holes)]
    readings.holding += outline_of_another_size(jobs, outline)
    tell_unknown(readings, legends, outline, pads, leads)
    doubt_legends(readings, pads, leads)
    if outline is None:
        readings.remarks.append(
            Remark("", None, "No board outline was found; what lies past the edge cannot be told.")
        )
    if holes is None:
        readings.remarks.append(Remark("", None, "No drill file was found; what lies across a hole cannot be told."))
    components = components_of(readings, Surroundings(openings, legends, leads, outline), bodies)
    top, bottom = (BoardSide(side, legends[side], openings[side], copper[side], paste[side]) for side in OUTER_SIDES)
    board = Board(
        outline=outline,
        holes=holes,
        top=top,
        bottom=bottom,
        appearance=appearance,
        remarks=tuple(dict.fromkeys(readings.remarks)),
        holding=tuple(dict.fromkeys(readings.holding)),
        components=components,
        project=project_of(found, jobs),
    )
    return BuiltBoard(board, tuple(_file_reading(readings, name, with_copper) for name in readings.found))


def _judge(
    readings: Readings, jobs: Sequence[JobFile], legends: Layers, openings: Layers, outline: Outline | None
) -> None:
    """Everything that is missing, unread or out of place becomes a remark, or a reason to hold."""
    found = tuple(readings.found.values())
    for remarks, reasons in (
        missing(found, legends, openings),
        missing_from_job(found, jobs),
        sideless(found),
        cut_short(found, readings.artworks),
    ):
        readings.remarks += remarks
        readings.holding += reasons
    readings.holding += unsound(found, readings.artworks)
    called = {f"{side} legend": legends[side] for side in OUTER_SIDES}
    called |= {f"{side} solder mask": openings[side] for side in OUTER_SIDES}
    readings.holding += misplaced(called, outline)


def _layers(readings: Readings, role: Role) -> Layers:
    return {side: _layer(readings, role, side) for side in OUTER_SIDES}


def _layer(readings: Readings, role: Role, side: Side) -> Layer | None:
    """All files of a role on a side as one layer; copies count once, two states of a layer give a reason to hold."""
    artworks = readings.read_all(_without_copies(readings, readings.of_role(role, side)))
    if not artworks:
        return None
    kept, left_out = without_revisions(artworks)
    for other in left_out:
        if other.same:
            readings.remarks.append(Remark(other.name, None, f"This draws the same as {other.kept}; it was ignored."))
            continue
        told = (
            f"This is another state of {other.kept}; the latter was checked. Take the file that is not to be made "
            "out of the set."
        )
        readings.remarks.append(Remark(other.name, None, told))
        readings.holding.append(
            f"{other.name} and {other.kept} both claim to be the {side} {role} and differ; it is not known which "
            "will be made."
        )
    if len(kept) > 1:
        names = " and ".join(artwork.name for artwork in kept)
        readings.remarks.append(Remark("", None, f"{names} make up the {side} {role} together."))
    layer, remarks = merge(kept)
    readings.remarks += remarks
    return layer


def _without_copies(readings: Readings, claiming: Sequence[Recognised]) -> list[Recognised]:
    """Files with the same bytes count once."""
    first: dict[str, Recognised] = {}
    for one in claiming:
        known = first.setdefault(one.file.sha256, one)
        if known is not one:
            readings.remarks.append(Remark(one.name, None, f"This is a copy of {known.name}; it was ignored."))
    return list(first.values())


def _pads(readings: Readings, masks: Layers) -> Floats:
    """Middles of pads, (k, 2): from the masks, else from the copper of the outer sides."""
    middles = [_middles(layer.shapes) for layer in masks.values() if layer is not None]
    if not any(map(len, middles)):
        sources = [one for side in OUTER_SIDES for one in readings.of_role(Role.COPPER, side)]
        middles = [_middles(artwork.shapes, flashes_only=True) for artwork in readings.read_all(sources)]
    if not any(map(len, middles)):
        return np.zeros((0, 2))
    # As complex numbers, which sort by x, then by y, and much faster than rows do.
    at = np.sort(np.concatenate(middles).round(4) @ np.array([1, 1j]))
    at = at[np.diff(at, prepend=np.nan) != 0]
    pads = np.column_stack((at.real, at.imag))
    return pads[:: -(-len(pads) // PADS_AT_MOST)]


def _middles(shapes: Shapes, flashes_only: bool = False) -> Floats:
    boxes = shapes.boxes()
    wanted = np.isfinite(boxes).all(axis=1)
    if flashes_only:
        wanted &= shapes.kind == Kind.FLASH
    boxes = boxes[wanted]
    small = np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]) < PAD_AT_MOST_MM
    return (boxes[small, :2] + boxes[small, 2:]) / 2


def _judge_reach(
    readings: Readings, layers: tuple[Layers, Layers], drilled: list[Drawn], outline: Outline | None, pads: Floats
) -> None:
    """What lies far beside the board becomes a remark, and a reason to hold where that cannot be meant."""
    legends, openings = layers
    drawings = [Drawn.by(layer, "legend") for layer in legends.values() if layer is not None]
    drawings += [Drawn.by(layer, "solder mask") for layer in openings.values() if layer is not None]
    profiles = [readings.artworks.get(one.name) for one in readings.of_role(Role.OUTLINE)]
    drawings += [Drawn(one.name, "board outline", one.shapes) for one in profiles if one is not None]
    remarks, reasons = straying([*drawings, *drilled], box_of_board(outline, pads))
    readings.remarks += remarks
    readings.holding += reasons or no_board(outline, pads)


def _outline_and_holes(readings: Readings, pads: Floats) -> tuple[Outline | None, Holes | None, list[Drawn]]:
    """The outline, then the holes checked against it; a routed path or a frame stands in for a missing outline.

    Last all that the drill files draw, each by itself.
    """
    ranks = list(KnownBy)
    profiles = sorted(readings.of_role(Role.OUTLINE), key=lambda one: (ranks.index(one.known_by), one.name))
    outline, remarks, used = declared_edge(profiles, readings.read, pads)
    ground = Ground(pads, outline.area if outline is not None else _around(pads))
    files = read_holes(readings, ground)
    if outline is None:
        elsewhere = routed_edge(files.routed, pads) or framed_edge(_other_layers(readings), readings.read, pads)
        if elsewhere is not None:
            outline, more = elsewhere
            remarks += more
    for one in profiles:
        if one.name not in used and one.detail in ("mechanical", "milling"):
            readings.demote(one.name, "mechanical")
    holes, outline, more = finish(files, outline, pads)
    readings.remarks += [*remarks, *more]
    drilled = [
        Drawn(name, "drill file", shapes) for name, (shapes, _) in zip(files.names, files.parts, strict=True)
    ]
    return outline, holes, drilled


def _other_layers(readings: Readings) -> list[Recognised]:
    """Layers made for something else on which the edge may be drawn: those read already first, copper last."""
    order = {role: rank for rank, role in enumerate((Role.LEGEND, Role.MASK, Role.ASSEMBLY, Role.OTHER, Role.COPPER))}
    layers = [
        one
        for one in readings.found.values()
        if one.form is Form.GERBER and one.role in order and (one.role is not Role.COPPER or one.side in OUTER_SIDES)
    ]
    return sorted(layers, key=lambda one: (order[one.role], one.name))


def _around(pads: Floats) -> MultiPolygon | None:
    """Where the board must be, as far as its pads tell."""
    if len(pads) < PADS_AT_LEAST:
        return None
    return MultiPolygon([box(*pads.min(axis=0), *pads.max(axis=0)).buffer(BESIDE_PADS_MM)])


def _openings(
    readings: Readings, mask: Layer | None, side: Side, outline: Outline | None, leads: Floats
) -> Layer | None:
    """The mask layer turned so that dark is open."""
    if mask is None:
        return None
    area = outline.area if outline is not None else box_area(mask.shapes)
    said = {readings.found[name].polarity for name in mask.files} - {None}
    if drawn_as_mask(mask.shapes, area, leads):
        readings.remarks.append(
            Remark(
                mask.files[0],
                None,
                f"The {side} solder mask is drawn as the mask itself; what it leaves "
                "clear was taken for the openings.",
            )
        )
        return replace(mask, shapes=inverted(mask.shapes, area))
    if said == {"Positive"} and len(mask.shapes):
        readings.remarks.append(
            Remark(
                mask.files[0],
                None,
                "The file says that dark is mask, but it draws pads; they were "
                "taken for openings, as nearly all files mean it.",
            )
        )
    return mask


def _as_ink(readings: Readings, legend: Layer | None, outline: Outline | None) -> Layer | None:
    """The legend turned so that dark is ink, where a file says that it is drawn the other way round and looks so."""
    if legend is None or {readings.found[name].polarity for name in legend.files} != {"Negative"}:
        return legend
    area = outline.area if outline is not None else box_area(legend.shapes)
    if area.is_empty or covered_share(legend.shapes, area) < 0.5:
        readings.remarks.append(
            Remark(
                legend.files[0],
                None,
                "The file says that it is drawn negative, but it draws thin lines; they were taken for ink.",
            )
        )
        return legend
    readings.remarks.append(
        Remark(legend.files[0], None, "The file is drawn negative; what it leaves clear was taken for ink.")
    )
    return replace(legend, shapes=inverted(legend.shapes, area))


def _appearance(jobs: Iterable[JobFile]) -> Appearance:
    mask = legend = finish_name = copper_mm = None
    for job in jobs:
        mask, legend, finish_name = mask or job.mask_colour, legend or job.legend_colour, finish_name or job.finish
        copper_mm = job.copper_mm if copper_mm is None else copper_mm
    return Appearance(mask, legend, finish_name, copper_mm)


def _file_reading(readings: Readings, name: str, with_copper: bool) -> FileReading:
    one = readings.found[name]
    artwork = readings.artworks.get(name)
    wanted = one.role in (Role.LEGEND, Role.MASK) or (with_copper and one.role in (Role.PASTE, Role.COPPER))
    ink, extent = None, None
    if artwork is not None and wanted:
        ink, extent = ink_area_and_box(artwork.shapes, INK_PITCH_MM)
    elif artwork is not None:
        extent = exact_box(artwork.shapes)
    remarks = tuple(remark for remark in readings.remarks if remark.file == name)
    return FileReading(
        name, one.file.sha256, str(one.role), one.side, str(one.known_by), artwork, ink, extent, remarks
    )
