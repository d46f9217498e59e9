"""Union, intersection, difference and overlaps, against the same on bitmaps."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from labelcheck.raster import run_algebra
from labelcheck.raster.run_algebra import for_each_group, intersect, overlaps_between_groups, subtract, union
from labelcheck.raster.runs import Runs, no_runs
from labelcheck.raster.windows import Window, from_bitmap, to_bitmap, to_bitmaps

PITCH = 0.01
Bitmaps = Callable[[int, int], tuple[NDArray[np.bool_], list[Runs], Window]]
Grouper = Callable[[list[Runs]], Runs]


@pytest.mark.parametrize("seed", range(30))
def test_two_layers(seed: int, random_bitmaps: Bitmaps) -> None:
    (a, b), (of_a, of_b), window = random_bitmaps(seed, 2)
    assert np.array_equal(to_bitmap(union(of_a, of_b), window), a | b)
    assert np.array_equal(to_bitmap(intersect(of_a, of_b), window), a & b)
    assert np.array_equal(to_bitmap(subtract(of_a, of_b), window), a & ~b)
    assert np.array_equal(to_bitmap(subtract(of_b, of_a), window), b & ~a)


@pytest.mark.parametrize("seed", range(12))
def test_groups_against_one_layer_that_counts_for_all(
    seed: int, random_bitmaps: Bitmaps, grouped: Grouper
) -> None:
    bitmaps, parts, window = random_bitmaps(seed, 6)
    groups, layer = grouped(parts[:5]), parts[5]
    for result, expected in (
        (union(groups, layer), bitmaps[:5] | bitmaps[5]),
        (intersect(groups, layer), bitmaps[:5] & bitmaps[5]),
        (subtract(groups, layer), bitmaps[:5] & ~bitmaps[5]),
    ):
        assert result.group is not None
        assert (np.diff(result.group) >= 0).all()
        assert np.array_equal(to_bitmaps(result, 5, window), expected)


@pytest.mark.parametrize("seed", range(6))
def test_groups_against_their_namesakes(seed: int, random_bitmaps: Bitmaps, grouped: Grouper) -> None:
    bitmaps, parts, window = random_bitmaps(seed, 6)
    a, b = grouped(parts[:3]), grouped(parts[3:])
    assert np.array_equal(to_bitmaps(intersect(a, b), 3, window), bitmaps[:3] & bitmaps[3:])
    assert np.array_equal(to_bitmaps(subtract(a, b), 3, window), bitmaps[:3] & ~bitmaps[3:])
    assert np.array_equal(to_bitmaps(union(a, b), 3, window), bitmaps[:3] | bitmaps[3:])


def test_a_groups_union_with_a_layer_reaches_groups_by_name(random_bitmaps: Bitmaps) -> None:
    _, (layer,), window = random_bitmaps(3, 1)
    copies = for_each_group(layer, np.array([1, 4]))
    assert np.array_equal(to_bitmaps(copies, 5, window).any(axis=(1, 2)), [False, True, False, False, True])


def test_nothing_is_neutral() -> None:
    ink = from_bitmap(np.ones((3, 4), dtype=np.bool_), Window(0, 0, 3, 4), PITCH)
    none = no_runs(PITCH)
    assert len(union(none, ink)) == len(union(ink, none)) == len(subtract(ink, none)) == 3
    assert len(intersect(ink, none)) == len(intersect(none, ink)) == len(subtract(none, ink)) == 0


@pytest.mark.parametrize("pairs_at_once", [2_000_000, 50])
def test_overlaps_between_groups(
    pairs_at_once: int, random_bitmaps: Bitmaps, grouped: Grouper, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(run_algebra, "PAIRS_AT_ONCE", pairs_at_once)
    bitmaps, _, window = random_bitmaps(11, 5)
    bitmaps[2, :, 25:] = False
    bitmaps[3, :, :25] = False  # groups 2 and 3 never meet
    found = overlaps_between_groups(grouped([from_bitmap(bitmap, window, PITCH) for bitmap in bitmaps]))
    pairs = [(i, j) for i in range(5) for j in range(i + 1, 5) if (bitmaps[i] & bitmaps[j]).any()]
    assert list(zip(found[0].tolist(), found[1].tolist(), strict=True)) == pairs
    assert (2, 3) not in pairs
    for (i, j), area, box in zip(pairs, found[2], found[3], strict=True):
        row, column = np.nonzero(bitmaps[i] & bitmaps[j])
        assert area == pytest.approx(len(row) * PITCH**2)
        low = [column.min() + window.column, row.min() + window.row]
        high = [column.max() + window.column + 1, row.max() + window.row + 1]
        assert box == pytest.approx(np.array([*low, *high]) * PITCH)


def test_a_crowded_row_costs_only_what_overlaps() -> None:
    # 200,000 separate runs in one row: all pairs would be 2e10.
    start = np.arange(0, 800_000, 4, dtype=np.int32)
    even = np.arange(len(start)) % 2 == 0
    groups = np.where(even, 0, 1).astype(np.int32)
    order = np.argsort(groups, kind="stable")
    runs = Runs(PITCH, np.zeros_like(start), start[order], start[order] + np.int32(3), groups[order])
    assert len(overlaps_between_groups(runs)[0]) == 0
