"""The legend process on runs, against exact vector erosion and dilation (shapely: a general-purpose library)."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString

from labelcheck.press.printing_ink import moved, on_printer_grid, pixels_of_printer, spread, without_slivers
from labelcheck.raster.rendering import render
from labelcheck.raster.runs import Runs, area_mm2, box_mm
from labelcheck.raster.windows import Window, from_bitmap, to_bitmap
from labelcheck.trade.limits import Limits, Process, limits_for
from labelcheck.trade.shapes import bars, concatenate, polygon

PITCH = 0.01
LIMITS = limits_for()
THINNEST = LIMITS.thinnest_print.value_mm


def with_pixel(pixel_mm: float) -> Limits:
    return replace(LIMITS, printed_pixel=replace(LIMITS.printed_pixel, value_mm=pixel_mm))


def strip(width_mm: float, angle_deg: float = 0.0) -> tuple[Runs, shapely.Geometry]:
    """A bar 2 mm long, round-ended, as runs and exactly."""
    angle = np.deg2rad(angle_deg)
    end = (2 * np.cos(angle), 2 * np.sin(angle))
    ink = render(bars(*(np.array([value]) for value in (0.0, 0.0, *end)), width_mm), PITCH)
    return ink, LineString([(0, 0), end]).buffer(width_mm / 2, quad_segs=64)


def rim(shape: shapely.Geometry, pixels: float = 1.0) -> float:
    """Area of a band along the rim: what sampling at pixel centres may add or take."""
    return shape.length * PITCH * pixels


@pytest.mark.parametrize("angle_deg", [0, 17, 45, 90])
@pytest.mark.parametrize("process", list(Process))
def test_spread_is_exact_dilation(process, angle_deg) -> None:
    limits = limits_for(process)
    ink, exact = strip(0.15, angle_deg)
    grown = exact.buffer(limits.spread.value_mm, quad_segs=64)
    assert area_mm2(spread(ink, limits)) == pytest.approx(grown.area, abs=rim(grown))


@pytest.mark.parametrize("angle_deg", [0, 17, 45, 90])
@pytest.mark.parametrize("width_mm", [THINNEST - 0.03, THINNEST + 0.02, 0.15, 0.3])
def test_what_is_thinner_than_the_thinnest_line_goes_and_nothing_else(width_mm, angle_deg) -> None:
    ink, exact = strip(width_mm, angle_deg)
    left = area_mm2(without_slivers(ink, THINNEST))
    if width_mm < THINNEST:
        assert left == 0.0
    else:
        assert left == pytest.approx(exact.area, abs=rim(exact, 0.5))


def test_a_sliver_left_by_a_cut_is_dropped_and_its_neighbour_stays() -> None:
    ink = render(polygon([np.array([(0, 0), (2, 0), (2, 0.3), (1, 0.3), (1, 0.05), (0, 0.05)], dtype=float)]), PITCH)
    left = without_slivers(ink, THINNEST)
    x0, _, x1, _ = box_mm(left)
    assert x0 == pytest.approx(1.0, abs=THINNEST) and x1 == pytest.approx(2.0, abs=PITCH)
    assert area_mm2(left) == pytest.approx(0.3, abs=0.01)


shapes_at_random = st.lists(
    st.tuples(*(st.floats(0.0, 1.5) for _ in range(4)), st.floats(0.03, 0.3)), min_size=1, max_size=5
)


@settings(max_examples=25, derandomize=True, deadline=None)
@given(shapes_at_random)
def test_dropping_slivers_lies_between_exact_openings(drawn) -> None:
    """Between opening by a disc two pixels wider with no corner kept, and one two pixels narrower with all kept."""
    ink = render(concatenate([bars(*(np.array([v]) for v in line[:4]), line[4]) for line in drawn]), PITCH)
    exact = shapely.union_all([LineString([line[:2], line[2:4]]).buffer(line[4] / 2, quad_segs=32) for line in drawn])
    wide, narrow = THINNEST / 2 + PITCH, THINNEST / 2 - 1.5 * PITCH
    least = exact.buffer(-wide).buffer(wide).buffer(-PITCH)
    most = exact.intersection(exact.buffer(-narrow).buffer(1.5 * THINNEST / 2)).buffer(PITCH)
    left = without_slivers(ink, THINNEST)
    x, y = _middles(left)
    assert shapely.contains_xy(most, x, y).all()
    points = shapely.points(*_middles(ink))
    inside = points[shapely.contains(least, points)]
    kept = set(zip(np.round(x, 4).tolist(), np.round(y, 4).tolist(), strict=True))
    assert all((round(point.x, 4), round(point.y, 4)) in kept for point in inside.tolist())


def _middles(runs: Runs) -> tuple[np.ndarray, np.ndarray]:
    if len(runs) == 0:
        return np.zeros(0), np.zeros(0)
    x0, y0, x1, y1 = (round(edge / PITCH) for edge in box_mm(runs))
    rows, columns = np.nonzero(to_bitmap(runs, Window(y0, x0, y1 - y0, x1 - x0)))
    return (columns + x0 + 0.5) * PITCH, (rows + y0 + 0.5) * PITCH


@pytest.mark.parametrize("size", [1, 2, 4, 5])
def test_the_printers_grid_pixel_by_pixel(size) -> None:
    """Against sampling the bitmap at the middle of every printer's pixel and painting the pixel whole."""
    bitmap = np.random.default_rng(0).random((40, 60)) < 0.5
    bitmap[10:30, 15:45] = True
    window = Window(-7, -13, *bitmap.shape)
    got = to_bitmap(on_printer_grid(from_bitmap(bitmap, window, PITCH), with_pixel(size * PITCH)), window)
    whole = np.zeros((120, 120), dtype=bool)
    whole[60 - 7 : 60 - 7 + 40, 60 - 13 : 60 - 13 + 60] = bitmap
    rows = np.arange(120) // size * size + size // 2
    expected = whole[np.minimum(rows, 119)][:, np.minimum(rows, 119)]
    # 60 is a whole number of pixels of each size, so that both grids begin at the artwork's zero.
    assert (got == expected[60 - 7 : 60 - 7 + 40, 60 - 13 : 60 - 13 + 60]).all()


def test_groups_stay_apart_on_the_printers_grid() -> None:
    ink = Runs(PITCH, *(np.array(v, dtype=np.int32) for v in ([2, 2], [0, 8], [8, 16])), np.array([0, 1], np.int32))
    printed = on_printer_grid(ink, with_pixel(0.04))
    assert sorted(set(printed.group.tolist())) == [0, 1]
    assert area_mm2(printed) == pytest.approx(2 * 8 * 4 * PITCH**2)


def test_a_fine_printer_leaves_ink_as_it_is() -> None:
    assert pixels_of_printer(LIMITS) == 1 and pixels_of_printer(limits_for(Process.INKJET)) == 4
    ink, _ = strip(0.15)
    assert on_printer_grid(ink, LIMITS) is ink


def test_a_line_of_the_least_stroke_survives_every_process_whole() -> None:
    for process in Process:
        limits = limits_for(process)
        for angle_deg in (0, 30, 45):
            ink, exact = strip(limits.stroke.unreadable, angle_deg)
            printed = spread(on_printer_grid(without_slivers(ink, limits.thinnest_print.value_mm), limits), limits)
            assert area_mm2(printed) > exact.area


def test_moving_moves_whole_pixels() -> None:
    ink, _ = strip(0.15)
    x0, y0, _, _ = box_mm(ink)
    assert box_mm(moved(ink, 3, -2))[:2] == pytest.approx((x0 + 0.03, y0 - 0.02))
