"""How much of each picture pixel is inked, for pictures that people look at. Row 0 is the top.

Shapes are cut into upright strips, some a pixel, so that runs go from the bottom to the top of the picture: then
the running sum that turns the ends of runs into coverage adds whole rows of pixels at once, all layers side by side.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.lattice import Grid
from labelcheck.raster.rendering import ink_in_bands, scene_of
from labelcheck.raster.runs import Box
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import Shapes

FULL = 64
"""What a pixel counts that is inked all over."""
STRIPS = 4
"""Strips a pixel is cut into, where nobody asks for fewer; what a strip counts at most is 64 by their number."""
MOST_PIXELS_A_SIDE = 20_000


def coverage(shapes: Shapes, box_mm: Box, pixels_per_mm: float) -> NDArray[np.uint8]:
    """Share of each pixel that is inked, 0 to 255, shape (height, width); row 0 lies at the highest y.

    Pixel (0, 0) has its upper left corner at (x0, y1) of the box; sizes are rounded to whole pixels, at least one.
    Exact to a quarter of a pixel across and a sixteenth upwards. Raises RasterTooLarge for absurd sizes.
    """
    parts = coverage_in_parts([(shapes, STRIPS)], box_mm, pixels_per_mm)[0]
    # 64 parts become 255, and 256 wraps to 0 on the way: bytes are four times as fast as wider numbers.
    return (parts << 2) - (parts >> 6)


def coverage_in_parts(
    layers: Sequence[tuple[Shapes, int]], box_mm: Box, pixels_per_mm: float
) -> NDArray[np.uint8]:
    """Coverage of several layers at once in parts of 64, shape (layers, height, width), otherwise as `coverage`.

    Each layer comes with the number of strips that a pixel is cut into: 4, or 2 in half the time, exact to half a
    pixel across.
    """
    x0, y0, x1, y1 = box_mm
    width = max(round((x1 - x0) * pixels_per_mm), 1)
    height = max(round((y1 - y0) * pixels_per_mm), 1)
    if max(width, height) > MOST_PIXELS_A_SIDE:
        raise RasterTooLarge(f"A picture of {width} x {height} pixels is too large. Choose fewer pixels per mm.")
    pixel = 1 / pixels_per_mm
    low_y = y1 - height * pixel
    # Counted upwards from the lowest row; two rows more take up what ends at the upper rim.
    change = np.zeros((height + 2, len(layers), width), dtype=np.int8)
    for number, layer in enumerate(layers):
        _mark_ends(change, number, layer, (x0, low_y, x0 + width * pixel, y1), pixel)
    for below, above in pairwise(change[:height]):
        np.add(above, below, out=above)
    return change[height - 1 :: -1].transpose(1, 0, 2).view(np.uint8)


def _mark_ends(change: NDArray[np.int8], number: int, layer: tuple[Shapes, int], clip: Box, pixel_mm: float) -> None:
    """Note what each run adds from its start on and takes away from its end: in its first pixel a part of a strip.

    Sums of a byte may wrap on the way; what is left of them, a pixel's coverage, always fits.
    """
    shapes, strips = layer
    steps = FULL // strips
    x0, y0, x1, y1 = clip
    grid = Grid(pixel_mm / strips, pixel_mm / steps, y0, x0)
    lying = _transposed(shapes)
    scene = scene_of(lying, np.zeros(len(shapes), dtype=np.int64), 1, grid, (y0, x0, y1, x1))
    lattice = scene.lattice
    strip, step = int(lattice.first_row[0]), int(lattice.first_column[0])
    _, layers, width = change.shape
    flat = change.reshape(-1)
    for low, _, (start, end) in ink_in_bands(scene, lying):
        line = start >> lattice.shift
        base = line << lattice.shift
        across = np.clip((line + (low + strip)) // strips, 0, width - 1) + number * width
        for places, add in ((start, np.add), (end, np.subtract)):
            y = places - base + step
            part = (y % steps).astype(np.int8)
            index = (y // steps).astype(np.int64) * (layers * width) + across
            add.at(flat, index, steps - part)
            add.at(flat, index + layers * width, part)


def _transposed(shapes: Shapes) -> Shapes:
    """The same shapes with x and y exchanged."""
    return Shapes(
        kind=shapes.kind, dark=shapes.dark, line=shapes.line, aperture=shapes.aperture, attributes=shapes.attributes,
        bar_object=shapes.bar_object, x0=shapes.y0, y0=shapes.x0, x1=shapes.y1, y1=shapes.x1, width=shapes.width,
        ring_object=shapes.ring_object, ring_start=shapes.ring_start, vx=shapes.vy, vy=shapes.vx,
    )
