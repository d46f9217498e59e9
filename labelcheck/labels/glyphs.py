"""Glyphs: drawn objects turned upright, measured, and drawn as small pictures for a reader.

Exact along a row and sampled four times a pixel across rows; thousands of glyphs in one go. The reader's
training draws its glyphs here too, so that it learns what it will see.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.protocol import GLYPH_COLUMNS, GLYPH_ROWS
from labelcheck.trade.shapes import Flags, Floats, Integers, Shapes

SAMPLES = 4
"""Rows sampled a pixel."""
MARGIN = 1.0
"""Clear pixels around the ink."""


@dataclass(frozen=True, slots=True, eq=False)
class Glyphs:
    """Objects of n glyphs, each turned into its own reading frame; millimetres, x along the line, y up.

    `box` (n, 4) is that of the dark ink. `layer` counts the changes between dark and clear within a glyph, from
    0; even layers are dark. Bars and ring edges carry their glyph and layer; edges also a number for the object
    within which rings are even-odd.
    """

    box: Floats
    bar_glyph: Integers
    bar_layer: Integers
    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    radius: Floats
    edge_glyph: Integers
    edge_layer: Integers
    edge_object: Integers
    ax: Floats
    ay: Floats
    bx: Floats
    by: Floats

    def __len__(self) -> int:
        return len(self.box)


def spread(start: Integers, count: Integers) -> Integers:
    """All the numbers start, start + 1, … start + count - 1 of each row, one row after the other."""
    total = int(count.sum())
    if total == 0:
        return np.zeros(0, dtype=np.int64)
    ends = np.cumsum(count)
    return np.arange(total) + np.repeat(start - (ends - count), count)


def turn_upright(x: Floats, y: Floats, turned_deg: Floats, mirrored: bool) -> tuple[Floats, Floats]:
    """Points of labels turned by `turned_deg`, as read on their own side, in frames where they are upright."""
    radians = np.deg2rad(turned_deg)
    cosine, sine = np.cos(radians), np.sin(radians)
    own_x = -x if mirrored else x
    return own_x * cosine + y * sine, y * cosine - own_x * sine


def lay_out(
    shapes: Shapes, objects: Integers, glyph: Integers, turned_deg: Floats, mirrored: bool = False
) -> Glyphs:
    """Gather the objects of each glyph and turn them upright.

    `objects` (k,) rows in `shapes`, which may repeat between glyphs; `glyph` (k,) the glyph each belongs to,
    ascending, drawing order within; `turned_deg` (n,) of each glyph, counter-clockwise as read on its own side;
    `mirrored` for the bottom side.
    """
    count = len(turned_deg)
    layer = _layers(shapes.dark[objects], glyph)
    every = np.arange(len(shapes))
    bar_first = np.searchsorted(shapes.bar_object, every)
    bar_count = np.searchsorted(shapes.bar_object, every, side="right") - bar_first
    bar = spread(bar_first[objects], bar_count[objects])
    of_bar = np.repeat(np.arange(len(objects)), bar_count[objects])
    angle = turned_deg[glyph[of_bar]]
    x0, y0 = turn_upright(shapes.x0[bar], shapes.y0[bar], angle, mirrored)
    x1, y1 = turn_upright(shapes.x1[bar], shapes.y1[bar], angle, mirrored)
    radius = shapes.width[bar] / 2

    ring_first = np.searchsorted(shapes.ring_object, every)
    ring_count = np.searchsorted(shapes.ring_object, every, side="right") - ring_first
    ring = spread(ring_first[objects], ring_count[objects])
    of_ring = np.repeat(np.arange(len(objects)), ring_count[objects])
    size = np.diff(shapes.ring_start)[ring]
    vertex = spread(shapes.ring_start[ring], size)
    of_vertex = np.repeat(of_ring, size)
    ax, ay = turn_upright(shapes.vx[vertex], shapes.vy[vertex], turned_deg[glyph[of_vertex]], mirrored)
    following = np.arange(len(vertex)) + 1
    ends = np.cumsum(size)[size > 0]
    following[ends - 1] = ends - size[size > 0]

    bar_glyph, edge_glyph = glyph[of_bar], glyph[of_vertex]
    placed = Glyphs(
        box=np.zeros((count, 4)),
        bar_glyph=bar_glyph, bar_layer=layer[of_bar], x0=x0, y0=y0, x1=x1, y1=y1, radius=radius,
        edge_glyph=edge_glyph, edge_layer=layer[of_vertex], edge_object=of_vertex,
        ax=ax, ay=ay, bx=ax[following], by=ay[following],
    )
    placed.box[:] = _boxes(placed, count)
    return placed


def _layers(dark: Flags, glyph: Integers) -> Integers:
    """Number of changes between dark and clear before each object of its glyph; a leading clear one is layer 1."""
    if len(dark) == 0:
        return np.zeros(0, dtype=np.int64)
    first = np.concatenate(([True], glyph[1:] != glyph[:-1]))
    before = np.concatenate(([True], dark[:-1])) | first
    changes = np.cumsum(before != dark)
    starts = np.flatnonzero(first)
    base = (changes - (before != dark))[starts]
    return changes - np.repeat(base, np.diff(np.append(starts, len(dark))))


def _boxes(glyphs: Glyphs, count: int) -> Floats:
    """Box of the dark ink of each glyph; zeros where there is none."""
    bars, edges = glyphs.bar_layer % 2 == 0, glyphs.edge_layer % 2 == 0
    box = np.empty((count, 4))
    box[:, :2], box[:, 2:] = np.inf, -np.inf
    radius, owner, corner = glyphs.radius[bars], glyphs.bar_glyph[bars], glyphs.edge_glyph[edges]
    np.minimum.at(box[:, 0], owner, np.minimum(glyphs.x0, glyphs.x1)[bars] - radius)
    np.minimum.at(box[:, 1], owner, np.minimum(glyphs.y0, glyphs.y1)[bars] - radius)
    np.maximum.at(box[:, 2], owner, np.maximum(glyphs.x0, glyphs.x1)[bars] + radius)
    np.maximum.at(box[:, 3], owner, np.maximum(glyphs.y0, glyphs.y1)[bars] + radius)
    np.minimum.at(box[:, 0], corner, glyphs.ax[edges])
    np.minimum.at(box[:, 1], corner, glyphs.ay[edges])
    np.maximum.at(box[:, 2], corner, glyphs.ax[edges])
    np.maximum.at(box[:, 3], corner, glyphs.ay[edges])
    box[box[:, 2] < box[:, 0]] = 0.0
    return box


def picture_scale(glyphs: Glyphs) -> Floats:
    """Pixels a millimetre in the picture of each glyph, shape (n,); 0 where there is no ink."""
    width, height = glyphs.box[:, 2] - glyphs.box[:, 0], glyphs.box[:, 3] - glyphs.box[:, 1]
    with np.errstate(divide="ignore"):
        scale = np.minimum((GLYPH_COLUMNS - 2 * MARGIN) / width, (GLYPH_ROWS - 2 * MARGIN) / height)
    return np.where(np.isfinite(scale), scale, 0.0)


def draw_glyphs(glyphs: Glyphs) -> NDArray[np.float32]:
    """Pictures (n, 32, 24) float32: ink 1, clear 0, row 0 on top, edges in shades by the area covered."""
    count = len(glyphs)
    scale = picture_scale(glyphs)
    middle_x = (glyphs.box[:, 0] + glyphs.box[:, 2]) / 2
    middle_y = (glyphs.box[:, 1] + glyphs.box[:, 3]) / 2
    pictures = np.zeros((count, GLYPH_ROWS, GLYPH_COLUMNS), dtype=np.float32)

    def across(x: Floats, glyph: Integers) -> Floats:
        return (x - middle_x[glyph]) * scale[glyph] + GLYPH_COLUMNS / 2

    def down(y: Floats, glyph: Integers) -> Floats:
        return ((middle_y[glyph] - y) * scale[glyph] + GLYPH_ROWS / 2) * SAMPLES

    layers = int(max(glyphs.bar_layer.max(initial=0), glyphs.edge_layer.max(initial=0))) + 1
    for layer in range(layers):
        bars, edges = glyphs.bar_layer == layer, glyphs.edge_layer == layer
        owner, corner = glyphs.bar_glyph[bars], glyphs.edge_glyph[edges]
        drawn = _bar_spans(
            owner,
            across(glyphs.x0[bars], owner), down(glyphs.y0[bars], owner),
            across(glyphs.x1[bars], owner), down(glyphs.y1[bars], owner),
            glyphs.radius[bars] * scale[owner],
        )
        filled = _ring_spans(
            corner, glyphs.edge_object[edges],
            across(glyphs.ax[edges], corner), down(glyphs.ay[edges], corner),
            across(glyphs.bx[edges], corner), down(glyphs.by[edges], corner),
        )
        touched = np.unique(np.concatenate((owner, corner)))
        if len(touched) == 0:
            continue
        place = np.zeros(count, dtype=np.int64)
        place[touched] = np.arange(len(touched))
        rows, starts, ends = (np.concatenate(pair) for pair in zip(drawn, filled, strict=True))
        glyph, row = np.divmod(rows, GLYPH_ROWS * SAMPLES)
        cover = _coverage(place[glyph] * GLYPH_ROWS * SAMPLES + row, starts, ends, len(touched))
        if layer % 2 == 0:
            pictures[touched] = np.maximum(pictures[touched], cover)
        else:
            pictures[touched] *= 1 - cover
    return pictures


def _rows_between(low: Floats, high: Floats) -> tuple[Integers, Integers]:
    """First sampled row whose middle lies at or after `low`, and how many lie before `high`, within a picture."""
    first = np.clip(np.ceil(low - 0.5), 0, GLYPH_ROWS * SAMPLES).astype(np.int64)
    last = np.clip(np.ceil(high - 0.5), 0, GLYPH_ROWS * SAMPLES).astype(np.int64)
    return first, np.maximum(last - first, 0)


def _bar_spans(
    owner: Integers, x0: Floats, y0: Floats, x1: Floats, y1: Floats, radius: Floats
) -> tuple[Integers, Floats, Floats]:
    """Sampled row (over all glyphs), start and end in pixels of each bar on each row; y is in samples, downwards.

    A bar is convex: on a row it is the span of two discs and the rectangle between them.
    """
    first, count = _rows_between(np.minimum(y0, y1) - radius * SAMPLES, np.maximum(y0, y1) + radius * SAMPLES)
    row, bar = spread(first, count), np.repeat(np.arange(len(owner)), count)
    y = (row + 0.5) / SAMPLES
    ax, ay, bx, by, r = x0[bar], y0[bar] / SAMPLES, x1[bar], y1[bar] / SAMPLES, radius[bar]
    start, end = np.full(len(bar), np.inf), np.full(len(bar), -np.inf)
    for cx, cy in ((ax, ay), (bx, by)):
        half = r * r - (y - cy) ** 2
        hit = half >= 0
        reach = np.sqrt(np.where(hit, half, 0.0))
        np.minimum(start, cx - reach, out=start, where=hit)
        np.maximum(end, cx + reach, out=end, where=hit)
    length = np.hypot(bx - ax, by - ay)
    with np.errstate(divide="ignore", invalid="ignore"):
        nx, ny = -(by - ay) / length * r, (bx - ax) / length * r
        for sign in (-1.0, 1.0):  # the two long sides of the rectangle; its short sides lie within the discs
            share = (y - (ay + sign * ny)) / (by - ay)
            x = ax + sign * nx + share * (bx - ax)
            hit = (share >= 0) & (share <= 1)
            np.minimum(start, x, out=start, where=hit)
            np.maximum(end, x, out=end, where=hit)
    kept = end > start
    return owner[bar[kept]] * (GLYPH_ROWS * SAMPLES) + row[kept], start[kept], end[kept]


def _ring_spans(
    owner: Integers, ring_object: Integers, ax: Floats, ay: Floats, bx: Floats, by: Floats
) -> tuple[Integers, Floats, Floats]:
    """Sampled row (over all glyphs), start and end in pixels inside the rings, even-odd within one object."""
    first, count = _rows_between(np.minimum(ay, by), np.maximum(ay, by))
    row, edge = spread(first, count), np.repeat(np.arange(len(owner)), count)
    x = ax[edge] + (row + 0.5 - ay[edge]) / (by[edge] - ay[edge]) * (bx[edge] - ax[edge])
    order = np.lexsort((x, row, ring_object[edge]))
    starts, ends = order[0::2], order[1::2]
    return owner[edge[starts]] * (GLYPH_ROWS * SAMPLES) + row[starts], x[starts], x[ends]


def _coverage(rows: Integers, starts: Floats, ends: Floats, count: int) -> NDArray[np.float32]:
    """Share of each pixel covered by the union of the spans, shape (count, 32, 24)."""
    starts = np.clip(starts, 0.0, GLYPH_COLUMNS)
    ends = np.clip(ends, 0.0, GLYPH_COLUMNS)
    wide = GLYPH_COLUMNS + 1.0  # rows laid end to end, so that one running maximum serves all
    order = np.argsort(rows * wide + starts, kind="stable")
    rows, starts, ends = rows[order], starts[order], ends[order]
    reached = np.maximum.accumulate(rows * wide + ends)
    before = np.concatenate(([-wide], reached[:-1])) - rows * wide
    starts = np.maximum(starts, before)
    kept = ends > starts
    rows, starts, ends = rows[kept], starts[kept], ends[kept]
    cells = GLYPH_COLUMNS + 2
    picture_row = rows // SAMPLES * cells
    total = np.zeros(count * GLYPH_ROWS * cells)
    for at, sign in ((starts, 1.0), (ends, -1.0)):
        column = np.floor(at).astype(np.int64)
        part = at - column
        total += sign * np.bincount(picture_row + column, 1 - part, len(total))
        total += sign * np.bincount(picture_row + column + 1, part, len(total))
    cover = np.cumsum(total.reshape(count, GLYPH_ROWS, cells), axis=2)[:, :, :GLYPH_COLUMNS] / SAMPLES
    return np.clip(cover, 0.0, 1.0).astype(np.float32)


def stroke_widths(glyphs: Glyphs, pictures: NDArray[np.float32]) -> Floats:
    """Stroke width of each glyph in millimetres, shape (n,), good to some ten per cent.

    The pen, weighted by length, where it is drawn with bars; for filled ink twice its area over its perimeter.
    """
    count = len(glyphs)
    dark = glyphs.bar_layer % 2 == 0
    owner, radius = glyphs.bar_glyph[dark], glyphs.radius[dark]
    # A dot has no length, yet its pen must count.
    weight = np.hypot(glyphs.x1 - glyphs.x0, glyphs.y1 - glyphs.y0)[dark] + radius
    weights = np.bincount(owner, weight, count)
    pens = np.bincount(owner, weight * 2 * radius, count)
    perimeter = np.bincount(glyphs.edge_glyph, np.hypot(glyphs.bx - glyphs.ax, glyphs.by - glyphs.ay), count)
    with np.errstate(divide="ignore", invalid="ignore"):
        area = pictures.sum(axis=(1, 2)) / picture_scale(glyphs) ** 2
        return np.where(weights > 0, pens / weights, np.where(perimeter > 0, 2 * area / perimeter, 0.0))
