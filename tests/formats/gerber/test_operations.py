"""Moves, strokes and flashes, and everything that is carried forward between them."""

import pytest

from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.shapes import Kind

from .drawn import MM, messages, read

PENS = "%ADD10C,0.2*%\n%ADD11C,0.4*%\nD10*\n"


def strokes(artwork: Artwork) -> list[tuple[float, ...]]:
    """Ends of every bar."""
    shapes = artwork.shapes
    return list(zip(shapes.x0.tolist(), shapes.y0.tolist(), shapes.x1.tolist(), shapes.y1.tolist(), strict=True))


@pytest.mark.parametrize("text", [
    "G01*X1000Y1000D02*X2000Y1000D01*X2000Y3000D01*",
    "G01X1000Y1000D02*G01X2000Y1000D01*G01X2000Y3000D01*",    # G-code and coordinates in one statement
    "X1000Y1000D2*X2000D1*Y3000D1*",                          # one-digit codes, modal coordinates
    "G1X1000Y1000D02*X2000D01*Y3000*",                        # no D-code: the last one holds (deprecated, chapter 8)
    "X1000Y1000D02*\nX2000\nD01*\nY3000D01\n*",               # line breaks mean nothing (chapter 3)
    "X1000Y1000D02X2000D01Y3000D01*",                         # the * is missing after a D-code
    "N10X1000Y1000D02*N20X2000D01*N30Y3000D01*",              # line numbers
    "X 1000 Y 1000 D02*X2000 D01*Y3000D01 *",                 # blanks
    "x1000y1000d02*x2000d01*y3000d01*",
    "D01X2000*X1000Y1000D02*D01X2000*D01Y3000*",              # the D-code stands before its coordinates
])  # fmt: skip
def test_a_corner_of_two_strokes_in_every_form_met(text: str) -> None:
    head = "%FSLAX33Y33*%\n%MOMM*%\n"
    drawn = strokes(read(PENS + text, head))
    assert drawn[-2:] == [(1, 1, 2, 1), (2, 1, 2, 3)]


def test_coordinates_without_a_code_repeat_the_last_operation() -> None:
    artwork = read(PENS + "X1000000D03*X2000000*D02*X3000000*X4000000D01*X5000000*")
    assert artwork.shapes.kind.tolist() == [Kind.FLASH, Kind.FLASH, Kind.STROKE, Kind.STROKE]
    assert strokes(artwork)[2:] == [(3, 0, 4, 0), (4, 0, 5, 0)]


def test_a_code_alone_takes_the_current_point() -> None:
    artwork = read(PENS + "X1000000Y2000000D02*D01*D03*X3000000D02*D03*")
    assert strokes(artwork) == [(1, 2, 1, 2), (1, 2, 1, 2), (3, 2, 3, 2)]
    assert artwork.shapes.kind.tolist() == [Kind.STROKE, Kind.FLASH, Kind.FLASH]


def test_the_first_stroke_starts_at_the_origin() -> None:
    assert strokes(read(PENS + "X1000000D01*")) == [(0, 0, 1, 0)]


def test_a_stroke_of_no_length_is_a_dot() -> None:
    artwork = read(PENS + "X1000000Y0D02*X1000000Y0D01*")
    assert strokes(artwork) == [(1, 0, 1, 0)] and artwork.shapes.width.tolist() == [0.2]


def test_pens_of_no_width_keep_their_strokes() -> None:
    # Outlines are often drawn so; they have no ink but a course.
    artwork = read("%ADD10C,0*%D10*X1000000D01*")
    assert artwork.shapes.width.tolist() == [0] and len(artwork.shapes) == 1


@pytest.mark.parametrize("select", ["D11*", "G54D11*", "G54 D11*", "D0011*", "G01D11*", "D11"])
def test_selecting_an_aperture(select: str) -> None:
    assert read(PENS + select + "X1000000D03*").shapes.width.tolist() == [0.4]


def test_flash_codes_of_old_files_are_quiet() -> None:
    artwork = read(PENS + "G55X1000000D03*G54D11*")
    assert len(artwork.shapes) == 1 and artwork.remarks == ()


def test_an_aperture_defined_again_holds_from_there_on() -> None:
    artwork = read("%ADD10C,0.2*%D10*X0D03*%ADD10C,0.4*%X1000000D03*D10*X2000000D03*")
    assert artwork.shapes.width.tolist() == [0.2, 0.2, 0.4]
    assert artwork.shapes.aperture.tolist() == [0, 0, 1]


def test_an_aperture_used_before_it_is_defined_is_an_error_with_the_line_of_its_use() -> None:
    with pytest.raises(UnreadableFile) as caught:
        read(PENS + "\nD14*\nX0Y0D02*\nX1D01*\n%ADD14C,1*%\n")
    assert str(caught.value) == (
        "top.gbr:9: aperture D14 is used before it is defined. Export the set again; the file may be cut short."
    )


def test_an_aperture_chosen_but_not_used_is_no_error() -> None:
    assert len(read(PENS + "D99*\nX0D02*\nD10*X1D01*").shapes) == 1


def test_drawing_without_an_aperture_is_an_error() -> None:
    with pytest.raises(UnreadableFile, match="a stroke is drawn before an aperture is chosen"):
        read("X0D02*X1000D01*")


def test_coordinates_before_any_operation_are_moves_and_told() -> None:
    artwork = read(PENS + "X1000000*X2000000D01*")
    assert strokes(artwork) == [(1, 0, 2, 0)]
    assert messages(artwork) == ["top.gbr:6: Coordinates stand before any D01, D02 or D03; they were taken as moves."]


def test_lines_are_counted_for_every_kind_of_line_break() -> None:
    for line_break in ("\n", "\r\n", "\r"):
        text = (PENS + "X1000000D02*\nX2000000D01*\nX2000000D03*\n").replace("\n", line_break)
        shapes = read(text, MM.replace("\n", line_break)).shapes
        assert shapes.line.tolist() == [7, 8]


def test_unknown_codes_are_told_once_a_kind_with_their_count() -> None:
    artwork = read(PENS + "G99*\nG99*\nD05*\nM17*\nX1000000D01*\n")
    assert messages(artwork) == [
        "top.gbr:6: The code G99 is not known; it was passed over. (2 times)",
        "top.gbr:8: The code D05 is not known; it was passed over.",
        "top.gbr:9: The code M17 is not known; it was passed over.",
    ]
    assert len(artwork.shapes) == 1


def test_a_statement_that_is_no_command_is_left_out_alone() -> None:
    artwork = read(PENS + "X1000000D02*\nT01C0.5X9*\nX2000000D01*\n")
    assert strokes(artwork) == [(1, 0, 2, 0)]
    assert messages(artwork)[0].startswith("top.gbr:7: 'T01C0.5X9' is not a Gerber command; it was left out.")


def test_garbage_within_a_number_spoils_its_statement_only() -> None:
    artwork = read(PENS + "X1000000D02*\nX2#00000D01*\nX3000000D01*\nX4-0D01*\n")
    assert strokes(artwork) == [(1, 0, 3, 0)]
    assert "(2 times)" in messages(artwork)[0]


def test_numbers_of_too_many_digits_are_left_out() -> None:
    artwork = read(PENS + "X" + "9" * 30 + "D01*\nX1000000D01*")
    assert strokes(artwork) == [(0, 0, 1, 0)]


@pytest.mark.parametrize("end", ["M02*", "M00*", "M00*M02*", "M2*", "m02*", "M02", "M01*M02*"])
def test_the_end_of_a_whole_file(end: str) -> None:
    artwork = read(PENS + "X1000000D01*", end=end)
    assert artwork.whole and artwork.remarks == ()


def test_a_file_without_its_end_is_read_and_told() -> None:
    artwork = read(PENS + "X1000000D01*", end="")
    assert not artwork.whole and len(artwork.shapes) == 1
    assert messages(artwork) == ["top.gbr: The file has no end-of-file command (M02); it may be cut short."]


def test_nothing_after_the_end_is_drawn() -> None:
    # Clause 4.13; the text after the end would otherwise read as a command.
    assert read(PENS + "X1000000D01*M02*\njunk %8^%$#* that is no command\n").remarks == ()
    artwork = read(PENS + "X1000000D01*\nM02*\nX2000000D01*")
    assert len(artwork.shapes) == 1
    assert messages(artwork)[0].startswith("top.gbr:8: Commands stand after the end-of-file command")


def test_thousands_of_exact_duplicates_stay() -> None:
    assert len(read(PENS + "X1000000D03*\n" * 3000).shapes) == 3000
