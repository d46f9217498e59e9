"""Ink on a bitmap becomes the picture that vectors would have made."""

import numpy as np

from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.pictures import draw_glyphs
from labelcheck.labels.reading.bitmaps import fitted
from labelcheck.trade.shapes import polygon


def test_a_tight_bitmap_of_a_triangle_is_the_picture_of_the_triangle():
    shape = polygon([np.array(((0, 0), (0.9, 0), (0.3, 1.0)))])
    laid = lay_out(shape, np.array([0]), np.array([0]), np.zeros(1))
    rows, columns = np.mgrid[0:400, 0:360] + 0.5
    x, y = columns / 400, 1 - rows / 400
    ink = ((x >= 0.3 * y) & (x <= 0.9 - 0.6 * y)).astype(np.float32)
    np.testing.assert_allclose(fitted(ink), draw_glyphs(laid)[0], atol=0.13)
    assert abs(fitted(ink).sum() - draw_glyphs(laid)[0].sum()) < 1


def test_ink_keeps_its_aspect_and_stands_in_the_middle():
    wide = fitted(np.ones((10, 100), dtype=np.float32))
    assert np.flatnonzero(wide.sum(axis=0) > 0.5).tolist() == list(range(1, 23))
    np.testing.assert_allclose(wide, wide[::-1], atol=1e-6)
    assert abs(wide.sum() - 22 * 2.2) < 1e-3
