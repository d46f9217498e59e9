"""Drill programs in the dialects that real sets hold; expected places are worked out by hand beside each program.

Codes: IPC-NC-349 family and XNC 2021.11 as summarised in public readers; defaults are common practice, from memory.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.drill import DrillFile, looks_like_drill, read_drill
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.shapes import Kind

INCH = 25.4


def read(*lines: str) -> DrillFile:
    return read_drill("holes.drl", "\n".join(lines).encode())


def holes(file: DrillFile) -> list[tuple[float, float, float]]:
    """x, y, diameter of every hole in order, micrometres rounded."""
    shapes = file.shapes
    flat = shapes.kind[shapes.bar_object] == Kind.FLASH
    return [
        (round(x, 4), round(y, 4), round(d, 4))
        for x, y, d in zip(shapes.x0[flat], shapes.y0[flat], shapes.width[flat], strict=True)
    ]


def slots(file: DrillFile) -> list[list[float]]:
    """Bars of all slots as x0, y0, x1, y1, width."""
    shapes = file.shapes
    long = shapes.kind[shapes.bar_object] == Kind.STROKE
    columns = (shapes.x0, shapes.y0, shapes.x1, shapes.y1, shapes.width)
    return np.column_stack([column[long] for column in columns]).round(4).tolist()


def test_plain_metric_program() -> None:
    file = read("M48", "METRIC", "T1C0.800", "T2C3.2", "%", "T1", "X10.0Y5.0", "Y7.5", "X-1.25", "T2", "X0Y0", "M30")
    assert holes(file) == [(10, 5, 0.8), (10, 7.5, 0.8), (-1.25, 7.5, 0.8), (0, 0, 3.2)]
    assert file.whole and not file.guessed and not file.remarks and file.left_out == 0
    assert file.shapes.line.tolist() == [7, 8, 9, 11]


def test_inch_program_is_millimetres_inside() -> None:
    file = read("M48", "INCH,TZ", "T1C0.0394", "%", "T1", "X1.Y-2.5", "M30")
    assert holes(file) == [(INCH, -2.5 * INCH, round(0.0394 * INCH, 4))]


@pytest.mark.parametrize(
    ("unit_line", "written", "expected"),
    [
        ("INCH,LZ", "X001Y03", (0.1, 3.0)),  # leading zeros kept: digits count from the left, 2.4
        ("INCH,TZ", "X1000Y30000", (0.1, 3.0)),  # trailing zeros kept: digits count from the right
        ("METRIC,LZ,000.000", "X001905Y26", (1.905, 260.0)),
        ("METRIC,TZ,000.00", "X1905Y260", (19.05, 2.6)),
        ("METRIC,LZ,0000.00", "X0019Y02", (19.0, 200.0)),
    ],
)
def test_left_out_zeros(unit_line: str, written: str, expected: tuple[float, float]) -> None:
    file = read("M48", unit_line, "T1C0.05", "%", "T1", written, "M30")
    scale = INCH if unit_line.startswith("INCH") else 1.0
    assert holes(file)[0][:2] == pytest.approx((expected[0] * scale, expected[1] * scale), abs=1e-4)


def test_digits_stated_in_a_comment() -> None:
    file = read(
        "M48", ";FILE_FORMAT=2:3", "INCH,TZ", ";TYPE=PLATED", "T1F00S00C0.028", "%", "T01", "X1875Y350", "M30"
    )
    assert holes(file) == [(round(1.875 * INCH, 4), round(0.35 * INCH, 4), round(0.028 * INCH, 4))]
    assert file.plated == (True,) and not file.guessed


def test_plated_sections_count_for_the_tools_behind_them() -> None:
    file = read(
        "M48",
        "METRIC,LZ",
        ";FILE_FORMAT=4:4",
        ";TYPE=PLATED",
        "T1F00S00C0.2000",
        ";TYPE=NON_PLATED",
        "T2F00S00C3.0000",
        "%",
        "T01",
        "X002365Y00159755",
        "T02",
        "X000725Y000935",
        "M30",
    )
    assert file.plated == (True, False)
    assert holes(file) == [(23.65, 15.9755, 0.2), (7.25, 9.35, 3.0)]


def test_plated_by_attributes() -> None:
    file = read(
        "M48",
        "; #@! TF.FileFunction,MixedPlating,1,2",
        "METRIC",
        "; #@! TA.AperFunction,Plated,PTH,ViaDrill",
        "T1C0.3",
        "; #@! TA.AperFunction,NonPlated,NPTH,ComponentDrill",
        "T2C3",
        "%",
        "T1",
        "X1Y1",
        "T2",
        "X2Y2",
        "M30",
    )
    assert file.plated == (True, False)
    assert file.file_function is not None and file.file_function[0] == "MIXEDPLATING"


@pytest.mark.parametrize(("value", "expected"), [("Plated,1,2,PTH", True), ("NonPlated,1,2,NPTH", False)])
def test_plated_by_file_function(value: str, expected: bool) -> None:
    assert read("M48", f"; #@! TF.FileFunction,{value}", "METRIC", "T1C1", "%", "T1", "X1Y1", "M30").plated == (
        expected,
    )


def test_tool_table_in_comments() -> None:
    file = read(
        "M48",
        "INCH",
        ";T01 Holesize 1. = 31.500000 Tolerance = +0.0/-0.0 PLATED MILS Quantity = 2",
        ";T02 Holesize 2. = 127.95 Tolerance = +0.0/-0.0 NON_PLATED MILS Quantity = 1",
        "%",
        "T01",
        "X1.0Y1.0",
        "T02",
        "X2.0Y1.0",
        "M30",
    )
    assert [hole[2] for hole in holes(file)] == [round(0.0315 * INCH, 4), round(0.12795 * INCH, 4)]
    assert file.plated == (True, False)


def test_a_definition_beats_a_comment() -> None:
    file = read(";Holesize 1 = 0.702 METRIC", "M48", "METRIC", "T01C0.900", "%", "T01", "X1.0Y1.0", "M30")
    assert holes(file)[0][2] == 0.9


def test_no_header_at_all() -> None:
    file = read("T1C0.8", "X10.5Y5.0", "X11.5Y5.0", "T2C3.0", "X1.0Y1.0", "M30")
    assert [hole[:2] for hole in holes(file)] == [(10.5, 5.0), (11.5, 5.0), (1.0, 1.0)]
    assert file.format.unit == "mm" and file.guessed == ("unit",)
    assert [candidate.unit for candidate in file.candidates] == ["mm", "inch"]


def test_small_tools_speak_for_inches() -> None:
    file = read("%", "T1C0.0197", "T2C0.125", "T1", "X1.5Y0.5", "T2", "X0.1Y0.1", "M30")
    assert file.format.unit == "inch" and "unit" in file.guessed


def test_unit_declared_behind_the_header() -> None:
    file = read(
        "M48", "T01C.5000", "%", "M71", "G93X0Y0", "T01", "X126467Y128118", "X135509Y096266", "X133985", "M30"
    )
    assert holes(file)[0] == (126.467, 128.118, 0.5)
    assert holes(file)[2][:2] == (133.985, 96.266)


def test_what_is_guessed_comes_with_candidates() -> None:
    file = read("%", "M48", "M72", "T01C0.01575", "%", "T01", "X41900Y78670", "X31800Y118013", "M30")
    assert "number of digits" in file.guessed and file.format.unit == "inch"
    assert (2, 5) in [(one.whole_digits, one.decimal_digits) for one in file.candidates]
    again = read_drill(
        "holes.drl",
        b"M48\nM72\nT01C0.01575\n%\nT01\nX41900Y78670\nM30\n",
        next(one for one in file.candidates if one.decimal_digits == 5),
    )
    assert holes(again)[0][:2] == (round(0.419 * INCH, 4), round(0.7867 * INCH, 4))


def test_fixed_width_numbers_tell_their_digits() -> None:
    file = read("G81", "M48", "INCH", "T1C000.02500", "%", "T001", "X00038165Y00055035", "M30")
    assert (file.format.whole_digits, file.format.decimal_digits) == (3, 5)
    assert holes(file)[0][:2] == (round(0.38165 * INCH, 4), round(0.55035 * INCH, 4))


def test_slot_by_g85() -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", "X10.0Y5.0G85X14.0Y5.0", "G05", "X1.0Y1.0", "M30")
    assert slots(file) == [[10, 5, 14, 5, 1]] and [hole[:2] for hole in holes(file)] == [(1, 1)]


def test_slot_by_routing() -> None:
    file = read(
        "M48",
        "METRIC",
        "T1C1.0",
        "%",
        "G90",
        "G05",
        "T1",
        "G00X10.0Y5.0",
        "M15",
        "G01X14.0Y5.0",
        "Y8.0",
        "M16",
        "G05",
        "X1.0Y1.0",
        "M30",
    )
    assert slots(file) == [[10, 5, 14, 5, 1], [14, 5, 14, 8, 1]]
    assert len(file.shapes) == 2, "one path is one object"
    assert [hole[:2] for hole in holes(file)] == [(1, 1)]


def test_moves_with_the_tool_up_cut_nothing() -> None:
    file = read(
        "M48", "METRIC", "T1C1.0", "%", "T1", "G00X10.0Y5.0", "G00X20.0Y5.0", "M15", "G01X21.0Y5.0", "M17", "M30"
    )
    assert slots(file) == [[20, 5, 21, 5, 1]]


@pytest.mark.parametrize("arc", ["G03X10.0Y10.0A5.0", "G03X10.0Y10.0I-5.0J0.0", "G02X10.0Y10.0A5.0"])
def test_routed_quarter_arc(arc: str) -> None:
    """From (15, 5) to (10, 10): counter-clockwise about (10, 5), clockwise about (15, 10)."""
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", "G00X15.0Y5.0", "M15", arc, "M16", "M30")
    centre = (15, 10) if arc.startswith("G02") else (10, 5)
    ends = np.array(slots(file))[:, :4].reshape(-1, 2)
    assert np.hypot(*(ends - centre).T) == pytest.approx(np.full(len(ends), 5.0), abs=1e-3)
    length = float(np.hypot(*(np.array(slots(file))[:, 2:4] - np.array(slots(file))[:, :2]).T).sum())
    assert length == pytest.approx(5 * math.pi / 2, rel=2e-3)


def test_routed_full_circle() -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", "G00X15.0Y5.0", "M15", "G02X15.0Y5.0I-5.0J0.0", "M16", "M30")
    bars = np.array(slots(file))
    assert np.hypot(*(bars[:, 2:4] - bars[:, :2]).T).sum() == pytest.approx(10 * math.pi, rel=2e-3)


def test_repeats() -> None:
    file = read("M48", "INCH,TZ", "T01C0.050", "%", "T01", "X10000Y10000", "R3X1000", "R2X1000Y-500", "M30")
    assert [round(x / INCH, 3) for x, _, _ in holes(file)] == [1.0, 1.1, 1.2, 1.3, 1.4, 1.5]
    assert [round(y / INCH, 3) for _, y, _ in holes(file)] == [1.0, 1.0, 1.0, 1.0, 0.95, 0.9]


def test_pattern_step() -> None:
    file = read(
        "M48",
        "METRIC",
        "T1C1.0",
        "%",
        "T1",
        "M25",
        "X0.0Y0.0",
        "X1.0Y0.0",
        "M01",
        "M02X10.0Y0.0",
        "M02X10.0Y0.0",
        "M08",
        "X5.0Y5.0",
        "M30",
    )
    assert [hole[:2] for hole in holes(file)] == [(0, 0), (1, 0), (10, 0), (11, 0), (20, 0), (21, 0), (5, 5)]


def test_repeated_pattern() -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", "M25", "X0.0Y0.0", "M01", "R2M02X0.0Y3.0", "M08", "M30")
    assert [hole[:2] for hole in holes(file)] == [(0, 0), (0, 3), (0, 6)]


def test_incremental() -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", "G91", "T1", "X1.0Y1.0", "X1.0", "Y2.0", "M30")
    assert [hole[:2] for hole in holes(file)] == [(1, 1), (2, 1), (2, 3)]


def test_several_commands_on_a_line_and_an_end_behind_a_hole() -> None:
    file = read("M48", "INCH,LZ", "T13C0.05", "%", "T13", "X-001000 Y030000", "X001Y03M30")
    assert [round(x / INCH, 4) for x, _, _ in holes(file)] == [-0.1, 0.1] and file.whole


def test_tool_zero_drills_nothing_and_unknown_tools_are_told() -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", "X1.0Y1.0", "T0", "X2.0Y2.0", "T7", "X3.0Y3.0", "M30")
    assert [hole[:2] for hole in holes(file)] == [(1, 1)]
    assert file.left_out == 1 and any("T7 has no diameter" in remark.message for remark in file.remarks)


def test_tool_defined_twice_is_told() -> None:
    file = read("M48", "METRIC", "T1C1.0", "T1C2.0", "%", "T1", "X1.0Y1.0", "M30")
    assert any("defined twice" in remark.message for remark in file.remarks)


def test_tool_with_compensation_number() -> None:
    assert holes(read("M48", "METRIC", "T01C1.0", "%", "T0101", "X1.0Y1.0", "M30")) == [(1, 1, 1)]


def test_header_without_an_end() -> None:
    file = read("M48", "METRIC", "T4C0.5", "G05", "T4", "X2.0Y0.5G85X2.5Y0.5", "M30")
    assert slots(file) == [[2, 0.5, 2.5, 0.5, 0.5]]


def test_cut_short_is_told() -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", "X1.0Y1.0")
    assert not file.whole and any("cut short" in remark.message for remark in file.remarks)


def test_canned_cycle_is_never_lost_in_silence() -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", "X1.0Y1.0", "G84X1.0", "X5.0Y5.0", "M30")
    assert file.left_out == 1 and any("G84" in remark.message for remark in file.remarks)


@pytest.mark.parametrize(
    "line", ["M47,PRESS START", "R,T", "FMAT,2", "ICI,OFF", "VER,1", "TCST,OFF", "G40", "M06", "S65", "%"]
)
def test_lines_that_make_no_holes(line: str) -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", line, "T1", "X1.0Y1.0", line, "X2.0Y1.0", "M30")
    assert [hole[:2] for hole in holes(file)] == [(1, 1), (2, 1)] and file.left_out == 0


@pytest.mark.parametrize(("line", "told", "lost"), [
    ("M70", "M70 (a mirrored or turned pattern) was not carried out.", 1),
    ("X5.0Y5.0M80", "M80 (a mirrored or turned pattern) was not carried out.", 1),
    ("R3X1.2.3", "The step of a repeat is no number; it was left out.", 1),
    ("M02X1.2.3Y1.0", "The step of a pattern is no number; it was left out.", 1),
    ("G93X1.2.3Y0", "The zero that is set is no number; it was left out.", 0),
    ("G41", "G41 (cutter compensation) was not applied: the path may be half a tool off.", 0),
    ("G42X9.0Y9.0", "G42 (cutter compensation) was not applied: the path may be half a tool off.", 0),
])  # fmt: skip
def test_what_is_not_carried_out_is_told(line: str, told: str, lost: int) -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", "X1.0Y1.0", line, "M30")
    assert (7, told) in [(remark.line, remark.message) for remark in file.remarks]
    assert file.left_out == lost


def test_what_stands_behind_the_end_is_no_hole_and_is_told() -> None:
    for end in ("M30", "M02"):
        file = read("M48", "METRIC", "T1C1.0", "%", "T1", "X1.0Y1.0", end, "X2.0Y1.0", "X3.0Y1.0", "%")
        assert holes(file) == [(1, 1, 1)] and file.whole
        assert [remark.message for remark in file.remarks] == ["2 lines behind the end of the program were left out."]


@pytest.mark.parametrize(
    ("line", "to_mm"), [("G70", INCH), ("INCH", INCH), ("M72", INCH), ("G71", 1.0), ("METRIC", 1.0)]
)
def test_the_unit_may_change_within_the_program(line: str, to_mm: float) -> None:
    start, first = ("METRIC", 1.0) if to_mm != 1.0 else ("INCH", INCH)
    file = read("M48", start, "T1C0.05", "%", "T1", "X1.0Y1.0", line, "X2.0Y1.0", "M30")
    assert [hole[:2] for hole in holes(file)] == [(first, first), (2 * to_mm, to_mm)]


def test_a_tool_may_be_chosen_behind_a_hole_of_the_same_line() -> None:
    file = read("M48", "METRIC", "T1C1.0", "T2C2.0", "%", "T1", "X1.0Y1.0T2", "X2.0Y1.0", "M30")
    assert holes(file) == [(1, 1, 1), (2, 1, 2)]


def test_tools_in_comments_of_machine_programs() -> None:
    file = read("(TOOL 1 0.8 MM PLATED)", "(T2 = 3.2)", "(NPTH DRILL FILE)", "G90", "G71", "T1", "X1.0Y1.0", "T2",
                "X2.0Y1.0", "M30")
    assert [hole[2] for hole in holes(file)] == [0.8, 3.2]
    assert file.plated == (True, False)


def test_a_diameter_that_is_no_number_loses_its_holes_and_is_told() -> None:
    file = read("M48", "METRIC", "T1C.", "T2C1.0", "%", "T1", "X1.0Y1.0", "T2", "X2.0Y1.0", "M30")
    assert holes(file) == [(2, 1, 1)] and file.left_out == 1
    assert any("Tool T1 has no diameter anywhere" in remark.message for remark in file.remarks)


def test_attributes_of_tools_end_where_they_are_deleted() -> None:
    file = read(
        "M48", "METRIC", "; #@! TA.AperFunction,NonPlated,NPTH,ComponentDrill", "T1C1.0", "; #@! TD", "T2C1.0", "%",
        "T1", "X1.0Y1.0", "T2", "X2.0Y1.0", "M30",
    )
    assert file.plated == (False, None)


def test_an_arc_of_no_size_is_a_point() -> None:
    path = ("G00X1.0Y1.0", "M15", "G02X1.0Y1.0I0.0001J0", "G01X3.0Y1.0", "M16", "G05")
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", *path, "M30")
    assert slots(file)[-1] == [1, 1, 3, 1, 1]


def test_a_line_that_is_not_understood_is_told() -> None:
    file = read("M48", "METRIC", "T1C1.0", "%", "T1", "X1.0Y1.0", "?!", "X2.0,Y1.0", "M30")
    assert [remark.line for remark in file.remarks] == [7, 8] and file.left_out == 1


def test_zeros_stated_in_a_comment() -> None:
    file = read(
        "M48",
        ";FORMAT={3:3/ absolute / metric / suppress trailing zeros}",
        "METRIC",
        "T1C1.0",
        "%",
        "T1",
        "X01Y002",
        "M30",
    )
    assert holes(file)[0][:2] == (10, 2) and not file.guessed


def test_empty_program_has_no_holes() -> None:
    file = read("M48", "METRIC", "%", "G90", "G05", "T0", "M30")
    assert len(file.shapes) == 0 and file.whole


@pytest.mark.parametrize(
    "data", [b"", b"\x00\x01\x02", b"Ref,Val,PosX\nC1,1uF,2.0\n", b"G04 x*\n%FSLAX46Y46*%\nX0Y0D03*\n"]
)
def test_what_is_no_drill_program(data: bytes) -> None:
    assert not looks_like_drill(data)
    with pytest.raises(UnreadableFile):
        read_drill("x.drl", data)


def test_long_blanks_in_comments_take_no_time() -> None:
    assert len(read("M48", "METRIC", ";T1" + " " * 100_000 + "x", "T1C1.0", "%", "T1", "X1.0Y1.0", "M30").shapes) == 1


def test_endless_repeat_is_refused() -> None:
    with pytest.raises(UnreadableFile, match="more than"):
        read("M48", "METRIC", "T1C1.0", "%", "T1", "X1.0Y1.0", "R99999999X1.0", "M30")


PROGRAM = (
    "M48\nINCH,LZ\n;FILE_FORMAT=2:4\nT1C0.0315F00S00\nT2C.125\n%\nG90\nG05\nT1\nX0100Y0200\nY03\nR4X001\n"
    "T2\nX01Y01G85X02Y01\nM25\nX05Y05\nM01\nM02X01\nM08\nG00X01Y01\nM15\nG02X02Y02A01\nM16\nG05\nT0\nM30\n"
)


@settings(derandomize=True, max_examples=150, deadline=None)
@given(st.integers(0, len(PROGRAM) - 1), st.binary(min_size=0, max_size=6), st.integers(0, 40))
def test_damage_gives_a_drill_file_or_a_clear_error(at: int, junk: bytes, cut: int) -> None:
    data = PROGRAM.encode()
    damaged = data[:at] + junk + data[at + cut :]
    try:
        file = read_drill("x.drl", damaged)
    except UnreadableFile as error:
        assert str(error).startswith("x.drl")
    else:
        assert np.isfinite(file.shapes.boxes()).all()


@settings(derandomize=True, max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(-99999, 99999), st.integers(-99999, 99999)), min_size=1, max_size=8, unique=True),
    st.sampled_from([("METRIC,TZ", 1000, 1.0), ("INCH,TZ", 10000, INCH)]),
)
def test_whole_numbers_and_decimals_mean_the_same(
    places: list[tuple[int, int]], unit: tuple[str, int, float]
) -> None:
    word, divisor, _ = unit
    head = ["M48", word, "T1C0.5" if "METRIC" in word else "T1C0.02", "%", "T1"]
    plain = read(*head, *(f"X{x}Y{y}" for x, y in places), "M30")
    pointed = read(*head, *(f"X{x / divisor:.4f}Y{y / divisor:.4f}" for x, y in places), "M30")
    assert plain.shapes.x0 == pytest.approx(pointed.shapes.x0, abs=1e-6)
    assert plain.shapes.y0 == pytest.approx(pointed.shapes.y0, abs=1e-6)
