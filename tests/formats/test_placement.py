"""Placement tables are told apart by their headings, in whatever order and form they come."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.placement import Placed, looks_like_placement, read_placement
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.sides import Side

HEADED = [
    b"Ref,Val,Package,PosX,PosY,Rot,Side\n",
    b"\xef\xbb\xbfDesignator,Mid X,Mid Y,Rotation,Layer\nC1,27.18,-17.2,0.0,top\n",
    b'"Name","Component","Side","Centre X","Centre Y","Rotation"\n"J2","2WP","Top","1611","1483","180.00"\n',
    b"### positions ###\n## Unit = mm.\n# Ref     Val     Package      PosX       PosY       Rot  Side\n",
    b"Report\n------\n\nName      Component          Side     Centre X    Centre Y  Rotation\n",
    "Designator\tX (mm)\tY (mm)\tAngle\n".encode("utf-16"),
]


@pytest.mark.parametrize("data", HEADED)
def test_headings(data: bytes) -> None:
    assert looks_like_placement(data)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"Designator,Footprint,Quantity,Value\nC1,0805,3,10n\n",
        b"Reference,Value,Count\n",
        b"X,Y\n1,2\n",
        bytes(range(256)),
        b"\xff\xfe\x00",
        b"M48\nINCH\nT1C0.8\n%\nX1Y1\n",
    ],
)
def test_other_files(data: bytes) -> None:
    assert not looks_like_placement(data)


def rows(text: str) -> list[tuple[str, str | None, str | None, float, float, float, Side | None]]:
    placement = read_placement("p.csv", text.encode())
    assert placement.remarks == () or placement.unit_guessed

    def as_tuple(one: Placed) -> tuple[str, str | None, str | None, float, float, float, Side | None]:
        place = (round(one.x_mm, 4), round(one.y_mm, 4), one.rotation_deg)
        return (one.reference, one.package, one.value, *place, one.side)

    return [as_tuple(one) for one in placement.placed]


EXPECTED = [
    ("C1", "0805", "1uF, 10V", 30.4, -22.425, 270.0, Side.TOP),
    ("U2", "SOIC-8", "driver", 36.0, 29.0, 90.0, Side.BOTTOM),
]

TABLES = {
    "commas and quotes": 'Ref,Val,Package,PosX,PosY,Rot,Side\n"C1","1uF, 10V","0805",30.4,-22.425,270.0,top\n'
    '"U2","driver","SOIC-8",36.0,29.0,90.0,bottom\n',
    "any order, semicolons": "Layer;Rotation;Center-Y(mm);Center-X(mm);Footprint;Comment;Designator\n"
    "TopLayer;270;-22.425;30.4;0805;1uF, 10V;C1\nBottomLayer;90;29;36;SOIC-8;driver;U2\n",
    "units in the cells": "Designator,Footprint,Mid X,Mid Y,Ref X,Ref Y,Pad X,Pad Y,Layer,Rotation,Comment\n"
    '"C1","0805","30.4mm","-22.425mm","1mm","1mm","2mm","2mm","T","270.00","1uF, 10V"\n'
    '"U2","SOIC-8","36mm","29mm","1mm","1mm","2mm","2mm","B","90.00","driver"\n',
    "tabs and decimal commas": "Designator\tFootprint\tMid X\tMid Y\tLayer\tRotation\tComment\n"
    "C1\t0805\t30,4\t-22,425\tTop\t-90\t1uF, 10V\nU2\tSOIC-8\t36,0\t29,0\tBottom\t450\tdriver\n",
    "fixed widths with a preamble": "Report\n------\nUnits:          mm (precision 3)\n\n"
    "Name      Component   Value           Side          Centre X    Centre Y  Rotation\n"
    "------------------------------------------------------------------------------\n"
    "C1        0805        1uF, 10V        Top             30.400     -22.425    270.00\n"
    "U2        SOIC-8      driver          Bottom          36.000      29.000     90.00\n",
    "marked headings": "### positions ###\n## Unit = mm, Angle = deg.\n"
    "# Ref     Val       Package    PosX       PosY       Rot       Side\n"
    "C1        1uF, 10V  0805       30.4000    -22.4250   270.0000  top\n"
    "U2        driver    SOIC-8     36.0000    29.0000    90.0000   bottom\n## End\n",
}


@pytest.mark.parametrize("habit", sorted(TABLES))
def test_the_same_table_in_many_habits(habit: str) -> None:
    assert rows(TABLES[habit]) == EXPECTED


@pytest.mark.parametrize(
    ("heading", "x"),
    [("X (mil)", "1000"), ("X (inch)", "1"), ("X(mm)", "25.4"), ("X", "1000mil"), ("X", '1.0"'), ("X", "1in")],
)
def test_units(heading: str, x: str) -> None:
    y = heading.replace("X", "Y", 1)
    placement = read_placement("p.csv", f"Designator;{heading};{y};Rotation\nC1;{x};{x};0\n".encode())
    assert placement.placed[0].x_mm == pytest.approx(25.4) and not placement.unit_guessed


def test_a_unit_in_the_preamble() -> None:
    placement = read_placement("p.csv", b"Units: thou (precision 0)\n\nName,X,Y,Rotation\nC1,1000,500,0\n")
    assert (placement.placed[0].x_mm, placement.placed[0].y_mm) == pytest.approx((25.4, 12.7))


def test_a_unit_that_is_nowhere_is_a_guess() -> None:
    placement = read_placement("p.csv", b"Name,X,Y,Rotation\nC1,1000,500,0\n")
    assert placement.unit_guessed and "does not say its unit" in placement.remarks[0].message


def test_missing_side_and_odd_lines() -> None:
    placement = read_placement("p.csv", b"Name,X,Y,Rotation\nC1,1,2,3\nC2,here,2,3\nC3\n\nC4,1,2,\n")
    assert [one.reference for one in placement.placed] == ["C1", "C4"] and placement.placed[0].side is None
    assert placement.remarks[0].line == 3 and "2 lines" in placement.remarks[0].message


def test_wide_characters() -> None:
    text = "\ufeffDesignator;X;Y;Angle\nC1;1;2;0\n"
    assert len(read_placement("p.csv", text.encode("utf-16-le")).placed) == 1
    assert len(read_placement("p.csv", text.encode()).placed) == 1


@pytest.mark.parametrize("data", [b"", b"\xff\xfe\x00", b"X,Y\n1,2\n"])
def test_no_placement(data: bytes) -> None:
    with pytest.raises(UnreadableFile):
        read_placement("p.csv", data)


@settings(derandomize=True, max_examples=100, deadline=None)
@given(st.sampled_from(sorted(TABLES)), st.integers(0, 400), st.binary(max_size=5), st.integers(0, 60))
def test_damage(habit: str, at: int, junk: bytes, cut: int) -> None:
    data = TABLES[habit].encode()
    try:
        read_placement("p.csv", data[:at] + junk + data[at + cut :])
    except UnreadableFile as error:
        assert error.file == "p.csv"
