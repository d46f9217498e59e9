"""Ink on a bitmap as a glyph picture, for what is known only as pixels: outlines in training, ink as printed."""

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.protocol import GLYPH_COLUMNS, GLYPH_ROWS

MARGIN = 1
"""Clear pixels around the ink, as in the pictures that `labels.glyphs` draws."""


def fitted(ink: NDArray[np.float32]) -> NDArray[np.float32]:
    """A tight picture of ink (rows, columns), 0 to 1, row 0 on top, as a glyph picture (32, 24), centred.

    Each pixel of the result is the exact mean of what it covers.
    """
    rows, columns = ink.shape
    scale = min((GLYPH_COLUMNS - 2 * MARGIN) / columns, (GLYPH_ROWS - 2 * MARGIN) / rows)
    return np.asarray(_coverage(rows, GLYPH_ROWS, scale) @ ink @ _coverage(columns, GLYPH_COLUMNS, scale).T)


def _coverage(pixels: int, cells: int, scale: float) -> NDArray[np.float32]:
    """Share (cells, pixels) of each cell that each pixel covers when scaled and centred."""
    edges = (np.arange(pixels + 1) - pixels / 2) * scale + cells / 2
    cell = np.arange(cells)[:, None]
    overlap = np.minimum(edges[1:], cell + 1) - np.maximum(edges[:-1], cell)
    return np.clip(overlap, 0, None).astype(np.float32)
