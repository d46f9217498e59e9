"""The job file of a fab set: board size, the function of each file, colours, finish, thickness.

Two forms of the same JSON occur: `GeneralSpecs` with `FilesAttributes` and `MaterialStackup`, and an older one that
says the same under `Overall`. Whatever is missing, or is not of the type that it should be, is not known.
"""

import json
import math
from dataclasses import dataclass

from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark

FORM_KEYS = frozenset({"GeneralSpecs", "Overall", "FilesAttributes", "MaterialStackup"})
"""At least one of these stands at the top of a job file."""

THINNEST_COPPER_MM, THICKEST_COPPER_MM = 0.004, 1.0
"""Foils of a few micrometres to the thickest of power boards; what lies outside is in another unit."""

BYTES_AT_MOST = 10_000_000
"""A job file lists files and layers; real ones have a few thousand bytes."""


@dataclass(frozen=True, slots=True)
class JobEntry:
    """What the job file says of one file."""

    path: str
    """As written: relative to the job file, `/` between folders."""
    function: tuple[str, ...]
    """As `.FileFunction` splits it: `("Legend", "Top")`."""
    polarity: str | None


@dataclass(frozen=True, slots=True)
class JobFile:
    """A job file; None is not known."""

    name: str
    width_mm: float | None
    """May include the width of the pen that drew the outline."""
    height_mm: float | None
    thickness_mm: float | None
    copper_layers: int | None
    finish: str | None
    mask_colour: str | None
    legend_colour: str | None
    files: tuple[JobEntry, ...]
    remarks: tuple[Remark, ...]
    created: str | None = None
    """When it was written, as it says."""
    project: tuple[str, str, str] | None = None
    """Name, identifier and revision of the project; empty where one of them is not told."""
    copper_mm: float | None = None
    """Thickness of the outer copper, of the thicker side where they differ."""


def looks_like_job_file(data: bytes) -> bool:
    """Whether the bytes are JSON with the keys of a job file."""
    head = data[:4000].lstrip(b"\xef\xbb\xbf \t\r\n")
    return head.startswith(b"{") and any(f'"{key}"'.encode() in data for key in FORM_KEYS)


def read_job_file(name: str, data: bytes) -> JobFile:
    """Read a job file; raises UnreadableFile where it is not JSON or not an object."""
    tree = _parse(name, data)
    general = _object(tree.get("GeneralSpecs")) or _object(tree.get("Overall"))
    size = _object(general.get("Size"))
    remarks: list[Remark] = []
    stackup = [_object(layer) for layer in _list(tree.get("MaterialStackup"))]
    layers = general.get("LayerNumber")
    return JobFile(
        name=name,
        width_mm=_length(size.get("X")),
        height_mm=_length(size.get("Y")),
        thickness_mm=_length(general.get("BoardThickness")),
        copper_layers=layers if isinstance(layers, int) and not isinstance(layers, bool) and layers > 0 else None,
        finish=_word(general.get("Finish")),
        mask_colour=_colour(name, stackup, "SolderMask", remarks),
        legend_colour=_colour(name, stackup, "Legend", remarks),
        files=_entries(_list(tree.get("FilesAttributes"))),
        created=_word(_object(tree.get("Header")).get("CreationDate")),
        project=_project(_object(general.get("ProjectId"))),
        copper_mm=_outer_copper(name, stackup, remarks),
        remarks=tuple(remarks),
    )


def _project(told: dict[str, object]) -> tuple[str, str, str] | None:
    name, identifier, revision = (_word(told.get(key)) or "" for key in ("Name", "GUID", "Revision"))
    return (name, identifier, revision) if name or identifier else None


def _parse(name: str, data: bytes) -> dict[str, object]:
    cure = "Export the job file again, or take it out of the set."
    if len(data) > BYTES_AT_MOST:
        raise UnreadableFile(name, None, f"The job file has more than {BYTES_AT_MOST:,} bytes.", cure)
    if max(data.count(b"["), data.count(b"{")) > 100_000:
        raise UnreadableFile(name, None, "The job file is nested or long beyond anything a board needs.", cure)
    try:
        tree = json.loads(data.decode("utf-8-sig"))
    except json.JSONDecodeError as error:
        raise UnreadableFile(name, error.lineno, f"The job file is not valid JSON ({error.msg}).", cure) from error
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise UnreadableFile(name, None, "The job file is not valid JSON.", cure) from error
    if not isinstance(tree, dict) or not FORM_KEYS & tree.keys():
        raise UnreadableFile(name, None, "The JSON holds nothing of a job file.", cure)
    return tree


def _object(value: object) -> dict[str, object]:
    return value if isinstance(value, dict) else {}


def _list(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _word(value: object) -> str | None:
    if not isinstance(value, str):
        return None
    word = " ".join(value.split())[:100]
    return None if not word or word.lower() in ("none", "unknown", "undefined", "not specified", "user") else word


def _length(value: object) -> float | None:
    if isinstance(value, str):
        try:
            value = float(value.lower().removesuffix("mm"))
        except ValueError:
            return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        length = float(value)
    except OverflowError:
        return None
    return length if math.isfinite(length) and length > 0 else None


def _colour(name: str, stackup: list[dict[str, object]], kind: str, remarks: list[Remark]) -> str | None:
    colours = [
        colour
        for layer in stackup
        if str(layer.get("Type", "")).lower() == kind.lower()
        and (colour := _word(layer.get("Color") or layer.get("Colour"))) is not None
    ]
    different = sorted(set(colours))
    if len(different) > 1:
        words = " and ".join(different)
        remarks.append(
            Remark(name, None, f"The job file names more than one {kind} colour ({words}); {colours[0]} is shown.")
        )
    return colours[0] if colours else None


def _outer_copper(name: str, stackup: list[dict[str, object]], remarks: list[Remark]) -> float | None:
    """The stack goes from top to bottom: its first and its last copper are the outer ones."""
    copper = [layer for layer in stackup if str(layer.get("Type", "")).lower() == "copper"]
    outer = [_length(layer.get("Thickness")) for layer in (*copper[:1], *copper[-1:])]
    told = [thickness for thickness in outer if thickness is not None]
    likely = [thickness for thickness in told if THINNEST_COPPER_MM <= thickness <= THICKEST_COPPER_MM]
    for thickness in sorted(set(told) - set(likely)):
        words = f"The job file names copper {thickness:g} mm thick, which no board has; it was not used."
        remarks.append(Remark(name, None, words))
    return max(likely, default=None)


def _entries(listed: list[object]) -> tuple[JobEntry, ...]:
    entries = []
    for item in map(_object, listed):
        path, function = item.get("Path"), item.get("FileFunction")
        if isinstance(path, str) and isinstance(function, str) and path and function:
            values = tuple(value.strip() for value in function.split(","))
            entries.append(JobEntry(path.replace("\\", "/"), values, _word(item.get("FilePolarity"))))
    return tuple(entries)
