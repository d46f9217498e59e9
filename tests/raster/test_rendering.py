"""Rendering: pixel by pixel as plain geometry and painting order have it, and as exact polygon unions have it."""

from collections.abc import Callable
from dataclasses import replace
from time import process_time

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from skimage.draw import polygon2mask

from labelcheck.raster import rendering, scanning
from labelcheck.raster.rendering import render, render_bands, render_groups
from labelcheck.raster.runs import Runs, area_mm2, box_mm, within_box
from labelcheck.raster.windows import Window, to_bitmap
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import Shapes, bars, concatenate, empty_shapes, polygon

PITCH = 0.01
Painter = Callable[[Shapes, Window, float], NDArray[np.bool_]]
WINDOW = Window(-250, -250, 500, 500)


def same(a: Runs, b: Runs) -> bool:
    """Whether two sets of runs are the same, run by run."""
    if (a.group is None) != (b.group is None) or not np.array_equal(a.row, b.row):
        return False
    return np.array_equal(a.start, b.start) and np.array_equal(a.end, b.end)


def well_formed(runs: Runs) -> bool:
    """Sorted, disjoint, not touching, none empty."""
    if (runs.start >= runs.end).any():
        return False
    group = np.zeros(len(runs), dtype=np.int32) if runs.group is None else runs.group
    order = np.lexsort((runs.start, runs.row, group))
    together = (np.diff(group) == 0) & (np.diff(runs.row) == 0)
    return np.array_equal(order, np.arange(len(runs))) and bool((runs.start[1:] > runs.end[:-1])[together].all())


@pytest.mark.parametrize("seed", range(16))
def test_every_pixel_is_as_painted_object_by_object(
    seed: int, random_artwork: Callable[..., Shapes], painted: Painter
) -> None:
    shapes = random_artwork(seed)
    runs = render(shapes, 0.02)
    window = Window(-125, -125, 250, 250)
    assert well_formed(runs)
    assert np.array_equal(to_bitmap(runs, window), painted(shapes, window, 0.02))


def test_a_self_crossing_region_is_filled_even_odd_as_the_reference_library_fills_it() -> None:
    # scikit-image's polygon2mask; its pixel (r, c) is the point (r, c).
    ring = np.random.default_rng(3).uniform(-2, 2, (40, 2))
    mask = polygon2mask((500, 500), ring[:, ::-1] / PITCH + 249.5)
    assert np.array_equal(to_bitmap(render(polygon([ring]), PITCH), WINDOW), mask)


def test_an_outline_with_a_cut_in_keeps_its_hole() -> None:
    # As many programs write letters: one contour that runs in to the counter and back the same way.
    outside = [[0, 2], [0, 0], [4, 0], [4, 4], [0, 4], [0, 2]]
    inside = [[1, 2], [1, 3], [3, 3], [3, 1], [1, 1], [1, 2]]
    runs = render(polygon([np.array(outside + inside, dtype=np.float64)]), PITCH)
    assert area_mm2(runs) == pytest.approx(12.0)


@pytest.mark.parametrize("degrees", [0, 17, 45, 90, 133, 180, 251, 270, 359.999999])
@pytest.mark.parametrize("pen_mm", [0.06, 0.1524, 1.0])
def test_a_stroke_has_the_area_of_its_exact_outline(degrees: float, pen_mm: float) -> None:
    # shapely's buffer of the centre line, with 64 segments a quarter circle.
    angle = np.radians(degrees)
    end = np.array([0.013 + 3 * np.cos(angle), 0.027 + 3 * np.sin(angle)])
    stroke = bars(np.array([0.013]), np.array([0.027]), end[:1], end[1:], pen_mm)
    exact = shapely.LineString([(0.013, 0.027), end]).buffer(pen_mm / 2, quad_segs=64)
    # Where the flanks run in step with the pixels they may be off by half a pixel all along.
    tolerance = (0.5 if round(degrees) % 45 == 0 else 0.01) * PITCH * exact.length
    assert area_mm2(render(stroke, PITCH)) == pytest.approx(exact.area, abs=tolerance)


def test_a_stroke_horizontal_but_for_rounding_is_there_whichever_way_it_is_drawn() -> None:
    for length in (2.0, -2.0):
        for rise in (1e-16, -1e-16, 1e-12, -1e-12):
            stroke = bars(np.zeros(1), np.array([1.0]), np.array([length]), np.array([1.0 + rise]), 0.15)
            assert area_mm2(render(stroke, PITCH)) == pytest.approx(0.3 + np.pi * 0.075**2, rel=0.08)


def test_a_width_of_whole_pixels_stays_so_wherever_the_grid_of_the_drawing_falls() -> None:
    for offset in (0.0, 0.005, 0.0025, 1.27, 25.4, 0.1 + 0.2):
        stroke = bars(np.array([offset]), np.array([offset]), np.array([offset + 2]), np.array([offset]), 0.15)
        upright = bars(np.array([offset]), np.array([offset]), np.array([offset]), np.array([offset + 2]), 0.15)
        assert len(np.unique(render(stroke, PITCH).row)) == 15
        runs = render(upright, PITCH)
        middle = runs.take(runs.row == (runs.row[0] + runs.row[-1]) // 2)
        assert (middle.end - middle.start).tolist() == [15]


@settings(derandomize=True, max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 10_000), columns=st.integers(-5000, 5000), rows=st.integers(-5000, 5000)
)
def test_moving_by_whole_pixels_moves_the_runs(seed: int, columns: int, rows: int) -> None:
    rng = np.random.default_rng(seed)
    x0, y0, x1, y1 = rng.uniform(-1, 1, (4, 6))
    dx, dy = columns * 0.0625, rows * 0.0625  # whole pixels that binary fractions hold exactly
    here = render(bars(x0, y0, x1, y1, 0.3), 0.0625)
    there = render(bars(x0 + dx, y0 + dy, x1 + dx, y1 + dy, 0.3), 0.0625)
    assert np.array_equal(here.row + rows, there.row)
    assert np.array_equal(here.start + columns, there.start)
    assert np.array_equal(here.end + columns, there.end)


@settings(derandomize=True, max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_cutting_a_stroke_in_two_changes_nothing_but_roundings(seed: int) -> None:
    rng = np.random.default_rng(seed)
    (x0, y0, x1, y1), part = rng.uniform(-1, 1, 4), rng.uniform(0.1, 0.9)
    xm, ym = x0 + part * (x1 - x0), y0 + part * (y1 - y0)
    whole = render(bars(np.array([x0]), np.array([y0]), np.array([x1]), np.array([y1]), 0.2), PITCH)
    halves = render(bars(np.array([x0, xm]), np.array([y0, ym]), np.array([xm, x1]), np.array([ym, y1]), 0.2), PITCH)
    assert area_mm2(whole) == pytest.approx(area_mm2(halves), abs=2 * PITCH**2)


def test_groups_come_out_as_each_would_alone(random_artwork: Callable[..., Shapes]) -> None:
    shapes = random_artwork(5, objects=80)
    group = np.random.default_rng(1).integers(-1, 7, len(shapes))
    group[group == 3] = 2  # a group without objects
    together = render_groups(shapes, group, PITCH)
    assert well_formed(together)
    assert together.group is not None
    for number in range(7):
        alone = render(shapes.take(group == number), PITCH)
        own = together.take(together.group == number)
        assert same(alone, replace(own, group=None))


def test_far_apart_groups_cost_no_more_than_their_ink() -> None:
    x = np.array([0.0, 9_000_000.0, -9_000_000.0])
    runs = render_groups(bars(x, x, x + 1, x, 0.2), np.arange(3), PITCH)
    assert len(runs) == len(render_groups(bars(x * 0, x * 0, x * 0 + 1, x * 0, 0.2), np.arange(3), PITCH))


def test_clipping_to_a_box_is_cutting_the_whole(random_artwork: Callable[..., Shapes]) -> None:
    for seed in range(10):
        shapes = random_artwork(seed)
        box = (-0.7123, -0.4, 0.3, 0.5517)
        assert same(render(shapes, PITCH, box), within_box(render(shapes, PITCH), box))


def test_a_clip_that_misses_everything_is_empty(random_artwork: Callable[..., Shapes]) -> None:
    assert len(render(random_artwork(1), PITCH, (50.0, 50.0, 60.0, 60.0))) == 0


def test_bands_together_are_the_whole(random_artwork: Callable[..., Shapes], monkeypatch: pytest.MonkeyPatch) -> None:
    shapes = random_artwork(8)
    whole = render(shapes, PITCH)
    bands = list(render_bands(shapes, PITCH, 37))
    assert all(int(band.row.max()) - int(band.row.min()) < 37 for band in bands if len(band))
    assert np.array_equal(np.concatenate([band.start for band in bands]), whole.start)
    assert np.array_equal(np.concatenate([band.row for band in bands]), whole.row)
    monkeypatch.setattr(rendering, "ROWS_AT_ONCE", 100)
    monkeypatch.setattr(scanning, "CHUNK", 7)
    assert same(render(shapes, PITCH), whole)


def test_a_clear_object_removes_only_what_was_drawn_before_it() -> None:
    def disc(diameter_mm: float, dark: bool) -> Shapes:
        return bars(np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1), diameter_mm, dark)

    target = concatenate([disc(5, False), disc(4, True), disc(3, False), disc(2, True), disc(1, False)])
    area = np.pi / 4 * (16 - 9 + 4 - 1)
    assert area_mm2(render(target, PITCH)) == pytest.approx(area, rel=0.002)
    assert len(render(disc(5, False), PITCH)) == 0


def test_many_changes_of_polarity_on_one_spot_are_painted_in_order(painted: Painter) -> None:
    x, y = np.random.default_rng(2).uniform(0, 0.3, (2, 600))
    shapes = bars(x, y, x + 0.05, y, 0.06)
    shapes.dark[1::2] = False
    window = Window(-5, -5, 45, 45)
    assert np.array_equal(to_bitmap(render(shapes, PITCH), window), painted(shapes, window, PITCH))


@pytest.mark.parametrize("spread_mm", [60.0, 3.0])
def test_time_grows_in_proportion_to_changes_of_polarity(spread_mm: float) -> None:
    def seconds(count: int) -> float:
        x, y = np.random.default_rng(2).uniform(0, spread_mm, (2, count))
        shapes = bars(x, y, x + 0.1, y, 0.06)
        shapes.dark[1::2] = False
        began = process_time()
        render(shapes, PITCH)
        return process_time() - began

    seconds(100)  # what only happens once
    assert seconds(32_000) < 8 * 6 * max(seconds(4_000), 0.005)  # eight times, with room; quadratic: 64 times


def test_nothing_and_things_without_ink_leave_no_runs() -> None:
    for shapes in (
        empty_shapes(),
        bars(np.zeros(1), np.zeros(1), np.ones(1), np.ones(1), 0.0),
        polygon([np.zeros((0, 2)), np.ones((1, 2)), np.array([[0.0, 0.0], [1.0, 1.0]])]),
    ):
        assert len(render(shapes, PITCH)) == 0
        assert box_mm(render(shapes, PITCH)) is None
    assert len(render_groups(empty_shapes(), np.zeros(0, dtype=np.int64), PITCH)) == 0


@pytest.mark.parametrize("bad", [np.nan, np.inf, 1e9])
def test_absurd_coordinates_are_refused(bad: float) -> None:
    for shapes in (
        bars(np.zeros(1), np.zeros(1), np.ones(1), np.array([bad]), 0.2),
        bars(np.zeros(1), np.zeros(1), np.ones(1), np.ones(1), bad),
        polygon([np.array([[0.0, 0.0], [1.0, 1.0], [bad, 0.0]])]),
    ):
        with pytest.raises(RasterTooLarge, match="export it again"):
            render(shapes, PITCH)


def test_more_rows_than_anyone_can_want_are_refused() -> None:
    x = np.linspace(0, 100, 2000)
    with pytest.raises(RasterTooLarge, match="coarser pitch"):
        render(bars(x, x * 0, x, x * 0 + 5000.0, 0.2), PITCH)
