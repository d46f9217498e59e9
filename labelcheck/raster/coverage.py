"""How much of each picture pixel is inked, for pictures that people look at. Row 0 is the top.

Shapes are cut into upright strips, some a pixel, so that runs go from the bottom to the top of the picture: then
the running sum that turns the ends of runs into coverage adds whole rows of pixels at once, all layers side by side.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.intervals import Intervals
from labelcheck.raster.lattice import Grid
from labelcheck.raster.rendering import ink_between, scene_of
from labelcheck.raster.runs import Box
from labelcheck.raster.scanning import Scene
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import Shapes

FULL = 64
"""What a pixel counts that is inked all over."""
STRIPS = 4
"""Strips a pixel is cut into, where nobody asks for fewer; what a strip counts at most is 64 by their number."""
MOST_PIXELS_A_SIDE = 20_000
COLUMNS_AT_ONCE = 512
"""Columns of a picture worked on together: few enough to stay in the processor's cache."""
Layer = tuple[Shapes, int]
"""Shapes, and the number of strips that a pixel is cut into."""


def coverage(shapes: Shapes, box_mm: Box, pixels_per_mm: float) -> NDArray[np.uint8]:
    """Share of each pixel that is inked, 0 to 255, shape (height, width); row 0 lies at the highest y.

    Pixel (0, 0) has its upper left corner at (x0, y1) of the box; sizes are rounded to whole pixels, at least one.
    Exact to a quarter of a pixel across and a sixteenth upwards. Raises RasterTooLarge for absurd sizes.
    """
    parts = coverage_in_parts([(shapes, STRIPS)], box_mm, pixels_per_mm)[0]
    # 64 parts become 255, and 256 wraps to 0 on the way: bytes are four times as fast as wider numbers.
    return (parts << 2) - (parts >> 6)


def coverage_in_parts(layers: Sequence[Layer], box_mm: Box, pixels_per_mm: float) -> NDArray[np.uint8]:
    """Coverage of several layers at once in parts of 64, shape (layers, height, width), otherwise as `coverage`."""
    width, height = picture_size(box_mm, pixels_per_mm)
    whole = np.empty((len(layers), height, width), dtype=np.uint8)
    for first, part in coverage_by_columns(layers, box_mm, pixels_per_mm):
        whole[:, :, first : first + part.shape[2]] = part
    return whole


def picture_size(box_mm: Box, pixels_per_mm: float) -> tuple[int, int]:
    """Width and height of the picture of a box, in pixels."""
    x0, y0, x1, y1 = box_mm
    return max(round((x1 - x0) * pixels_per_mm), 1), max(round((y1 - y0) * pixels_per_mm), 1)


def coverage_by_columns(
    layers: Sequence[Layer], box_mm: Box, pixels_per_mm: float
) -> Iterator[tuple[int, NDArray[np.uint8]]]:
    """As `coverage_in_parts`, some columns after the other: the first of them, and (layers, height, columns).

    Each part is overwritten by the next. A layer comes with the number of strips that a pixel is cut into: 4, or 2 in
    half the time, exact to half a pixel across. Raises RasterTooLarge before the first part, or not at all.
    """
    width, height = picture_size(box_mm, pixels_per_mm)
    if max(width, height) > MOST_PIXELS_A_SIDE:
        raise RasterTooLarge(f"A picture of {width} x {height} pixels is too large. Choose fewer pixels per mm.")
    pixel = 1 / pixels_per_mm
    clip = (box_mm[0], box_mm[3] - height * pixel, box_mm[0] + width * pixel, box_mm[3])
    laid = [_lay(layer, clip, pixel) for layer in layers]
    return _columns(laid, width, height)


def _columns(laid: Sequence["_Laid"], width: int, height: int) -> Iterator[tuple[int, NDArray[np.uint8]]]:
    # Counted upwards from the lowest row; two rows more take up what ends at the upper rim.
    change = np.empty((height + 2, len(laid), min(width, COLUMNS_AT_ONCE)), dtype=np.int8)
    for first in range(0, width, COLUMNS_AT_ONCE):
        count = min(COLUMNS_AT_ONCE, width - first)
        if count < change.shape[2]:
            change = np.empty((height + 2, len(laid), count), dtype=np.int8)
        change.fill(0)
        for number, layer in enumerate(laid):
            _mark_ends(change, number, layer, (first, width))
        for below, above in pairwise(change[:height]):
            np.add(above, below, out=above)
        yield first, change[height - 1 :: -1].transpose(1, 0, 2).view(np.uint8)


@dataclass(frozen=True, slots=True, eq=False)
class _Laid:
    """A layer laid on upright strips."""

    scene: Scene
    lying: Shapes
    strips: int


def _lay(layer: Layer, clip: Box, pixel_mm: float) -> _Laid:
    shapes, strips = layer
    x0, y0, x1, y1 = clip
    grid = Grid(pixel_mm / strips, pixel_mm / (FULL // strips), y0, x0)
    lying = _transposed(shapes)
    return _Laid(scene_of(lying, np.zeros(len(shapes), dtype=np.int64), 1, grid, (y0, x0, y1, x1)), lying, strips)


def _mark_ends(change: NDArray[np.int8], number: int, layer: _Laid, place: tuple[int, int]) -> None:
    """Note what each run adds from its start on and takes away from its end: in its first pixel a part of a strip.

    `place` is the first column of `change` in the picture, and how many columns that has. Sums of a byte may wrap on
    the way; what is left of them, a pixel's coverage, always fits.
    """
    lattice, strips = layer.scene.lattice, layer.strips
    steps = FULL // strips
    strip, step = int(lattice.first_row[0]), int(lattice.first_column[0])
    _, layers, columns = change.shape
    flat = change.reshape(-1)
    first, width = place
    # What lies beyond the picture by rounding belongs to its outermost columns.
    lowest = max(first * strips - strip, 0) if first else 0
    highest = min((first + columns) * strips - strip, lattice.lines) if first + columns < width else lattice.lines
    for low, (start, end) in _ink_between(layer, lowest, highest):
        line = start >> lattice.shift
        base = line << lattice.shift
        across = np.clip((line + (low + strip)) // strips - first, 0, columns - 1) + number * columns
        for places, add in ((start, np.add), (end, np.subtract)):
            y = places - base + step
            part = (y % steps).astype(np.int8)
            index = (y // steps).astype(np.int64) * (layers * columns) + across
            add.at(flat, index, steps - part)
            add.at(flat, index + layers * columns, part)


def _ink_between(layer: _Laid, low: int, high: int) -> Iterator[tuple[int, Intervals]]:
    """Ink of some lines, few enough at a time to have their places in 32 bits."""
    at_once = max((2**31 >> layer.scene.lattice.shift), 1)
    for first in range(low, high, at_once):
        yield first, ink_between(layer.scene, layer.lying, first, min(first + at_once, high))


def _transposed(shapes: Shapes) -> Shapes:
    """The same shapes with x and y exchanged."""
    return Shapes(
        kind=shapes.kind, dark=shapes.dark, line=shapes.line, aperture=shapes.aperture, attributes=shapes.attributes,
        bar_object=shapes.bar_object, x0=shapes.y0, y0=shapes.x0, x1=shapes.y1, y1=shapes.x1, width=shapes.width,
        ring_object=shapes.ring_object, ring_start=shapes.ring_start, vx=shapes.vy, vy=shapes.vx,
    )
