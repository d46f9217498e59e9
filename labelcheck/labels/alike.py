"""Glyphs that are the same drawing: read once, drawn once, measured once."""

import numpy as np

from labelcheck.labels.glyphs import Glyphs
from labelcheck.labels.ink import scattered
from labelcheck.trade.shapes import Floats, Integers

QUANTUM_MM = 0.005
"""The same character at another place differs by the file's rounding: 2.5 µm in inch files with four decimals."""


def alike(glyphs: Glyphs) -> tuple[Integers, Integers]:
    """The first glyph of each kind, ascending, shape (u,); and the kind of every glyph, shape (n,)."""
    count = len(glyphs)
    keys = np.zeros(count, dtype=np.uint64)

    def whole(length: Floats) -> np.ndarray:
        return np.round(length / QUANTUM_MM).astype(np.int64).view(np.uint64)

    left, low = glyphs.box[:, 0], glyphs.box[:, 1]
    owner = glyphs.bar_glyph
    x0, x1 = whole(glyphs.x0 - left[owner]), whole(glyphs.x1 - left[owner])
    y0, y1 = whole(glyphs.y0 - low[owner]), whole(glyphs.y1 - low[owner])
    swapped = (x1 < x0) | ((x1 == x0) & (y1 < y0))
    ends = [np.where(swapped, b, a) for a, b in ((x0, x1), (y0, y1), (x1, x0), (y1, y0))]
    np.add.at(keys, owner, scattered([*ends, whole(glyphs.radius * 20), glyphs.bar_layer.view(np.uint64)]))
    corner = glyphs.edge_glyph
    vertex = [whole(glyphs.ax - left[corner]), whole(glyphs.ay - low[corner]), glyphs.edge_layer.view(np.uint64)]
    np.add.at(keys, corner, scattered(vertex))
    _, first, kind = np.unique(keys, return_index=True, return_inverse=True)
    order = np.argsort(first, kind="stable")
    rank = np.argsort(order, kind="stable")
    return first[order], rank[kind]


def some_glyphs(glyphs: Glyphs, chosen: Integers) -> Glyphs:
    """The chosen glyphs only, ascending and renumbered."""
    place = np.full(len(glyphs), -1)
    place[chosen] = np.arange(len(chosen))
    bars, edges = place[glyphs.bar_glyph] >= 0, place[glyphs.edge_glyph] >= 0
    return Glyphs(
        box=glyphs.box[chosen],
        bar_glyph=place[glyphs.bar_glyph[bars]], bar_layer=glyphs.bar_layer[bars],
        x0=glyphs.x0[bars], y0=glyphs.y0[bars], x1=glyphs.x1[bars], y1=glyphs.y1[bars], radius=glyphs.radius[bars],
        edge_glyph=place[glyphs.edge_glyph[edges]], edge_layer=glyphs.edge_layer[edges],
        edge_object=glyphs.edge_object[edges],
        ax=glyphs.ax[edges], ay=glyphs.ay[edges], bx=glyphs.bx[edges], by=glyphs.by[edges],
    )
