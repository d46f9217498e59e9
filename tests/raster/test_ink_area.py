"""Ink areas and boxes, against exact polygon unions (shapely)."""

from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry import Point, Polygon

from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.raster.ink_area import exact_box, ink_area_and_box, ink_area_mm2
from labelcheck.raster.rendering import render
from labelcheck.raster.runs import area_mm2, box_mm
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import Shapes, bars, concatenate, empty_shapes, polygon

PITCH = 0.01
REAL_BOARDS = Path(__file__).resolve().parents[2] / "../shared/real-boards"


def exact_union(shapes: Shapes) -> shapely.Geometry:
    """Of bars only: buffered centre lines, 64 segments a quarter circle."""
    ends = np.stack([shapes.x0, shapes.y0, shapes.x1, shapes.y1], axis=1).reshape(-1, 2, 2)
    return shapely.union_all(shapely.buffer(shapely.linestrings(ends), shapes.width / 2, quad_segs=64))


@pytest.mark.parametrize("grid_mm", [0.0254, 0.127, 1.27, 0.05, 0.1, 1.0])
@pytest.mark.parametrize("pen_mm", [0.127, 0.15, 0.1524, 0.2])
@pytest.mark.parametrize("way", ["across", "upright", "both", "dots"])
def test_drawings_on_a_grid_have_their_true_area(grid_mm: float, pen_mm: float, way: str) -> None:
    # At 10 µm the plain raster is off by up to 5 % on some of these.
    rng = np.random.default_rng(4)
    count = 120
    x, y = (rng.integers(0, round(size / grid_mm), count) * grid_mm for size in (30, 20))
    length = np.maximum(rng.integers(1, 6, count) * 0.5 // grid_mm, 1) * grid_mm
    across = {"across": 1, "upright": 0, "both": rng.integers(0, 2, count), "dots": 0}[way]
    upright = {"across": 0, "upright": 1, "both": 1 - across, "dots": 0}[way]
    shapes = bars(x, y, x + length * across, y + length * upright, pen_mm * (3 if way == "dots" else 1))
    assert ink_area_mm2(shapes, PITCH) == pytest.approx(exact_union(shapes).area, rel=0.001)


@pytest.mark.parametrize("pitch_mm", [0.005, 0.01, 0.02])
def test_lettering_like_drawings_have_their_true_area_and_box(pitch_mm: float) -> None:
    rng = np.random.default_rng(5)
    x, y, length = *rng.uniform(0, 25, (2, 1200)), rng.exponential(0.6, 1200)
    angle = rng.integers(0, 8, 1200) * np.pi / 4 + np.where(rng.random(1200) < 0.3, rng.random(1200), 0)
    shapes = bars(x, y, x + length * np.cos(angle), y + length * np.sin(angle), 0.15)
    area, box = ink_area_and_box(shapes, pitch_mm)
    exact = exact_union(shapes)
    assert area == pytest.approx(exact.area, rel=0.001)
    assert box == pytest.approx(exact.bounds, abs=0.0001)


def test_regions_and_clear_objects_count() -> None:
    plate = polygon([np.array([[0.0, 0.0], [7.0, 0.3], [6.0, 5.0], [1.0, 4.0]])])
    x, y = np.array([2.0, 4.0]), np.array([2.0, 2.5])
    holes = bars(x, y, x, y, 1.3, dark=False)
    dot = bars(np.array([4.0]), np.array([2.5]), np.array([4.0]), np.array([2.5]), 0.4)
    exact = Polygon([(0, 0), (7, 0.3), (6, 5), (1, 4)])
    for middle in ((2, 2), (4, 2.5)):
        exact = exact.difference(Point(middle).buffer(0.65, quad_segs=64))
    area, box = ink_area_and_box(concatenate([plate, holes, dot]), PITCH)
    assert area == pytest.approx(exact.area + np.pi * 0.04, rel=0.0005)
    assert box == (0.0, 0.0, 7.0, 5.0)  # no clear object touches a side: exact


def test_a_box_cut_by_a_clear_object_is_measured_on_the_ink() -> None:
    plate = polygon([np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 2.0], [0.0, 2.0]])])
    cut = polygon([np.array([[3.005, -1.0], [5.0, -1.0], [5.0, 3.0], [3.005, 3.0]])], dark=False)
    both = concatenate([plate, cut])
    assert exact_box(both) is None
    area, box = ink_area_and_box(both, PITCH)
    assert area == pytest.approx(6.01, rel=0.001)
    assert box == pytest.approx((0.0, 0.0, 3.005, 2.0), abs=PITCH)


def test_nothing_has_no_area_and_no_box() -> None:
    dot = bars(np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1), 1.0)
    eraser = bars(np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1), 2.0, dark=False)
    unseen = bars(np.zeros(1), np.zeros(1), np.ones(1), np.zeros(1), 0.0)
    for shapes in (empty_shapes(), eraser, concatenate([dot, eraser]), unseen):
        assert ink_area_and_box(shapes, PITCH) == (0.0, None)


def test_absurd_coordinates_are_refused() -> None:
    for bad in (np.nan, np.inf, 1e9):
        with pytest.raises(RasterTooLarge):
            ink_area_mm2(bars(np.zeros(1), np.zeros(1), np.zeros(1), np.array([bad]), 0.1), PITCH)


@pytest.mark.skipif(not REAL_BOARDS.is_dir(), reason="the real fab sets are not here")
@pytest.mark.parametrize(
    "name", ["nixie-rev1/*.GTO", "mouse-breakout/silkscreen_top.gbr", "stepper-ctl/driver.topsilk.gbr"]
)
def test_real_legends_measure_the_same_at_any_pitch(name: str) -> None:
    (path,) = REAL_BOARDS.glob(name)
    shapes = read_artwork(name, path.read_bytes()).shapes
    area, box = ink_area_and_box(shapes, PITCH)
    finer, _ = ink_area_and_box(shapes, 0.0013)
    assert area == pytest.approx(finer, rel=0.0005)
    plain = render(shapes, PITCH)
    assert area == pytest.approx(area_mm2(plain), rel=0.02)
    assert box == pytest.approx(box_mm(plain), abs=2 * PITCH)
