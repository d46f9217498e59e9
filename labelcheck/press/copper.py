"""How much of each label lies on copper; looked at only where copper is heavy enough to matter."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from labelcheck.board.board import Layer
from labelcheck.labels.label import Box, Label
from labelcheck.raster.rendering import render
from labelcheck.raster.run_algebra import intersect
from labelcheck.raster.runs import Runs, area_by_group
from labelcheck.trade.limits import Limits


def is_heavy(limits: Limits) -> bool:
    """Whether the outer copper is thick enough for its edges to matter to ink."""
    bounds = [bound for bound in (limits.copper_step.unreadable, limits.copper_step.doubtful, limits.copper_step.note)
              if bound is not None]
    return bool(bounds) and limits.copper_thickness.value_mm > min(bounds) + limits.copper_step.tolerance


def shares_on_copper(
    ink: Runs, own_area: NDArray[np.float64], labels: Sequence[Label], copper: tuple[Layer | None, Box],
    limits: Limits,
) -> list[float | None]:
    """Share of each label's ink that lies on copper, 0 to 1; None for all where copper is not known or not heavy.

    `ink` grouped by mark number with `own_area` (marks,) of each; `copper` the layer, and the box around the labels.
    """
    layer, near_mm = copper
    if layer is None or not is_heavy(limits):
        return [None] * len(labels)
    on = area_by_group(intersect(ink, render(layer.shapes, limits.pitch_mm, near_mm)), len(own_area))
    shares: list[float | None] = []
    for label in labels:
        numbers = [mark.number for mark in label.marks]
        whole = float(own_area[numbers].sum())
        shares.append(None if whole == 0 else float(on[numbers].sum()) / whole)
    return shares
