"""The test alphabet in every way that legends draw text: strokes, scan lines, dots, areas, and knocked out."""

from dataclasses import replace

import numpy as np
import shapely

from labelcheck.trade.shapes import Kind, Shapes, bars, concatenate, polygon

from .alphabet import Lettering, draw_text


def ink_of(strokes: Shapes, steps: int = 6) -> shapely.Geometry:
    """The ink of strokes as an area."""
    ends = np.column_stack((strokes.x0, strokes.y0, strokes.x1 + 1e-7, strokes.y1)).reshape(-1, 2, 2)
    return shapely.union_all(shapely.buffer(shapely.linestrings(ends), strokes.width / 2, quad_segs=steps))


def letters_of(strokes: Shapes) -> list[shapely.Polygon]:
    """The pieces of the ink in the order of their strokes."""
    pieces = shapely.get_parts(ink_of(strokes)).tolist()
    starts = [shapely.Point(x, y) for x, y in zip(strokes.x0, strokes.y0, strict=True)]
    return sorted(pieces, key=lambda piece: next(at for at, start in enumerate(starts) if piece.intersects(start)))


def rings_of(area: shapely.Polygon) -> list[np.ndarray]:
    return [np.array(ring.coords)[:-1] for ring in (area.exterior, *area.interiors)]


def as_areas(strokes: Shapes, clear_counters: bool = False) -> Shapes:
    """One region a letter; counters as further rings of it, or as clear regions of their own after it."""
    parts = []
    for area in letters_of(strokes):
        hull, *holes = rings_of(area)
        if clear_counters:
            parts += [polygon([hull]), *(polygon([hole], dark=False) for hole in holes)]
        else:
            parts.append(polygon([hull, *holes]))
    return concatenate(parts)


def cut_in(rings: list[np.ndarray]) -> np.ndarray:
    """Hull and holes as one contour that runs in to each hole and back along the same line."""
    contour = rings[0]
    for hole in rings[1:]:
        apart = np.hypot(*(contour[:, None] - hole[None]).transpose(2, 0, 1))
        a, b = np.unravel_index(apart.argmin(), apart.shape)
        around = np.roll(hole, -b, axis=0)
        contour = np.concatenate((contour[: a + 1], around, around[:1], contour[a:]))
    return contour


def as_cut_ins(strokes: Shapes) -> Shapes:
    """One contour a letter, cut in to its counters."""
    return concatenate(polygon([cut_in(rings_of(area))]) for area in letters_of(strokes))


def as_scan_lines(strokes: Shapes, pitch_mm: float = 0.05) -> Shapes:
    """The ink painted with horizontal strokes of a fine pen, from the bottom row up."""
    return scanned(ink_of(strokes), pitch_mm)


def scanned(area: shapely.Geometry, pitch_mm: float) -> Shapes:
    """An area painted with horizontal strokes of a pen as wide as they lie apart."""
    x0, y0, x1, y1 = area.bounds
    rows = []
    for y in np.arange(y0 + pitch_mm / 2, y1, pitch_mm):
        row = area.intersection(shapely.LineString([(x0 - 1, y), (x1 + 1, y)]))
        for part in [] if row.is_empty else shapely.get_parts(row).tolist():
            if part.geom_type != "LineString":
                continue
            (start, _), (end, _) = part.coords[0], part.coords[-1]
            # The round ends of the strokes reach the edge of the ink.
            if end - start > pitch_mm:
                rows.append((start + pitch_mm / 2, y, end - pitch_mm / 2, y))
    ends = np.array(rows).T
    return bars(*ends, pitch_mm)


def as_dots(strokes: Shapes, pitch_mm: float = 0.06) -> Shapes:
    """The ink painted with round flashes on a grid."""
    area = ink_of(strokes)
    x0, y0, x1, y1 = area.bounds
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(x0, x1, pitch_mm), np.arange(y0, y1, pitch_mm)))
    inside = shapely.contains_xy(area, x, y)
    dots = bars(x[inside], y[inside], x[inside], y[inside], pitch_mm * 1.2)
    return replace(dots, kind=np.full(len(dots), int(Kind.FLASH)))


def plate_around(strokes: Shapes, margin_mm: float = 0.4) -> shapely.Polygon:
    """A rectangle around text."""
    x0, y0, x1, y1 = ink_of(strokes).bounds
    return shapely.box(x0 - margin_mm, y0 - margin_mm, x1 + margin_mm, y1 + margin_mm)


def knocked_out_by_strokes(strokes: Shapes) -> Shapes:
    """A dark plate, and the text as clear strokes on it."""
    clear = replace(strokes, dark=np.zeros(len(strokes), dtype=np.bool_))
    return concatenate([polygon(rings_of(plate_around(strokes))), clear])


def knocked_out_by_rings(strokes: Shapes, cut: bool = False) -> Shapes:
    """A dark plate with the text as holes: rings of one region, or one contour cut in to them; islands after it."""
    parts = shapely.get_parts(plate_around(strokes).difference(ink_of(strokes)))
    plate, *islands = sorted(parts.tolist(), key=lambda part: -part.area)
    rings = rings_of(plate)
    main = polygon([cut_in(rings)]) if cut else polygon(rings)
    return concatenate([main, *(polygon(rings_of(island)) for island in islands)])


def knocked_out_by_scan_lines(strokes: Shapes, pitch_mm: float = 0.05) -> Shapes:
    """A plate painted with scan lines that leave the text clear."""
    return scanned(plate_around(strokes).difference(ink_of(strokes)), pitch_mm)


WAYS = {
    "strokes": lambda strokes: strokes,
    "regions": as_areas,
    "regions with clear counters": lambda strokes: as_areas(strokes, clear_counters=True),
    "regions with cut-ins": as_cut_ins,
    "scan lines": as_scan_lines,
    "dots": as_dots,
    "knocked out by clear strokes": knocked_out_by_strokes,
    "knocked out by rings": knocked_out_by_rings,
    "knocked out by scan lines": knocked_out_by_scan_lines,
    "knocked out by cut-ins": lambda strokes: knocked_out_by_rings(strokes, cut=True),
}


def drawn(way: str, text: str, at=(0.0, 0.0), lettering: Lettering | None = None, angle_deg: float = 0.0) -> Shapes:
    return WAYS[way](draw_text(text, at, lettering, angle_deg))
