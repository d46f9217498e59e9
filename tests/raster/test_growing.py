"""Growing and shrinking by a disc, against scipy's binary morphology."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage

from labelcheck.raster.growing import grown, shrunk
from labelcheck.raster.rendering import render
from labelcheck.raster.runs import Runs, area_mm2
from labelcheck.raster.windows import Window, to_bitmap, to_bitmaps
from labelcheck.trade.shapes import Shapes, bars

PITCH = 0.01
Bitmaps = Callable[[int, int], tuple[NDArray[np.bool_], list[Runs], Window]]


def disc(radius: float) -> NDArray[np.bool_]:
    reach = np.arange(-9, 10)
    return np.asarray(np.hypot(reach[:, None], reach[None, :]) <= radius + 1e-9)


@pytest.mark.parametrize("radius", [0.0, 0.9, 1.0, 1.5, 2.0, 3.7, 5.0, 8.0])
@pytest.mark.parametrize("seed", [2, 3, 7])
def test_growing_and_shrinking_are_those_of_morphology(radius: float, seed: int, random_bitmaps: Bitmaps) -> None:
    bitmaps, inks, window = random_bitmaps(seed, 2)
    for bitmap, ink in zip(bitmaps, inks, strict=True):
        larger = to_bitmap(grown(ink, radius * PITCH), window)
        assert np.array_equal(larger, ndimage.binary_dilation(bitmap, disc(radius)))
        smaller = to_bitmap(shrunk(ink, radius * PITCH), window)
        assert np.array_equal(smaller, ndimage.binary_erosion(bitmap, disc(radius)))


def test_growing_reaches_beyond_the_window_it_came_from(random_bitmaps: Bitmaps) -> None:
    bitmaps, (ink,), window = random_bitmaps(3, 1)
    wider = Window(window.row - 9, window.column - 9, window.rows + 18, window.columns + 18)
    expected = ndimage.binary_dilation(np.pad(bitmaps[0], 9), disc(6))
    assert np.array_equal(to_bitmap(grown(ink, 6 * PITCH), wider), expected)


def test_groups_stay_apart(random_bitmaps: Bitmaps, grouped: Callable[[list[Runs]], Runs]) -> None:
    bitmaps, parts, window = random_bitmaps(5, 3)
    larger = to_bitmaps(grown(grouped(parts), 3 * PITCH), 3, window)
    smaller = to_bitmaps(shrunk(grouped(parts), PITCH), 3, window)
    for bitmap, more, less in zip(bitmaps, larger, smaller, strict=True):
        assert np.array_equal(more, ndimage.binary_dilation(bitmap, disc(3)))
        assert np.array_equal(less, ndimage.binary_erosion(bitmap, disc(1)))


def test_area_rises_with_the_margin_and_a_bar_grows_as_a_wider_pen_draws_it(
    random_artwork: Callable[..., Shapes]
) -> None:
    ink = render(random_artwork(3), PITCH)
    areas = [area_mm2(shrunk(ink, 0.05)), area_mm2(ink), *(area_mm2(grown(ink, by)) for by in (0.01, 0.03, 0.1))]
    assert areas == sorted(areas)
    ends = np.array([0.003]), np.array([0.001]), np.array([1.1]), np.array([0.7])
    thin, wide = render(bars(*ends, 0.2), PITCH), render(bars(*ends, 0.4), PITCH)
    assert area_mm2(grown(thin, 0.1)) == pytest.approx(area_mm2(wide), rel=0.03)
    assert area_mm2(shrunk(wide, 0.1)) == pytest.approx(area_mm2(thin), rel=0.06)
