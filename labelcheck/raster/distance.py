"""Exact Euclidean distance to the background of a small bitmap, in numpy alone."""

import numpy as np
from numpy.typing import NDArray

UNREACHED = 30_000
"""Pixels: farther than any background in a window, and its square still fits 32 bits."""
SHORT = 127
"""Pixels: two squares of this still fit 16 bits together, which are twice as fast."""


def distance_to_background(bitmap: NDArray[np.bool_], farthest: float = np.inf) -> NDArray[np.float32]:
    """Distance in pixels from each True pixel's centre to the nearest False pixel's centre; 0 where False.

    Shape (rows, columns) as the bitmap; inf everywhere where there is no background. What lies outside the bitmap
    counts for nothing, so leave a margin around ink. Up to 10,000 pixels a side. Distances up to `farthest` are
    exact, longer ones come out longer than it but no more than that is sure: large filled areas are then quick.

    First the distance within each column, then for each row the least of `column distance² + sideways²`, sideways
    step by step as far as the largest distance still asks for (after Saito and Toriwaki, Pattern Recognition 27,
    1994: the same separation, here without their bookkeeping).
    """
    background = ~bitmap
    if not background.any():
        return np.full(bitmap.shape, np.inf, dtype=np.float32)
    rows = np.arange(bitmap.shape[0], dtype=np.int32)[:, None]
    last = np.maximum.accumulate(np.where(background, rows, np.int32(-UNREACHED)), axis=0)
    following = np.minimum.accumulate(np.where(background, rows, np.int32(2 * UNREACHED))[::-1], axis=0)[::-1]
    column = np.minimum(np.minimum(rows - last, following - rows), np.int32(UNREACHED))
    if int(column.max()) <= SHORT:
        column = column.astype(np.int16)
    squared = column * column
    nearest = squared.copy()
    trial = np.empty_like(squared)
    sideways = 1
    while sideways < bitmap.shape[1] and sideways <= farthest and sideways * sideways < int(nearest.max()):
        step = squared.dtype.type(sideways * sideways)
        part = trial[:, sideways:]
        np.add(squared[:, :-sideways], step, out=part)
        np.minimum(nearest[:, sideways:], part, out=nearest[:, sideways:])
        np.add(squared[:, sideways:], step, out=part)
        np.minimum(nearest[:, :-sideways], part, out=nearest[:, :-sideways])
        sideways += 1
    return np.sqrt(nearest, dtype=np.float32)
