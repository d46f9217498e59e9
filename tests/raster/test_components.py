"""Connected ink, against scipy's labelling of the bitmap."""

from collections.abc import Callable
from time import process_time

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage

from labelcheck.raster.components import component_groups, components
from labelcheck.raster.runs import Runs, no_runs
from labelcheck.raster.windows import Window, from_bitmap, to_bitmaps

PITCH = 0.01
ALL_EIGHT = np.ones((3, 3))
Bitmaps = Callable[[int, int], tuple[NDArray[np.bool_], list[Runs], Window]]


def same_pieces(runs: Runs, bitmap: NDArray[np.bool_], window: Window) -> bool:
    """Whether runs fall into the same pieces as the pixels they stand for."""
    labelled, count = ndimage.label(bitmap, ALL_EIGHT)
    found = components(runs)
    of_run = labelled[runs.row - window.row, runs.start - window.column]
    return len(np.unique(found)) == count == len({*zip(found.tolist(), of_run.tolist(), strict=True)})


@pytest.mark.parametrize("seed", range(30))
def test_pieces_are_those_of_the_bitmap(seed: int, random_bitmaps: Bitmaps) -> None:
    bitmaps, (runs,), window = random_bitmaps(seed, 1)
    assert same_pieces(runs, bitmaps[0], window)


def snake(size: int, upright: bool) -> NDArray[np.bool_]:
    path = np.zeros((size, size), dtype=np.bool_)
    path[::2] = True
    path[1::4, -1] = path[3::4, 0] = True
    return path.T if upright else path


def spiral(turns: int) -> NDArray[np.bool_]:
    size = 4 * turns
    path = np.zeros((size, size), dtype=np.bool_)
    for turn in range(turns):
        low, high = 2 * turn, size - 1 - 2 * turn
        path[low, low : high + 1] = path[high, low : high + 1] = True
        path[low : high + 1, low] = path[low : high + 1, high] = True
        path[low + 1, low] = False
        if turn:
            path[low, low - 1] = True
    return path


@pytest.mark.parametrize("bitmap", [snake(401, False), snake(401, True), spiral(60)], ids=["snake", "comb", "spiral"])
def test_long_ways_round_are_one_piece(bitmap: NDArray[np.bool_]) -> None:
    window = Window(0, 0, *bitmap.shape)
    assert ndimage.label(bitmap, ALL_EIGHT)[1] == 1
    assert same_pieces(from_bitmap(bitmap, window, PITCH), bitmap, window)


def test_a_long_comb_takes_time_in_proportion() -> None:
    def seconds(size: int) -> float:
        runs = from_bitmap(snake(size, True), Window(0, 0, size, size), PITCH)
        began = process_time()
        components(runs)
        return process_time() - began

    seconds(50)
    assert seconds(1600) < 16 * 5 * max(seconds(400), 0.005)  # sixteen times the runs, with room


def test_groups_never_connect(random_bitmaps: Bitmaps, grouped: Callable[[list[Runs]], Runs]) -> None:
    bitmaps, parts, _ = random_bitmaps(9, 3)
    found = components(grouped(parts))
    expected = sum(ndimage.label(bitmap, ALL_EIGHT)[1] for bitmap in bitmaps)
    assert len(np.unique(found)) == expected == int(found.max()) + 1


def test_pieces_are_numbered_by_their_first_run(random_bitmaps: Bitmaps) -> None:
    _, (runs,), _ = random_bitmaps(9, 1)
    found = components(runs)
    assert found[np.sort(np.unique(found, return_index=True)[1])].tolist() == list(range(int(found.max()) + 1))


def test_pieces_as_groups(random_bitmaps: Bitmaps) -> None:
    bitmaps, (runs,), window = random_bitmaps(12, 1)
    groups = component_groups(runs)
    count = int(components(runs).max()) + 1
    pieces = to_bitmaps(groups, count, window)
    assert np.array_equal(pieces.sum(axis=0), bitmaps[0].astype(np.int64))
    assert all(ndimage.label(piece, ALL_EIGHT)[1] == 1 for piece in pieces)


def test_no_ink_has_no_pieces() -> None:
    assert len(components(no_runs(PITCH))) == 0
