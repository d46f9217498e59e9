"""Cheap looks at a file."""

from pathlib import Path

import pytest

from labelcheck.formats.gerber.sniffing import looks_like_gerber, peek_file_attributes

SETS = Path(__file__).resolve().parents[3] / "../shared/real-boards"


@pytest.mark.parametrize("text", [
    "%FSLAX46Y46*%\n%MOMM*%\n",
    "%FSAX35Y35*MOIN*%\n",
    "G74*%FSLAN2X34Y34*%\n",
    "G04 made for the signal head *\nG70*\n",
    "%TF.FileFunction,Legend,Top*%\n",
    "\ufeff%MOIN*%\n%ADD10C,0.01*%\n",
    "Film of the track detector\nrevision B\n\n%MOIN*%\n",
    "X0Y0D02*\nX100Y100D01*\nM02*\n",
    "G54D10*X285000Y175000D02*X365000D01*\n",
    "\r\n \r\n%LPD*%\r\n",
    "G04 " + "=" * 400 + "\nsome text in between\n" + "=" * 400 + "*\n",
])  # fmt: skip
def test_gerber(text: str) -> None:
    assert looks_like_gerber(text.encode())


@pytest.mark.parametrize("data", [
    b"",
    b"M48\nINCH,TZ\nT1C0.0130\n%\nG90\nG05\nT1\nX1.1319Y-2.4902\nT0\nM30\n",
    b"%\nM48\nM72\nT01C0.0236\n%\nT01\nX+028600Y+018500\nM30\n",
    b"; drill list *\nT1C0.3\nX100Y200\n",
    b"G81\nM48\nINCH\nT1C000.02500\n%\nT001\nX00038165Y00055035\n",
    b"Designator,Mid X,Mid Y,Layer,Rotation\nR1,10.16mm,20.32mm,top,90\n",
    b"P  CODE 00\nP  UNITS CUST 0\n317GND              VIA        MD0130PA00X+029409Y+011654X0270Y0000R000S3\n",
    b'{"Header": {"GenerationSoftware": {"Vendor": "x"}}}',
    b"# Notes\nSome files write `%FSAX35Y35*MOIN*%` and G04 comments.\n",
    b"\x00\x05\x16\x07\x00\x02\x00\x00" + bytes(120) + b"%FSLAX46Y46*%",
    b"PK\x03\x04" + bytes(60),
    b"<svg>X1Y1</svg>",
])  # fmt: skip
def test_not_gerber(data: bytes) -> None:
    assert not looks_like_gerber(data)


def test_only_the_beginning_is_looked_at() -> None:
    assert not looks_like_gerber(b"words\n" * 20_000 + b"%FSLAX46Y46*%\n")


def test_file_attributes_in_both_notations_the_later_one_wins() -> None:
    data = (
        b"G04 #@! TF.FileFunction,Legend,Top*\nG04 #@! TA.AperFunction,Profile*\n%TF.Part,Single*%\n"
        b"%FSLAX46Y46*%\n%TO.C,R1*%\nX0Y0D03*\n%TF.FileFunction,Legend,Bot*%\n%TF.Note,a\\u002Cb*%M02*\n"
    )
    assert peek_file_attributes(data) == (
        (".FileFunction", ("Legend", "Bot")), (".Note", ("a,b",)), (".Part", ("Single",)),
    )  # fmt: skip
    assert peek_file_attributes(b"") == ()


@pytest.mark.skipif(not SETS.is_dir(), reason="the real sets are kept outside the repository")
def test_real_files_are_told_apart_by_content() -> None:
    # By file name, as an independent witness: names of artwork against names of drills, tables, archives, notes.
    artwork = {".gbr", ".gbl", ".gbs", ".gbp", ".gbo", ".gtl", ".gts", ".gtp", ".gto", ".gko", ".art", ".gm1", ".gml"}
    other = {".drl", ".csv", ".zip", ".d356", ".ipc", ".gbrjob", ".cnc", ".pos", ".md", ".exc", ".frp"}
    wrong = [
        path.name
        for path in sorted(SETS.rglob("*"))
        if path.is_file() and path.suffix.lower() in artwork | other
        and looks_like_gerber(path.read_bytes()) != (path.suffix.lower() in artwork)
    ]  # fmt: skip
    assert wrong == []
