"""Placement tables are told apart by their headings, in whatever order and form they come."""

import pytest

from labelcheck.formats.placement import looks_like_placement

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
