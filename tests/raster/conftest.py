"""Artwork drawn at random, and the plainest possible painting of it."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from labelcheck.raster.runs import Runs
from labelcheck.raster.windows import Window, from_bitmap
from labelcheck.trade.shapes import Shapes, bars, concatenate, polygon

PITCH = 0.01


def _random_artwork(seed: int, objects: int = 30, all_dark: bool = False) -> Shapes:
    """Strokes, discs and regions, dark and clear, within about 2 mm of the origin, some smaller than a pixel."""
    rng = np.random.default_rng(seed)
    parts = []
    for _ in range(objects):
        dark = all_dark or bool(rng.random() < 0.6)
        x, y, dx, dy = rng.uniform(-1, 1, 4)
        width = float(rng.choice([0.003, 0.05, 0.15, 0.4]))
        match rng.integers(5):
            case 0:
                parts.append(bars(np.array([x]), np.array([y]), np.array([x]), np.array([y]), width, dark))
            case 1:
                parts.append(bars(np.array([x]), np.array([y]), np.array([x + dx]), np.array([y]), width, dark))
            case 2:
                parts.append(bars(np.array([x]), np.array([y]), np.array([x]), np.array([y + dy]), width, dark))
            case 3:
                parts.append(bars(np.array([x]), np.array([y]), np.array([x + dx]), np.array([y + dy]), width, dark))
            case _:
                rings = [rng.uniform(-1, 1, (int(rng.integers(3, 9)), 2)) for _ in range(int(rng.integers(1, 4)))]
                parts.append(polygon(rings, dark))
    return concatenate(parts)


@pytest.fixture
def random_artwork() -> Callable[..., Shapes]:
    """Draw artwork from a seed."""
    return _random_artwork


@pytest.fixture
def painted() -> Callable[[Shapes, Window, float], NDArray[np.bool_]]:
    """Paint every object's pixels one after another, each pixel decided by its centre alone."""

    def paint(shapes: Shapes, window: Window, pitch_mm: float) -> NDArray[np.bool_]:
        x = (window.column + np.arange(window.columns) + 0.5)[None, :] * pitch_mm
        y = (window.row + np.arange(window.rows) + 0.5)[:, None] * pitch_mm
        picture = np.zeros((window.rows, window.columns), dtype=np.bool_)
        for number in range(len(shapes)):
            covered = np.zeros_like(picture)
            one = shapes.take(np.array([number]))
            for bar in range(len(one.x0)):
                covered |= _in_bar(one, bar, x, y)
            odd = np.zeros_like(picture)
            for ring in range(len(one.ring_object)):
                part = slice(one.ring_start[ring], one.ring_start[ring + 1])
                odd ^= _in_ring(one.vx[part], one.vy[part], x, y)
            picture[covered | odd] = one.dark[0]
        return picture

    return paint


def _in_bar(shapes: Shapes, bar: int, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Within half the width of the centre line: the distance of a point to a segment."""
    dx, dy = shapes.x1[bar] - shapes.x0[bar], shapes.y1[bar] - shapes.y0[bar]
    squared = dx * dx + dy * dy
    along = ((x - shapes.x0[bar]) * dx + (y - shapes.y0[bar]) * dy) / squared if squared > 0 else 0 * (x + y)
    along = np.clip(along, 0, 1)
    away = np.hypot(x - shapes.x0[bar] - along * dx, y - shapes.y0[bar] - along * dy)
    return np.asarray(away < shapes.width[bar] / 2)


def _in_ring(
    vx: NDArray[np.float64], vy: NDArray[np.float64], x: NDArray[np.float64], y: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """A ray to the right crosses the ring an odd number of times (the crossing number test)."""
    odd = np.zeros(np.broadcast_shapes(x.shape, y.shape), dtype=np.bool_)
    for i in range(len(vx)):
        j = (i + 1) % len(vx)
        if vy[i] == vy[j]:
            continue
        spans = (vy[i] <= y) != (vy[j] <= y)
        odd ^= spans & (x < vx[i] + (y - vy[i]) * (vx[j] - vx[i]) / (vy[j] - vy[i]))
    return odd


@pytest.fixture
def random_bitmaps() -> Callable[[int, int], tuple[NDArray[np.bool_], list[Runs], Window]]:
    """Bitmaps of different density, (count, 40, 50), the same as runs, and their window; the last may be empty."""

    def make(seed: int, count: int) -> tuple[NDArray[np.bool_], list[Runs], Window]:
        rng = np.random.default_rng(seed)
        window = Window(-17, -9, 40, 50)
        bitmaps = rng.random((count, 40, 50)) < rng.uniform(0, 1, (count, 1, 1))
        if seed % 7 == 0:
            bitmaps[-1] = False
        return bitmaps, [from_bitmap(bitmap, window, PITCH) for bitmap in bitmaps], window

    return make


@pytest.fixture
def grouped() -> Callable[[list[Runs]], Runs]:
    """Runs of several layers as groups 0, 1, 2 … of one."""

    def together(parts: list[Runs]) -> Runs:
        return Runs(
            PITCH, np.concatenate([part.row for part in parts]), np.concatenate([part.start for part in parts]),
            np.concatenate([part.end for part in parts]),
            np.repeat(np.arange(len(parts)), [len(part) for part in parts]).astype(np.int32),
        )

    return together
