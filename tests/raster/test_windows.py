"""Bitmaps cut out of runs and back, against painting run by run."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from labelcheck.raster.rendering import render
from labelcheck.raster.runs import Runs
from labelcheck.raster.windows import Window, bitmap_of_each, from_bitmap, to_bitmap, to_bitmaps, window_around
from labelcheck.trade.shapes import Shapes, bars

PITCH = 0.01
Bitmaps = Callable[[int, int], tuple[NDArray[np.bool_], list[Runs], Window]]


def painted_run_by_run(runs: Runs, window: Window) -> NDArray[np.bool_]:
    picture = np.zeros((window.rows, window.columns), dtype=np.bool_)
    for row, start, end in zip(runs.row.tolist(), runs.start.tolist(), runs.end.tolist(), strict=True):
        for column in range(max(start, window.column), min(end, window.column + window.columns)):
            if window.row <= row < window.row + window.rows:
                picture[row - window.row, column - window.column] = True
    return picture


@pytest.mark.parametrize(
    "window", [Window(-40, -30, 60, 90), Window(0, 0, 1, 1), Window(500, 500, 4, 4), Window(3, -10, 0, 5)]
)
def test_a_window_shows_what_lies_in_it(window: Window, random_artwork: Callable[..., Shapes]) -> None:
    runs = render(random_artwork(3), 0.02)
    assert np.array_equal(to_bitmap(runs, window), painted_run_by_run(runs, window))


def test_row_0_is_the_lowest_y() -> None:
    low = render(bars(np.zeros(1), np.zeros(1), np.ones(1), np.zeros(1), 0.1), PITCH)
    bitmap = to_bitmap(low, window_around((0.0, 0.0, 1.0, 0.5), 0.0, PITCH))
    assert bitmap.shape == (50, 100)
    assert bitmap[0].all()
    assert not bitmap[10:].any()


@pytest.mark.parametrize("seed", range(8))
def test_back_and_forth(seed: int, random_bitmaps: Bitmaps, grouped: Callable[[list[Runs]], Runs]) -> None:
    bitmaps, parts, window = random_bitmaps(seed, 4)
    for bitmap, runs in zip(bitmaps, parts, strict=True):
        assert np.array_equal(to_bitmap(runs, window), bitmap)
    assert np.array_equal(to_bitmaps(grouped(parts), 4, window), bitmaps)
    assert np.array_equal(to_bitmap(grouped(parts), window), bitmaps.any(axis=0))


def test_each_group_in_its_own_window(random_bitmaps: Bitmaps, grouped: Callable[[list[Runs]], Runs]) -> None:
    bitmaps, parts, window = random_bitmaps(7, 4)  # the last without ink
    each = list(bitmap_of_each(grouped(parts), 4, margin=2))
    for bitmap, (own, seen) in zip(bitmaps[:3], each, strict=False):
        assert not seen[:2].any() and not seen[-2:].any() and not seen[:, :2].any() and not seen[:, -2:].any()
        assert np.array_equal(to_bitmap(from_bitmap(seen, own, PITCH), window), bitmap)
    assert each[3][1].shape == (0, 0)


def test_a_window_holds_its_box_and_margin_and_no_more() -> None:
    window = window_around((-0.303, 0.10, 0.511, 0.299), 0.05, PITCH)
    x0, y0, x1, y1 = window.box_mm(PITCH)
    assert -0.363 < x0 <= -0.353 + 1e-9 and 0.04 - 1e-9 <= y0 <= 0.05 + 1e-9
    assert 0.561 - 1e-9 <= x1 < 0.571 and 0.349 - 1e-9 <= y1 < 0.359
