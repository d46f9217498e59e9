"""The same file as a general-purpose reference library (gerbonara) draws it, as our `Shapes`, for comparison.

Only its own parser and its own primitives are used; arcs are flattened here, independently of the reader, to 0.2 µm.
"""

import math
import re
import warnings
from itertools import pairwise

import numpy as np
from gerbonara import GerberFile
from gerbonara import graphic_primitives as primitives
from gerbonara.utils import MM

from labelcheck.raster.ink_area import ink_area_and_box
from labelcheck.trade.shapes import Kind, Shapes

SAGITTA_MM = 0.0002


def parse(text: str) -> GerberFile:
    """Let the reference parse a file; its own warnings are not ours."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return GerberFile.from_string(text)


def spelled_out(text: str) -> str:
    """The same commands in the form that the reference demands: two-digit G-codes, and a D-code in every operation.

    Some programs leave out both; a state machine over statements puts them in, independently of the reader.
    """
    done: list[str] = []
    operation = "D02"
    for statement in re.split(r"(%[^%]*%|G0?4[^*]*\*|\*)", text):
        if not re.match(r"\s*(?:G0?[0-3])?(?:[XYIJ][-+]?\d+)+(?:D0?[123])?\s*$", statement):
            done.append(statement)
            continue
        statement = re.sub(r"G([0-3])(?=[XYIJ])", r"G0\1", statement)
        written = re.search(r"D0?([123])\s*$", statement)
        if written is not None:
            operation = "D0" + written.group(1)
        done.append(statement if written is not None else statement.rstrip() + operation)
    return "".join(done)


def reference_shapes(parsed: GerberFile) -> Shapes:
    """Every primitive of the reference as one object."""
    bars: list[tuple[int, float, float, float, float, float]] = []
    rings: list[tuple[int, np.ndarray]] = []
    dark: list[bool] = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for drawn in parsed.objects:
            for primitive in drawn.to_primitives(unit=MM):
                number = len(dark)
                dark.append(bool(primitive.polarity_dark))
                if isinstance(primitive, primitives.Circle):
                    x, y, radius = float(primitive.x), float(primitive.y), float(primitive.r)
                    bars.append((number, x, y, x, y, 2 * radius))
                elif isinstance(primitive, primitives.Line):
                    ends = (float(v) for v in (primitive.x1, primitive.y1, primitive.x2, primitive.y2))
                    bars.append((number, *ends, float(primitive.width)))
                elif isinstance(primitive, primitives.Arc):
                    path = arc_points(
                        (primitive.x1, primitive.y1), (primitive.x2, primitive.y2), (primitive.cx, primitive.cy),
                        primitive.clockwise,
                    )
                    width = float(primitive.width)
                    bars += [(number, *p, *q, width) for p, q in pairwise(path)]
                elif isinstance(primitive, primitives.Rectangle):
                    rings.append((number, rectangle(primitive)))
                else:
                    rings.append((number, outline(primitive.to_arc_poly())))
    return _shapes(bars, rings, dark)


def rectangle(primitive: primitives.Rectangle) -> np.ndarray:
    """Corners of a turned rectangle from centre, sides and angle; the library's own conversion mixes them up."""
    cos, sin = math.cos(primitive.rotation), math.sin(primitive.rotation)
    w, h = float(primitive.w) / 2, float(primitive.h) / 2
    halves = ((-w, -h), (w, -h), (w, h), (-w, h))
    x, y = float(primitive.x), float(primitive.y)
    return np.array([(x + cos * a - sin * b, y + sin * a + cos * b) for a, b in halves])


def outline(poly: primitives.ArcPoly) -> np.ndarray:
    """Vertices of a polygon with arcs."""
    points: list[tuple[float, float]] = []
    for start, end, (clockwise, centre) in poly.segments:
        if clockwise is None:
            points.append((float(start[0]), float(start[1])))
        else:
            points += arc_points(start, end, centre, clockwise)[:-1]
    return np.array(points)


def arc_points(
    start: tuple[float, float], end: tuple[float, float], centre: tuple[float, float], clockwise: bool
) -> list[tuple[float, float]]:
    """Points along an arc, both ends included; equal ends make a full circle."""
    (x0, y0), (x1, y1), (cx, cy) = ((float(a), float(b)) for a, b in (start, end, centre))
    first, last = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
    turn = (first - last if clockwise else last - first) % math.tau
    if turn < 1e-9 or math.dist((x0, y0), (x1, y1)) < 1e-9:
        turn = math.tau
    radius = max(math.dist((x0, y0), (cx, cy)), SAGITTA_MM)
    count = max(2, math.ceil(turn / (2 * math.sqrt(2 * SAGITTA_MM / radius))))
    sign = -1 if clockwise else 1
    inner = [first + sign * turn * k / count for k in range(1, count)]
    return [(x0, y0), *((cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in inner), (x1, y1)]


def _shapes(bars: list, rings: list, dark: list[bool]) -> Shapes:
    zeros = np.zeros(len(dark), dtype=np.int64)
    columns = np.array([bar[1:] for bar in bars], dtype=np.float64).reshape(-1, 5)
    points = np.concatenate([np.zeros((0, 2)), *(ring for _, ring in rings)])
    return Shapes(
        kind=zeros + Kind.REGION, dark=np.array(dark, dtype=np.bool_), line=zeros, aperture=zeros, attributes=zeros,
        bar_object=np.array([bar[0] for bar in bars], dtype=np.int64),
        x0=columns[:, 0], y0=columns[:, 1], x1=columns[:, 2], y1=columns[:, 3], width=columns[:, 4],
        ring_object=np.array([number for number, _ in rings], dtype=np.int64),
        ring_start=np.cumsum([0, *(len(ring) for _, ring in rings)], dtype=np.int64),
        vx=points[:, 0].copy(), vy=points[:, 1].copy(),
    )


def area_and_box(shapes: Shapes) -> tuple[float, tuple[float, float, float, float] | None]:
    """Ink area (mm²) by the raster, and the box of everything dark that is drawn."""
    dark = shapes.take(shapes.dark).boxes()
    dark = dark[np.isfinite(dark).all(axis=1)]
    box = (*dark[:, :2].min(axis=0).tolist(), *dark[:, 2:].max(axis=0).tolist()) if len(dark) else None
    return ink_area_and_box(shapes, 0.01)[0], box
