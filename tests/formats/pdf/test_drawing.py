"""Operators of a content stream."""

import re

import numpy as np
import pytest

from labelcheck.formats.pdf.drawing import Drawing


def test_a_disc_is_round_within_a_thousandth() -> None:
    drawing = Drawing()
    drawing.circles(np.array([(10.0, -3.0, 4.0)]))
    told = drawing.content.decode()
    start = np.array([float(v) for v in told.split(" m ")[0].split()])
    curves = [[float(v) for v in found.split()] for found in re.findall(r"((?:-?[\d.]+ ){6})c", told)]
    assert len(curves) == 4
    share = np.linspace(0, 1, 50)[:, None]
    for curve in curves:
        # Bernstein form of the curve, ISO 32000-1, 8.5.2.2.
        points = np.array([start, *np.array(curve).reshape(3, 2)])
        weights = np.hstack(((1 - share) ** 3, 3 * share * (1 - share) ** 2, 3 * share**2 * (1 - share), share**3))
        radii = np.hypot(*((weights @ points) - (10.0, -3.0)).T)
        assert radii == pytest.approx(np.full(50, 4.0), rel=1e-3)
        start = points[3]
    assert start == pytest.approx((14.0, -3.0))


def test_a_pen_is_round_ended_and_dashed_where_asked() -> None:
    drawing = Drawing()
    drawing.pen(0.15, (0.0, 0.25, 0.8), (1.0, 0.8))
    assert drawing.content == b"0.000 0.250 0.800 RG 0.150 w 1 J 1 j [1.000 0.800] 0 d"


def test_nothing_to_draw_leaves_no_operator() -> None:
    drawing = Drawing()
    drawing.lines(np.zeros((0, 4)))
    drawing.circles(np.zeros((0, 3)))
    drawing.discs(np.zeros((0, 3)))
    drawing.contours([])
    drawing.area([np.array([(0.0, 0.0), (1.0, 0.0)])])
    assert drawing.content == b""
