"""Deprecated commands for whole layers and images (chapter 8, and the RS-274X user's guide)."""

import pytest

from labelcheck.trade.shapes import Kind

from .drawn import holds, ink, messages, picture, read

CROSS = "%ADD10C,0.5*%\nD10*\nX0Y0D02*X4000000D01*X0Y0D02*Y2000000D01*"
"""A stroke 4 mm to the right and one 2 mm up."""


def spots(command: str) -> list[tuple[float, float]]:
    """Where the two strokes of the cross end."""
    shapes = read(command + CROSS).shapes
    return [(round(x, 9), round(y, 9)) for x, y in zip(shapes.x1.tolist(), shapes.y1.tolist(), strict=True)]


@pytest.mark.parametrize(("command", "ends"), [
    ("%MIA0B0*%%SFA1.0B1.0*%%OFA0B0*%%ASAXBY*%%IR0*%%IPPOS*%", [(4, 0), (0, 2)]),
    ("%MIA1B0*%", [(-4, 0), (0, 2)]),
    ("%MIB1*%", [(4, 0), (0, -2)]),
    ("%MIA1B1*%", [(-4, 0), (0, -2)]),
    ("%SFA2B0.5*%", [(8, 0), (0, 1)]),
    ("%SFA2*%", [(8, 0), (0, 2)]),
    ("%OFA10B-1*%", [(14, -1), (10, 1)]),
    ("%IOA10B-1*%", [(14, -1), (10, 1)]),
    ("%ASAYBX*%", [(0, 4), (2, 0)]),
    ("%IR90*%", [(0, 4), (-2, 0)]),
    ("%IR180*%", [(-4, 0), (0, -2)]),
    ("%IR270*%", [(0, -4), (2, 0)]),
    ("%RO90*%", [(0, 4), (-2, 0)]),
    ("%IR0*IPPOS*OFA0.00000B0.00000*MIA1B0*SFA1.00000B1.00000*%", [(-4, 0), (0, 2)]),
])  # fmt: skip
def test_where_things_go(command: str, ends: list[tuple[float, float]]) -> None:
    assert spots(command) == ends


def test_the_defaults_in_a_header_are_quiet_and_others_are_told() -> None:
    assert read("%IR0*IPPOS*OFA0B0*MIA0B0*SFA1B1*ASAXBY*%%LNTOP*%%INboard*%" + CROSS).remarks == ()
    assert "'MIA1B0' moves, scales or mirrors the image" in messages(read("%MIA1B0*%" + CROSS))[0]
    assert "'IR90' turns the image" in messages(read("%IR90*%" + CROSS))[0]


def test_offsets_are_in_the_unit_in_force() -> None:
    shapes = read("%OFA1B2*%%ADD10C,1*%D10*X0Y0D03*", "%FSLAX24Y24*%\n%MOIN*%\n").shapes
    assert (shapes.x0[0], shapes.y0[0]) == (25.4, 50.8)


def test_scale_and_mirror_move_coordinates_but_not_apertures() -> None:
    # Chapter 8, SF: "does not affect apertures"; MI: coordinate data.
    shape = ink("%SFA2B2*%%MIA1*%%ADD10R,2X1*%D10*X5000000Y0D03*")
    assert shape.bounds == (-11, -0.5, -9, 0.5)


def test_image_rotation_turns_apertures_too() -> None:
    assert ink("%IR90*%%ADD10R,2X1*%D10*X5000000Y0D03*").bounds == pytest.approx((-0.5, 4, 0.5, 6))


def test_mirrored_arcs_go_the_other_way_round() -> None:
    shape = ink("%MIA1*%%ADD10C,0.2*%D10*G75*X1000000Y0D02*G03*X0Y1000000I-1000000D01*")
    assert holds(shape, -0.7071, 0.7071)


def test_negative_images_are_dark_but_where_they_draw() -> None:
    artwork = read("%IPNEG*%\n%ADD10R,2X2*%\n%ADD11R,1X1*%\nD10*X0Y0D03*X4000000D03*%LPC*%D11*X0D03*")
    shape = picture(artwork.shapes)
    # The extents are 6 x 2; what is drawn dark becomes clear, and clear dark.
    assert shape.area == pytest.approx(12 - 4 - 4 + 1) and holds(shape, 0, 0) and not holds(shape, 0.75, 0)
    assert artwork.shapes.kind[0] == Kind.REGION and artwork.shapes.line[0] == 3
    assert "declared negative (IPNEG)" in messages(artwork)[0]


def test_knock_out_of_a_fixed_box() -> None:
    field = "%ADD10C,0.5*%D10*G36*X-5000000Y-5000000D02*X5000000D01*Y5000000D01*X-5000000D01*Y-5000000D01*G37*"
    shape = ink(field + "%KOCX-2Y-1I4J2*%X-1000000Y0D02*X1000000D01*")
    assert shape.area == pytest.approx(100 - 8 + 1 + 0.19635, rel=1e-4)
    assert holds(shape, 0, 0) and not holds(shape, 0, 0.5) and holds(shape, 0, 1.5)


def test_knock_out_around_the_layer_that_follows() -> None:
    field = "%ADD10R,1X1*%D10*G36*X-5000000Y-5000000D02*X5000000D01*Y5000000D01*X-5000000D01*Y-5000000D01*G37*"
    artwork = read(field + "%KOCK0.5*%X0Y0D03*X2000000D03*%KO*%X-4000000D03*")
    shape = picture(artwork.shapes)
    # The layer is 3 x 1; the margin makes it 4 x 2; what follows KO* belongs to no knock-out.
    assert shape.area == pytest.approx(100 - 8 + 2)
    assert "lays a rectangle under what follows" in messages(artwork)[0]


def test_what_cannot_be_followed_is_told() -> None:
    commands = ("IFother.gbr", "IJACBC", "IR45", "MIAxB", "SFA0B1", "OFAB1C", "IPX", "XX1")
    told = messages(read("".join(f"%{command}*%\n" for command in commands) + CROSS))
    assert [message.split(":")[1] for message in told] == ["3", "4", "5", "6", "7", "8", "9", "10"]
    assert "'other.gbr' should be included here; it was not read" in told[0]
    assert "The command 'XX1' is not known" in told[-1]


@pytest.mark.parametrize("command", ["ASAX", "MIAx", "SFAx", "OFA1.2.3", "IR45", "ROx", "IPMID", "KOQ", "SRX2Y"])
def test_an_old_command_that_says_nothing_is_told_and_changes_nothing(command: str) -> None:
    artwork = read(f"%{command}*%" + CROSS)
    assert any(command in message for message in messages(artwork))
    shapes = artwork.shapes
    assert list(zip(shapes.x1.round(9).tolist(), shapes.y1.round(9).tolist(), strict=True)) == [(4, 0), (0, 2)]


@pytest.mark.parametrize("command", ["%IPNEG*%", "%KOCK1*%", "%IPPOS*%%KOC*%"])
def test_where_nothing_is_drawn_there_is_nothing_to_turn_round(command: str) -> None:
    assert len(read(command + "%ADD10C,0.5*%").shapes) == 0
