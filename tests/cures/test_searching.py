"""The nearest free place, against trying every shift with exact geometry (shapely: a general-purpose library)."""

import numpy as np
import pytest
import shapely

from labelcheck.cures.searching import Reach, covered, length_of, nearest, onto_boxes, onto_runs
from labelcheck.raster.rendering import render
from labelcheck.trade.shapes import concatenate, polygon

REACH = Reach(steps=12, step=2, pitch_mm=0.05)
LABEL = np.array([[10.0, 5.0, 12.3, 6.1]])


def rectangles(seed: int, count: int) -> np.ndarray:
    chance = np.random.default_rng(seed)
    low = np.column_stack((chance.uniform(8.5, 13, count), chance.uniform(3.5, 7, count)))
    return np.hstack((low, low + chance.uniform(0.1, 0.6, (count, 2))))


def by_trying(boxes: np.ndarray, margin_mm: float) -> np.ndarray:
    """Whether each shift is taken."""
    things = shapely.union_all(shapely.box(*boxes.T))
    grown = LABEL[0] + margin_mm * np.array([-1, -1, 1, 1])
    x, y = np.meshgrid(REACH.shifts(), REACH.shifts())
    moved = shapely.box(grown[0] + x, grown[1] + y, grown[2] + x, grown[3] + y)
    return np.asarray(shapely.area(shapely.intersection(moved, things)) > 1e-9)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("margin_mm", [0.0, 0.15])
def test_boxes_take_the_shifts_that_meet_them(seed: int, margin_mm: float) -> None:
    boxes = rectangles(seed, 5)
    assert (covered(REACH, onto_boxes(LABEL, boxes, margin_mm, REACH)) == by_trying(boxes, margin_mm)).all()


@pytest.mark.parametrize("seed", range(6))
def test_pixels_take_all_that_they_must_and_at_most_a_pixel_more(seed: int) -> None:
    boxes = rectangles(seed, 5)
    shapes = concatenate([polygon([np.array([(a, b), (c, b), (c, d), (a, d)])]) for a, b, c, d in boxes])
    taken = covered(REACH, onto_runs(LABEL, render(shapes, REACH.pitch_mm), 0.1, REACH))
    # Half a pixel of a thing may go untold (its centre is not covered): callers draw things that much larger.
    assert not (by_trying(boxes, 0.1 - 0.5 * REACH.pitch_mm) & ~taken).any()
    assert not (taken & ~by_trying(boxes, 0.1 + 1.5 * REACH.pitch_mm)).any()


def test_the_nearest_is_the_shortest_free_one_that_suits() -> None:
    free = np.ones((25, 25), dtype=np.bool_)
    assert nearest(free, REACH) == (0.0, 0.0)
    free[10:15, 9:15] = False
    x, y = nearest(free, REACH)
    lengths = [(length_of(np.array([column - 12]), np.array([row - 12]), REACH.step_mm)[0])
               for row, column in zip(*np.nonzero(free), strict=True)]
    assert np.hypot(x, y) == pytest.approx(min(lengths)) == pytest.approx(0.3)
    assert nearest(free, REACH, lambda shifts: shifts[:, 0] > 0.45) == (0.5, 0.0)
    assert nearest(np.zeros((25, 25), dtype=np.bool_), REACH) is None


def test_a_straight_way_is_preferred_to_one_askew_that_is_hardly_shorter() -> None:
    free = np.zeros((25, 25), dtype=np.bool_)
    free[12 + 2, 12 + 2] = free[12, 12 + 3] = True
    assert nearest(free, REACH) == (0.3, 0.0)
