"""Small pictures of glyphs for a reader: exact along a row, sampled four times a pixel across rows.

The reader's training draws its glyphs here too, so that it learns what it will see. Reading a board draws thousands
of them on every save, so spans of ink are packed into whole numbers, which sort several times faster than pairs.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.glyphs import Glyphs, spread
from labelcheck.labels.reading.protocol import GLYPH_COLUMNS, GLYPH_ROWS
from labelcheck.raster.intervals import merge
from labelcheck.trade.shapes import Floats, Integers

SAMPLES = 4
"""Rows sampled a pixel."""
MARGIN = 1.0
"""Clear pixels around the ink."""
AT_ONCE = 64
"""Glyphs a pass: what stays in a processor's cache."""
_ROWS = GLYPH_ROWS * SAMPLES
_FINE = 1024
"""Parts of a pixel that the ends of spans are rounded to."""
_FINE_BITS = 15
"""Enough for a row of fine parts."""
_LAST = GLYPH_COLUMNS * _FINE
_FINE_MASK = (1 << _FINE_BITS) - 1
_FLAT = 1e-9
"""Rise, in samples, of a bar that is level; keeps a division from a zero."""


@dataclass(frozen=True, slots=True, eq=False)
class _Spans:
    """Ink on sampled rows: `row` (k,) over all glyphs, `start`, `end` (k,) in fine parts from the left, whole."""

    row: Integers
    start: Integers
    end: Integers


def picture_scale(glyphs: Glyphs) -> Floats:
    """Pixels a millimetre in the picture of each glyph, shape (n,); 0 where there is no ink."""
    width, height = glyphs.box[:, 2] - glyphs.box[:, 0], glyphs.box[:, 3] - glyphs.box[:, 1]
    with np.errstate(divide="ignore"):
        scale = np.minimum((GLYPH_COLUMNS - 2 * MARGIN) / width, (GLYPH_ROWS - 2 * MARGIN) / height)
    return np.where(np.isfinite(scale), scale, 0.0)


def draw_glyphs(glyphs: Glyphs) -> NDArray[np.float32]:
    """Pictures (n, 32, 24) float32: ink 1, clear 0, row 0 on top, edges in shades by the area covered."""
    pictures = np.zeros((len(glyphs), GLYPH_ROWS, GLYPH_COLUMNS), dtype=np.float32)
    first = np.arange(0, len(glyphs), AT_ONCE)
    cuts = [np.searchsorted(owner, np.append(first, len(glyphs))) for owner in (glyphs.bar_glyph, glyphs.edge_glyph)]
    for place, start in enumerate(first.tolist()):
        bars, edges = (slice(cut[place], cut[place + 1]) for cut in cuts)
        _draw(_part(glyphs, slice(start, start + AT_ONCE), bars, edges), pictures[start : start + AT_ONCE])
    return pictures


def _part(glyphs: Glyphs, chosen: slice, bars: slice, edges: slice) -> Glyphs:
    """Glyphs one after the other, with the bars and edges that are theirs."""
    of_bars = {name: getattr(glyphs, name)[bars] for name in ("bar_layer", "x0", "y0", "x1", "y1", "radius")}
    of_edges = {name: getattr(glyphs, name)[edges] for name in ("edge_layer", "edge_object", "ax", "ay", "bx", "by")}
    return Glyphs(
        box=glyphs.box[chosen],
        bar_glyph=glyphs.bar_glyph[bars] - chosen.start, edge_glyph=glyphs.edge_glyph[edges] - chosen.start,
        **of_bars, **of_edges,
    )


def _draw(glyphs: Glyphs, pictures: NDArray[np.float32]) -> None:
    """Draw some glyphs into their pictures, which are clear."""
    count = len(glyphs)
    scale = picture_scale(glyphs)
    left = (glyphs.box[:, 0] + glyphs.box[:, 2]) / 2 - GLYPH_COLUMNS / 2 / np.where(scale > 0, scale, 1.0)
    middle = (glyphs.box[:, 1] + glyphs.box[:, 3]) / 2

    def across(x: Floats, glyph: Integers) -> Floats:
        return (x - left[glyph]) * scale[glyph]

    def down(y: Floats, glyph: Integers) -> Floats:
        return (middle[glyph] - y) * scale[glyph] + GLYPH_ROWS / 2

    layers = int(max(glyphs.bar_layer.max(initial=0), glyphs.edge_layer.max(initial=0))) + 1
    for layer in range(layers):
        bars, edges = glyphs.bar_layer == layer, glyphs.edge_layer == layer
        owner, corner = glyphs.bar_glyph[bars], glyphs.edge_glyph[edges]
        drawn = _bar_spans(
            owner,
            (across(glyphs.x0[bars], owner), down(glyphs.y0[bars], owner)),
            (across(glyphs.x1[bars], owner), down(glyphs.y1[bars], owner)),
            glyphs.radius[bars] * scale[owner],
        )
        filled = _ring_spans(
            corner, glyphs.edge_object[edges],
            (across(glyphs.ax[edges], corner), down(glyphs.ay[edges], corner)),
            (across(glyphs.bx[edges], corner), down(glyphs.by[edges], corner)),
        )
        touched = np.zeros(count, dtype=np.bool_)
        touched[owner] = touched[corner] = True
        cover = _coverage((drawn, filled), np.cumsum(touched) - 1, int(touched.sum()))
        if layer % 2 == 0:
            pictures[touched] = np.maximum(pictures[touched], cover)
        else:
            pictures[touched] *= 1 - cover


def _rows_between(low: Floats, high: Floats) -> tuple[Integers, Integers]:
    """First sampled row whose middle lies at or after `low`, and how many lie before `high`, within a picture."""
    first = np.clip(np.ceil(low * SAMPLES - 0.5), 0, _ROWS).astype(np.int64)
    last = np.clip(np.ceil(high * SAMPLES - 0.5), 0, _ROWS).astype(np.int64)
    return first, np.maximum(last - first, 0)


def _fine(x: Floats) -> Integers:
    """Pixels as whole fine parts within a row."""
    parts = x * _FINE
    np.rint(parts, out=parts)
    np.clip(parts, 0, _LAST, out=parts)
    return parts.astype(np.int64)


def _bar_spans(
    owner: Integers, start: tuple[Floats, Floats], end: tuple[Floats, Floats], radius: Floats
) -> _Spans:
    """Spans of each bar; its ends and radius in pixels, y downwards.

    A bar is a disc swept along a line. On a row its right edge is that of the disc whose own right edge there moves
    neither way when it is swept on: in the middle part the one that touches the long side, else that at an end.
    """
    flip = end[1] < start[1]
    x0, x1 = np.where(flip, end[0], start[0]), np.where(flip, start[0], end[0])
    y0, y1 = np.where(flip, end[1], start[1]), np.where(flip, start[1], end[1])
    dx, dy = x1 - x0, y1 - y0
    length = np.hypot(dx, dy)
    # How far above a disc's middle the long side to its right touches it; to its left as far below.
    touch = radius * dx / np.where(length > 0, length, 1.0)
    first, count = _rows_between(y0 - radius, y1 + radius)
    row, bar = spread(first, count), np.repeat(np.arange(len(owner)), count)
    y = (row + 0.5) / SAMPLES - y0[bar]
    steep, lean = 1.0 / np.maximum(dy, _FLAT), touch[bar]
    per_row, dx, dy, square, left = steep[bar], dx[bar], dy[bar], (radius * radius)[bar], x0[bar]
    edges = []
    for outwards in (np.subtract, np.add):
        share = outwards(y, lean)
        share *= per_row
        np.clip(share, 0.0, 1.0, out=share)
        half = share * dy
        np.subtract(y, half, out=half)  # height above the middle of the disc that makes the edge
        half *= half
        np.subtract(square, half, out=half)
        np.maximum(half, 0.0, out=half)
        np.sqrt(half, out=half)
        share *= dx
        outwards(share, half, out=share)
        share += left
        edges.append(_fine(share))
    return _Spans(owner[bar] * _ROWS + row, *edges)


def _ring_spans(
    owner: Integers, ring_object: Integers, start: tuple[Floats, Floats], end: tuple[Floats, Floats]
) -> _Spans:
    """Spans inside the rings, even-odd within one object; their edges in pixels, y downwards."""
    if len(owner) == 0:
        none = np.zeros(0, dtype=np.int64)
        return _Spans(none, none, none)
    fresh = np.diff(ring_object, prepend=ring_object[:1] - 1) != 0
    number, owner_of = np.cumsum(fresh) - 1, owner[fresh]
    rise = end[1] - start[1]
    first, count = _rows_between(np.minimum(start[1], end[1]), np.maximum(start[1], end[1]))
    row, edge = spread(first, count), np.repeat(np.arange(len(owner)), count)
    slope = (end[0] - start[0]) / np.where(rise == 0, 1.0, rise)
    x = start[0][edge] + ((row + 0.5) / SAMPLES - start[1][edge]) * slope[edge]
    packed = np.sort((number[edge] * _ROWS + row) << _FINE_BITS | _fine(x))
    begins, stops = packed[0::2], packed[1::2]
    in_object, row = np.divmod(begins >> _FINE_BITS, _ROWS)
    return _Spans(owner_of[in_object] * _ROWS + row, begins & _FINE_MASK, stops & _FINE_MASK)


def _coverage(spans: tuple[_Spans, ...], place: Integers, count: int) -> NDArray[np.float32]:
    """Share of each pixel covered by the union of all spans, shape (count, 32, 24); `place` of each glyph there."""
    row, start, end = (
        np.concatenate([getattr(some, name) for some in spans]) for name in ("row", "start", "end")
    )
    row += (place[row // _ROWS] - row // _ROWS) * _ROWS
    # Rows laid end to end; 32 bits hold those of a pass, and sort twice as fast.
    packed = (row << _FINE_BITS).astype(np.int32)
    start, end = merge(packed | start.astype(np.int32), packed | end.astype(np.int32))
    base = (start >> _FINE_BITS) // SAMPLES * (GLYPH_COLUMNS + 2)
    ends = np.concatenate((start, end)) & _FINE_MASK
    column = ends // _FINE
    part = (ends - column * _FINE).astype(np.float64)
    whole = np.full(len(part), float(_FINE))
    whole[len(start) :] = -_FINE
    np.negative(part[len(start) :], out=part[len(start) :])
    at = np.concatenate((base, base)) + column
    cells = count * GLYPH_ROWS * (GLYPH_COLUMNS + 2)
    total = np.bincount(at, whole - part, cells)
    total += np.bincount(at + 1, part, cells)
    cover = np.cumsum(total.reshape(count, GLYPH_ROWS, GLYPH_COLUMNS + 2), axis=2)[:, :, :GLYPH_COLUMNS]
    return np.clip(cover * (1.0 / (SAMPLES * _FINE)), 0.0, 1.0).astype(np.float32)


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
