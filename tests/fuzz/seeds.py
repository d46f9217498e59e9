"""Small sound files to damage: constructs of the formats, cut-outs of demo boards, and of real sets where present."""

import io
import json
import zipfile
from functools import cache
from pathlib import Path

from labelcheck.formats.limits_file.writing import limits_text
from labelcheck.trade.limits import limits_for
from tests.sets_made import HEAD, a_set, artwork, word

ROOT = Path(__file__).resolve().parents[2]
BOARDS = ROOT / "boards"
REAL = ROOT / "../shared/real-boards"
LINES_KEPT = 90
FILES_OF_A_KIND = 60
PEN = "%ADD10C,0.2*%\nD10*\n"

CONSTRUCTS = [
    PEN + "%LPD*%G01*X1000000Y2000000D02*X3000000D01*G75*G03X3000000Y2000000I500000J0D01*X5000000D03*",
    "%AMM*0 a*$3=$1x2*21,1,$1,$3,0,0,45*1,0,0.2,0,0*%%ADD10M,1X2*%D10*G36*X0Y0D02*X1D01*Y1D01*X0Y0D01*G37*X0D03*",
    "%TF.FileFunction,Legend,Top*%%SRX2Y2I5J5*%%ADD10R,1X2X0.5*%%TO.C,R1*%D10*%LR30*%X0Y0D03*X5D01*%SR*%",
    "%ADD10C,1*%%ABD20*%D10*X1D03*%LPC*%X2D01*%AB*%D20*X0D03*%LMX*%%LS2*%X7D03*G04 #@! TO.P,U1,2*",
    "%MIA1*%%IPNEG*%%IR90*%G70*G91*%ADD10O,1X2*%D10*G74*G02X1Y1I1J1D01*%KOCK0.1*%X5D03*%SFA2*%X6D01*",
    "%AMT*4,1,3,0,0,1,0,0,1,0,0,30*5,1,6,0,0,1,0*6,0,0,2,0.1,0.1,3,0.05,1,10*7,0,0,1,0.6,0.1,15*20,1,0.2,0,0,1,1,0*%"
    "%ADD11T*%D11*X2000000Y3000000D03*",
    "%ADD12P,1X6X15X0.3*%%ADD13O,2X1*%%ABD21*%%ABD22*%D12*X0Y0D03*%AB*%D22*X9000000D03*%AB*%D21*X0D03*"
    "%SRX3Y2I4J4*%D13*X1000000Y1000000D02*X2000000D01*%SR*%",
]
"""Bodies of artwork in millimetres that use every construct of the layer format, old commands included."""

DRILLS = [
    "M48\n; comment\nMETRIC,TZ,000.000\nFMAT,2\nT1C0.8F200S65\nT2C1.0\n%\nG90\nG05\nT1\nX1000Y2000\nX3000\n"
    "R5X1000\nT2\nX1000Y1000G85X3000Y1000\nM30\n",
    "M48\nINCH,LZ\nT01C0.0320\n%\nT01\nX01Y0125\nM25\nX01Y02\nM01\nM02X1Y1\nM02X2Y2M80\nM08\nM30\n",
    "M48\nMETRIC\n;TYPE=PLATED\nT1C1.0\nT2C2.0\n%\nG00X1.0Y1.0\nM15\nG01X5.0\nG02X6.0Y2.0A1.0\nG03X7.0Y1.0I0J-1\nM16\n"
    "G05\nT2\nX9.5Y9.5\nG93X1Y1\nX1Y1\nM30\n",
    "%\nT1C.03F100\nX5Y5\nX+10Y-10\nM97,AB\nX1Y1\nM30\n",
    "; #@! TF.FileFunction,Plated,1,2,PTH\nM48\nFMAT,2\nMETRIC\n; #@! TA.AperFunction,Plated,PTH,ComponentDrill\n"
    "T1C0.3\n%\nT1\nX1.5Y2.5\nX1.5Y2.5G85X3.5Y2.5\nT0\nM30\n",
]

NETLISTS = [
    "C  IPC-D-356\nP  JOB crossing\nP  UNITS CUST 1\nP  NNAME1 A_LONG_NET_NAME\n"
    "317NNAME1           J13   -2    D0400PA00X+043550Y+006480X0600Y0600R000S0\n"
    "327GND              U1    -14         A01X+011000Y-002000X0200Y0600R090S1\n"
    "367N/C              HOLE  -     D3200UA00X+000100Y+000200\n999\n",
]
PLACEMENTS = [
    "# Unit = mm, Angle = deg.\nRef,Val,Package,PosX,PosY,Rot,Side\nR1,4k7,R_0603,12.5,3.25,90,top\n"
    'U1,"PIC, old",SOIC-8,10,-4.5,180.0,bottom\n',
    "Designator\tFootprint\tMid X\tMid Y\tLayer\tRotation\n"
    "C1\t0402\t100mil\t2.5mm\tT\t0\nQ1\tSOT-23\t1in\t-3mm\tB\t45\n",
    "### units = inches\n# Ref    Val    Package    PosX    PosY    Rot    Side\n"
    "R1       1k     0805       1.2500   0.5000   0.0  top\n",
]
LIMITS = [
    'process = "inkjet"\nreading-distance = 400\npitch = 0.02\n[colours]\nmask = "green"\nlegend = "white"\n',
    '[[accepted]]\nanalyser = "thin-stroke"\nlabel = "R7"\nside = "top"\nbecause = "trial"\n'
    '[[must-carry]]\ntext = "REV"\nside = "top"\n[[bodies]]\nreference = "U1"\nlength = 5.0\nwidth = 4.0\n',
]


@cache
def seeds_of(kind: str) -> tuple[bytes, ...]:
    """Sound files of one format, the smallest things first."""
    return tuple(_SEEDS[kind]())


@cache
def json_seeds(kind: str) -> tuple[bytes, ...]:
    """Those of the seeds that are one JSON document."""
    return tuple(seed for seed in seeds_of(kind) if _is_json(seed))


def _is_json(data: bytes) -> bool:
    try:
        return bool(json.loads(data))
    except ValueError:
        return False


def _artworks() -> list[bytes]:
    made = [f"{HEAD}{body}M02*\n".encode() for body in CONSTRUCTS]
    made.append(artwork("Legend,Top", 0.18, word(5, 10, 1.5)).encode())
    return made + [cut_out(path.read_bytes()) for path in _found("*.g*", ".gbrjob")]


def cut_out(data: bytes) -> bytes:
    """The head of an artwork, a few of its drawn lines from the middle, and its end."""
    lines = data.splitlines(keepends=True)
    first = next((number for number, line in enumerate(lines) if b"D02*" in line or b"D03*" in line), 0)
    head = lines[: min(first, 2 * LINES_KEPT)]
    middle = max(first, (first + len(lines)) // 2)
    return b"".join([*head, *lines[middle : middle + LINES_KEPT], b"M02*\n"])


def _first_lines(data: bytes) -> bytes:
    lines = data.splitlines(keepends=True)
    return b"".join([*lines[: 2 * LINES_KEPT], *(lines[-2:] if len(lines) > 2 * LINES_KEPT else [])])


def _found(pattern: str, without: str = "none") -> list[Path]:
    """Files of the demo boards and of the real sets, a bounded number, in order of name."""
    places = [BOARDS, *([REAL] if REAL.is_dir() else [])]
    named = sorted(path for place in places for path in place.glob(f"*/{pattern}") if path.suffix.lower() != without)
    return named[:: -(-len(named) // FILES_OF_A_KIND)] if named else []


def _listings(made: list[str], *patterns: str) -> list[bytes]:
    found = [path for pattern in patterns for path in _found(pattern)]
    return [text.encode() for text in made] + [_first_lines(path.read_bytes()) for path in found]


def _limits() -> list[bytes]:
    made = [limits_text(limits_for(), pinned=True), limits_text(limits_for())]
    return [text.encode() for text in (*LIMITS, *made)]


def _records() -> list[bytes]:
    return [json.dumps(RECORD).encode(), json.dumps(RECORD, indent=1).encode() * 2]


def _zips() -> list[bytes]:
    plain = {name: text.encode() for name, text in a_set().items()}
    demo = {path.name: path.read_bytes() for path in sorted((BOARDS / "signal-head").iterdir())}
    return [
        zipped(plain, zipfile.ZIP_STORED),
        zipped(plain, zipfile.ZIP_DEFLATED),
        zipped({f"signal-head/{name}": data for name, data in demo.items()}, zipfile.ZIP_DEFLATED),
    ]


def zipped(files: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A zip of these files, the same bytes every time."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", method) as archive:
        for name, data in files.items():
            archive.writestr(zipfile.ZipInfo(name), data, method)
    return stream.getvalue()


RECORD = {
    "record": "labelcheck/1",
    "made_by": "labelcheck 0.1.0",
    "checked_at": "2026-01-31T12:00:00Z",
    "verdict": "hold",
    "set": {
        "name": "crossing",
        "path": "crossing",
        "fingerprint": "sha256:00",
        "files": [
            {
                "name": "crossing-legend-top.gbr",
                "sha256": "00",
                "role": "legend",
                "side": "top",
                "known_by": "attribute",
                "ink_mm2": 1.5,
                "box_mm": [0, 0, 10, 10],
            }
        ],
    },
    "limits": {
        "process": {"value": "photo-imaged", "source": "--process"},
        "raster pitch": {"value": 0.01, "source": "--pitch"},
        "thin-stroke unreadable below": {"value": 0.1, "source": "common practice"},
    },
    "board": {"width_mm": 30, "height_mm": 20, "box_mm": [0, 0, 30, 20], "outline_known_by": "profile"},
    "labels": [
        {
            "id": f"{side}-{number}",
            "side": side,
            "text": text,
            "text_confidence": 0.9,
            "text_known_by": "reading",
            "kind": "reference",
            "box_mm": [number, 5, number + 2, 6],
            "turned_deg": 0.0,
            "drawn_as": "strokes",
            "character_height_mm": 1.0,
            "stroke_mm": {"least": 0.12, "typical": 0.15},
            "gap_mm": None,
            "printed_fraction": 1.0,
            "visible_fraction": 1.0,
            "reads_as_printed": text,
        }
        for number, (side, text) in enumerate([("top", "R72"), ("top", None), ("bottom", "J4")])
    ],
    "findings": [
        {
            "id": "f1",
            "analyser": "thin-stroke",
            "severity": "unreadable",
            "label": "top-0",
            "side": "top",
            "at_mm": [1.0, 5.5],
            "measured": 0.08,
            "limit": 0.1,
            "unit": "mm",
            "message": "Too thin.",
            "advice": None,
            "source": "common practice",
        }
    ],
    "remarks": [{"file": "", "line": None, "message": "No drill file was found."}],
    "not_applied": [{"analyser": "across-hole", "side": "top", "because": "the holes are not known"}],
    "holding": [],
    "acceptances": {},
}
"""A check record with one of everything, as `../../labelcheck/review/record.schema.json` tells it."""

_SEEDS = {
    "artwork": _artworks,
    "drill": lambda: _listings(DRILLS, "*.drl", "*.xnc", "*.TXT", "*.cnc"),
    "job": lambda: [b'{"Header":{}}', *(path.read_bytes() for path in _found("*.gbrjob"))],
    "netlist": lambda: _listings(NETLISTS, "*.d356", "*.ipc"),
    "placement": lambda: _listings(PLACEMENTS, "*.csv", "*.pos"),
    "limits": _limits,
    "record": _records,
    "zip": _zips,
}
