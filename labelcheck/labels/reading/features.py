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

_CELLS = CELLS_DOWN * CELLS_ACROSS
OF_PICTURE = _CELLS * (DIRECTIONS + 1)
"""Features that the picture alone gives; they come first."""
OF_METRICS = 10
FEATURES = OF_PICTURE + OF_METRICS


def _turned_over() -> NDArray[np.int64]:
    """Where each feature of a picture turned upside down stands among those of the picture as it is."""
    places = np.arange(OF_PICTURE).reshape(DIRECTIONS + 1, CELLS_DOWN, CELLS_ACROSS)[:, ::-1, ::-1]
    opposite = [*((direction + DIRECTIONS // 2) % DIRECTIONS for direction in range(DIRECTIONS)), DIRECTIONS]
    return places[opposite].reshape(-1)


TURNED_OVER = _turned_over()
"""Cells and directions are symmetric: features of a picture upside down are those of the picture, moved about."""


def features(glyphs: Rows, metrics: Rows) -> Rows:
    """Rows of `FEATURES` numbers, float32, each about 0 to 1 or -1 to 1; arguments as in `Reader.read`."""
    return np.hstack((picture_features(glyphs), metric_features(metrics)))


def picture_features(glyphs: Rows) -> Rows:
    """What pictures (n, 32, 24) alone give, shape (n, `OF_PICTURE`): edges of each direction, then ink."""
    rows = np.empty((len(glyphs), DIRECTIONS + 1, CELLS_DOWN, CELLS_ACROSS), dtype=np.float32)
    for start in range(0, len(glyphs), AT_ONCE):
        part = np.asarray(glyphs[start : start + AT_ONCE], dtype=np.float32)
        into = rows[start : start + AT_ONCE]
        _edges(part, into)
    return rows.reshape(len(glyphs), OF_PICTURE)


def _edges(part: Rows, into: Rows) -> None:
    """Edge of each direction in each cell, contrast evened out, and the ink; rows of pixels first, for speed."""
    count = len(part)
    padded = np.zeros((GLYPH_ROWS + 2, count, GLYPH_COLUMNS + 2), dtype=np.float32)
    padded[1:-1, :, 1:-1] = part.transpose(1, 0, 2)
    across = padded[1:-1, :, 2:] - padded[1:-1, :, :-2]
    down = padded[2:, :, 1:-1] - padded[:-2, :, 1:-1]
    dulled = np.sqrt(across * across + down * down) * _NARROW
    for direction in range(DIRECTIONS // 2):
        along = across * _COSINES[direction]
        along += down * _SINES[direction]
        for way, signed in ((direction, along), (direction + DIRECTIONS // 2, -along)):
            into[:, way] = _pooled(np.maximum(signed - dulled, 0))
    # A square root evens out thick and thin pens: thin ink has more edge for its size.
    into[:, :DIRECTIONS] = np.sqrt(into[:, :DIRECTIONS] * np.float32(4))
    into[:, DIRECTIONS] = _pooled(np.ascontiguousarray(padded[1:-1, :, 1:-1]))


def _pooled(pixels: Rows) -> Rows:
    """Means over cells, shape (n, cells down, cells across), of pixels (rows, n, columns)."""
    count = pixels.shape[1]
    columns = pixels.reshape(GLYPH_ROWS * count, GLYPH_COLUMNS) @ _ACROSS
    cells = _DOWN @ columns.reshape(GLYPH_ROWS, count * CELLS_ACROSS)
    return cells.reshape(CELLS_DOWN, count, CELLS_ACROSS).transpose(1, 0, 2)


def metric_features(metrics: Rows) -> Rows:
    """`OF_METRICS` numbers from the four metrics, bounded, so that absurd sizes do not swamp the rest."""
    width, height, bottom, stroke = np.clip(np.asarray(metrics, dtype=np.float32), -2, 4).T
    aspect = np.log(np.maximum(width, 0.02) / np.maximum(height, 0.02))
    top = bottom + height
    return np.stack(
        (width, height, bottom, top, stroke * 3, aspect, np.abs(height - 1), np.clip((height - 0.85) * 4, -1, 1),
         np.clip(bottom * 4, -1, 1), np.clip((top - 0.85) * 4, -1, 1)), axis=1,
    )
