"""What a file may ask for is bounded everywhere; whoever asks for more is told the bound and the cure."""

import json
import re
import time
from collections.abc import Callable

import pytest

from labelcheck.formats import drill, job_file, netlist, placement
from labelcheck.formats.drill import read_drill
from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.formats.job_file import read_job_file
from labelcheck.formats.limits_file.reading import BYTES_AT_MOST, read_limits_file
from labelcheck.formats.netlist import read_netlist
from labelcheck.formats.placement import read_placement
from labelcheck.trade.errors import LabelcheckError, UnreadableFile

MM = "%FSLAX46Y46*%\n%MOMM*%\n"
DOT = "%ADD10C,0.2*%\nD10*\n"
DRILLED = "M48\nMETRIC\nT1C0.5\n%\nT1\nX1.0Y1.0\n"

ARTWORK = {
    "copies of a repeat": ("%SRX1000Y1001I0.1J0.1*%X0Y0D03*%SR*%", "1000 x 1001 copies, more than 1,000,000"),
    "objects in all": ("%SRX1000Y1000I0.1J0.1*%" + "X0Y0D03*X1D03*" * 3 + "%SR*%", "more than 2,000,000 objects"),
    "repeats of blocks": (
        "%ABD20*%X0D03*%AB*%" + "".join(
            f"%ABD{code}*%%SRX100Y100I1J1*%D{code - 1}*X0D03*%SR*%%AB*%" for code in (21, 22)
        ) + "D22*X0D03*",
        "more than 2,000,000 objects",
    ),
    "nesting": ("".join(f"%ABD{code}*%" for code in range(20, 61)), "more than 40"),
    "blocks and repeats": ("%SRX2Y1I1J0*%X0D03*%SR*%" * 20_001, "more than 20,000"),
    "primitives of macros": (
        "%AMM*" + "1,1,1,0,0*" * 1_000 + "%" + "".join(f"%ADD{code}M*%D{code}*X0D03*" for code in range(11, 71)),
        "more than 50,000 primitives",
    ),
    "distance": ("X10000000001D02*X99999999999D03*", ""),
}  # fmt: skip


@pytest.mark.parametrize("what", ARTWORK)
def test_artwork(what: str) -> None:
    body, told = ARTWORK[what]
    started = time.process_time()
    try:
        artwork = read_artwork("top.gbr", f"{MM}{DOT}X0Y0D03*{body}M02*".encode())
    except UnreadableFile as error:
        assert told and told in str(error)
        assert error.cure.endswith(".")
    else:
        assert what == "distance"
        assert artwork.passed_over == 1 and "farther than 10 m" in str(artwork.remarks[0])
    assert time.process_time() - started < 4


def test_an_expression_may_nest_as_deep_as_it_likes() -> None:
    macro = "%AMM*$1=" + "(" * 50_000 + "1" + ")" * 50_000 + "*1,1,$1,0,0*%%ADD11M*%D11*X5000000D03*"
    artwork = read_artwork("top.gbr", f"{MM}{DOT}{macro}M02*".encode())
    assert artwork.shapes.boxes()[0].tolist() == pytest.approx([4.5, -0.5, 5.5, 0.5], abs=0.01)


def test_a_million_copies_are_drawn() -> None:
    artwork = read_artwork("top.gbr", f"{MM}{DOT}%SRX1000Y1000I0.3J0.3*%X0Y0D03*%SR*%M02*".encode())
    assert len(artwork.shapes) == 1_000_000


def test_ten_metres_are_near_enough() -> None:
    artwork = read_artwork("top.gbr", f"{MM}{DOT}X9999000000Y-9999000000D03*M02*".encode())
    assert len(artwork.shapes) == 1 and artwork.passed_over == 0


NET = b"317GND              U1    -14   D0400PA00X+011000Y-002000X0600Y0600R000S0\n"
JOB = json.dumps({"Header": {}, "GeneralSpecs": {"Finish": "x" * 50}}).encode()
Reader = Callable[[str, bytes], object]
SHORT: list[tuple[object, str, Reader, bytes]] = [
    (drill, "BYTES_AT_MOST", read_drill, f"{DRILLED}M30\n".encode()),
    (netlist, "BYTES_AT_MOST", read_netlist, NET),
    (netlist, "RECORDS_AT_MOST", read_netlist, NET * 40),
    (placement, "BYTES_AT_MOST", read_placement, b"Ref,X,Y,Rot,Side\n" + b"R1,1,2,0,top\n" * 40),
    (placement, "ROWS_AT_MOST", read_placement, b"Ref,X,Y,Rot,Side\n" + b"R1,1,2,0,top\n" * 40),
    (job_file, "BYTES_AT_MOST", read_job_file, JOB),
]


@pytest.mark.parametrize(("module", "bound", "read", "data"), SHORT, ids=range(len(SHORT)))
def test_other_files(monkeypatch, module: object, bound: str, read: Reader, data: bytes) -> None:
    read("sound", data)
    monkeypatch.setattr(module, bound, 20)
    with pytest.raises(UnreadableFile, match=r"^much: .*more than 20") as caught:
        read("much", data)
    assert caught.value.cure


@pytest.mark.parametrize(
    "program",
    [
        f"{DRILLED}R301000X0.01\nM30\n",
        DRILLED + "X1.0Y1.0\n" * 301_000 + "M30\n",
        f"{DRILLED}M25\n" + "X2.0\n" * 5_000 + "M01\n" + "M02X1.0Y1.0\n" * 70 + "M08\nM30\n",
    ],
    ids=["repeat", "holes", "pattern"],
)
def test_holes(program: str) -> None:
    started = time.process_time()
    with pytest.raises(UnreadableFile, match=r"more than 300,000 holes\. Export"):
        read_drill("plated.drl", program.encode())
    assert time.process_time() - started < 20  # some seconds on a slow and busy machine, minutes without the bound


def test_limits_files() -> None:
    with pytest.raises(LabelcheckError, match=re.escape(f"larger than {BYTES_AT_MOST:,} bytes")):
        read_limits_file("labelcheck.toml", "labelcheck.toml", b"#" * (BYTES_AT_MOST + 1))
