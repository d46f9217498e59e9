"""Ink on a coarser raster, against the bitmap of the finer one block by block."""

import numpy as np
import pytest

from labelcheck.raster.coarser import coarser
from labelcheck.raster.windows import Window, from_bitmap, to_bitmap


@pytest.mark.parametrize("times", [1, 2, 3, 4])
@pytest.mark.parametrize("share", [0.0, 0.05, 0.5])
def test_a_pixel_is_taken_where_any_finer_one_is(times: int, share: float) -> None:
    rows, columns = 24, 36
    fine = np.random.default_rng(7).random((rows, columns)) < share
    runs = coarser(from_bitmap(fine, Window(-12, -24, rows, columns), 0.01), times)
    window = Window(-12 // times, -24 // times, rows // times, columns // times)
    expected = fine.reshape(rows // times, times, columns // times, times).any(axis=(1, 3))
    assert runs.pitch_mm == pytest.approx(0.01 * times)
    assert (to_bitmap(runs, window) == expected).all()
    line = list(zip(runs.row.tolist(), runs.start.tolist(), runs.end.tolist(), strict=True))
    assert line == sorted(line)
