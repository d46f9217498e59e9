"""All drill files of a set, in either form, as the holes of the board."""

from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from labelcheck.board.board import Holes, Outline
from labelcheck.board.contours import polygons_of
from labelcheck.board.drilling import (
    Ground,
    along_edge,
    fit_to_board,
    gather,
    holes_of_artwork,
    looks_like_drawing,
    plated_of_artwork,
    routed_cut_outs,
)
from labelcheck.board.edges import Source
from labelcheck.board.outlines import share_inside
from labelcheck.board.readings import Readings, remark_of
from labelcheck.board.recognising import Form, Recognised
from labelcheck.board.roles import Role
from labelcheck.formats.drill import DrillFile
from labelcheck.formats.drill_numbers import NumberFormat
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats, Kind, Shapes, concatenate

Plated = tuple[bool | None, ...]

LEAD_HOLE_MM = 0.6
"""Holes from this diameter on take leads or screws; smaller ones are mostly vias, which the mask may cover."""


@dataclass(slots=True)
class HoleFiles:
    """What the drill files of a set hold; mutable while they are read."""

    names: list[str] = field(default_factory=list)
    parts: list[tuple[Shapes, Plated]] = field(default_factory=list)

    @property
    def routed(self) -> list[Source]:
        """Routed paths of each file."""
        return [
            Source(name, shapes.take(shapes.kind == Kind.STROKE))
            for name, (shapes, _) in zip(self.names, self.parts, strict=True)
        ]

    def add(self, name: str, shapes: Shapes, plated: Plated) -> None:
        self.names.append(name)
        self.parts.append((shapes, plated))


def read_holes(readings: Readings, ground: Ground) -> HoleFiles:
    """Read every drill file; what is guessed, misfits or cannot be read goes to the remarks and reasons to hold."""
    files = HoleFiles()
    taken: list[NumberFormat] = []
    programs = [one for one in readings.found.values() if one.role is Role.DRILL and one.form is Form.DRILL]
    # The file with most holes decides best how its neighbours are to be read.
    for one in sorted(programs, key=lambda one: (-len(one.file.data), one.name)):
        try:
            drilled = fit_to_board(one.name, one.file.data, ground, taken)
        except UnreadableFile as error:
            readings.mark_unread(one.name, remark_of(one.name, error))
            continue
        taken.append(drilled.file.format)
        readings.remarks += [*drilled.file.remarks, *drilled.remarks]
        readings.holding += _reasons(drilled.file, drilled.misfit)
        files.add(one.name, drilled.file.shapes, _plated(one, drilled.file))
    for one in readings.of_role(Role.DRILL):
        _add_artwork(readings, one, files)
    return files


def _add_artwork(readings: Readings, one: Recognised, files: HoleFiles) -> None:
    artwork = readings.read(one)
    if artwork is None:
        return
    if looks_like_drawing(artwork):
        readings.demote(one.name, "drill drawing")
        readings.remarks.append(
            Remark(
                one.name, None, "This draws the holes with symbols or lettering; it was not taken for a drill file."
            )
        )
        return
    default = {"plated": True, "not plated": False}.get(one.detail)
    files.add(one.name, holes_of_artwork(artwork), plated_of_artwork(artwork, default))


def _reasons(file: DrillFile, misfit: bool) -> list[str]:
    reasons = []
    if misfit:
        reasons.append(f"The holes of {file.name} do not lie on the board.")
    if file.left_out:
        reasons.append(f"{file.left_out} holes of {file.name} could not be made out.")
    if not file.whole:
        reasons.append(f"{file.name} has no end; it may be cut short.")
    return reasons


def _plated(one: Recognised, file: DrillFile) -> Plated:
    default = {"plated": True, "not plated": False}.get(one.detail)
    return tuple(told if told is not None else default for told in file.plated)


def finish(
    files: HoleFiles, outline: Outline | None, pads: Floats
) -> tuple[Holes | None, Outline | None, list[Remark]]:
    """The holes without what mills the board's own edge, and the outline without what routed paths cut out of it."""
    if not files.names:
        return None, outline, []
    if outline is None:
        return gather(files.parts), None, []
    kept: list[tuple[Shapes, Plated]] = []
    remarks: list[Remark] = []
    for name, (shapes, plated) in zip(files.names, files.parts, strict=True):
        milled = along_edge(shapes, outline.area)
        if milled.any():
            remarks.append(
                Remark(name, None, "A path that is routed along the board's edge was not taken for a slot.")
            )
        kept.append((shapes.take(~milled), tuple(told for told, out in zip(plated, milled, strict=True) if not out)))
    cuts = [
        cut
        for cut in routed_cut_outs(concatenate([shapes for shapes, _ in kept]))
        if not share_inside(cut.buffer(-0.3), pads) and outline.area.contains(cut)
    ]
    if cuts:
        left = MultiPolygon(polygons_of(shapely.difference(outline.area, shapely.union_all(cuts))))
        outline = Outline(left, outline.known_by)
    return gather(kept), outline, remarks


def component_holes(holes: Holes | None) -> Floats:
    """Middles of holes wide enough for a lead, which the mask leaves open; (k, 2)."""
    if holes is None or len(holes.shapes) == 0:
        return np.zeros((0, 2))
    boxes = holes.shapes.boxes()
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2
    wide = np.minimum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]) >= LEAD_HOLE_MM
    return middles[wide]
