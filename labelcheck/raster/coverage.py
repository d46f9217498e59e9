"""How much of each picture pixel is inked, for pictures that people look at. Row 0 is the top."""

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.lattice import Grid
from labelcheck.raster.rendering import ink_in_bands, scene_of
from labelcheck.raster.runs import Box
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import Shapes

ROWS_PER_PIXEL = 4
COLUMNS_PER_PIXEL = 16
MOST_PIXELS_A_SIDE = 20_000


def coverage(shapes: Shapes, box_mm: Box, pixels_per_mm: float) -> NDArray[np.uint8]:
    """Share of each pixel that is inked, 0 to 255, shape (height, width); row 0 lies at the highest y.

    Pixel (0, 0) has its upper left corner at (x0, y1) of the box; sizes are rounded to whole pixels, at least one.
    Exact to a sixteenth of a pixel across and a quarter upwards. Raises RasterTooLarge for absurd sizes.
    """
    x0, y0, x1, y1 = box_mm
    width = max(round((x1 - x0) * pixels_per_mm), 1)
    height = max(round((y1 - y0) * pixels_per_mm), 1)
    if max(width, height) > MOST_PIXELS_A_SIDE:
        raise RasterTooLarge(f"A picture of {width} x {height} pixels is too large. Ask for fewer pixels a mm.")
    pixel = 1 / pixels_per_mm
    low_y = y1 - height * pixel
    clip = (x0, low_y, x0 + width * pixel, y1)
    grid = Grid(pixel / ROWS_PER_PIXEL, pixel / COLUMNS_PER_PIXEL, x0, low_y)
    scene = scene_of(shapes, np.zeros(len(shapes), dtype=np.int64), 1, grid, clip)
    lattice = scene.lattice
    row, column = int(lattice.first_row[0]), int(lattice.first_column[0])
    # Running sums along a row: a run adds, from its start on, COLUMNS_PER_PIXEL to every pixel, less in its first.
    change = np.zeros((height, width + 2), dtype=np.int16)
    flat = change.reshape(-1)
    for low, _, (start, end) in ink_in_bands(scene, shapes):
        line = (start >> lattice.shift).astype(np.int64)
        upwards = (line + low + row) // ROWS_PER_PIXEL
        base = (height - 1 - np.clip(upwards, 0, height - 1)) * (width + 2)
        for places, sign in ((start, 1), (end, -1)):
            x = places - (line << lattice.shift) + column
            whole, part = x // COLUMNS_PER_PIXEL, x % COLUMNS_PER_PIXEL
            np.add.at(flat, base + whole, (sign * (COLUMNS_PER_PIXEL - part)).astype(np.int16))
            np.add.at(flat, base + whole + 1, (sign * part).astype(np.int16))
    covered = np.cumsum(change, axis=1, dtype=np.int16)[:, :width]
    full = ROWS_PER_PIXEL * COLUMNS_PER_PIXEL
    return ((covered * np.int16(255) + np.int16(full // 2)) // np.int16(full)).astype(np.uint8)
