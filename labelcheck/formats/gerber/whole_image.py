"""Deprecated commands that act on the whole image: image rotation and offset, negative polarity, knock-out."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.blocks import Sheet
from labelcheck.formats.gerber.placing import Placement, copies, placed
from labelcheck.formats.gerber.program import KnockOut, Program
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.formats.gerber.state import rotation_matrix
from labelcheck.trade.shapes import Shapes, concatenate, polygon

Integers = NDArray[np.int64]


def finish_image(shapes: Shapes, at: Integers, program: Program, sheet: Sheet, remarks: RemarkBook) -> Shapes:
    """Apply KO, IP, IR and IO, in this order; `at` is the byte offset that each object stands for."""
    if program.knockouts:
        shapes = _knocked_out(shapes, at, program, sheet)
    if program.negative_at is not None and len(shapes):
        shapes = _negative(shapes, sheet.line(program.negative_at), remarks)
    if program.rotation_degrees != 0 or program.offset_mm != (0.0, 0.0):
        (a, b), (c, d) = rotation_matrix(program.rotation_degrees).tolist()
        dx, dy = program.offset_mm
        shapes = placed(shapes, Placement(*(np.full(len(shapes), value) for value in (a, b, c, d, dx, dy))))
    return shapes


def _rectangle(x0: float, y0: float, x1: float, y1: float, dark: bool, line: int) -> Shapes:
    ring = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    rectangle = polygon([ring], dark)
    return replace(rectangle, line=np.array([line]), attributes=np.zeros(1, dtype=np.int64))


def _extent(shapes: Shapes) -> tuple[float, float, float, float] | None:
    boxes = shapes.boxes()
    boxes = boxes[np.isfinite(boxes).all(axis=1)]
    if len(boxes) == 0:
        return None
    x0, y0 = boxes[:, :2].min(axis=0).tolist()
    x1, y1 = boxes[:, 2:].max(axis=0).tolist()
    return x0, y0, x1, y1


def _negative(shapes: Shapes, line: int, remarks: RemarkBook) -> Shapes:
    """Everything dark but what was drawn (deprecated IPNEG): a dark rectangle of the image's extents below."""
    extent = _extent(shapes)
    if extent is None:
        return shapes
    message = "The image is declared negative (IPNEG); it was taken as dark all over its extents but where it draws."
    remarks.note("negative", line, message)
    return concatenate([_rectangle(*extent, True, line), replace(shapes, dark=~shapes.dark)])


def _knocked_out(shapes: Shapes, at: Integers, program: Program, sheet: Sheet) -> Shapes:
    """Lay each knock-out rectangle under the objects that follow it (deprecated KO)."""
    parts, places = [shapes], [at]
    starts = np.array(sorted(program.layer_starts))
    for knockout in program.knockouts:
        box = knockout.box_mm
        rectangle = None
        if box is not None:
            x, y, width, height = box
            rectangle = (x, y, x + width, y + height)
        else:
            rectangle = _around(shapes, at, knockout, starts)
        if rectangle is not None:
            parts.append(_rectangle(*rectangle, knockout.dark, sheet.line(knockout.at)))
            places.append(np.array([knockout.at]))
    place = np.concatenate(places)
    return copies(concatenate(parts), np.argsort(place, kind="stable"))


def _around(
    shapes: Shapes, at: Integers, knockout: KnockOut, starts: Integers
) -> tuple[float, float, float, float] | None:
    """The extents of the layer that a knock-out begins, with its margin."""
    later = starts[starts > knockout.at]
    end = later[0] if len(later) else np.iinfo(np.int64).max
    extent = _extent(shapes.take((at > knockout.at) & (at < end)))
    if extent is None:
        return None
    margin = knockout.margin_mm
    x0, y0, x1, y1 = extent
    return x0 - margin, y0 - margin, x1 + margin, y1 + margin
