"""Arcs: clause 4.7 for G75, clause 8.1.10 for the deprecated G74."""

import math

import numpy as np
import pytest

from labelcheck.formats.gerber.arcs import KEEPS_AREA, KEEPS_LENGTH, arcs_about, chords, circle_ring

from .drawn import holds, ink, messages, picture, read

PEN = "%ADD10C,0.2*%\nD10*\n"


def ring_area(radius: float, width: float, degrees: float = 360) -> float:
    """Area of an arc stroke without its round ends."""
    return math.radians(degrees) * radius * width


def one_arc(radius: float, sweep_degrees: float, bulge: float) -> tuple[np.ndarray, np.ndarray]:
    turn = math.radians(sweep_degrees % 360)
    zero = np.zeros(1)
    ends = (zero + radius, zero, zero + radius * math.cos(turn), zero + radius * math.sin(turn))
    _, x, y = chords(arcs_about(ends, zero - radius, zero, np.array([sweep_degrees < 0])), bulge)
    return np.append(radius, x), np.append(0, y)


@pytest.mark.parametrize("radius", [0.01, 0.3, 2.0, 50.0, 5000.0])
@pytest.mark.parametrize("sweep", [3, 90, -200, 359])
def test_chords_stay_within_a_micrometre_of_the_arc(radius: float, sweep: float) -> None:
    for bulge in (KEEPS_AREA, KEEPS_LENGTH):
        x, y = one_arc(radius, sweep, bulge)
        assert np.abs(np.hypot(x, y) - radius).max() <= 0.001
        middle = np.hypot((x[1:] + x[:-1]) / 2, (y[1:] + y[:-1]) / 2)
        assert np.abs(middle - radius).max() <= 0.00101


@pytest.mark.parametrize("radius", [0.1, 2.0, 50.0])
@pytest.mark.parametrize("sweep", [30, -100, 360])
def test_flattened_arcs_keep_their_length(radius: float, sweep: float) -> None:
    x, y = one_arc(radius, sweep, KEEPS_LENGTH)
    length = np.hypot(np.diff(x), np.diff(y)).sum()
    # The ends are exact, not moved outward; that costs a fraction of a micrometre.
    assert length == pytest.approx(radius * math.radians(abs(sweep)), rel=1e-4, abs=3e-4)


@pytest.mark.parametrize("radius", [0.3, 2.0, 50.0])
def test_flattened_circles_keep_their_area(radius: float) -> None:
    for x, y in (one_arc(radius, 360, KEEPS_AREA), circle_ring(0, 0, 2 * radius).T):
        area = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
        # The ends of an arc are exact, not moved outward: one vertex of the thirty or more.
        assert area == pytest.approx(math.pi * radius**2, rel=3e-4)


def test_a_full_circle_where_start_and_end_are_equal() -> None:
    circle = ink(PEN + "G75*G03*X0Y0I-1000000D01*")
    assert circle.area == pytest.approx(ring_area(1, 0.2), rel=1e-3)
    assert circle.bounds == pytest.approx((-2.1, -1.1, 0.1, 1.1), abs=0.001)
    assert not holds(circle, -1, 0)


@pytest.mark.parametrize(("way", "through", "degrees"), [("G03", (1, 0), 90), ("G02", (-1, 0), 270)])
def test_g75_goes_the_long_way_round_where_told(way: str, through: tuple[float, float], degrees: float) -> None:
    # From 315° to 45° about the origin.
    s = 707107
    arc = ink(PEN + f"G75*X{s}Y-{s}D02*{way}*X{s}Y{s}I-{s}J{s}D01*")
    assert holds(arc, *through) and not holds(arc, -through[0], 0)
    assert arc.area == pytest.approx(ring_area(1, 0.2, degrees) + math.pi * 0.1**2, rel=2e-3)


def test_only_one_offset_written() -> None:
    # Offsets not written are 0, whatever the operation before had (clause 4.7).
    text = PEN + "G75*X1000000Y0D02*G03*Y1000000X0I-1000000D01*X-1000000Y0J-1000000D01*"
    arc = ink(text)
    assert arc.area == pytest.approx(ring_area(1, 0.2, 180) + math.pi * 0.1**2, rel=2e-3)
    assert holds(arc, math.sqrt(0.5), math.sqrt(0.5)) and holds(arc, -math.sqrt(0.5), math.sqrt(0.5))


@pytest.mark.parametrize(("way", "inside"), [("G03", (0.7071, 0.7071)), ("G02", (0.2929, 0.2929))])
def test_g74_takes_the_centre_that_makes_a_quarter(way: str, inside: tuple[float, float]) -> None:
    # From (1, 0) to (0, 1) with unsigned offsets: counter-clockwise about (0, 0), clockwise about (1, 1).
    offset = "I1000000J0" if way == "G03" else "I0J1000000"
    arc = ink(PEN + f"G74*X1000000Y0D02*{way}*X0Y1000000{offset}D01*")
    assert holds(arc, *inside)
    assert arc.area == pytest.approx(ring_area(1, 0.2, 90) + math.pi * 0.1**2, rel=2e-3)


def test_four_quarters_in_g74_make_a_circle() -> None:
    # The worked example of clause 8.1.10, in its proportions.
    text = (
        "G74*G03*X1000000Y700000D02*X-300000Y2000000I1300000J0D01*X-1600000Y700000I0J1300000D01*"
        "X-300000Y-600000I1300000J0D01*X1000000Y700000I0J1300000D01*"
    )
    circle = ink(PEN + text)
    assert circle.area == pytest.approx(ring_area(1.3, 0.2), rel=1e-3)
    assert circle.bounds == pytest.approx((-1.7, -0.7, 1.1, 2.1), abs=0.001)


def test_equal_ends_in_g74_are_a_dot_and_in_g75_a_circle() -> None:
    # Clause 8.1.10: in single quadrant mode there are no full circles.
    text = "G03*X1000000Y0D02*X1000000Y0I1000000D01*"
    assert ink(PEN + "G74*" + text).area == pytest.approx(math.pi * 0.01, rel=1e-3)
    assert ink(PEN + "G75*" + text).area == pytest.approx(ring_area(1, 0.2), rel=1e-3)


@pytest.mark.parametrize("text", ["G75*G3X1000000Y1000000I0J1000000D01*", "G75*G03*X1000000Y1000000J1000000D01*"])
def test_one_digit_codes_and_a_code_with_coordinates(text: str) -> None:
    arc = read(PEN + "G1X0Y0D02*" + text + "G1*")
    assert holds(picture(arc.shapes), math.sqrt(0.5), 1 - math.sqrt(0.5))
    assert len(arc.shapes) == 1 and len(arc.shapes.bar_object) > 10


def test_no_quadrant_mode_takes_what_fits_and_tells() -> None:
    signed = read(PEN + "X1000000Y0D02*G03*X0Y1000000I-1000000D01*")
    unsigned = read(PEN + "X1000000Y0D02*G03*X0Y1000000I1000000J0D01*")
    for artwork in (signed, unsigned):
        assert holds(picture(artwork.shapes), math.sqrt(0.5), math.sqrt(0.5))
        assert "before any G74 or G75" in messages(artwork)[0]


def test_ends_off_the_circle_are_joined_by_a_curve_and_told() -> None:
    artwork = read(PEN + "G75*X1000000Y0D02*G03*X0Y2000000I-1000000D01*")
    arc = picture(artwork.shapes)
    assert holds(arc, 1, 0) and holds(arc, 0, 2) and arc.geom_type == "Polygon"
    assert "do not lie on one circle" in messages(artwork)[0]


def test_an_arc_without_centre_is_a_straight_line_and_told() -> None:
    artwork = read(PEN + "G75*G03*X1000000Y0D01*")
    assert len(artwork.shapes.bar_object) == 1
    assert "no centre" in messages(artwork)[0]


def test_a_nearly_straight_arc_of_huge_radius_is_short_work() -> None:
    # 40 m radius, 10 mm long: some programs export straight lines so.
    artwork = read(PEN + "G75*X0Y0D02*G03*X10000000Y0I5000000J40000000000D01*", "%FSLAX66Y66*%\n%MOMM*%\n")
    assert len(artwork.shapes.bar_object) <= 4
    assert artwork.shapes.boxes()[0].tolist() == pytest.approx([-0.1, -0.1, 10.1, 0.1], abs=0.002)
