"""Glyph pictures as rows of numbers: how much edge of each direction lies where, how much ink, and the metrics.

Cells of edge directions are the classical features for print (Kimura et al., "Modified quadratic discriminant
functions and the application to Chinese character recognition", IEEE PAMI 9 (1987) 149-153, from memory; here with
rectified projections in place of binned angles, so that no arc tangent is needed).
"""

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.protocol import GLYPH_COLUMNS, GLYPH_ROWS

Rows = NDArray[np.float32]

CELLS_DOWN, CELLS_ACROSS, DIRECTIONS = 8, 6, 8
AT_ONCE = 96
"""Glyphs a pass: what stays in a processor's cache."""


def _pooling(pixels: int, cells: int) -> Rows:
    """Weights (cells, pixels) of overlapping triangular windows, each twice as wide as a cell; rows add up to one."""
    size = pixels / cells
    centres = (np.arange(cells) + 0.5) * size
    away = np.abs((np.arange(pixels) + 0.5)[None, :] - centres[:, None]) / size
    weights = np.clip(1 - away, 0, None)
    return (weights / weights.sum(axis=1, keepdims=True)).astype(np.float32)


_DOWN = _pooling(GLYPH_ROWS, CELLS_DOWN)
_ACROSS = np.ascontiguousarray(_pooling(GLYPH_COLUMNS, CELLS_ACROSS).T)
_ANGLES = np.arange(DIRECTIONS) * (2 * np.pi / DIRECTIONS)
_COSINES, _SINES = np.cos(_ANGLES).astype(np.float32), np.sin(_ANGLES).astype(np.float32)
_NARROW = np.float32(np.cos(np.pi / 4))
"""An edge counts for the directions within 45 degrees of it."""

FEATURES = CELLS_DOWN * CELLS_ACROSS * (DIRECTIONS + 1) + 10


def features(glyphs: Rows, metrics: Rows) -> Rows:
    """Rows of `FEATURES` numbers, float32, each about 0 to 1 or -1 to 1; arguments as in `Reader.read`."""
    rows = np.empty((len(glyphs), FEATURES), dtype=np.float32)
    cells = CELLS_DOWN * CELLS_ACROSS
    for start in range(0, len(glyphs), AT_ONCE):
        part = np.asarray(glyphs[start : start + AT_ONCE], dtype=np.float32)
        into = rows[start : start + AT_ONCE]
        into[:, : cells * DIRECTIONS] = _edges(part).reshape(len(part), -1)
        into[:, cells * DIRECTIONS : cells * (DIRECTIONS + 1)] = (_DOWN @ (part @ _ACROSS)).reshape(len(part), -1)
    rows[:, cells * (DIRECTIONS + 1) :] = _shares(np.asarray(metrics, dtype=np.float32))
    return rows


def _edges(part: Rows) -> Rows:
    """Edge of each direction in each cell, shape (k, directions, cells down, cells across), contrast evened out."""
    padded = np.zeros((len(part), GLYPH_ROWS + 2, GLYPH_COLUMNS + 2), dtype=np.float32)
    padded[:, 1:-1, 1:-1] = part
    across = padded[:, 1:-1, 2:] - padded[:, 1:-1, :-2]
    down = padded[:, 2:, 1:-1] - padded[:, :-2, 1:-1]
    dulled = np.sqrt(across * across + down * down) * _NARROW
    pooled = np.empty((len(part), DIRECTIONS, CELLS_DOWN, CELLS_ACROSS), dtype=np.float32)
    for direction in range(DIRECTIONS):
        along = across * _COSINES[direction]
        along += down * _SINES[direction]
        along -= dulled
        np.maximum(along, 0, out=along)
        pooled[:, direction] = _DOWN @ (along @ _ACROSS)
    # A square root evens out thick and thin pens: thin ink has more edge for its size.
    return np.sqrt(pooled * np.float32(4))


def _shares(metrics: Rows) -> Rows:
    """Ten numbers from the four metrics, bounded, so that absurd sizes do not swamp the rest."""
    width, height, bottom, stroke = np.clip(metrics, -2, 4).T
    aspect = np.log(np.maximum(width, 0.02) / np.maximum(height, 0.02))
    top = bottom + height
    return np.stack(
        (width, height, bottom, top, stroke * 3, aspect, np.abs(height - 1), np.clip((height - 0.85) * 4, -1, 1),
         np.clip(bottom * 4, -1, 1), np.clip((top - 0.85) * 4, -1, 1)), axis=1,
    )
