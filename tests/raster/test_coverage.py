"""Coverage for pictures: true areas, the right way up, layers kept apart."""

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

from labelcheck.raster.coverage import FULL, coverage, coverage_in_parts
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import bars, concatenate, empty_shapes, polygon

BOX = (-2.0, -1.0, 8.0, 6.0)
BAR = bars(np.array([0.0]), np.array([0.0]), np.array([4.0]), np.array([3.0]), 0.7)
RING = polygon([np.array([[2.0, 1.0], [6.0, 1.0], [6.0, 5.0], [2.0, 5.0]]),
                np.array([[3.0, 2.0], [5.0, 2.0], [4.0, 4.0]])])
DOT = bars(np.array([6.0]), np.array([4.5]), np.array([6.0]), np.array([4.5]), 1.5, dark=False)
EXACT = unary_union([
    LineString([(0, 0), (4, 3)]).buffer(0.35, quad_segs=64),
    Polygon([(2, 1), (6, 1), (6, 5), (2, 5)], [[(3, 2), (5, 2), (4, 4)]]),
]).difference(Point(6, 4.5).buffer(0.75, quad_segs=64))


@pytest.mark.parametrize("scale", [9.7, 20.0, 53.0])
@pytest.mark.parametrize("strips", [2, 4])
def test_the_area_is_that_of_exact_geometry(scale: float, strips: int) -> None:
    # shapely is the reference. Upright edges are exact to a part of a strip.
    (parts,) = coverage_in_parts([(concatenate([BAR, RING, DOT]), strips)], BOX, scale)
    assert parts.sum() / FULL / scale**2 == pytest.approx(EXACT.area, rel=max(0.002, 0.12 / (scale * strips)))


def test_each_pixel_holds_its_own_share() -> None:
    scale = 5.0
    seen = coverage(concatenate([BAR, RING, DOT]), BOX, scale) / 255
    for row, column in np.ndindex(seen.shape):
        left, top = BOX[0] + column / scale, BOX[3] - row / scale
        share = EXACT.intersection(box(left, top - 1 / scale, left + 1 / scale, top)).area * scale**2
        assert seen[row, column] == pytest.approx(share, abs=0.16)


def test_row_0_is_the_top_and_ink_reaches_every_rim() -> None:
    everywhere = polygon([np.array([[-9.0, -9.0], [9.0, -9.0], [9.0, 9.0], [-9.0, 9.0]])])
    assert (coverage(everywhere, BOX, 10.0) == 255).all()
    upper = polygon([np.array([[-9.0, 4.0], [9.0, 4.0], [9.0, 9.0], [-9.0, 9.0]])])
    seen = coverage(upper, BOX, 10.0)
    assert seen.shape == (70, 100)
    assert (seen[:20] == 255).all()
    assert (seen[20:] == 0).all()


def test_layers_are_kept_apart() -> None:
    layers = [(BAR, 4), (empty_shapes(), 2), (RING, 2), (BAR, 2)]
    together = coverage_in_parts(layers, BOX, 20.0)
    for layer, seen in zip(layers, together, strict=True):
        assert (coverage_in_parts([layer], BOX, 20.0)[0] == seen).all()
    assert not together[1].any()


def test_many_runs_in_one_pixel_do_not_overflow() -> None:
    count = 400
    across = np.linspace(0.001, 0.999, count)
    comb = bars(across, np.full(count, -5.0), across, np.full(count, 5.0), 0.0005)
    seen = coverage(comb, (0.0, 0.0, 1.0, 1.0), 1.0)
    assert 0 <= seen[0, 0] <= 255
    solid = bars(across, np.full(count, -5.0), across, np.full(count, 5.0), 0.1)
    assert (coverage(solid, (0.0, 0.0, 1.0, 1.0), 3.0) == 255).all()


def test_absurd_sizes_are_refused() -> None:
    with pytest.raises(RasterTooLarge):
        coverage(BAR, (0.0, 0.0, 1e6, 1.0), 10.0)
