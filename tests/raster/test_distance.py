"""Distance to the background, against scipy's exact Euclidean distance transform."""

import numpy as np
import pytest
from scipy import ndimage

from labelcheck.raster.distance import distance_to_background


@pytest.mark.parametrize("seed", range(30))
def test_distances_are_exact(seed: int) -> None:
    rng = np.random.default_rng(seed)
    bitmap = rng.random((int(rng.integers(1, 50)), int(rng.integers(1, 70)))) < rng.random() ** 0.02
    bitmap.flat[0] = False
    assert distance_to_background(bitmap) == pytest.approx(ndimage.distance_transform_edt(bitmap), abs=1e-4)


def test_distances_beyond_what_sixteen_bits_hold() -> None:
    bitmap = np.ones((500, 60), dtype=np.bool_)
    bitmap[250, 20] = False
    assert distance_to_background(bitmap) == pytest.approx(ndimage.distance_transform_edt(bitmap), rel=1e-5)


def test_without_background_there_is_no_distance() -> None:
    assert np.isposinf(distance_to_background(np.ones((3, 4), dtype=np.bool_))).all()
    assert distance_to_background(np.zeros((0, 4), dtype=np.bool_)).shape == (0, 4)
    assert not distance_to_background(np.zeros((3, 4), dtype=np.bool_)).any()


def test_a_limit_keeps_what_lies_within_it_exact_and_the_rest_beyond_it() -> None:
    bitmap = np.ones((120, 120), dtype=np.bool_)
    bitmap[60, 60] = bitmap[3, 100] = False
    exact, limited = ndimage.distance_transform_edt(bitmap), distance_to_background(bitmap, farthest=20.0)
    within = exact <= 20
    assert limited[within] == pytest.approx(exact[within], abs=1e-4)
    assert (limited[~within] > 20).all()
