"""Strokes of apertures that are not round: the aperture swept along its path."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.gerber.sweeping import swept_lines

from .drawn import holds, ink, messages, object_shape, picture, read

RECTANGLE = "%ADD10R,2X1*%\nD10*\n"


def test_a_rectangle_swept_along_its_side_is_a_rectangle() -> None:
    shape = ink(RECTANGLE + "X3000000D01*")
    assert shape.area == pytest.approx(5 * 1) and shape.bounds == (-1, -0.5, 4, 0.5)


def test_a_rectangle_swept_diagonally_is_a_hexagon() -> None:
    # Area of a convex shape swept along a vector: its own, and its extent across times the length.
    shape = ink(RECTANGLE + "X3000000Y3000000D01*")
    assert shape.area == pytest.approx(2 + 3 * (2 + 1))
    assert shape.bounds == (-1, -0.5, 4, 3.5)
    assert len(shape.simplify(1e-9).exterior.coords) - 1 == 6


def test_a_rectangle_not_moved_is_a_rectangle() -> None:
    shape = ink(RECTANGLE + "X1000000D02*X1000000D01*")
    assert shape.area == pytest.approx(2) and shape.bounds == (0, -0.5, 2, 0.5)


def test_a_rectangle_turned_by_lr_is_swept_as_turned() -> None:
    shape = ink(RECTANGLE + "%LR90*%X3000000D01*")
    assert shape.bounds == pytest.approx((-0.5, -1, 3.5, 1)) and shape.area == pytest.approx(4 * 2)
    slanted = ink(RECTANGLE + "%LR45*%X10000000D01*")
    assert slanted.area == pytest.approx(2 + 10 * 3 / math.sqrt(2))


def test_mirrored_and_scaled_apertures_are_swept_as_such() -> None:
    triangle = "%ADD10P,2X3X0*%\nD10*\n%LMX*%%LS2*%"
    # A corner to the right becomes a corner to the left, at twice the radius.
    assert ink(triangle + "X10000000D01*").bounds == pytest.approx((-2, -math.sqrt(3), 11, math.sqrt(3)))


def test_an_arc_of_a_rectangle_is_one_object_without_holes() -> None:
    artwork = read("%ADD10R,0.4X0.4*%\nD10*\nG75*X5000000Y0D02*G03*X0Y5000000I-5000000D01*")
    assert len(artwork.shapes) == 1
    shape = object_shape(artwork.shapes, 0)
    assert shape.geom_type == "Polygon" and len(shape.interiors) == 0
    # Extent across the path is 0.4 (|cos| + |sin|): its mean over a quarter is 0.4 x 4/pi.
    assert shape.area == pytest.approx(0.16 + 5 * math.pi / 2 * 0.4 * 4 / math.pi, rel=1e-3)
    for degrees in (0, 30, 45, 90):
        assert holds(shape, 5 * math.cos(math.radians(degrees)), 5 * math.sin(math.radians(degrees)))


def test_a_closed_circle_of_a_rectangle_keeps_its_hole() -> None:
    shape = ink("%ADD10R,0.4X0.4*%\nD10*\nG75*X5000000Y0D02*G03*X5000000Y0I-5000000D01*")
    assert not holds(shape, 0, 0) and len(shape.interiors) == 1


def test_unusual_apertures_are_swept_and_told() -> None:
    artwork = read("%ADD10O,2X1*%\nD10*\nX3000000D01*X3000000Y3000000D01*")
    assert picture(artwork.shapes).bounds == pytest.approx((-1, -0.5, 4, 3.5), abs=1e-3)
    assert "(2 times)" in messages(artwork)[0] and "neither round nor a rectangle" in messages(artwork)[0]


def test_obrounds_of_equal_sides_are_round_pens() -> None:
    artwork = read("%ADD10O,0.3X0.3*%\nD10*\nX3000000D01*")
    assert artwork.shapes.width.tolist() == [0.3] and artwork.remarks == ()
    assert artwork.apertures[0].pen_mm == 0.3


def test_a_hole_does_not_show_in_a_stroke() -> None:
    # Clause 4.8.2 allows only solid circles and rectangles; old files draw with pierced ones all the same.
    for aperture in ("C,0.5X0.3", "R,0.5X0.5X0.3"):
        assert holds(ink(f"%ADD10{aperture}*%\nD10*\nX3000000D01*"), 0, 0)


@pytest.mark.parametrize("aperture", ["R,0X0", "O,0X0", "R,1X0"])
def test_apertures_without_area_draw_nothing_but_do_not_fail(aperture: str) -> None:
    artwork = read(f"%ADD10{aperture}*%\nD10*\nX3000000D01*X0D03*")
    assert len(artwork.shapes) == 2 and np.isfinite(artwork.shapes.boxes()).all()


corner = st.tuples(st.floats(-3, 3), st.floats(-3, 3))


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.lists(corner, min_size=3, max_size=9), corner, corner)
def test_a_sweep_is_the_hull_of_both_ends(corners: list, start: tuple, end: tuple) -> None:
    hull = shapely.convex_hull(shapely.multipoints(corners))
    if hull.geom_type != "Polygon" or hull.area < 1e-3:
        return
    outline = np.array(shapely.get_coordinates(hull))[:-1]
    outline = outline if shapely.is_ccw(hull.exterior) else outline[::-1]
    x, y, size = swept_lines(outline, *(np.array([v]) for v in (*start, *end)))
    swept = shapely.make_valid(shapely.Polygon(np.column_stack((x, y))))
    both = np.concatenate((outline + start, outline + end))
    expected = shapely.convex_hull(shapely.multipoints(both))
    assert size == len(outline) + 2
    assert swept.symmetric_difference(expected).area < 1e-6
