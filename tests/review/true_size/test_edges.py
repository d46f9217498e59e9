"""Edges of what is covered: exact for discs, joined where objects meet, cut where clear objects take away."""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon

from labelcheck.review.true_size.edges import edges_of
from labelcheck.trade.shapes import Shapes, bars, concatenate, empty_shapes, polygon


def disc(x: float, y: float, width: float, dark: bool = True) -> Shapes:
    at = np.array([x]), np.array([y])
    return bars(*at, *at, width, dark)


def square(x0: float, y0: float, size: float, dark: bool = True) -> Shapes:
    return polygon([np.array([(x0, y0), (x0 + size, y0), (x0 + size, y0 + size), (x0, y0 + size)])], dark)


def areas(shapes: Shapes) -> list[float]:
    return sorted(Polygon(ring).area for ring in edges_of(shapes).rings)


def test_a_disc_alone_is_a_circle() -> None:
    edges = edges_of(concatenate([disc(1, 2, 1.5), disc(9, 2, 0.8), square(4, 4, 2)]))
    assert edges.circles.tolist() == [[1.0, 2.0, 0.75], [9.0, 2.0, 0.4]]
    assert len(edges.rings) == 1 and Polygon(edges.rings[0]).area == pytest.approx(4.0)


def test_discs_that_overlap_have_one_edge_without_lines_inside() -> None:
    radius, apart = 1.0, 1.0
    lens = 2 * radius**2 * math.acos(apart / 2 / radius) - apart / 2 * math.sqrt(4 * radius**2 - apart**2)
    edges = edges_of(concatenate([disc(0, 0, 2), disc(apart, 0, 2)]))
    assert len(edges.circles) == 0 and len(edges.rings) == 1
    assert Polygon(edges.rings[0]).area == pytest.approx(2 * math.pi - lens, rel=0.01)


def test_the_same_opening_drawn_twice_is_one() -> None:
    assert areas(concatenate([square(0, 0, 2), square(0, 0, 2)])) == [pytest.approx(4.0)]
    edges = edges_of(concatenate([disc(0, 0, 2), disc(0, 0, 2)]))
    assert len(edges.rings) + len(edges.circles) == 1


def test_a_stroke_is_round_ended() -> None:
    stroke = bars(np.array([0.0]), np.array([0.0]), np.array([3.0]), np.array([0.0]), 1.0)
    assert areas(stroke) == [pytest.approx(3 + math.pi / 4, rel=0.01)]


def test_clear_objects_take_away_what_was_drawn_before_them_only() -> None:
    shapes = concatenate([square(0, 0, 10), square(2, 2, 4, dark=False), square(3, 3, 1)])
    assert areas(shapes) == [pytest.approx(1.0), pytest.approx(16.0), pytest.approx(100.0)]


def test_rings_of_one_object_are_even_odd() -> None:
    outer, inner = (np.array([(a, a), (b, a), (b, b), (a, b)], dtype=float) for a, b in ((0, 6), (2, 4)))
    assert areas(polygon([outer, inner])) == [pytest.approx(4.0), pytest.approx(36.0)]


def test_what_has_no_area_has_no_edge() -> None:
    nothing = concatenate([disc(0, 0, 0.0), polygon([np.array([(0.0, 0.0), (1.0, 1.0)])])])
    for shapes in (empty_shapes(), nothing, replace(disc(0, 0, 1), dark=np.array([False]))):
        edges = edges_of(shapes)
        assert len(edges.circles) == 0 and edges.rings == ()
