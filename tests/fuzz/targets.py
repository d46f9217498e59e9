"""What reads each format, and what must hold of whatever comes out."""

import json
import re
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from labelcheck.board.archives import unpack
from labelcheck.board.opening import open_sets
from labelcheck.formats.drill import looks_like_drill, read_drill
from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.formats.gerber.sniffing import looks_like_gerber, peek_file_attributes
from labelcheck.formats.job_file import looks_like_job_file, read_job_file
from labelcheck.formats.limits_file.reading import read_limits_file
from labelcheck.formats.limits_file.writing import limits_text
from labelcheck.formats.netlist import looks_like_netlist, read_netlist
from labelcheck.formats.placement import looks_like_placement, read_placement
from labelcheck.review.changes import changes_between
from labelcheck.review.seen import read_record
from labelcheck.review.verifying import asked_then, records_in
from labelcheck.trade.errors import LabelcheckError, UnreadableFile
from labelcheck.trade.in_force import NOTHING_ASKED, limits_in_force
from labelcheck.trade.shapes import Shapes
from labelcheck.watching.looking import Looker
from labelcheck.watching.wholeness import lacking_in

from .mangling import Dialect
from .seeds import RECORD

DRILLED_AT_MOST_MM = 1e30
"""A drill file may be read in a wrong format first, and the board then decides: only sane numbers are asked for."""

LINES = re.compile(rb"[^\n]*\n|[^\n]+$")


@dataclass(frozen=True, slots=True)
class Target:
    """One format: how it is damaged, and what must bear the damage."""

    dialect: Dialect
    bear: Callable[[bytes], None]
    """Reads the bytes; raises LabelcheckError where it cannot, AssertionError where what it gives is not sound."""


def _artwork(data: bytes) -> None:
    looks_like_gerber(data)
    peek_file_attributes(data)
    artwork = read_artwork("top.gbr", data)
    sound(artwork.shapes)
    assert len(artwork.shapes) == 0 or artwork.shapes.attributes.max() < len(artwork.attribute_sets)
    assert len(artwork.shapes) == 0 or artwork.shapes.aperture.max() < len(artwork.apertures)
    assert all(str(remark).isprintable() for remark in artwork.remarks)


def sound(shapes: Shapes, farthest_mm: float = 20_000.0) -> None:
    """Columns belong together, and every length is a number of a bounded size."""
    assert (np.diff(shapes.bar_object) >= 0).all() and (np.diff(shapes.ring_object) >= 0).all()
    assert len(shapes.ring_start) == len(shapes.ring_object) + 1 and (np.diff(shapes.ring_start) >= 0).all()
    for column in (shapes.x0, shapes.y0, shapes.x1, shapes.y1, shapes.width, shapes.vx, shapes.vy):
        assert (np.abs(column) <= farthest_mm).all()
    assert (shapes.width >= 0).all()


def _drill(data: bytes) -> None:
    looks_like_drill(data)
    drilled = read_drill("plated.drl", data)
    sound(drilled.shapes, DRILLED_AT_MOST_MM)
    assert len(drilled.plated) == len(drilled.shapes)
    for other in (*drilled.candidates[1:], *drilled.others):
        try:
            sound(read_drill("plated.drl", data, other).shapes, DRILLED_AT_MOST_MM)
        except UnreadableFile as error:
            assert error.cure


def _job(data: bytes) -> None:
    looks_like_job_file(data)
    read_job_file("job.gbrjob", data)


def _netlist(data: bytes) -> None:
    looks_like_netlist(data)
    assert all(np.isfinite((point.x_mm, point.y_mm)).all() for point in read_netlist("n.ipc", data).points)


def _placement(data: bytes) -> None:
    looks_like_placement(data)
    for part in read_placement("p.csv", data).placed:
        assert np.isfinite((part.x_mm, part.y_mm)).all()


def _limits(data: bytes) -> None:
    limits = limits_in_force(read_limits_file("labelcheck.toml", "labelcheck.toml", data), NOTHING_ASKED)
    # What was understood can be written out and is understood again.
    read_limits_file("labelcheck.toml", "labelcheck.toml", limits_text(limits, pinned=True).encode())


def _record(data: bytes) -> None:
    sound_record = read_record("old.json", _SOUND_RECORD)
    try:
        for told in records_in("record.json", data):
            asked_then(told)
    except LabelcheckError as error:
        assert str(error).startswith("record.json")
    seen = read_record("record.json", data)
    changes_between(sound_record, seen)
    changes_between(seen, sound_record)


def _zip(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "set.zip"
        path.write_bytes(data)
        for place in Looker(Path(folder)).look().places:
            lacking_in(place)
        for file in unpack("set.zip", data).files:
            assert file.problem is not None or len(file.data) < 1_000_000_000
        assert open_sets(path)


def _lines(*tokens: bytes) -> Dialect:
    return Dialect(LINES, tokens)


_ARTWORK_TOKENS = [
    b"%",
    b"*",
    b"D01*",
    b"D02*",
    b"D03*",
    b"G36*",
    b"G37*",
    b"G75*",
    b"G74*",
    b"G02",
    b"G03",
    b"I",
    b"J",
    b"-",
    b"X",
    b"Y",
    b".",
    b"9999999999",
    b"0",
    b"%SRX3Y2I1J1*%",
    b"%SRX1000Y1000I0.1J0.1*%",
    b"%SR*%",
    b"%ABD12*%",
    b"%AB*%",
    b"%LPC*%",
    b"%LPD*%",
    b"%LS2*%",
    b"%LS0*%",
    b"%LR33*%",
    b"D10*",
    b"D20*",
    b"G91*",
    b"G70*",
    b"%IPNEG*%",
    b"%KOCK0.1*%",
    b"%FSTIX24Y24*%",
    b"%FSLAX66Y66*%",
    b"%MOIN*%",
    b"%ADD10C,0*%",
    b"%ADD11R,0X0*%",
    b"$1",
    b"(",
    b"x",
    b"M02*",
    b"G04 ",
    b"#@! TO.C,R1*",
    b"\x00",
    b"\xff",
    b"%TD*%",
    b"\\u00",
    b"%AMM*1,1,$1,0,0*%",
    b"%ADD10M,1*%",
    b"%ADD12P,1X3*%",
    b"%SFA0.0001B100*%",
    b"%OFA1B1*%",
    b"%MIA1B1*%",
    b"%ASAYBX*%",
    b"\xef\xbb\xbf",
]

TARGETS: dict[str, Target] = {
    "artwork": Target(Dialect(re.compile(rb"%[^%]*%\s*|[^*%]*\*\s*|[^*%]+"), _ARTWORK_TOKENS), _artwork),
    "drill": Target(
        _lines(
            b"M48\n",
            b"%\n",
            b"M30\n",
            b"T1\n",
            b"T1C0.8\n",
            b"T99\n",
            b"R9999X1Y1\n",
            b"G85",
            b"METRIC,LZ\n",
            b"INCH,TZ\n",
            b"M25\n",
            b"M01\n",
            b"M02X1Y1\n",
            b"M08\n",
            b"G93X1Y1\n",
            b"G91\n",
            b"X",
            b"Y",
            b";",
            b"M71\n",
            b"G02X1Y1A1\n",
            b"G03X1Y1I0J0\n",
            b"M15\n",
            b"M16\n",
            b"G05\n",
            b"METRIC,000.000\n",
            b"T1C1e9\n",
            b"G00",
        ),
        _drill,
    ),
    "job": Target(
        Dialect(
            re.compile(rb"[^,{}\[\]]*[,{}\[\]]|[^,{}\[\]]+"),
            [
                b"{",
                b"}",
                b"[",
                b"]",
                b",",
                b":",
                b"null",
                b"1e999",
                b"-1",
                b'""',
                b'"Legend,Top"',
                b"NaN",
                b"true",
                b"\\ud800",
                b"[" * 3000,
                b'"Size":{"X":-1,"Y":"a"},',
                b'"Path":3,',
            ],
        ),
        _job,
    ),
    "netlist": Target(
        _lines(
            b"P  UNITS CUST 2\n",
            b"P  UNITS CUST 0\n",
            b"999\n",
            b"317",
            b"X+9999999",
            b"D9999",
            b"\t",
            b"R999",
            b"C  \n",
            b"P  NNAME1 B\n",
            b"-",
            b"VIA   ",
        ),
        _netlist,
    ),
    "placement": Target(
        _lines(
            b"\n",
            b",",
            b";",
            b"\t",
            b'"',
            b"'",
            b"Ref,X,Y,Side\n",
            b"mm",
            b"inch",
            b"1,5",
            b"#",
            b"\xff\xfe",
            b"# Unit = mil\n",
            b"nan",
            b"1e999",
        ),
        _placement,
    ),
    "limits": Target(
        _lines(
            b"\n",
            b"[",
            b"]",
            b"[[",
            b'"""',
            b"'''",
            b"=",
            b"{",
            b"}",
            b"#",
            b"inf",
            b"nan",
            b"0x1F",
            b"1979-05-27\n",
            b"a.b.c = 1\n",
            b"[limits]\n",
            b"true",
            b'"never"',
            b"\\u0000",
            b"\r",
            b"[[accepted]]\n",
            b"[" * 2000,
        ),
        _limits,
    ),
    "record": Target(
        Dialect(
            re.compile(rb"[^,{}\[\]]*[,{}\[\]]|[^,{}\[\]]+"),
            [
                b"{",
                b"}",
                b"[",
                b"]",
                b",",
                b":",
                b"null",
                b"1e999",
                b"-1",
                b'""',
                b"NaN",
                b"true",
                b"\\ud800",
                b"[" * 3000,
                b"0" * 5000,
                b"9" * 5000,
            ],
        ),
        _record,
    ),
    "zip": Target(
        Dialect(
            re.compile(rb"PK(?s:.)*?(?=PK|$)"),
            [
                b"PK\x03\x04",
                b"PK\x01\x02",
                b"PK\x05\x06",
                b"PK\x06\x06",
                b"\xff\xff\xff\xff",
                b"\x00\x00",
                b"../",
                b"\x08\x00",
                b"\x0c\x00",
                b"\x0e\x00",
                b"\x01\x00",
                b"\x63\x00",
            ],
        ),
        _zip,
    ),
}

_SOUND_RECORD = json.dumps(RECORD).encode()
