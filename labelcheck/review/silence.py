"""Legends that hold ink and no label: silence about them must not look like a clean board."""

from collections.abc import Iterable, Mapping

import numpy as np

from labelcheck.board.board import Board, Layer
from labelcheck.labels.label import Label
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import OUTER_SIDES, Side

OVERDRAWN = 3.0
"""Strokes that a wrong unit or format lays on one another cover their ink so many times; those of text up to 1.8."""
BESIDE_SHARE = 0.2
"""A legend without labels of which so much lies beside the board is drawn in another unit or at another origin."""
FEWEST_OBJECTS = 30


def silent_legends(
    board: Board, labels: Iterable[Label], ink_mm2: Mapping[Side, float]
) -> tuple[tuple[Remark, ...], tuple[str, ...]]:
    """A remark on each legend that holds ink and no label, and reasons to hold.

    No label anywhere is such a reason, and lines drawn over one another; `ink_mm2` is the ink of each side's legend.
    """
    speaking = {label.side for label in labels}
    legends = {side: board.on(side).legend for side in OUTER_SIDES}
    inked = {side: legend for side, legend in legends.items() if legend is not None and len(legend.shapes)}
    silent = {side: legend for side, legend in inked.items() if side not in speaking}
    told = "The {} legend holds ink, but no label was found in it. Look at the picture."
    remarks = tuple(Remark(legend.files[0], None, told.format(side)) for side, legend in silent.items())
    reasons = [
        f"The lines of the {side} legend lie on one another, and no label was found: unit or format of "
        f"{legend.files[0]} is wrong."
        for side, legend in silent.items()
        if _overdrawn(legend, ink_mm2.get(side, 0.0))
    ]
    reasons += [
        f"No label was found in the {side} legend, and much of it lies beside the board: unit, format or origin of "
        f"{legend.files[0]} differs."
        for side, legend in silent.items()
        if _share_beside(board, legend) > BESIDE_SHARE
    ]
    if inked and not speaking:
        reasons.append("No label was found in any legend, so nothing was checked. Look at the picture and the files.")
    return remarks, tuple(reasons)


def _share_beside(board: Board, legend: Layer) -> float:
    """Share of the drawn objects that lie wholly beside the board; 0 where its outline is not known."""
    if board.outline is None:
        return 0.0
    x0, y0, x1, y1 = board.outline.area.bounds
    boxes = legend.shapes.boxes()
    beside = (boxes[:, 0] > x1) | (boxes[:, 2] < x0) | (boxes[:, 1] > y1) | (boxes[:, 3] < y0)
    return float(np.mean(beside & np.isfinite(boxes[:, 0])))


def _overdrawn(legend: Layer, ink_mm2: float) -> bool:
    """Whether the strokes would cover far more than they do if they lay apart."""
    shapes = legend.shapes
    drawn = np.hypot(shapes.x1 - shapes.x0, shapes.y1 - shapes.y0) * shapes.width + np.pi / 4 * shapes.width**2
    dark = shapes.dark[shapes.bar_object]
    return len(shapes) >= FEWEST_OBJECTS and float(drawn[dark].sum()) > OVERDRAWN * ink_mm2
