"""Writes a whole fab set: one file a layer and what goes with it, named after one of several habits."""

import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from boards.alphabet import Point
from boards.artwork_writer import FileAttribute, write_artwork
from boards.component_layer import component_layers
from boards.design import Arc, Contour, Design, Drawn, Flash, LayerKind, Line, Region, Side
from boards.dialect import PLAIN, Dialect
from boards.drill_writer import write_drill, write_drill_artwork
from boards.geometry import laminate
from boards.lists_writer import Entry, write_job, write_netlist, write_placement

NAMES: Mapping[str, Mapping[str, str]] = {
    "plain": {
        "component": "{board}-pnp-{side}.gbr",
        "legend": "{board}-legend-{side}.gbr", "mask": "{board}-mask-{side}.gbr",
        "copper": "{board}-copper-{side}.gbr", "paste": "{board}-paste-{side}.gbr",
        "profile": "{board}-profile.gbr", "plated": "{board}-plated.xnc", "bare": "{board}-nonplated.xnc",
        "all": "{board}.xnc", "job": "{board}-job.gbrjob", "netlist": "{board}.ipc",
        "placement": "{board}-placement.csv",
    },
    "extensions": {
        "component": "{board}.{side}-parts.GBR",
        "legend": "{board}.G{T}O", "mask": "{board}.G{T}S", "copper": "{board}.G{T}L", "paste": "{board}.G{T}P",
        "profile": "{board}.GKO", "plated": "{board}-PLATED.TXT", "bare": "{board}-NONPLATED.TXT",
        "all": "{board}.TXT", "job": "{board}.gbrjob", "netlist": "{board}.IPC",
        "placement": "Pick Place for {board}.csv",
    },
    "words": {
        "component": "{board}.{side}parts.gbr",
        "legend": "{board}.{side}silk.gbr", "mask": "{board}.{side}mask.gbr", "copper": "{board}.{side}.gbr",
        "paste": "{board}.{side}paste.gbr", "profile": "{board}.outline.gbr", "plated": "{board}.plated-drill.cnc",
        "bare": "{board}.unplated-drill.cnc", "all": "{board}.drill.cnc", "job": "{board}.gbrjob",
        "netlist": "{board}.d356", "placement": "{board}.positions.csv",
    },
    "letters": {
        "component": "{board}-components_{side}.gbr",
        "legend": "{board}-{F}_Silkscreen.gbr", "mask": "{board}-{F}_Mask.gbr", "copper": "{board}-{F}_Cu.gbr",
        "paste": "{board}-{F}_Paste.gbr", "profile": "{board}-Edge_Cuts.gbr", "plated": "{board}-PTH.drl",
        "bare": "{board}-NPTH.drl", "all": "{board}.drl", "job": "{board}-job.gbrjob", "netlist": "{board}.d356",
        "placement": "{board}-pos.csv",
    },
}
"""File names by habit."""

Corner = tuple[float, float, float]
"""x, y and radius of a contour's corner."""

FUNCTIONS: Mapping[tuple[LayerKind, Side], tuple[str, ...]] = {
    ("legend", "top"): ("Legend", "Top"), ("legend", "bottom"): ("Legend", "Bot"),
    ("mask", "top"): ("Soldermask", "Top"), ("mask", "bottom"): ("Soldermask", "Bot"),
    ("copper", "top"): ("Copper", "L1", "Top"), ("copper", "bottom"): ("Copper", "L2", "Bot"),
    ("paste", "top"): ("Paste", "Top"), ("paste", "bottom"): ("Paste", "Bot"),
}
JOB_WORDS = {"Soldermask": "SolderMask", "Paste": "SolderPaste"}
"""The job file spells two functions otherwise than the layers do."""
PROFILE_PEN_MM = 0.1
COVER_MARGIN_MM = 1.0
"""How far a mask that is drawn as cover reaches past the outline."""
PEN_FUNCTIONS = {"copper": "Conductor", "legend": "Material", "mask": "Material", "paste": "Material"}


def write_set(folder: Path, design: Design, dialect: Dialect = PLAIN, colours: tuple[str, str] = ("Green", "White"),
              finish: str = "ENIG") -> dict[str, Path]:
    """Write all files of a board into a folder, made where missing; returns file by role, as `legend-top`."""
    folder.mkdir(parents=True, exist_ok=True)
    files = set_files(design, dialect, colours, finish)
    written = {}
    for role, (name, content) in files.items():
        written[role] = folder / name
        written[role].write_bytes(content)
    return written


def set_files(design: Design, dialect: Dialect, colours: tuple[str, str],
              finish: str) -> dict[str, tuple[str, bytes]]:
    """Name and content of every file, by role."""
    files: dict[str, tuple[str, bytes]] = {}
    entries: list[Entry] = []
    for (kind, side), function in FUNCTIONS.items():
        objects = design.layers.get((kind, side), [])
        if not objects:
            continue
        polarity = "Negative" if kind == "mask" and dialect.mask_drawn == "openings" else "Positive"
        if kind == "mask" and dialect.mask_drawn == "cover":
            objects = _as_cover(design, objects)
        name = file_name(design, dialect, kind, side)
        attributes = _attributes(design, function, polarity)
        comment = f"{design.title} rev {design.revision}, {kind} {side}"
        content = write_artwork(objects, attributes, dialect, comment, PEN_FUNCTIONS[kind])
        files[f"{kind}-{side}"] = name, content
        entries.append((name, ",".join([JOB_WORDS.get(function[0], function[0]), *function[1:]]), polarity))
    if dialect.components and dialect.attributes != "none":  # such a layer lives by its attributes
        for side, objects in component_layers(design).items():
            name = file_name(design, dialect, "component", side)
            function = ("Component", "L1" if side == "top" else "L2", "Top" if side == "top" else "Bot")
            comment = f"{design.title} rev {design.revision}, components {side}"
            content = write_artwork(objects, _attributes(design, function, "Positive"), dialect, comment)
            files[f"component-{side}"] = name, content
            entries.append((name, ",".join(function), "Positive"))
    profile = file_name(design, dialect, "profile")
    objects = [drawn for contour in design.outline for drawn in contour_strokes(contour, PROFILE_PEN_MM)]
    attributes = _attributes(design, ("Profile", "NP"), "Positive")
    files["outline"] = profile, write_artwork(objects, attributes, dialect, f"{design.title}, profile", "Profile")
    entries.append((profile, "Profile,NP", "Positive"))
    files |= _drills(design, dialect)
    if dialect.job_file:
        x0, y0, x1, y1 = laminate(design).bounds
        job = write_job(design, (x1 - x0, y1 - y0), entries, colours, finish)
        files["job"] = file_name(design, dialect, "job"), job
    if dialect.netlist and design.pads:
        files["netlist"] = file_name(design, dialect, "netlist"), write_netlist(design.pads, dialect.unit)
    if dialect.placement and design.parts:
        files["placement"] = file_name(design, dialect, "placement"), write_placement(design.parts)
    return files


def file_name(design: Design, dialect: Dialect, what: str, side: Side = "top") -> str:
    """The name of one file after the dialect's habit."""
    letters = {"T": "T", "F": "F"} if side == "top" else {"T": "B", "F": "B"}
    return NAMES[dialect.names][what].format(board=design.name, side=side, **letters)


def _attributes(design: Design, function: tuple[str, ...], polarity: str) -> list[FileAttribute]:
    return [
        (".GenerationSoftware", "Sheepcote Halt", "boards", "1"),
        (".ProjectId", design.name, "5b0a4d10-0000-4000-8000-000000000001", design.revision),
        (".SameCoordinates", "Original"),
        (".FileFunction", *function),
        (".FilePolarity", polarity),
    ]


def _drills(design: Design, dialect: Dialect) -> dict[str, tuple[str, bytes]]:
    """Drill files by role; a set without unplated holes has no such file."""
    plated = [hole for hole in design.holes if hole.plated]
    bare = [hole for hole in design.holes if not hole.plated]
    if dialect.drill_files == "one":
        return {"drill-all": (file_name(design, dialect, "all"), write_drill(design.holes, dialect, None))}
    files = {}
    for what, holes in (("plated", plated), ("bare", bare)):
        if not holes:
            continue
        name = file_name(design, dialect, what)
        if dialect.drill_files == "gerber":
            content = write_drill_artwork(holes, dialect, what == "plated")
            name = name.rsplit(".", 1)[0] + "-drl.gbr"
        else:
            content = write_drill(holes, dialect, what == "plated")
        files[f"drill-{what}"] = name, content
    return files


def _as_cover(design: Design, openings: list[Drawn]) -> list[Drawn]:
    """The mask itself: a dark area over the whole board with the openings drawn clear."""
    x0, y0, x1, y1 = laminate(design).buffer(COVER_MARGIN_MM).bounds
    cover: list[Drawn] = [Region(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))]
    for drawn in openings:
        if not isinstance(drawn, Flash):
            raise ValueError("a mask drawn as cover takes flashed openings only")
        cover.append(replace(drawn, dark=False))
    return cover


def contour_strokes(contour: Contour, pen_mm: float) -> list[Drawn]:
    """The closed contour as straight lines and quarter arcs, end to end."""
    ends: list[tuple[Point, Point]] = []
    drawn: list[Drawn] = []
    corners = contour.corners
    for index, corner in enumerate(corners):
        into, out, arc = _corner(corners[index - 1], corner, corners[(index + 1) % len(corners)], pen_mm)
        ends.append((into, out))
        if arc is not None:
            drawn.append(arc)
    lines: list[Drawn] = [
        Line((out, ends[(index + 1) % len(ends)][0]), pen_mm) for index, (_, out) in enumerate(ends)
    ]
    return [line for line in lines if isinstance(line, Line) and math.dist(*line.points) > 1e-6] + drawn


def _corner(before: Corner, corner: Corner, after: Corner, pen_mm: float) -> tuple[Point, Point, Arc | None]:
    """Where a right-angled corner's rounding starts and ends, and its arc; both the corner itself where sharp."""
    x, y, radius = corner
    if radius == 0:
        return (x, y), (x, y), None
    toward = [((p[0] - x) / math.dist(p[:2], (x, y)), (p[1] - y) / math.dist(p[:2], (x, y))) for p in (before, after)]
    (ax, ay), (bx, by) = toward
    if abs(ax * bx + ay * by) > 1e-9:
        raise ValueError("only right-angled corners can be rounded")
    into, out = (x + ax * radius, y + ay * radius), (x + bx * radius, y + by * radius)
    centre = (x + (ax + bx) * radius, y + (ay + by) * radius)
    angles = [math.degrees(math.atan2(p[1] - centre[1], p[0] - centre[0])) for p in (into, out)]
    start = angles[0] if (angles[1] - angles[0]) % 360 < 180 else angles[1]
    return into, out, Arc(*centre, radius, start, 90.0, pen_mm)
