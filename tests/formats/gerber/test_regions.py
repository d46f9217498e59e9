"""Regions (clause 4.10)."""

import math

import pytest

from labelcheck.trade.shapes import Kind

from .drawn import holds, ink, messages, picture, read

SQUARE = "X0Y0D02*X4000000D01*Y4000000D01*X0D01*Y0D01*"


@pytest.mark.parametrize("text", [
    SQUARE,
    "X0Y0D02*X4000000D01*Y4000000*X0*Y0*",                        # no D-codes
    "X4000000D01*Y4000000D01*X0D01*Y0D01*",                       # no move: starts at the current point
    "G01*X0Y0D02*G01X4000000D01*G01Y4000000D01*G01X0D01*G01Y0D01*",
    "X0Y0D02*X2000000D01*X4000000D01*Y4000000D01*X0D01*X0D01*Y0D01*",   # segments in line, and of no length
])  # fmt: skip
def test_a_square(text: str) -> None:
    artwork = read(f"G36*{text}G37*")
    assert picture(artwork.shapes).area == pytest.approx(16)
    assert artwork.shapes.kind.tolist() == [Kind.REGION] and artwork.shapes.aperture.tolist() == [-1]
    assert artwork.remarks == ()


def test_no_aperture_is_needed_and_none_counts() -> None:
    assert ink("%ADD10C,3*%D10*G36*" + SQUARE + "G37*").area == pytest.approx(16)


def test_each_contour_is_one_object_and_they_unite() -> None:
    # Clause 4.10: a region is the union of its contours, overlaps stay filled.
    other = "X2000000Y2000000D02*X6000000D01*Y6000000D01*X2000000D01*Y2000000D01*"
    artwork = read(f"G36*\n{SQUARE}\n{other}G37*")
    assert len(artwork.shapes) == 2 and artwork.shapes.line.tolist() == [4, 5]
    assert picture(artwork.shapes).area == pytest.approx(16 + 16 - 4)


@pytest.mark.parametrize("hole", [
    "Y3000000D01*X3000000D01*Y1000000D01*X1000000D01*",
    "X3000000D01*Y3000000D01*X1000000D01*Y1000000D01*",
])  # fmt: skip
def test_a_cut_in_keeps_its_hole_whichever_way_it_is_wound(hole: str) -> None:
    # Clause 4.10.4.7 winds the hole against the hull; programs that wind both alike mean a hole as well.
    text = f"G36*X0Y0D02*X4000000D01*Y4000000D01*X0D01*Y1000000D01*X1000000D01*{hole}X0D01*Y0D01*G37*"
    shape = ink(text)
    assert shape.area == pytest.approx(16 - 4) and not holds(shape, 2, 2)


def test_a_round_hole_by_cut_in() -> None:
    text = (
        "G75*G36*X0Y0D02*G01X4000000D01*Y4000000D01*X0D01*Y2000000D01*X1000000D01*"
        "G03X1000000Y2000000I1000000J0D01*G01X0D01*Y0D01*G37*"
    )
    shape = ink(text)
    assert shape.area == pytest.approx(16 - math.pi, rel=5e-4) and not holds(shape, 2, 2)


def test_sides_may_be_arcs() -> None:
    # A stadium: clause 4.10 with 4.7.
    stadium = "X0Y0D02*G01X4000000D01*G03X4000000Y2000000J1000000D01*G01X0D01*G03X0Y0I0J-1000000D01*"
    shape = ink(f"G75*G36*{stadium}G37*")
    assert shape.area == pytest.approx(8 + math.pi, rel=2e-4)
    assert shape.bounds == pytest.approx((-1, 0, 5, 2), abs=1e-3)


def test_a_disc_of_one_arc() -> None:
    shape = ink("G75*G36*X1000000Y0D02*G02X1000000Y0I-1000000J0D01*G37*")
    assert shape.area == pytest.approx(math.pi, rel=2e-4)


def test_a_contour_that_is_not_closed_is_closed_and_told() -> None:
    artwork = read("G36*\nX0Y0D02*X4000000D01*Y4000000D01*X0D01*G37*")
    assert picture(artwork.shapes).area == pytest.approx(16)
    assert messages(artwork) == ["top.gbr:4: A contour of a region is not closed; a straight line closes it."]


def test_a_gap_of_rounding_is_closed_in_silence() -> None:
    assert read("G36*X0Y0D02*X4000000D01*Y4000000D01*X0D01*Y1D01*G37*").remarks == ()


def test_two_region_statements_without_a_move_between_are_two_contours() -> None:
    artwork = read("G36*X4000000D01*Y4000000D01*X0Y0D01*G37*G36*X4000000D01*Y-4000000D01*X0Y0D01*G37*")
    assert len(artwork.shapes) == 2 and picture(artwork.shapes).area == pytest.approx(16)


def test_clear_regions_cut_counters() -> None:
    inner = "X1000000Y1000000D02*X3000000D01*Y3000000D01*X1000000D01*Y1000000D01*"
    shape = ink(f"G36*{SQUARE}G37*%LPC*%G36*{inner}G37*%LPD*%")
    assert shape.area == pytest.approx(12) and not holds(shape, 2, 2)


def test_flashes_inside_are_left_out_and_told() -> None:
    artwork = read(f"%ADD10C,1*%D10*G36*{SQUARE}X9000000D03*G37*")
    assert len(artwork.shapes) == 1 and "A flash stands inside a region" in messages(artwork)[0]


def test_empty_regions_draw_nothing() -> None:
    assert len(read("G36*G37*G36*X0Y0D02*G37*").shapes) == 0


def test_modal_state_goes_on_through_a_region() -> None:
    shapes = read(f"%ADD10C,1*%D10*X1000000Y0D02*G36*{SQUARE}G37*X9000000Y0D01*").shapes
    assert shapes.kind.tolist() == [Kind.REGION, Kind.STROKE] and shapes.x0.tolist() == [0]
