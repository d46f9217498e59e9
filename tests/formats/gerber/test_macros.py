"""Aperture macros (clause 4.5; primitives 2, 22, 6 are deprecated, chapter 8)."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.gerber.expressions import WrongExpression, compile_expression, work_out
from labelcheck.trade.errors import UnreadableFile

from .drawn import holds, ink, messages, picture, read

QUARTER = math.pi / 4
TIP = math.sqrt(4 - 0.25**2)
"""How far a ring of radius 2 reaches beside a gap 0.5 wide on the axis."""


def flash(body: str, arguments: str = "") -> object:
    return ink(f"%AMSHAPE*\n{body}%\n%ADD10SHAPE{arguments}*%\nD10*\nX0Y0D03*")


@pytest.mark.parametrize(("body", "area", "box"), [
    ("1,1,2,3,4*", 4 * QUARTER, (2, 3, 4, 5)),
    ("1,1,2,3,0,90*", 4 * QUARTER, (-1, 2, 1, 4)),                      # turned about the macro's origin
    ("20,1,1,0,0,4,0,0*", 4, (0, -0.5, 4, 0.5)),                        # flat ends
    ("2,1,1,0,0,4,0,90*", 4, (-0.5, 0, 0.5, 4)),
    ("21,1,4,1,3,0,0*", 4, (1, -0.5, 5, 0.5)),
    ("21,1,4,1,3,0,90*", 4, (-0.5, 1, 0.5, 5)),
    ("22,1,4,1,3,0,0*", 4, (3, 0, 7, 1)),
    ("22,1,4,1,3,0,180*", 4, (-7, -1, -3, 0)),
    ("4,1,3,1,0,3,0,3,2,1,0,0*", 2, (1, 0, 3, 2)),
    ("4,1,3,\n1,0,\n3,0,\n3,2,\n1,0,\n90*", 2, (-2, 1, 0, 3)),          # over several lines
    ("5,1,4,3,0,2,0*", 2, (2, -1, 4, 1)),
    ("5,1,4,3,0,2,90*", 2, (-1, 2, 1, 4)),
    ("7,0,0,4,2,0.5,0*", None, (-TIP, -TIP, TIP, TIP)),
    ("6,0,0,4,0.5,0.5,2,0.1,6,0*", None, (-3, -3, 3, 3)),
    ("0 a comment, with 1,1,9,0,0 in it*\n1,1,2,0,0*", 4 * QUARTER, (-1, -1, 1, 1)),
    ("0*1,1,2,0,0*", 4 * QUARTER, (-1, -1, 1, 1)),
    ("21,1,2,2,0,0*", 4, (-1, -1, 1, 1)),                               # rotation left out
])  # fmt: skip
def test_area_and_box_of_each_primitive(body: str, area: float | None, box: tuple[float, ...]) -> None:
    shape = flash(body)
    assert shape.bounds == pytest.approx(box, abs=1e-3)
    if area is not None:
        assert shape.area == pytest.approx(area, rel=5e-4)


def test_thermal() -> None:
    shape = flash("7,0,0,4,2,0.5,0*")
    # A ring less four gaps: a gap 0.5 wide from radius 1 to 2, ends following the circles.
    def strip(radius: float) -> float:
        return 2 * (0.125 * math.sqrt(radius**2 - 0.0625) + radius**2 / 2 * math.asin(0.25 / radius))

    assert shape.area == pytest.approx(math.pi * 3 - 4 * (strip(2) - strip(1)), rel=5e-4)
    assert len(shape.geoms) == 4 and not holds(shape, 1.5, 0) and not holds(shape, 0, 0)
    assert holds(shape, 1.06, 1.06)
    turned = flash("7,0,0,4,2,0.5,45*")
    assert holds(turned, 1.5, 0) and not holds(turned, 1.06, 1.06)
    moved = flash("7,3,0,4,2,0.5,90*")
    assert moved.bounds == pytest.approx((-TIP, 3 - TIP, TIP, 3 + TIP), abs=1e-3)


def test_moire() -> None:
    # Rings of 0.5 with gaps of 0.5 from diameter 4: 2…1.5, 1…0.5; the hair cross 0.1 wide and 6 long.
    shape = flash("6,0,0,4,0.5,0.5,2,0.1,6,0*")
    for radius, is_ink in ((1.75, True), (1.25, False), (0.75, True), (0.25, False), (2.5, False)):
        assert holds(shape, radius * 0.6, radius * 0.8) is is_ink
    assert holds(shape, 2.9, 0) and holds(shape, 0, 0.25) and not holds(shape, 2.9, 0.1)
    # More rings than fit: the last one is a full disc once its inside has no radius left.
    full = flash("6,0,0,4,0.5,0.25,9,0.1,6,0*")
    assert holds(full, 0.3, 0.3) and not holds(full, 0.42, 0.45)
    turned = flash("6,3,0,1,0.1,0.1,1,0.1,2,90*")
    assert turned.bounds == pytest.approx((-1, 2, 1, 4), abs=1e-3)


def test_exposure_off_cuts_only_within_the_macro() -> None:
    # Clause 4.5.2, the worked example: a line under the hole stays.
    text = "%AMM*21,1,4,4,0,0,0*1,0,2,0,0*%%ADD10M*%%ADD11C,0.2*%D11*X-5000000D02*X5000000D01*D10*X0D03*"
    shape = ink(text)
    assert holds(shape, 0, 0) and not holds(shape, 0, 0.5) and holds(shape, 0, 1.5)
    assert flash("21,1,4,4,0,0,0*1,0,2,0,0*").area == pytest.approx(16 - math.pi, rel=5e-4)


def test_what_is_drawn_after_a_cut_stays() -> None:
    shape = flash("21,1,4,4,0,0,0*1,0,2,0,0*21,1,1,0.1,0,0,0*")
    assert holds(shape, 0, 0) and not holds(shape, 0, 0.5)


def test_a_clear_macro_with_a_hole_leaves_the_hole_standing() -> None:
    shape = ink("%AMM*21,1,4,4,0,0,0*1,0,2,0,0*%%ADD10M*%%ADD11R,6X6*%D11*D03*%LPC*%D10*D03*")
    assert shape.area == pytest.approx(36 - 16 + math.pi, rel=5e-4) and holds(shape, 0, 0)


def test_overlapping_primitives_are_united() -> None:
    assert flash("21,1,4,1,0,0,0*21,1,1,4,0,0,0*").area == pytest.approx(7)


def test_rounded_rectangles_are_a_polygon_and_four_exact_bars() -> None:
    body = (
        "4,1,4,$2,$3,$4,$5,$6,$7,$8,$9,$2,$3,0*1,1,$1+$1,$2,$3*1,1,$1+$1,$4,$5*1,1,$1+$1,$6,$7*1,1,$1+$1,$8,$9*"
        "20,1,$1+$1,$2,$3,$4,$5,0*20,1,$1+$1,$4,$5,$6,$7,0*20,1,$1+$1,$6,$7,$8,$9,0*20,1,$1+$1,$8,$9,$2,$3,0*"
    )
    arguments = ",0.2X-1X-0.5X1X-0.5X1X0.5X-1X0.5"
    shapes = read(f"%AMSHAPE*\n{body}%\n%ADD10SHAPE{arguments}*%\nD10*\nD03*").shapes
    assert len(shapes.bar_object) == 4 and len(shapes.ring_object) == 1
    # 2.4 x 1.4 less the corners.
    assert picture(shapes).area == pytest.approx(2.4 * 1.4 - (4 - math.pi) * 0.04, rel=5e-4)


def test_lines_whose_ends_carry_no_disc_keep_flat_ends() -> None:
    shape = flash("20,1,1,0,0,4,0,0*1,1,1,0,0*")
    assert shape.bounds == pytest.approx((-0.5, -0.5, 4, 0.5), abs=1e-3)


def test_variables_arguments_and_defaults() -> None:
    # Clause 4.5: $1.. from the aperture, others by assignment, never given: 0.
    shape = flash("$3=$1x2*$4=$3+$2*1,1,$4,$9,$9,0*", ",1X0.5")
    assert shape.area == pytest.approx(2.5**2 * QUARTER, rel=5e-4)
    again = flash("$1=3*1,1,$1,0,0*", ",1")
    assert again.area == pytest.approx(9 * QUARTER, rel=5e-4)


def test_the_rounded_triangle_of_the_sample_artwork() -> None:
    # Expressions with unary minus, brackets and an undefined variable, in the manner of a published sample.
    body = (
        "$10=0.5*0 sine of 30 degrees*\n$11=0.8660254*\n$20=$1-2x$2*\n1,1,2x$2,$20,0,$4*\n1,1,2x$2,$20,0,$4+120*\n"
        "1,1,2x$2,$20,$21,$4+240*\n4,1,6,\n$20+$2x$10,-$2x$11,\n$20+$2x$10,$2x$11,\n($2-$20)x$10,($1-$2)x$11,\n"
        "-$2-$20x$10,($1-2x$2)x$11,\n-$2-$20x$10,-($1-2x$2)x$11,\n($2-$20)x$10,-($1-$2)x$11,\n$20+$2x$10,-$2x$11,\n"
        "$4*\n1,0,$3,0,0,0*"
    )
    shape = flash(body, ",30X6X17X0")
    # Discs of radius 6 stand 18 from the centre; a triangle of side 18√3 grown by 6, less the hole.
    side = 18 * math.sqrt(3)
    area = math.sqrt(3) / 4 * side**2 + 3 * side * 6 + math.pi * 36 - math.pi * 8.5**2
    assert shape.area == pytest.approx(area, rel=1e-3)
    assert shape.bounds[2] == pytest.approx(24, abs=1e-3)


def test_macros_are_in_the_unit_of_the_aperture() -> None:
    shape = ink("%AMM*21,1,1,$1,0,0,0*%%ADD10M,2*%D10*D03*", "%FSLAX24Y24*%\n%MOIN*%\n")
    assert shape.bounds == pytest.approx((-12.7, -25.4, 12.7, 25.4))


def test_several_macros_in_one_block_and_a_definition_behind() -> None:
    shape = ink("%AMA*21,1,1,1,0,0,0*AMB*21,1,2,2,0,0,0*ADD10A*ADD11B*%D10*D03*X5000000D02*D11*D03*")
    assert shape.area == pytest.approx(1 + 4)


def test_macros_may_have_any_name() -> None:
    for name in ("block", "c", "r2", "Ω", "A-B"):
        assert ink(f"%AM{name}*21,1,3,2,0,0,0*%%ADD10{name}*%D10*D03*").area == pytest.approx(6)


def test_parameters_of_a_macro_aperture_are_kept_as_written() -> None:
    artwork = read("%AMM*21,1,$1,$2,0,0,0*%%ADD10M,0.5X30*%D10*D03*", "%FSLAX24Y24*%\n%MOIN*%\n")
    assert artwork.apertures[0].template == "M" and artwork.apertures[0].parameters == (0.5, 30.0)


@pytest.mark.parametrize(("body", "reason"), [
    ("1,1,1/0,0,0*", "divides by zero"),
    ("1,1,(2,0,0*", "a bracket is not closed"),
    ("1,1,2)x3,0,0*", "closed that was not opened"),
    ("21,1,2*", "primitive 21 has 2 values, 5 are needed"),
    ("4,1,5,0,0,1,1,0*", "an outline of 5 sides has"),
    ("5,1,2,0,0,1,0*", "a polygon has 2 corners"),
    ("1,1,2 3,0,0*", "two values stand side by side"),
    ("9x9*", "is no primitive"),
])  # fmt: skip
def test_macros_that_cannot_be_worked_out_are_errors_with_their_line(body: str, reason: str) -> None:
    with pytest.raises(UnreadableFile) as caught:
        flash("0 a line before*\n" + body)
    assert caught.value.line == 5 and reason in str(caught.value)


def test_a_wrong_macro_that_is_never_used_is_no_error() -> None:
    assert len(read("%AMBAD*1,1,1/0,0,0*%%ADD10BAD*%%ADD11C,1*%D11*D03*").shapes) == 1


def test_an_aperture_of_a_macro_that_is_not_defined() -> None:
    with pytest.raises(UnreadableFile, match="aperture D10 cannot be drawn: its macro 'NONE' is not defined"):
        read("%ADD10NONE*%D10*D03*")


def test_an_unknown_primitive_is_told_and_passed_over() -> None:
    artwork = read("%AMM*\n1,1,2,0,0*\n99,1,2,3*%%ADD10M*%D10*D03*")
    assert messages(artwork) == ["top.gbr:5: In a macro, primitive 99 is not known; it was passed over."]
    assert picture(artwork.shapes).area == pytest.approx(math.pi, rel=5e-4)


@pytest.mark.parametrize(("text", "value"), [
    ("1+2x3", 7), ("(1+2)x3", 9), ("8/4/2", 1), ("10-4-3", 3), ("-2x-3", 6), ("2--3", 5), ("+5", 5), ("-(1+1)", -2),
    ("2X3", 6), (".5+1.", 1.5), ("-$1+$1", 0), ("$7", 0), ("((((1))))", 1), ("2x(3-(4-5))", 8), (" 1 + 2 ", 3),
])  # fmt: skip
def test_arithmetic(text: str, value: float) -> None:
    assert work_out(compile_expression(text), {1: 3.0}) == value


def test_deep_brackets_need_no_recursion() -> None:
    assert work_out(compile_expression("(" * 50_000 + "1" + ")" * 50_000), {}) == 1


numbers = st.integers(0, 50).map(str)
terms = st.recursive(
    numbers,
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from("+-x"), inner).map(lambda t: f"({t[0]}{t[1]}{t[2]})"),
        st.tuples(inner, st.sampled_from("+-x"), inner).map("".join),
        inner.map(lambda t: f"-({t})"),
    ),
    max_leaves=8,
)


@settings(max_examples=150, derandomize=True, deadline=None)
@given(terms)
def test_arithmetic_agrees_with_python(text: str) -> None:
    # The format has the usual precedence (clause 4.5); Python's own serves as the reference.
    expected = eval(text.replace("x", "*"))  # made above of digits, brackets and + - x only
    if abs(expected) < 1e14:
        assert work_out(compile_expression(text), {}) == expected


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.text("()+-x/$0123.", max_size=20))
def test_nonsense_is_told_as_such(text: str) -> None:
    try:
        work_out(compile_expression(text), {})
    except WrongExpression as wrong:
        assert str(wrong)
