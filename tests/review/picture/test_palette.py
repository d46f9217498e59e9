"""The palette holds what a board may look like, and finds the nearest colour to any."""

import numpy as np
import pytest

from labelcheck.board.board import Appearance
from labelcheck.review.picture.colours import INK, LOST, PAPER, SEVERITY_STYLES, TABLE, materials_of
from labelcheck.review.picture.palette import COPPER_BITS, INK_BITS, OPENING_BITS, palette_of

LOOKS = [Appearance(mask, None, finish) for mask, finish in
         (("green", None), ("white", "HAL"), ("black", "ENIG"), ("red", "OSP"), ("blue", None), ("yellow", None))]


def blend_number(void: int, ink: int, opening: int, copper: int) -> int:
    return (((void << INK_BITS | ink) << OPENING_BITS) | opening) << COPPER_BITS | copper


@pytest.mark.parametrize("look", LOOKS)
def test_pure_materials_are_exact(look: Appearance) -> None:
    materials = materials_of(look)
    palette = palette_of(materials)
    for number, colour in (
        (blend_number(0, 0, 0, 0), materials.mask), (blend_number(0, 0, 0, 3), materials.mask_over_copper),
        (blend_number(0, 7, 0, 0), materials.ink), (blend_number(0, 7, 0, 3), materials.ink),
        (blend_number(0, 0, 3, 0), materials.laminate), (blend_number(0, 0, 3, 3), materials.metal),
        (blend_number(3, 0, 0, 0), TABLE), (blend_number(3, 0, 3, 3), TABLE),
    ):
        assert tuple(palette.colours[palette.blends[number]]) == colour
    for colour in (PAPER, INK, TABLE, LOST, *(style.fill for style in SEVERITY_STYLES.values())):
        assert tuple(palette.colours[palette.index(colour)]) == colour


@pytest.mark.parametrize("look", LOOKS)
def test_lost_ink_shows_over_openings_and_off_the_board(look: Appearance) -> None:
    palette = palette_of(materials_of(look))
    for number in (blend_number(0, 7, 3, 3), blend_number(0, 7, 3, 0), blend_number(3, 7, 0, 0)):
        red, green, blue = palette.colours[palette.blends[number]].astype(int)
        assert min(red, blue) - green > 60


@pytest.mark.parametrize("look", LOOKS)
def test_half_covered_lies_between(look: Appearance) -> None:
    materials = materials_of(look)
    palette = palette_of(materials)
    halfway = palette.colours[palette.blends[blend_number(0, 4, 0, 0)]].astype(float)
    wanted = np.array(materials.mask) + (np.array(materials.ink) - np.array(materials.mask)) * 4 / 7
    assert np.abs(halfway - wanted).max() < 16


@pytest.mark.parametrize("look", LOOKS)
def test_the_nearest_colour_is_near(look: Appearance) -> None:
    palette = palette_of(materials_of(look))
    asked = np.random.default_rng(1).integers(0, 256, (400, 3))
    best = np.sqrt(((asked[:, None] - palette.colours[None].astype(int)) ** 2).sum(axis=2)).min(axis=1)
    found = np.sqrt(((asked - palette.colours[palette.nearest(asked)].astype(int)) ** 2).sum(axis=1))
    # Looked up by cells of 16 levels: never further off than a cell is wide from corner to corner.
    assert (found - best).max() <= 16 * np.sqrt(3)


def test_a_ramp_runs_from_ground_to_ink() -> None:
    palette = palette_of(materials_of(LOOKS[0]))
    ramp = palette.colours[palette.ramp(INK, PAPER)].astype(int).sum(axis=1)
    assert ramp[0] == sum(PAPER)
    assert ramp[255] == sum(INK)
    assert (np.diff(ramp) <= 0).all()
    assert len(np.unique(ramp)) >= 8
