"""Standard apertures and their holes (clause 4.4), and their transformations (clause 4.9)."""

import math

import pytest

from labelcheck.formats.gerber.apertures import parse_definition
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.shapes import Kind

from .drawn import holds, ink, messages, picture, read

DISC = math.pi / 4


def flash(aperture: str, before: str = "") -> object:
    return ink(f"%ADD10{aperture}*%\nD10*\n{before}X0Y0D03*")


@pytest.mark.parametrize(("aperture", "area", "box"), [
    ("C,2", 4 * DISC, (-1, -1, 1, 1)),
    ("C,2X1", 3 * DISC, (-1, -1, 1, 1)),
    ("C,2X1X0.5", 4 * DISC - 0.5, (-1, -1, 1, 1)),                  # rectangular hole, deprecated
    ("R,2X1", 2, (-1, -0.5, 1, 0.5)),
    ("R,2X1X0.5", 2 - 0.25 * DISC, (-1, -0.5, 1, 0.5)),
    ("R,2X1X0.5X0.25", 2 - 0.125, (-1, -0.5, 1, 0.5)),
    ("O,2X1", 1 + DISC, (-1, -0.5, 1, 0.5)),
    ("O,1X2", 1 + DISC, (-0.5, -1, 0.5, 1)),
    ("O,1X1", DISC, (-0.5, -0.5, 0.5, 0.5)),
    ("O,2X1X0.5", 1 + 0.75 * DISC, (-1, -0.5, 1, 0.5)),
    ("O,2X1X0.5X0.25", 1 + DISC - 0.125, (-1, -0.5, 1, 0.5)),
    ("P,2X4", 2, (-1, -1, 1, 1)),                                   # first corner on the x axis
    ("P,2X4X45", 2, (-math.sqrt(0.5),) * 2 + (math.sqrt(0.5),) * 2),
    ("P,2X6", 1.5 * math.sqrt(3), (-1, -math.sqrt(0.75), 1, math.sqrt(0.75))),
    ("P,2X3X-90", 0.75 * math.sqrt(3), (-math.sqrt(0.75), -1, math.sqrt(0.75), 0.5)),
    ("P,2X4X0X0.5", 2 - 0.25 * DISC, (-1, -1, 1, 1)),
    ("P,2X4X0X0.5X0.25", 2 - 0.125, (-1, -1, 1, 1)),
    ("C, 2.0000", 4 * DISC, (-1, -1, 1, 1)),                        # blanks
    ("C,2X0", 4 * DISC, (-1, -1, 1, 1)),                            # a hole of nothing
    ("C,.5", 0.25 * DISC, (-0.25, -0.25, 0.25, 0.25)),
    ("C,+2.", 4 * DISC, (-1, -1, 1, 1)),
    ("c,2x1", 3 * DISC, (-1, -1, 1, 1)),
])  # fmt: skip
def test_area_and_box_of_a_flash(aperture: str, area: float, box: tuple[float, ...]) -> None:
    shape = flash(aperture)
    assert shape.area == pytest.approx(area, rel=5e-4)
    assert shape.bounds == pytest.approx(box, abs=1e-3)


def test_discs_and_obrounds_are_exact_bars() -> None:
    shapes = read("%ADD10C,2*%\n%ADD11O,3X1*%\nD10*\nX1000000Y0D03*D11*X0Y1000000D03*").shapes
    assert len(shapes.ring_object) == 0 and shapes.kind.tolist() == [Kind.FLASH, Kind.FLASH]
    assert (shapes.x0.tolist(), shapes.x1.tolist(), shapes.width.tolist()) == ([1, -1], [1, 1], [2, 1])


def test_a_hole_shows_what_lies_beneath() -> None:
    # Clause 4.4.6: holes are transparent, they do not clear.
    shape = ink("%ADD10C,0.4*%\n%ADD11C,2X1*%\nD10*X-3000000D02*X3000000D01*D11*X0D03*")
    assert holds(shape, 0, 0) and not holds(shape, 0, 0.4) and holds(shape, 0, 0.75)


def test_a_hole_larger_than_its_aperture_leaves_nothing() -> None:
    assert flash("R,1X1X3").area == 0


def test_parameters_are_kept_as_lengths() -> None:
    artwork = read("%ADD10P,2X6X30X0.5*%\n%ADD11C,0.4X0.1*%\nD10*D03*", "%FSLAX24Y24*%\n%MOIN*%\n")
    assert artwork.apertures[0].parameters == pytest.approx((50.8, 6, 30, 12.7))
    assert artwork.apertures[0].pen_mm is None
    assert artwork.apertures[1].pen_mm == pytest.approx(10.16) and artwork.apertures[1].template == "C"


@pytest.mark.parametrize(("turn", "box"), [
    ("%LR90*%", (-0.5, -2, 0.5, 2)),
    ("%LR-90*%", (-0.5, -2, 0.5, 2)),
    ("%LS0.5*%", (-1, -0.25, 1, 0.25)),
    ("%LS2*%%LR90*%", (-1, -4, 1, 4)),
])  # fmt: skip
def test_rotation_and_scale_of_rectangles_and_obrounds(turn: str, box: tuple[float, ...]) -> None:
    for aperture in ("R,4X1", "O,4X1"):
        assert flash(aperture, turn).bounds == pytest.approx(box)


@pytest.mark.parametrize(("turn", "corner"), [
    ("", (1, 0)),
    ("%LMX*%", (-1, 0)),               # along the x axis: left becomes right
    ("%LMY*%", (1, 0)),
    ("%LR30*%", (math.cos(math.pi / 6), 0.5)),
    ("%LMX*%%LR30*%", (-math.cos(math.pi / 6), -0.5)),   # mirrored first, then turned
    ("%LR30*%%LMX*%", (-math.cos(math.pi / 6), -0.5)),   # whatever the order of the commands
    ("%LR30*%%LMXY*%", (-math.cos(math.pi / 6), -0.5)),
    ("%LMX*%%LMN*%", (1, 0)),
    ("%LS3*%", (3, 0)),
])  # fmt: skip
def test_where_the_first_corner_of_a_triangle_goes(turn: str, corner: tuple[float, float]) -> None:
    shape = flash("P,2X3", turn)
    corners = [tuple(point) for point in shape.exterior.coords]
    assert min(math.dist(point, corner) for point in corners) < 1e-9
    assert min(math.dist(point, (-corner[0], -corner[1])) for point in corners) > 0.5


def test_scaling_widens_pens_and_flashes_but_moves_nothing() -> None:
    shapes = read("%ADD10C,1*%D10*%LS2*%X3000000D01*X5000000D03*%LS1*%X6000000D03*").shapes
    assert shapes.width.tolist() == [2, 2, 1] and shapes.x1.tolist() == [3, 5, 6]


def test_polarity_clears_what_was_drawn_before_only() -> None:
    shape = ink("%ADD10R,4X4*%\n%ADD11R,2X2*%\n%ADD12R,1X1*%\nD10*D03*%LPC*%D11*D03*%LPD*%D12*D03*")
    assert shape.area == pytest.approx(16 - 4 + 1)
    assert holds(shape, 0, 0) and not holds(shape, 0.75, 0) and holds(shape, 1.5, 0)


@pytest.mark.parametrize("wrong", ["C", "R,1", "C,x", "C,1e5", "P,1", "C,1XQ", "", ",1"])
def test_definitions_that_mean_nothing_are_errors_only_where_used(wrong: str) -> None:
    text = f"%ADD10C,1*%\n%ADD11{wrong}*%\nD10*X0D03*\n"
    assert len(read(text).shapes) == 1
    with pytest.raises(UnreadableFile, match=r"^top\.gbr:4: aperture D11 cannot be drawn"):
        read(text + "D11*X0D03*")


def test_polygons_of_impossible_corners_are_errors() -> None:
    with pytest.raises(UnreadableFile, match="a polygon of 2 corners"):
        read("%ADD10P,1X2*%D10*D03*")


def test_reserved_numbers_are_no_apertures() -> None:
    artwork = read("%ADD3C,1*%\n%ADD10C,1*%D10*D03*")
    assert len(artwork.shapes) == 1 and "D3 cannot be an aperture" in messages(artwork)[0]


def test_definition_forms() -> None:
    for text in ("D10C,1", "10C,1", "D0010C,1", "D10C,1X", " D10 C,1"):
        definition = parse_definition(text.strip())
        assert definition is not None and (definition.code, definition.numbers) == (10, (1.0,))


def test_bad_transformations_are_told_and_passed_over() -> None:
    artwork = read("%ADD10C,1*%D10*\n%LRx*%\n%LS0*%\n%LMQ*%\n%LPX*%\nD03*")
    assert [message.split(":")[1] for message in messages(artwork)] == ["4", "5", "6", "7"]
    assert picture(artwork.shapes).area == pytest.approx(DISC, rel=1e-3)
