"""How fast and how true shapes become runs, as ratios in one run against shapely unions and Pillow polygons.

Run: python tests/benchmarks/rasterising.py [Gerber file …]
Without files: invented drawings, lettering of many strokes and a drawing on an inch grid.
"""

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter, process_time

import numpy as np
import shapely
from PIL import Image, ImageDraw

from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.raster.components import components
from labelcheck.raster.coverage import coverage
from labelcheck.raster.distance import distance_to_background
from labelcheck.raster.growing import grown
from labelcheck.raster.ink_area import ink_area_mm2
from labelcheck.raster.rendering import render, render_groups
from labelcheck.raster.run_algebra import intersect
from labelcheck.raster.runs import area_mm2
from labelcheck.raster.windows import Window, to_bitmap
from labelcheck.trade.shapes import Shapes, bars

PITCH = 0.01


def lettering(strokes: int, width_mm: float, height_mm: float) -> Shapes:
    """Strokes of 0.15 mm in the directions that letters have."""
    rng = np.random.default_rng(1)
    x, y = rng.uniform(0, width_mm, strokes), rng.uniform(0, height_mm, strokes)
    length = rng.exponential(0.6, strokes)
    angle = rng.integers(0, 8, strokes) * np.pi / 4 + np.where(rng.random(strokes) < 0.2, rng.random(strokes), 0)
    return bars(x, y, x + length * np.cos(angle), y + length * np.sin(angle), 0.15)


def on_a_grid(strokes: int, grid_mm: float, pen_mm: float) -> Shapes:
    """Horizontal and vertical strokes with all ends on one grid: the case where roundings add up."""
    rng = np.random.default_rng(2)
    x, y = rng.integers(0, int(60 / grid_mm), (2, strokes)) * grid_mm
    length, across = rng.integers(1, 40, strokes) * grid_mm, rng.integers(0, 2, strokes)
    return bars(x, y, x + length * across, y + length * (1 - across), pen_mm)


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """The quickest of a few, in processor time."""
    return min(_once(work) for _ in range(times))


def _once(work: Callable[[], object]) -> float:
    began = process_time()
    work()
    return process_time() - began


def outlines(shapes: Shapes) -> list[shapely.Geometry]:
    """Every bar as a polygon, 16 segments a quarter circle; drawings of bars only."""
    ends = np.stack([shapes.x0, shapes.y0, shapes.x1, shapes.y1], axis=1).reshape(-1, 2, 2)
    return list(shapely.buffer(shapely.linestrings(ends), shapes.width / 2, quad_segs=16))


def pillow_picture(polygons: list[shapely.Geometry], pitch_mm: float) -> np.ndarray:
    """The same polygons painted by Pillow into one bitmap of the whole drawing."""
    box = shapely.total_bounds(np.array(polygons))
    size = tuple(np.ceil((box[2:] - box[:2]) / pitch_mm).astype(int) + 1)
    picture = Image.new("L", (int(size[0]), int(size[1])))
    draw = ImageDraw.Draw(picture)
    for polygon in polygons:
        points = (np.asarray(polygon.exterior.coords) - box[:2]) / pitch_mm - 0.5
        draw.polygon([(float(x), float(y)) for x, y in points], fill=1)
    return np.asarray(picture)


def against_others(name: str, shapes: Shapes) -> None:
    """One line of the table: time and area of each way."""
    polygons = outlines(shapes)
    exact = shapely.union_all(shapely.buffer(
        shapely.linestrings(np.stack([shapes.x0, shapes.y0, shapes.x1, shapes.y1], axis=1).reshape(-1, 2, 2)),
        shapes.width / 2, quad_segs=64,
    )).area
    ours, area_s = seconds(lambda: render(shapes, PITCH)), seconds(lambda: ink_area_mm2(shapes, PITCH))
    union = seconds(lambda: shapely.union_all(outlines(shapes)), 1)
    painted = seconds(lambda: pillow_picture(polygons, PITCH), 1)
    box = shapely.total_bounds(np.array(polygons))
    megapixels = (box[2] - box[0]) * (box[3] - box[1]) / PITCH**2 / 1e6
    print(f"{name}: {len(shapes)} strokes, {megapixels:.0f} Mpx")
    rows = (
        ("render", ours, area_mm2(render(shapes, PITCH))),
        ("ink_area_mm2", area_s, ink_area_mm2(shapes, PITCH)),
        ("shapely union", union, exact),
        ("Pillow polygons", painted, float(pillow_picture(polygons, PITCH).sum()) * PITCH**2),
    )
    for way, time_s, area in rows:
        error = (area / exact - 1) * 100
        print(f"  {way:16} {time_s * 1e3:8.1f} ms  {time_s / ours:6.1f} x render   area {error:+.3f} %")


def parts_of_a_check() -> None:
    """What a check of a 100 x 80 mm board with 400 labels asks of the raster."""
    legend, pads = lettering(16_000, 100, 80), lettering(1500, 100, 80)
    runs, openings = render(legend, PITCH), render(pads, PITCH)
    labels = np.where(np.arange(len(legend)) < 5000, np.arange(len(legend)) * 400 // 5000, -1)
    bitmap = to_bitmap(runs, Window(2000, 2000, 120, 400))
    print("\nParts of a check (100 x 80 mm, 16,000 strokes, 10 µm)")
    for name, work in (
        ("render", lambda: render(legend, PITCH)),
        ("render_groups, 5,000 strokes in 400 labels", lambda: render_groups(legend, labels, PITCH)),
        ("ink area", lambda: ink_area_mm2(legend, PITCH)),
        ("intersect with openings", lambda: intersect(runs, openings)),
        ("connected ink", lambda: components(runs)),
        ("openings grown by 0.05 mm", lambda: grown(openings, 0.05)),
        ("picture at 20 px/mm", lambda: coverage(legend, (0.0, 0.0, 100.0, 80.0), 20)),
        ("one window of 400 x 120 px", lambda: to_bitmap(runs, Window(2000, 2000, 120, 400))),
        ("distance transform of it", lambda: distance_to_background(bitmap)),
    ):
        print(f"  {name:44} {seconds(work) * 1e3:8.2f} ms")


def of_files(names: list[str]) -> None:
    """Time and area of real layers."""
    for name in names:
        shapes = read_artwork(name, Path(name).read_bytes()).shapes
        began = perf_counter()
        area = ink_area_mm2(shapes, PITCH)
        middle = perf_counter()
        plain = area_mm2(render(shapes, PITCH))
        print(f"{name}: {len(shapes)} objects, area {area:.3f} mm² in {(middle - began) * 1e3:.0f} ms, "
              f"rendered in {(perf_counter() - middle) * 1e3:.0f} ms ({(plain / area - 1) * 100:+.3f} %)")


def main() -> None:
    """Print the tables."""
    if len(sys.argv) > 1:
        of_files(sys.argv[1:])
        return
    against_others("Lettering, 100 x 80 mm", lettering(8000, 100, 80))
    against_others("Lettering, 180 x 110 mm", lettering(31_000, 180, 110))
    against_others("On a 0.0254 mm grid, 0.1524 mm pen", on_a_grid(2000, 0.0254, 0.1524))
    against_others("On a 1.27 mm grid, 0.1524 mm pen", on_a_grid(2000, 1.27, 0.1524))
    parts_of_a_check()


if __name__ == "__main__":
    main()
