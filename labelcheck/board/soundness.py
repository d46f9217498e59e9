"""What is missing, unread or out of place in a set, and whether a true release is possible at all."""

import re
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from labelcheck.board.board import Layer, Outline
from labelcheck.board.recognising import Form, Recognised
from labelcheck.board.roles import Role, meaning_of_function
from labelcheck.board.straying import far_beside
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.job_file import JobFile
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import OUTER_SIDES, Side

END_WITHIN = 600
"""Bytes at the end of a file in which its end-of-file command stands; some programs write comments behind it."""
_END = re.compile(rb"M0?[02]\s*\*", re.IGNORECASE)

_NEEDED = frozenset({Role.LEGEND, Role.MASK, Role.OUTLINE, Role.DRILL, Role.COPPER})

_CALLED = {
    Role.LEGEND: "legend",
    Role.MASK: "solder mask",
    Role.OUTLINE: "board outline",
    Role.DRILL: "drill file",
    Role.COPPER: "copper",
}


def missing(
    found: Sequence[Recognised], legends: Mapping[Side, Layer | None], openings: Mapping[Side, Layer | None]
) -> tuple[list[Remark], list[str]]:
    """Remarks on layers that the set does not have, and reasons why it cannot be released without them."""
    remarks: list[Remark] = []
    reasons: list[str] = []
    unread = {(one.meant, one.side) for one in found if one.role is Role.UNREAD}
    if all(legend is None for legend in legends.values()):
        if not any(role is Role.LEGEND for role, _ in unread):
            reasons.append("No legend was found, so nothing could be checked. Add the legend layers to the set.")
    elif all(legend is None or len(legend.shapes) == 0 for legend in legends.values()):
        reasons.append("No legend holds any ink, so nothing could be checked. Export the legend layers again.")
    for side in OUTER_SIDES:
        legend = legends[side]
        if legend is None and (Role.LEGEND, side) not in unread:
            remarks.append(Remark("", None, f"There is no legend for the {side} side; it was taken to have none."))
        elif legend is not None and len(legend.shapes) == 0:
            remarks.append(Remark(legend.files[0], None, f"The {side} legend is empty."))
        elif legend is not None and openings[side] is None and (Role.MASK, side) not in unread:
            reasons.append(
                f"The openings of the {side} side are not known, because the set has no solder mask for it; "
                "ink on pads cannot be told."
            )
    return remarks, reasons


def missing_from_job(found: Iterable[Recognised], jobs: Iterable[JobFile]) -> tuple[list[Remark], list[str]]:
    """Files that a job file names and that the set does not hold."""
    listed = tuple(found)
    present = {one.file.base.lower() for one in listed}
    held = {(one.role, one.side) for one in listed}
    remarks: list[Remark] = []
    reasons: list[str] = []
    for job in jobs:
        for entry in job.files:
            base = entry.path.rpartition("/")[2]
            meaning = meaning_of_function(entry.function)
            if base.lower() in present or meaning is None:
                continue
            remarks.append(
                Remark(
                    job.name,
                    None,
                    f"The job file names {base} ({','.join(entry.function)}), which is not in the set.",
                )
            )
            if meaning.role in (Role.LEGEND, Role.MASK) and (meaning.role, meaning.side) not in held:
                called = f"{meaning.side} {_CALLED[meaning.role]}" if meaning.side else _CALLED[meaning.role]
                reasons.append(f"The {called} that the job file names, {base}, is not in the set.")
    return remarks, reasons


def unsound(found: Iterable[Recognised], artworks: Mapping[str, Artwork]) -> list[str]:
    """Reasons to hold because a layer that matters could not be read, or not to its end."""
    reasons = []
    for one in found:
        if one.role is Role.UNREAD and one.meant in _NEEDED:
            side = f"{one.side} " if one.side in (*OUTER_SIDES, Side.INNER) else ""
            reasons.append(f"The {side}{_CALLED[one.meant]} could not be read from {one.name}.")
        elif (
            one.role in _NEEDED and one.form is Form.GERBER and one.name in artworks and not artworks[one.name].whole
        ):
            reasons.append(f"{one.name} ({_CALLED[one.role]}) has no end; it may be cut short.")
        elif one.role in _NEEDED and one.name in artworks and artworks[one.name].passed_over:
            reasons.append(
                f"{one.name} ({_CALLED[one.role]}) was not read whole: something in it was left out or "
                "not understood. The remarks tell where."
            )
    return reasons


def cut_short(
    found: Iterable[Recognised], artworks: Mapping[str, Artwork]
) -> tuple[list[Remark], list[str]]:
    """Artwork that was not read, but whose end shows that it is cut short; copper is a reason to hold."""
    remarks, reasons = [], []
    for one in found:
        if one.form is not Form.GERBER or one.role is Role.UNREAD or one.name in artworks:
            continue
        if not _END.search(one.file.data[-END_WITHIN:]):
            remarks.append(
                Remark(one.name, None, "It does not end with an end-of-file command (M02). Export it again.")
            )
            if one.role is Role.COPPER:
                reasons.append(f"{one.name} is cut short: a set with such a file cannot be ordered.")
    return remarks, reasons


def sideless(found: Iterable[Recognised]) -> tuple[list[Remark], list[str]]:
    """Legends and masks of which nobody says on which side they are."""
    lost = [one for one in found if one.role in (Role.LEGEND, Role.MASK) and one.side not in OUTER_SIDES]
    remarks = [
        Remark(
            one.name,
            None,
            f"It is a {_CALLED[one.role]}, but nothing says of which side. Name the side in the "
            "file name or in its attribute.",
        )
        for one in lost
    ]
    return remarks, [f"{one.name} is a {_CALLED[one.role]} of an unknown side; it was not checked." for one in lost]


def misplaced(layers: Mapping[str, Layer | None], outline: Outline | None) -> list[str]:
    """Reasons to hold because a whole layer lies beside the board."""
    if outline is None:
        return []
    x0, y0, x1, y1 = outline.area.bounds
    reasons = []
    for called, layer in layers.items():
        if layer is None or len(layer.shapes) == 0:
            continue
        boxes = layer.shapes.boxes()
        on = (boxes[:, 0] <= x1) & (boxes[:, 2] >= x0) & (boxes[:, 1] <= y1) & (boxes[:, 3] >= y0)
        if not on.any():
            reasons.append(f"The {called} lies wholly beside the board; its unit or origin differs.")
        elif np.mean(far_beside(boxes, outline.area.bounds)) > 0.5:
            reasons.append(f"Most of the {called} lies far beside the board; its unit, format or origin differs.")
    return reasons
