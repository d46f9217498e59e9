"""Formats, units and notations: where a coordinate lies."""

import pytest

from labelcheck.trade.errors import UnreadableFile

from .drawn import MM, messages, read

POINTS = [(1.5, -2.25), (0.0, 0.0), (-0.001, 0.0)]


def flashes(text: str, head: str) -> list[tuple[float, float]]:
    shapes = read("%ADD10C,0.1*%\nD10*\n" + text, head).shapes
    points = zip(shapes.x0.tolist(), shapes.y0.tolist(), strict=True)
    return [(pytest.approx(x, abs=1e-9), pytest.approx(y, abs=1e-9)) for x, y in points]


@pytest.mark.parametrize("command", [
    "%FSLAX33Y33*%",
    "%FSLAX33Y33*MOMM*%",          # two commands in one block
    "G74*%FSLAX33Y33*%",           # on one line with a plain command
    "%FSAX33Y33*%",                # L is missing: leading zeros are omitted all the same
    "%FSLAN2X33Y33*%",             # length of N-codes
    "%FSLAN2G2X33Y33D2M2*%",       # lengths of all codes
    "%fslax33y33*%",
    "% FSLAX33Y33 *%",
])  # fmt: skip
def test_a_format_of_three_decimals_is_read_in_every_form_met(command: str) -> None:
    # Clause 4.2; the forms without L and with lengths of codes are deprecated, chapter 8.
    assert flashes("X1500Y-2250D03*X0Y0D03*X-1Y0D03*", command + "\n%MOMM*%\n") == POINTS


def test_six_whole_digits_and_six_decimals() -> None:
    assert flashes("X000001500000Y-2250000D03*", "%FSLAX66Y66*%\n%MOMM*%\n") == [(1.5, -2.25)]


def test_different_formats_for_x_and_y() -> None:
    assert flashes("X15Y-225D03*", "%FSLAX41Y42*%\n%MOMM*%\n") == [(1.5, -2.25)]


def test_trailing_zeros_omitted() -> None:
    # Chapter 8: with T the digits stand at the left of the format, so 015 in 2.4 is 01.5.
    head = "%FSTAX24Y24*%\n%MOMM*%\n"
    assert flashes("X015Y-0225D03*X0Y00D03*X-00001Y1D03*", head) == [(1.5, -2.25), (0, 0), (-0.001, 10)]


def test_incremental_notation_by_format_and_by_g91() -> None:
    assert flashes("X1000Y1000D03*X500D03*Y-2000D03*", "%FSLIX33Y33*%\n%MOMM*%\n") == [(1, 1), (1.5, 1), (1.5, -1)]
    mixed = "X1000Y1000D03*G91*X500D03*Y-2000D03*G90*X1000D03*G91*Y1000D03*"
    expected = [(1, 1), (1.5, 1), (1.5, -1), (1, -1), (1, 0)]
    assert flashes(mixed, "%FSLAX33Y33*%\n%MOMM*%\n") == expected


def test_a_coordinate_that_is_not_written_keeps_its_value_and_starts_at_zero() -> None:
    # Clause 4.8: coordinates are modal; X0 is a coordinate like any other.
    assert flashes("Y1000000D03*X2000000D03*X0D03*D03*", MM) == [(0, 1), (2, 1), (0, 1), (0, 1)]


def test_plus_signs_and_leading_zeros() -> None:
    assert flashes("X+0001500000Y-0002250000D03*", MM) == [(1.5, -2.25)]


@pytest.mark.parametrize("unit", ["%MOIN*%\n", "G70*\n", "%MOMM*%G70*\n"])
def test_inches(unit: str) -> None:
    artwork = read("%ADD10C,0.01*%\nD10*\nX1000Y-2000D03*", "%FSLAX23Y23*%\n" + unit)
    assert artwork.unit == "inch"
    assert artwork.shapes.x0[0] == 25.4 and artwork.shapes.y0[0] == -50.8
    assert artwork.shapes.width[0] == pytest.approx(0.254)
    assert artwork.apertures[0].parameters == (pytest.approx(0.254),)


def test_a_change_of_unit_keeps_what_was_measured_before() -> None:
    # A coordinate set in inch stays where it is when only the other one is set in millimetres.
    text = "%ADD10C,1*%\nD10*\nX1000Y1000D03*G71*Y1000D03*%ADD11C,1*%\nD11*X0D03*\n"
    shapes = read(text, "%FSLAX23Y23*%\n%MOIN*%\n").shapes
    assert shapes.x0.tolist() == [25.4, 25.4, 0] and shapes.y0.tolist() == [25.4, 1, 1]
    assert shapes.width.tolist() == [25.4, 25.4, 1]


def test_numbers_are_the_nearest_to_what_is_written() -> None:
    assert read("%ADD10C,0.1*%D10*X1234567Y-7654321D03*").shapes.x0[0] == 1.234567


def test_a_missing_unit_is_guessed_from_the_apertures_and_told() -> None:
    inch = read("%ADD10C,0.008*%D10*X1000D03*", "%FSLAX23Y23*%\n")
    metric = read("%ADD10C,0.2*%D10*X1000D03*", "%FSLAX33Y33*%\n")
    assert (inch.unit, inch.shapes.x0[0]) == ("inch", 25.4)
    assert (metric.unit, metric.shapes.x0[0]) == ("mm", 1.0)
    assert "No unit is declared; inch was taken" in messages(inch)[0]


def test_a_missing_format_is_an_error_that_says_what_to_do() -> None:
    with pytest.raises(UnreadableFile, match=r"no coordinate format \(FS\).*Export the set in the extended format"):
        read("%ADD10C,0.1*%D10*X1Y1D03*", "%MOMM*%\n")


def test_a_format_that_means_nothing_is_an_error_with_its_line() -> None:
    with pytest.raises(UnreadableFile, match=r"^top\.gbr:1: the coordinate format 'FSLAX4Y4' is not understood"):
        read("", "%FSLAX4Y4*%\n%MOMM*%\n")


def test_decimal_points_are_taken_as_lengths_and_told() -> None:
    artwork = read("%ADD10C,0.1*%D10*X1.5Y-2.25D03*X3000000D03*")
    assert artwork.shapes.x0.tolist() == [1.5, 3] and artwork.shapes.y0.tolist() == [-2.25, -2.25]
    assert "decimal point" in messages(artwork)[0]
