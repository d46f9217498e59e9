"""The sheet that everything is drawn on: pixels that hold places in a palette."""

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from labelcheck.review.picture.colours import Colour
from labelcheck.review.picture.lettering import Face
from labelcheck.review.picture.palette import Coverage, Indices, Palette

Integers = NDArray[np.integer]
Pixels = tuple[int, int, int, int]
"""A box in pixels: left, top, one past right, one past bottom."""
Point = tuple[float, float]
"""x to the right, y down, in pixels."""


class Canvas:
    """A picture in the making; the only thing here that changes while it is worked on."""

    def __init__(self, width: int, height: int, palette: Palette, ground: Colour) -> None:
        self.palette = palette
        self.pixels: Indices = np.full((height, width), palette.index(ground), dtype=np.uint8)
        self._ramps: dict[tuple[Colour, Colour], Indices] = {}
        self._places: dict[Colour, int] = {}

    @property
    def width(self) -> int:
        """In pixels."""
        return self.pixels.shape[1]

    @property
    def height(self) -> int:
        """In pixels."""
        return self.pixels.shape[0]

    def index(self, colour: Colour) -> int:
        """The place of a colour in the palette."""
        place = self._places.get(colour)
        if place is None:
            place = self._places[colour] = self.palette.index(colour)
        return place

    def image(self) -> Image.Image:
        """The finished picture, with its palette."""
        picture = Image.fromarray(self.pixels)
        picture.putpalette(self.palette.colours.tobytes())
        return picture

    def fill(self, box: Pixels, colour: Colour) -> None:
        """A plain rectangle; what lies beyond the canvas is left out."""
        left, top, right, bottom = (max(edge, 0) for edge in box)
        self.pixels[top:bottom, left:right] = self.index(colour)

    def frame(self, box: Pixels, thickness: int, colour: Colour) -> None:
        """The border of a rectangle, inside of its box."""
        left, top, right, bottom = box
        self.fill((left, top, right, top + thickness), colour)
        self.fill((left, bottom - thickness, right, bottom), colour)
        self.fill((left, top, left + thickness, bottom), colour)
        self.fill((right - thickness, top, right, bottom), colour)

    def place(self, part: Indices, left: int, top: int) -> None:
        """Put ready pixels somewhere; what lies beyond the canvas is left out."""
        window, seen = self._window(part.shape, left, top)
        self.pixels[window] = part[seen]

    def write(self, at: tuple[int, int], text: str, letters: Face, colours: tuple[Colour, Colour],
              bold: bool = False) -> int:
        """A line of text whose upper left corner is `at`, in (ink, ground) colours; how many pixels it is wide.

        The ground is what the text stands on, which must be plain there.
        """
        cover = letters.cover(text, bold)
        ramp = self._ramps.get(colours)
        if ramp is None:
            ramp = self._ramps[colours] = self.palette.ramp(*colours)
        window, seen = self._window(cover.shape, *at)
        inked = cover[seen]
        part = self.pixels[window]
        np.copyto(part, ramp[inked], where=inked > 0)
        return cover.shape[1]

    def blend(self, cover: Coverage, left: int, top: int, colour: Colour) -> None:
        """Lay a colour over whatever is there, as far as `cover` (h, w) says, 0 to 255."""
        window, seen = self._window(cover.shape, left, top)
        part = self.pixels[window]
        share = cover[seen]
        inside = share == 255
        part[inside] = self.index(colour)
        rim = (share > 0) & ~inside
        below = self.palette.colours[part[rim]].astype(np.int32)
        weight = share[rim].astype(np.int32)[:, None]
        part[rim] = self.palette.nearest(below + (np.array(colour) - below) * weight // 255)

    def blend_points(self, places: tuple[Integers, Integers], share: Integers, colour: Colour) -> None:
        """Lay a colour over single pixels (rows, columns), as far as `share` says, 0 to 255; none off the canvas."""
        rows, columns = places
        seen = (rows >= 0) & (rows < self.height) & (columns >= 0) & (columns < self.width) & (share > 0)
        rows, columns, share = rows[seen], columns[seen], share[seen]
        below = self.palette.colours[self.pixels[rows, columns]].astype(np.int32)
        mixed = self.palette.nearest(below + (np.array(colour) - below) * share[:, None] // 255)
        self.pixels[rows, columns] = np.where(share == 255, np.uint8(self.index(colour)), mixed)

    def line(self, start: Point, end: Point, thickness: float, colour: Colour) -> None:
        """A straight line with smooth edges and blunt ends."""
        (x0, y0), (x1, y1) = start, end
        steep = abs(y1 - y0) > abs(x1 - x0)
        if steep:
            x0, y0, x1, y1 = y0, x0, y1, x1
        if x0 > x1:
            x0, y0, x1, y1 = x1, y1, x0, y0
        along = np.arange(round(x0), round(x1) + 1)
        slope = (y1 - y0) / (x1 - x0) if x1 > x0 else 0.0
        middle = y0 + (along - x0) * slope
        reach = int(np.ceil(thickness * np.hypot(1, slope) / 2)) + 1
        across = np.floor(middle).astype(np.int64)[:, None] + np.arange(-reach, reach + 1)[None, :]
        distance = np.abs(across - middle[:, None]) / np.hypot(1, slope)
        share = np.clip(thickness / 2 + 0.5 - distance, 0, 1) * 255
        rows, columns = (np.broadcast_to(along[:, None], across.shape), across) if steep else (
            across, np.broadcast_to(along[:, None], across.shape))
        self._dots(rows.reshape(-1), columns.reshape(-1), share.reshape(-1).astype(np.int32), colour)

    def _dots(self, rows: NDArray[np.int64], columns: NDArray[np.int64], share: NDArray[np.int32],
              colour: Colour) -> None:
        """Blend single pixels, each at most once."""
        seen = (share > 0) & (rows >= 0) & (rows < self.height) & (columns >= 0) & (columns < self.width)
        rows, columns, share = rows[seen], columns[seen], share[seen][:, None]
        below = self.palette.colours[self.pixels[rows, columns]].astype(np.int32)
        mixed = self.palette.nearest(below + (np.array(colour) - below) * share // 255)
        self.pixels[rows, columns] = np.where(share[:, 0] == 255, self.index(colour), mixed)

    def _window(self, shape: tuple[int, ...], left: int, top: int) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
        """The part of the canvas that a picture of that shape covers, and the part of the picture that is seen."""
        first_row, first_column = max(-top, 0), max(-left, 0)
        last_row = max(min(shape[0], self.height - top), first_row)
        last_column = max(min(shape[1], self.width - left), first_column)
        canvas = (slice(top + first_row, top + last_row), slice(left + first_column, left + last_column))
        return canvas, (slice(first_row, last_row), slice(first_column, last_column))
