"""Where the laminate is: an outline with its cut-outs, chosen among the contours of a drawing.

The pads and holes of the board are the evidence: they lie on the laminate. So a drawing frame around the board, a
title block beside it, or lettering in the profile file is told from the board's own edge.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from labelcheck.board.contours import (
    UNSPOKEN_GAP_MM,
    Contour,
    Contours,
    centre_lines,
    find_contours,
    polygons_of,
    region_area,
)
from labelcheck.trade.shapes import Floats, Shapes

ENOUGH_INSIDE = 0.9
"""Share of pads and holes on the laminate from which a contour is believed (castellations lie on the edge)."""

SMALLEST_BOARD_MM2 = 4.0
"""A contour smaller than this is no board."""

SMALLEST_CUT_OUT_MM = 0.4
"""A contour narrower than this both ways is no cut-out: no router bit is so thin (common practice)."""

LETTERING_MM = 5.0
"""Closed contours up to this size are taken for letters where open drawings of their size lie beside them."""

NEAR_EDGE_MM = 0.2
"""Holes so near a contour lie on it (perforations, castellations) and prove nothing about its inside."""

FRAMED_SHARE = 0.95
"""Share of the evidence inside the next contour from which the contour around may be a mere frame."""

SHEET_RATIO = 2.5
"""Area of a drawing sheet to that of the board on it, where nothing else is drawn on the sheet."""

DRAWN_SHEET_RATIO = 1.2
"""The same where lettering, dimensions or a title block are drawn beside the board."""

FRAME_SHARE = 0.35
"""A region that covers less of its own hull than this is an edge drawn as a band, not a filled board."""


@dataclass(frozen=True, slots=True, eq=False)
class FoundOutline:
    """An outline out of one drawing, and how well the evidence fits it."""

    area: MultiPolygon
    inside_share: float | None
    """Share of the evidence that lies on it; None without evidence."""
    notes: tuple[str, ...]
    """What was closed, guessed or left out, as sentences."""

    @property
    def believable(self) -> bool:
        return self.inside_share is None or self.inside_share >= ENOUGH_INSIDE


def find_outline(shapes: Shapes, evidence: Floats) -> FoundOutline | None:
    """The outline that a drawing shows; `evidence` is (k, 2) of points on the laminate, in millimetres.

    None where the drawing closes nothing that can be a board.
    """
    contours = find_contours(centre_lines(shapes))
    by_lines = _choose(contours, evidence)
    if by_lines is not None and by_lines.believable:
        return by_lines
    by_regions = _from_regions(region_area(shapes), evidence)
    found = [option for option in (by_lines, by_regions) if option is not None]
    return max(found, key=lambda option: option.inside_share or 0.0) if found else None


def share_inside(area: BaseGeometry, evidence: Floats) -> float | None:
    """Share of the points that lie on an area or within a hair of it; None without points."""
    if len(evidence) == 0:
        return None
    near = area.buffer(NEAR_EDGE_MM)
    shapely.prepare(near)
    return float(np.mean(shapely.intersects_xy(near, evidence[:, 0], evidence[:, 1])))


def _choose(contours: Contours, evidence: Floats) -> FoundOutline | None:
    """The level of nesting that the evidence lies in: 0 as a rule, 1 within a drawing frame."""
    large = [contour for contour in contours.closed if contour.polygon.area >= SMALLEST_BOARD_MM2]
    if not large:
        return None
    options = []
    for depth in range(max(contour.depth for contour in large) + 1):
        option = _at_depth(contours, depth, evidence)
        if option is None:
            continue
        if option.believable and not _is_frame(contours, depth, evidence):
            return option
        options.append(option)
    return max(options, key=lambda option: option.inside_share or 0.0) if options else None


def _is_frame(contours: Contours, depth: int, evidence: Floats) -> bool:
    """Whether one contour of the next level holds all evidence, and around it is the space of a drawing sheet."""
    if len(evidence) == 0:
        return False
    outer = [contour.polygon for contour in contours.closed if contour.depth == depth]
    around = max(polygon.area for polygon in outer)
    for inner in (contour.polygon for contour in contours.closed if contour.depth == depth + 1):
        if _count_inside(inner, evidence) < FRAMED_SHARE * len(evidence):
            continue
        beside = sum(1 for other in contours.closed if other.depth == depth + 1) - 1 + len(contours.open_sizes_mm)
        return bool(around > SHEET_RATIO * inner.area or (beside >= 2 and around > DRAWN_SHEET_RATIO * inner.area))
    return False


def _at_depth(contours: Contours, depth: int, evidence: Floats) -> FoundOutline | None:
    outer = [c.polygon for c in contours.closed if c.depth == depth and c.polygon.area >= SMALLEST_BOARD_MM2]
    if not outer:
        return None
    notes: list[str] = []
    boards = _with_evidence(outer, evidence)
    if len(boards) < len(outer):
        notes.append(f"{len(outer) - len(boards)} closed contours with neither pads nor holes in them were left out.")
    cuts, drawings = _cut_outs(contours, depth, boards, evidence)
    if drawings:
        notes.append(f"{drawings} closed contours inside the board were taken for drawings, not for cut-outs.")
    if depth > 0:
        notes.append("A frame is drawn around the board; it was not taken for the board's edge.")
    if contours.widest_gap_mm > UNSPOKEN_GAP_MM:
        notes.append(f"The outline does not close; gaps up to {contours.widest_gap_mm:.2f} mm were closed.")
    area = shapely.difference(shapely.union_all(boards), shapely.union_all(cuts) if cuts else Polygon())
    islands = [c.polygon for c in contours.closed if c.depth == depth + 2 and c.polygon.area >= SMALLEST_BOARD_MM2]
    within = [island for island in islands if any(cut.contains(island.representative_point()) for cut in cuts)]
    kept = _with_evidence(within, evidence) if len(evidence) else []
    area = shapely.union_all([area, *kept])
    whole = MultiPolygon(polygons_of(area))
    return FoundOutline(whole, share_inside(whole, evidence), tuple(notes)) if not whole.is_empty else None


def _with_evidence(outer: Sequence[Polygon], evidence: Floats) -> list[Polygon]:
    """The contours that hold pads or holes; where none does, those not tiny beside the largest."""
    holding = [polygon for polygon in outer if _count_inside(polygon, evidence)]
    if holding:
        return holding
    largest = max((polygon.area for polygon in outer), default=0.0)
    return [polygon for polygon in outer if polygon.area >= largest / 20]


def _count_inside(polygon: Polygon, evidence: Floats) -> int:
    if len(evidence) == 0:
        return 0
    return int(np.count_nonzero(shapely.contains_xy(polygon, evidence[:, 0], evidence[:, 1])))


def _cut_outs(
    contours: Contours, depth: int, boards: Sequence[Polygon], evidence: Floats
) -> tuple[list[Polygon], int]:
    """Contours inside the boards where the laminate is cut out, and how many others are drawings or letters."""
    lettering = [size for size in contours.open_sizes_mm if size <= LETTERING_MM]
    lettering += [
        _size(contour) for contour in contours.closed if contour.loose_ends and _size(contour) <= LETTERING_MM
    ]
    letter_mm = max(lettering) * 1.1 if len(lettering) >= 3 else 0.0
    cuts: list[Polygon] = []
    drawings = 0
    for contour in contours.closed:
        if contour.depth != depth + 1 or not any(
            board.contains(contour.polygon.representative_point()) for board in boards
        ):
            continue
        if (
            _size(contour) < SMALLEST_CUT_OUT_MM
            or _size(contour) <= letter_mm
            or contour.loose_ends
            or _holds_pads(contour.polygon, evidence)
        ):
            drawings += 1
        else:
            cuts.append(contour.polygon)
    return cuts, drawings


def _holds_pads(polygon: Polygon, evidence: Floats) -> bool:
    """Whether pads lie in a contour; one in its very middle does not count: masks open around unplated holes."""
    if len(evidence) == 0:
        return False
    middle = polygon.centroid
    off_middle = np.hypot(evidence[:, 0] - middle.x, evidence[:, 1] - middle.y) > NEAR_EDGE_MM
    return _count_inside(polygon.buffer(-NEAR_EDGE_MM), evidence[off_middle]) > 0


def _size(contour: Contour) -> float:
    x0, y0, x1, y1 = contour.polygon.bounds
    return float(max(x1 - x0, y1 - y0))


def _from_regions(area: MultiPolygon, evidence: Floats) -> FoundOutline | None:
    """The outline out of filled regions: the area itself, or the middle of a band drawn along the edge."""
    if area.area < SMALLEST_BOARD_MM2:
        return None
    hull = shapely.union_all([Polygon(part.exterior) for part in area.geoms])
    filled = FoundOutline(area, share_inside(area, evidence), ("The outline is drawn as a filled area.",))
    if area.area >= FRAME_SHARE * hull.area and filled.believable:
        return filled
    band_mm = 2 * area.area / max(area.length, 1e-9)
    inner = MultiPolygon(polygons_of(hull.buffer(-band_mm / 2, join_style="mitre")))
    if inner.is_empty:
        return filled
    note = f"The edge is drawn as a band {band_mm:.2f} mm wide; its middle was taken."
    banded = FoundOutline(inner, share_inside(inner, evidence), (note,))
    return banded if (banded.inside_share or 0.0) >= (filled.inside_share or 0.0) else filled
