"""Glyphs: drawn objects turned upright, and their boxes; thousands of glyphs in one go."""

from dataclasses import dataclass

import numpy as np

from labelcheck.trade.shapes import Flags, Floats, Integers, Shapes


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


def contents_of(glyphs: Glyphs) -> list[bytes]:
    """Of each glyph all that it is drawn with, as bytes: equal where that is equal to the last bit."""
    bars = np.column_stack((
        glyphs.bar_layer, glyphs.x0, glyphs.y0, glyphs.x1, glyphs.y1, glyphs.radius,
    ))  # fmt: skip
    every = np.arange(len(glyphs) + 1)
    bar_first = np.searchsorted(glyphs.bar_glyph, every).tolist()
    edge_first = np.searchsorted(glyphs.edge_glyph, every).tolist()
    # Objects are numbered throughout; what counts is which edges of a glyph are of one object.
    object_first = np.append(glyphs.edge_object, 0)[edge_first[:-1]]
    edges = np.column_stack((
        glyphs.edge_layer, glyphs.edge_object - object_first[glyphs.edge_glyph],
        glyphs.ax, glyphs.ay, glyphs.bx, glyphs.by,
    ))  # fmt: skip
    return [
        b"%d:" % (bar_first[place + 1] - bar_first[place])
        + bars[bar_first[place] : bar_first[place + 1]].tobytes()
        + edges[edge_first[place] : edge_first[place + 1]].tobytes()
        for place in range(len(glyphs))
    ]


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


def turned_back(x: Floats, y: Floats, turned_deg: float, mirrored: bool) -> tuple[Floats, Floats]:
    """Points of a frame in which a label is upright as points of the board: `turn_upright` undone."""
    own_x, own_y = turn_upright(x, y, np.asarray(-turned_deg), mirrored=False)
    return -own_x if mirrored else own_x, own_y


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
