"""How much of each label lies on copper; looked at only where copper is heavy enough to matter."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.board.board import Layer
from labelcheck.labels.label import Box, Label
from labelcheck.raster.rendering import render
from labelcheck.raster.run_algebra import intersect
from labelcheck.raster.runs import Runs, area_by_group
from labelcheck.trade.limits import USUAL_COPPER, Limits

TOLD = "as the job file says"
"""Source of a thickness of copper that a set itself tells."""


def is_heavy(limits: Limits) -> bool:
    """Whether the outer copper is thick enough for its edges to matter to ink."""
    return limits.copper_thickness.value_mm > heavy_over(limits)


def heavy_over(limits: Limits) -> float:
    """Thickness in millimetres over which the edges of copper matter to ink; infinite where they never do."""
    step = limits.copper_step
    bounds = [bound for bound in (step.unreadable, step.doubtful, step.note) if bound is not None]
    return min(bounds) + step.tolerance if bounds else math.inf


def with_copper_of(limits: Limits, told_mm: float | None) -> Limits:
    """The limits with the thickness of copper that the job file tells, where no limits file states one."""
    if told_mm is None or limits.copper_thickness.source != USUAL_COPPER:
        return limits
    return replace(limits, copper_thickness=replace(limits.copper_thickness, value_mm=told_mm, source=TOLD))


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
