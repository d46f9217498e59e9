"""Whether masks and holes belong to one another: leads need openings, pads that are open on both sides need holes."""

from collections.abc import Iterable, Mapping

import numpy as np
import shapely

from labelcheck.board.board import Holes, Layer, Outline
from labelcheck.formats.job_file import JobFile
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import OUTER_SIDES, Side

LEAD_HOLE_MM = 0.8
"""Holes from this diameter on, unless they are unplated, take leads; mask hardly ever covers them."""
FEWEST = 6
"""Fewer holes or pads say nothing."""
OPEN_SHARE = 0.25
"""Fewer leads than this in openings: the mask is another layer, or one of the two has another unit or format."""
DRILLED_SHARE = 0.2
"""Fewer of the pads that both sides leave open than this have a hole: a drill file is missing."""
SAME_PLACE_MM = 0.02
FACTORS = (25.4, 10.0, 100.0, 1000.0)
"""By these a wrong unit or number of digits makes a drawing too large or too small."""
FACTOR_WITHIN = 0.01

Layers = Mapping[Side, Layer | None]


def closed_leads(openings: Layers, holes: Holes | None) -> list[str]:
    """Reasons to hold because a mask leaves nearly none of the holes for leads open."""
    leads = _leads(holes)
    reasons = []
    for side in OUTER_SIDES:
        layer = openings[side]
        if layer is None or len(leads) < FEWEST:
            continue
        if len(layer.shapes) == 0:
            reasons.append(
                f"The {side} solder mask is empty, but {len(leads)} holes for leads need openings. Export it again."
            )
            continue
        open_leads = _on(_boxes(layer), leads)
        if open_leads.mean() < OPEN_SHARE:
            reasons.append(
                f"Only {int(open_leads.sum())} of {len(leads)} holes for leads lie in openings of the {side} solder "
                f"mask ({layer.files[0]}): the unit, format or origin of one differs, or it is another layer."
            )
    return reasons


def undrilled_pads(openings: Layers, holes: Holes | None) -> list[Remark]:
    """A remark where pads that both sides leave open have no holes, though there is a drill file."""
    both = _open_on_both(openings)
    if holes is None or len(both) < FEWEST:
        return []
    drilled = _on(holes.shapes.boxes(), both)
    if drilled.mean() >= DRILLED_SHARE:
        return []
    told = (
        f"{int((~drilled).sum())} of {len(both)} pads that are open on both sides have no hole. If they are no edge "
        "contacts a drill file is missing; what lies across its holes cannot be told."
    )
    return [Remark("", None, told)]


def without_drills(openings: Layers, holes: Holes | None) -> list[str]:
    """A reason to hold where no file tells of holes, and pads that go through the board show that there are some."""
    both = _open_on_both(openings)
    if holes is not None or len(both) < FEWEST:
        return []
    return [
        f"No drill file was found, though {len(both)} pads are open on both sides; what lies across their holes is "
        "not known. Add the drill file to the set."
    ]


def _open_on_both(openings: Layers) -> Floats:
    """Middles (n, 2) of the openings of the top that have one of the bottom at the same place; none where a mask of
    either side is not known."""
    top, bottom = (openings[side] for side in OUTER_SIDES)
    if top is None or bottom is None:
        return np.zeros((0, 2))
    above, below = (_middles(_boxes(layer)) for layer in (top, bottom))
    if len(above) == 0 or len(below) == 0:
        return np.zeros((0, 2))
    near = shapely.STRtree(shapely.points(below)).query(
        shapely.points(above), predicate="dwithin", distance=SAME_PLACE_MM
    )
    return np.asarray(above[np.unique(near[0])])


def empty_masks(openings: Layers) -> list[Remark]:
    """A remark on each solder mask without any opening."""
    told = "The {} solder mask has no opening at all, so no label can lie in one. Check that this is meant."
    return [
        Remark(layer.files[0], None, told.format(side))
        for side in OUTER_SIDES
        if (layer := openings[side]) is not None and len(layer.shapes) == 0
    ]


def off_the_holes(shifts: Iterable[Remark]) -> list[str]:
    """Reasons to hold because a mask lies beside its holes: what lies in its openings cannot be told."""
    told = "does not lie on the holes; which labels lie in its openings is not known."
    return [f"{shift.file} {told}" for shift in shifts]


def outline_of_another_size(jobs: Iterable[JobFile], outline: Outline | None) -> list[str]:
    """Reasons to hold because outline and job file differ in size by the factor of a wrong unit or format."""
    if outline is None:
        return []
    x0, y0, x1, y1 = outline.area.bounds
    drawn = sorted((x1 - x0, y1 - y0))
    for job in jobs:
        if not job.width_mm or not job.height_mm:
            continue
        said = sorted((job.width_mm, job.height_mm))
        times = [max(a / b, b / a) for a, b in zip(drawn, said, strict=True)]
        if any(all(abs(one / factor - 1) < FACTOR_WITHIN for one in times) for factor in FACTORS):
            return [
                f"The outline is {x1 - x0:.2f} x {y1 - y0:.2f} mm, the job file says {job.width_mm:.2f} x "
                f"{job.height_mm:.2f} mm: unit or format of one of them is wrong."
            ]
    return []


def _leads(holes: Holes | None) -> Floats:
    """Middles of the holes that take leads, (k, 2)."""
    if holes is None:
        return np.zeros((0, 2))
    boxes = holes.shapes.boxes()
    unplated = np.array([plated is False for plated in holes.plated], dtype=np.bool_)
    narrow = np.minimum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    return _middles(boxes[(narrow >= LEAD_HOLE_MM) & ~unplated])


def _boxes(layer: Layer) -> Floats:
    boxes = layer.shapes.boxes()
    return boxes[layer.shapes.dark & np.isfinite(boxes).all(axis=1)]


def _middles(boxes: Floats) -> Floats:
    return np.asarray((boxes[:, :2] + boxes[:, 2:]) / 2)


def _on(boxes: Floats, points: Floats) -> np.ndarray:
    """Which of the points (k, 2) lie on any of the boxes (n, 4)."""
    tree = shapely.STRtree(shapely.box(*boxes.T))
    hits, _ = tree.query(shapely.points(points), predicate="intersects")
    on = np.zeros(len(points), dtype=np.bool_)
    on[hits] = True
    return on
