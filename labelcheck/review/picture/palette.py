"""The 256 colours of one picture: blends of board materials, and shades of everything that is written over them.

A picture with a palette is a third of the size of one in true colour, and is written in a third of the time; what is
seen of the board depends on four coverages only, so that a table of blends makes it in one step.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from labelcheck.review.picture.colours import (
    GREY,
    INK,
    LOST,
    PAPER,
    RELEASED,
    RULE,
    SEVERITY_STYLES,
    TABLE,
    Colour,
    Materials,
)

Indices = NDArray[np.uint8]
Coverage = NDArray[np.uint8]
Floats = NDArray[np.float64]

VOID_BITS, INK_BITS, OPENING_BITS, COPPER_BITS = 2, 3, 2, 2
"""Steps of coverage that are told apart, from the highest bits of a blend's number to the lowest."""

_LOST_INK = 0.8
"""How strongly ink that is not printed shows in its place."""
_BOARD_COLOURS = 150
_STEPS = 10
"""Shades between two colours; enough for the edges of letters."""
_RAMPS: tuple[tuple[Colour, Colour], ...] = (
    (INK, PAPER), (GREY, PAPER), (INK, TABLE), (RELEASED, PAPER),
    *((style.text, style.fill) for style in SEVERITY_STYLES.values()),
    *((style.edge, style.fill) for style in SEVERITY_STYLES.values()),
    *((style.edge, PAPER) for style in SEVERITY_STYLES.values()),
)
_RAMP_STEPS = 32
_CUBE_BITS = 4
"""Bits of red, green and blue by which the nearest colour is looked up."""


@dataclass(frozen=True, slots=True, eq=False)
class Palette:
    """Colours, and tables that find them.

    `colours` (256, 3) uint8; `blends` (512,) uint8: colour of each combination of void, ink, opening and copper;
    `cube` (4096,) uint8: the nearest colour to any.
    """

    colours: Indices
    blends: Indices
    cube: Indices

    def index(self, colour: Colour) -> int:
        """The place of a colour that the palette holds, else of its nearest."""
        distance = ((self.colours.astype(np.int64) - np.array(colour)) ** 2).sum(axis=1)
        return int(distance.argmin())

    def nearest(self, colours: NDArray[np.integer]) -> Indices:
        """The nearest colour of the palette to each of `colours` (…, 3), 0 to 255."""
        high = np.asarray(colours, dtype=np.int64) >> (8 - _CUBE_BITS)
        return self.cube[(high[..., 0] << 2 * _CUBE_BITS) | (high[..., 1] << _CUBE_BITS) | high[..., 2]]

    def ramp(self, ink: Colour, ground: Colour) -> Indices:
        """256 colours from the ground (coverage 0) to the ink (coverage 255)."""
        share = np.linspace(0, 1, _RAMP_STEPS)[:, None]
        steps = _closest(np.array(ground) * (1 - share) + np.array(ink) * share, self.colours)
        return steps[np.round(np.linspace(0, _RAMP_STEPS - 1, 256)).astype(np.int64)]


@lru_cache(maxsize=4)
def palette_of(materials: Materials) -> Palette:
    """The palette for boards of these materials; made once for both sides."""
    blends = _blends(materials)
    sheet = _sheet_colours()
    board = _few(blends, 256 - len(sheet), _BOARD_COLOURS)
    colours = np.zeros((256, 3), dtype=np.uint8)
    used = np.concatenate([sheet, board])
    colours[: len(used)] = used
    colours[len(used):] = PAPER
    return Palette(colours, _closest(blends, colours), _cube(colours))


def _blends(materials: Materials) -> Floats:
    """The colour of each combination of coverages, (512, 3)."""
    void, ink, opening, copper = np.meshgrid(
        *(np.linspace(0, 1, 2**bits) for bits in (VOID_BITS, INK_BITS, OPENING_BITS, COPPER_BITS)), indexing="ij"
    )

    def mixed(below: Floats | Colour, above: Floats | Colour, share: Floats) -> Floats:
        return np.asarray(below) * (1 - share[..., None]) + np.asarray(above) * share[..., None]

    covered = mixed(materials.mask, materials.mask_over_copper, copper)
    printed = mixed(covered, materials.ink, ink)
    bare = mixed(mixed(materials.laminate, materials.metal, copper), LOST, ink * _LOST_INK)
    board = mixed(printed, bare, opening)
    return mixed(board, mixed(TABLE, LOST, ink * _LOST_INK), void).reshape(-1, 3)


def _sheet_colours() -> Indices:
    """Everything that is drawn beside and over the board, with the shades between, each colour once."""
    shades = [np.array([PAPER, TABLE, RULE, LOST, INK], dtype=np.float64)]
    for ink, ground in _RAMPS:
        share = np.linspace(0, 1, _STEPS)[:, None]
        shades.append(np.array(ground) * (1 - share) + np.array(ink) * share)
    return np.unique(np.concatenate(shades).round().astype(np.uint8), axis=0)


def _few(blends: Floats, most: int, wanted: int) -> Indices:
    """Not more than `wanted` colours (and not more than there is room for) that lie near all blends.

    Colours are taken from a grid that becomes coarser until they are few enough; pure materials are kept exactly.
    """
    bits = (VOID_BITS, INK_BITS, OPENING_BITS, COPPER_BITS)
    shape = tuple(2**bit for bit in bits)
    corners = blends.reshape(*shape, 3)[tuple(slice(None, None, size - 1) for size in shape)].reshape(-1, 3)
    pure = np.unique(corners.round().astype(np.uint8), axis=0)
    for step in range(4, 128, 2):
        grid = np.unique((blends / step).round() * step, axis=0)
        if len(grid) + len(pure) <= min(most, wanted):
            break
    return np.concatenate([pure, np.clip(grid, 0, 255).astype(np.uint8)])


def _closest(wanted: Floats, colours: Indices) -> Indices:
    """The colour nearest to each one wanted, (n, 3) to (n,)."""
    held = colours.astype(np.float32)
    asked = wanted.astype(np.float32)
    distance = (held**2).sum(axis=1)[None, :] - 2 * asked @ held.T
    return distance.argmin(axis=1).astype(np.uint8)


def _cube(colours: Indices) -> Indices:
    """The nearest colour to the middle of each cell of the cube of all colours; held ones keep their own cell."""
    steps = (np.arange(2**_CUBE_BITS) + 0.5) * 2 ** (8 - _CUBE_BITS)
    red, green, blue = np.meshgrid(steps, steps, steps, indexing="ij")
    cube = _closest(np.stack([red, green, blue], axis=-1).reshape(-1, 3), colours)
    for colour in (PAPER, TABLE, INK):
        high = np.array(colour) >> (8 - _CUBE_BITS)
        cell = int((high[0] << 2 * _CUBE_BITS) | (high[1] << _CUBE_BITS) | high[2])
        cube[cell] = _closest(np.array([colour], dtype=np.float64), colours)[0]
    return cube
