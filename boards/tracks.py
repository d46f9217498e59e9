"""The kept tracks of the boards: `tracks/<board>.json`, laid onto a board with the ground area of its bottom."""

import json
from pathlib import Path

from shapely.geometry import Polygon

from boards.alphabet import Point
from boards.design import Design, Drawn, Flash, Line, Region, Side
from boards.geometry import laminate
from boards.maker import Maker

FOLDER = Path(__file__).resolve().parent / "tracks"
WIDTH_MM = 0.2
CLEAR_MM = 0.19
VIA_MM, VIA_DRILL_MM = 0.6, 0.3
EDGE_MM = 0.6
"""Copper keeps this far from edges and unplated holes."""
GROUND = "GND"
Track = tuple[str, Side, tuple[Point, ...]]
Via = tuple[str, float, float]
DIGITS = 4


def write_tracks(name: str, tracks: list[Track], vias: list[Via]) -> None:
    """Keep the tracks of one board."""
    lines = [json.dumps([net, side, [[round(x, DIGITS), round(y, DIGITS)] for x, y in points]])
             for net, side, points in tracks]
    drilled = [json.dumps([net, round(x, DIGITS), round(y, DIGITS)]) for net, x, y in vias]
    body = [f'"tracks": [\n{_rows(lines)}\n]', f'"vias": [\n{_rows(drilled)}\n]']
    FOLDER.mkdir(exist_ok=True)
    (FOLDER / f"{name}.json").write_text("{\n" + ",\n".join(body) + "\n}\n", encoding="utf-8")


def _rows(rows: list[str]) -> str:
    return ",\n".join(f" {row}" for row in rows)


def lay_tracks(maker: Maker) -> None:
    """Draw the kept tracks and vias of a board, and its ground area."""
    kept = json.loads((FOLDER / f"{maker.design.name}.json").read_text(encoding="utf-8"))
    for net, side, points in kept["tracks"]:
        maker.track(net, *((x, y) for x, y in points), side=side, width=WIDTH_MM)
    for net, x, y in kept["vias"]:
        maker.via(net, x, y, diameter=VIA_MM, drill=VIA_DRILL_MM)
    _pour(maker.design)


def _pour(design: Design) -> None:
    """Fill the bottom with ground, cut clear around everything that is not ground, under all that is there."""
    copper = design.layer("copper", "bottom")
    below: list[Drawn] = [_area(laminate(design).buffer(-EDGE_MM, 4))]
    gap = 2 * (CLEAR_MM + 0.05)
    for drawn in copper:
        if isinstance(drawn, Flash) and drawn.net != GROUND:
            below.append(Flash(drawn.x, drawn.y, drawn.shape, drawn.width_mm + gap, drawn.height_mm + gap,
                               drawn.corner_mm + gap / 2 if drawn.corner_mm else 0.0, dark=False))
        elif isinstance(drawn, Line) and drawn.net != GROUND:
            below.append(Line(drawn.points, drawn.pen_mm + gap, dark=False))
    for hole in design.holes:
        if not hole.plated and hole.to_x is None:
            size = hole.diameter_mm + 2 * EDGE_MM
            below.append(Flash(hole.x, hole.y, "circle", size, size, dark=False))
    copper[:0] = below


def _area(shape: Polygon) -> Region:
    """A polygon with cut-outs as a region."""
    outer, *holes = (tuple((x, y) for x, y in ring.coords[:-1]) for ring in (shape.exterior, *shape.interiors))
    return Region(outer, tuple(holes), net=GROUND)
