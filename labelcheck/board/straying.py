"""Objects far beside the board: drawings around it, and coordinates that have gone wrong."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from labelcheck.board.board import Layer, Outline
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Flags, Floats, Shapes

Box = tuple[float, float, float, float]

FAR_OUT_MM = 50.0
"""Farther beside the board nothing belongs to it: drawing frames and title blocks lie nearer as a rule."""

BEYOND_MM = 1500.0
"""No drawing is so large: A0, the largest sheet of ISO 216, measures 1456 mm from corner to corner, and panels less.

What lies nearer may be a sheet around the board, or a thing forgotten beside it: it is not printed, and the board is
whole without it. What reaches farther was not put there by anybody: a coordinate lost or gained a digit, and what it
should draw is missing at the right place, be it the stroke of a character or the opening that cuts one. Where that is
nobody can tell, so the board is not released.
"""


MOST = 0.5
"""Where more than this share of a layer lies so far out its origin is another one, and that is what is told."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """What one layer or file draws."""

    file: str
    called: str
    """What it is, for a sentence: `legend`."""
    shapes: Shapes
    has_lines: bool = True
    """Whether the lines of the shapes are those of that file alone."""

    @staticmethod
    def by(layer: Layer, called: str) -> "Drawn":
        """A layer, which may be made of several files."""
        return Drawn(layer.files[0], called, layer.shapes, len(layer.files) == 1)

    def line_of(self, chosen: Flags) -> int | None:
        """Line of the first of the chosen objects."""
        return int(self.shapes.line[int(np.flatnonzero(chosen)[0])]) if self.has_lines else None


def straying(drawings: Iterable[Drawn], board_mm: Box | None) -> tuple[list[Remark], list[str]]:
    """Remarks on what lies far beside the board, and reasons to hold where that cannot be meant.

    `board_mm` is the box of the board, None where it is not known: then nothing is far from it.
    """
    remarks: list[Remark] = []
    reasons: list[str] = []
    for one in drawings:
        if board_mm is None or len(one.shapes) == 0:
            continue
        boxes = one.shapes.boxes()
        reach = _reach(boxes, board_mm)
        lost, out = reach > BEYOND_MM, far_beside(boxes, board_mm)
        if np.mean(lost) > MOST:
            lost = np.zeros_like(lost)
        out &= ~lost
        if lost.any():
            told = f"{_those(lost, 'reaches', 'reach')} {reach[lost].max() / 1000:.1f} m from the board"
            remarks.append(
                Remark(
                    one.file,
                    one.line_of(lost),
                    f"{told}; no board, panel or drawing sheet is so large, so a coordinate or a size is wrong here. "
                    "Take it out in the layout, or export the file again.",
                )
            )
            reasons.append(
                f"{one.file} ({one.called}) has a coordinate {reach[lost].max() / 1000:.1f} m from the board; what "
                "should be drawn at the right place is missing there. The remarks tell where."
            )
        if out.any():
            remarks.append(
                Remark(
                    one.file,
                    one.line_of(out),
                    f"{_those(out, 'lies', 'lie')} more than {FAR_OUT_MM:.0f} mm beside the board, up to "
                    f"{reach[out].max():.0f} mm, and will not be on it. Where that is not meant, check unit and "
                    "origin of this file.",
                )
            )
    return remarks, reasons


def far_beside(boxes: Floats, board_mm: Box) -> Flags:
    """Which boxes (n, 4) lie wholly so far beside the board that they cannot belong to it."""
    x0, y0, x1, y1 = board_mm
    far: Flags = (boxes[:, 0] > x1 + FAR_OUT_MM) | (boxes[:, 2] < x0 - FAR_OUT_MM)
    far |= (boxes[:, 1] > y1 + FAR_OUT_MM) | (boxes[:, 3] < y0 - FAR_OUT_MM)
    return far & np.isfinite(boxes).all(axis=1)


def box_of_board(outline: Outline | None, pads: Floats) -> Box | None:
    """The box of the outline, or of the pads (k, 2) where the outline is no board; None where neither is known."""
    if outline is not None and not no_board(outline, pads):
        x0, y0, x1, y1 = outline.area.bounds
        return (x0, y0, x1, y1)
    if len(pads) < 2:
        return None
    (left, low), (right, high) = pads.min(axis=0).tolist(), pads.max(axis=0).tolist()
    return None if max(right - left, high - low) > BEYOND_MM else (left, low, right, high)


def no_board(outline: Outline | None, pads: Floats) -> list[str]:
    """A reason to hold where the outline is larger than any board, and the pads (k, 2) do not fill it.

    A strip of lamps may be that long.
    """
    if outline is None:
        return []
    x0, y0, x1, y1 = outline.area.bounds
    long = max(x1 - x0, y1 - y0)
    if long <= BEYOND_MM or (len(pads) and float(np.ptp(pads, axis=0).max()) > long / 2):
        return []
    return [
        f"The outline measures {x1 - x0:.0f} x {y1 - y0:.0f} mm, which is no board: a coordinate, or the unit, is "
        "wrong. Export the outline again."
    ]


def _reach(boxes: Floats, board_mm: Box) -> Floats:
    """How far each box (n, 4) reaches from the board, (n,); 0 for what has no extent."""
    x0, y0, x1, y1 = board_mm
    reach = np.max((x0 - boxes[:, 0], y0 - boxes[:, 1], boxes[:, 2] - x1, boxes[:, 3] - y1), axis=0)
    return np.where(np.isfinite(boxes).all(axis=1), reach, 0.0)


def _those(chosen: Flags, verb: str, plural: str) -> str:
    count = int(np.count_nonzero(chosen))
    return f"An object here {verb}" if count == 1 else f"{count} objects, the first of them here, {plural}"
