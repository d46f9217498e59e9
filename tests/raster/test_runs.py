"""Areas, boxes, groups and boxes cut out of runs."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from labelcheck.raster.runs import (
    Runs,
    area_by_group,
    area_mm2,
    box_mm,
    boxes_by_group,
    no_runs,
    of_group,
    regroup,
    within_box,
)
from labelcheck.raster.windows import Window, to_bitmap, to_bitmaps

PITCH = 0.01
Bitmaps = Callable[[int, int], tuple[NDArray[np.bool_], list[Runs], Window]]
Grouper = Callable[[list[Runs]], Runs]


def test_areas_and_boxes_of_groups(random_bitmaps: Bitmaps, grouped: Grouper) -> None:
    bitmaps, parts, window = random_bitmaps(7, 4)  # the last without ink
    runs = grouped(parts)
    assert area_by_group(runs, 5) == pytest.approx([*(bitmaps.sum(axis=(1, 2)) * PITCH**2), 0.0])
    assert area_mm2(runs) == pytest.approx(bitmaps.sum() * PITCH**2)
    boxes = boxes_by_group(runs, 5)
    for bitmap, box, part in zip(bitmaps[:3], boxes, parts, strict=False):
        row, column = np.nonzero(bitmap)
        low = [column.min() + window.column, row.min() + window.row]
        high = [column.max() + window.column + 1, row.max() + window.row + 1]
        assert box == pytest.approx(np.array([*low, *high]) * PITCH)
        assert box_mm(part) == pytest.approx(box)
    assert boxes[3:].tolist() == [[np.inf, np.inf, -np.inf, -np.inf]] * 2


def test_no_ink_has_no_area_and_no_box() -> None:
    assert area_mm2(no_runs(PITCH)) == 0.0
    assert box_mm(no_runs(PITCH)) is None
    assert area_by_group(no_runs(PITCH, grouped=True), 2).tolist() == [0.0, 0.0]
    assert len(within_box(no_runs(PITCH), (0.0, 0.0, 1.0, 1.0))) == 0
    assert len(regroup(no_runs(PITCH, grouped=True), np.zeros(0, dtype=np.int64))) == 0


def test_regrouping_joins_and_drops(random_bitmaps: Bitmaps, grouped: Grouper) -> None:
    bitmaps, parts, window = random_bitmaps(4, 4)
    joined = regroup(grouped(parts), np.array([1, -1, 0, 1]))
    assert np.array_equal(to_bitmaps(joined, 2, window), np.stack([bitmaps[2], bitmaps[0] | bitmaps[3]]))


def test_all_groups_together(random_bitmaps: Bitmaps, grouped: Grouper) -> None:
    bitmaps, parts, window = random_bitmaps(4, 3)
    together = grouped(parts).ungrouped()
    assert together.group is None
    assert area_mm2(together) == pytest.approx(bitmaps.any(axis=0).sum() * PITCH**2)
    assert np.array_equal(to_bitmap(of_group(grouped(parts), 1), window), bitmaps[1])


@pytest.mark.parametrize("box", [(-0.05, -0.1, 0.2, 0.1), (-0.0501, -9.0, 0.1249, 9.0), (3.0, 3.0, 4.0, 4.0)])
def test_within_a_box_lie_the_pixels_with_their_centres_in_it(
    box: tuple[float, float, float, float], random_bitmaps: Bitmaps, grouped: Grouper
) -> None:
    bitmaps, parts, window = random_bitmaps(5, 3)
    x = (window.column + np.arange(window.columns) + 0.5) * PITCH
    y = (window.row + np.arange(window.rows) + 0.5) * PITCH
    inside = ((y >= box[1]) & (y < box[3]))[:, None] & ((x >= box[0]) & (x < box[2]))[None, :]
    assert np.array_equal(to_bitmap(within_box(parts[0], box), window), bitmaps[0] & inside)
    assert np.array_equal(to_bitmaps(within_box(grouped(parts), box), 3, window), bitmaps & inside)


def test_a_box_may_be_infinite(random_bitmaps: Bitmaps) -> None:
    _, (runs,), _ = random_bitmaps(5, 1)
    assert len(within_box(runs, (-np.inf, -np.inf, np.inf, np.inf))) == len(runs)
