"""Standard packages at their largest, found by what a package or footprint name says.

Millimetres. Standing of the figures: those of chips, SOT-23, SOD-323, SMA, SMB, SOIC, TSSOP, LQFP, PDIP-8 and TO-220
were read in outlines and data sheets of makers (EIA, JEDEC MO-153, MS-026, MS-001, MO-220 named there); those marked
`memory` are from memory of the JEDEC and EIA outlines, not read again. Leads are not part of a body.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

Leads = Literal["ends", "sides", "around", "rows", "round"]
"""Where the pads lie: at both ends of the length, along both long sides, all around or beneath, in rows along the
length (headers), or beneath a round body."""


@dataclass(frozen=True, slots=True)
class Package:
    """The largest body of one package; length is not less than width, but for names that state both."""

    name: str
    length_mm: float
    width_mm: float
    height_mm: float | None
    leads: Leads
    sure: bool = True
    """Whether the name leaves no doubt; a size that rests on a habit of naming does."""
    grid: tuple[int, int] | None = None
    """Rows, and leads in each, of leads in a grid; `pitch_mm` apart."""
    pitch_mm: float = 0.0


_CHIPS: Mapping[str, tuple[float, float, float]] = {
    # Length, width, height at the largest of resistor and capacitor of that size, from makers' sheets.
    "01005": (0.43, 0.23, 0.23), "0201": (0.63, 0.33, 0.33), "0402": (1.10, 0.60, 0.60), "0603": (1.75, 0.95, 0.95),
    "0805": (2.20, 1.45, 1.45), "1206": (3.40, 1.80, 1.80), "1210": (3.60, 2.80, 2.80), "2010": (5.15, 2.75, 0.80),
    "2512": (6.45, 3.35, 0.90),
    # memory, and so are all heights of this table
    "1808": (4.90, 2.30, 2.30), "1812": (4.90, 3.50, 3.00), "1825": (4.90, 6.80, 3.00), "2211": (6.10, 3.20, 3.00),
    "2220": (6.10, 5.40, 3.00), "2410": (6.40, 2.80, 2.80), "2728": (7.20, 7.40, 1.00),
}  # fmt: skip
_METRIC = {
    "0402": "01005", "0603": "0201", "1005": "0402", "1608": "0603", "2012": "0805", "2125": "0805", "3216": "1206",
    "3225": "1210", "4520": "1808", "4532": "1812", "5025": "2010", "5728": "2211", "6332": "2512", "5750": "2220",
    "6125": "2410",
}  # fmt: skip
"""Codes in tenths of a millimetre."""
_SPOKEN_AS_METRIC_ONLY = frozenset(_METRIC) - frozenset({"0402", "0603"})

_MOULDED: Mapping[str, tuple[float, float, float]] = {
    # Tantalum cases by EIA code (EIA-535BAAC): memory
    "3216-": (3.40, 1.80, 1.80), "3528": (3.70, 3.00, 2.10), "6032": (6.30, 3.50, 2.80), "7343": (7.60, 4.60, 4.60),
    "7361": (7.60, 6.40, 3.80),
}  # fmt: skip

_BY_NAME: tuple[tuple[re.Pattern[str], Package], ...] = tuple(
    (re.compile(rf"(?<![A-Z0-9])(?:{pattern})(?![A-Z0-9])"), package)
    for pattern, package in (
        (r"SOD[- ]?323F?", Package("SOD-323", 1.80, 1.35, 1.10, "ends")),
        (r"SOD[- ]?123(?:F|FL)?", Package("SOD-123", 2.84, 1.80, 1.35, "ends")),  # memory
        (r"SOD[- ]?523", Package("SOD-523", 1.30, 0.90, 0.70, "ends")),  # memory
        (r"SOD[- ]?923", Package("SOD-923", 0.90, 0.70, 0.45, "ends")),  # memory
        (r"(?:DO[- ]?214[- ]?AC|(?:D )?SMA)", Package("SMA", 4.60, 2.92, 2.44, "ends")),
        (r"(?:DO[- ]?214[- ]?AA|(?:D )?SMB)", Package("SMB", 4.57, 3.94, 2.44, "ends")),
        (r"(?:DO[- ]?214[- ]?AB|(?:D )?SMC)", Package("SMC", 7.11, 6.22, 2.62, "ends")),  # memory in part
        (r"(?:MINI ?MELF|LL[- ]?34|SOD[- ]?80C?)", Package("MiniMELF", 3.70, 1.70, 1.70, "ends")),  # memory
        (r"(?:MELF|LL[- ]?41)", Package("MELF", 5.50, 2.60, 2.60, "ends")),  # memory
        (r"(?:SOT[- ]?23[- ][568]L?|SOT[- ]?2[56]|TSOT[- ]?23(?:[- ][568])?|SC[- ]?74A?)",
         Package("SOT-23-6", 3.10, 1.80, 1.45, "sides")),  # memory, JEDEC MO-178
        (r"(?:SOT[- ]?23(?:[- ]3L?)?|TO[- ]?236(?:AB)?)", Package("SOT-23", 3.04, 1.40, 1.12, "sides")),
        (r"(?:SOT[- ]?3[25]3(?:[- ]\d)?|SOT[- ]?363|SC[- ]?70(?:[- ]\d)?|SC[- ]?88A?)",
         Package("SC-70", 2.20, 1.40, 1.10, "sides")),  # memory, JEDEC MO-203
        (r"SOT[- ]?143B?", Package("SOT-143", 3.04, 1.40, 1.12, "sides")),  # memory
        # memory
        (r"(?:SOT[- ]?89(?:[- ]3)?|TO[- ]?243(?:AA)?)", Package("SOT-89", 4.60, 2.60, 1.60, "sides", False)),
        (r"(?:SOT[- ]?223(?:[- ]\d)?|TO[- ]?261(?:AA)?)", Package("SOT-223", 6.70, 3.70, 1.80, "sides")),  # memory
    )
)  # fmt: skip

_BODY_OF_ROWS: Mapping[str, tuple[float, float, float, Mapping[int, float]]] = {
    # Pitch, width of the body, height, and length by number of leads.
    "SOIC": (1.27, 4.00, 1.75, {8: 5.00, 14: 8.76, 16: 10.00}),
    # memory, JEDEC MS-013
    "SOIC wide": (1.27, 7.60, 2.65, {8: 5.40, 14: 9.10, 16: 10.50, 18: 11.75, 20: 13.00, 24: 15.60, 28: 18.10}),
    "TSSOP": (0.65, 4.50, 1.20, {8: 3.10, 14: 5.10, 16: 5.10, 20: 6.60, 24: 7.90, 28: 9.80}),
    # memory, JEDEC MO-187, MO-137, MO-150
    "MSOP": (0.65, 3.10, 1.10, {8: 3.10, 10: 3.10, 12: 4.14, 16: 4.14}),
    "QSOP": (0.635, 4.00, 1.75, {16: 5.00, 20: 8.76, 24: 8.76, 28: 10.00}),
    "SSOP": (0.65, 5.60, 2.00, {8: 3.30, 14: 6.50, 16: 6.50, 20: 7.50, 24: 8.50, 28: 10.50}),
}
_ROWED = re.compile(
    r"(?<![A-Z])(?:H|HT|E)?(SOIC|SOP|SO|TSSOP|SSOP|MSOP|VSSOP|QSOP)[- ]?(\d{1,2})?(W|N|L|X)?(?:[- ](\d{1,2}))?"
    r"(?![A-Z0-9])"
)
_WIDE = re.compile(r"WIDE|(?<![\d.])(?:W7\.5|7\.5 ?X|X ?7\.5|W300|300 ?MIL)")
_DUAL_INLINE = re.compile(r"(?<![A-Z])(?:P|C|S|CER)?DIP?[- ]?(\d{1,2})(?!\d)|(?<![A-Z])DIL[- ]?(\d{1,2})")
_DUAL_INLINE_LENGTH = {4: 5.4, 6: 7.9, 8: 10.16, 14: 19.69, 16: 19.94, 18: 23.5, 20: 26.9, 22: 29.0, 24: 32.5,
                       28: 37.4, 40: 53.2, 42: 55.0, 48: 63.0, 64: 82.0}  # fmt: skip
"""JEDEC MS-001, MS-011: 8 leads read, the others from memory."""
_PACKED = re.compile(r"(?<![A-Z])(?:[A-Z]{0,3}Q?F[PN]|[A-Z]{0,4}(?:QFP|QFN|DFN|MLF|SON|BGA|LGA|CSP|MLP))(?![A-Z])")
_TWO_SIZES = re.compile(
    r"(?:^|[ _(-])(\d{1,2}(?:\.\d{1,3})?) ?X ?(\d{1,2}(?:\.\d{1,3})?)(?: ?X ?\d{1,2}(?:\.\d{1,3})?)?( ?MM)?"
    r"(?![0-9.A-Z])"
)
_OWN_SIZES = re.compile(r"(?<![A-Z])(L|W|D|H)(\d{1,2}(?:\.\d{1,3})?)(?=MM|[ _]|$)")
_IPC_CHIP = re.compile(r"^(?:RES|CAP|IND|LED|DIO|FUS|BEAD)[CMP]+P?(\d{2})(\d{2})X(\d{2,3})")
_IPC_ROWS = re.compile(
    r"^(SOIC|SOP|SO|SOT|QFN|QFP|DFN|SON|TSSOP)(\d{2,3})P(\d{3,4})X(\d{2,4})(?:X(\d{2,3}))?-(\d{1,3})"
)
_HEADER = re.compile(r"HEADER|SOCKET|PIN ?HDR|HDR|PINHD|STRIP|PIN ?HEAD")
_GRID = re.compile(r"(?<![\d.])(\d{1,2}) ?X ?0?(\d{1,2})(?![\d.])")
_PITCH = re.compile(r"P ?(\d\.\d{1,3})(?=MM|[ _]|$)")
_STANDING = re.compile(r"RADIAL|RAD|(?<![A-Z])CP?[- ]?RADIAL|ELKO|CAN")
_BARE_RADIAL = re.compile(r"RADIAL[ -]?D?(\d{1,2}(?:\.\d)?)(?!\d)")
_LYING = re.compile(r"HORIZONTAL|ANGLE|RIGHT|(?<![A-Z])RA(?![A-Z])|EDGE")
_LEADED = re.compile(r"(?<![A-Z])THT?(?![A-Z])|DIP|AXIAL|RADIAL|(?<![A-Z])TO[- ]?\d")

NO_BODY = re.compile(
    r"TEST ?_?-?(?:POINT|PAD)|(?<![A-Z])TP(?![A-Z])|FIDUCIAL|MOUNT(?:ING)?[ _-]?HOLE|NET ?_?-?TIE|SOLDER[ _-]?"
    r"(?:JUMPER|BRIDGE)|LOGO|SYMBOL|GRAPHIC|ARTWORK|CARD[ _-]?EDGE|EDGE[ _-]?(?:CONNECTOR|CONTACT|FINGER)|TOOLING|"
    r"MOUSE[ _-]?BITE|BREAKAWAY|(?<![A-Z])VIA(?![A-Z])|ANTENNA[ _-]?PCB"
)
"""Names of what is copper or a hole only: nothing stands there."""

NAMES_KEPT = 4096
"""Names whose package is not looked for anew: a board has many parts of few packages."""
MOULD_FLASH_MM = 0.2
"""What a name states is nominal: bodies grow by about this (MO-220 asks 0.10; from memory)."""


def stands_nowhere(package: str | None) -> bool:
    """Whether a package name says that nothing will stand on the board."""
    return package is not None and NO_BODY.search(package.upper()) is not None


@lru_cache(NAMES_KEPT)
def package_named(name: str | None) -> Package | None:
    """The package that a name means, None where it means none that is known here."""
    if not name:
        return None
    words = " ".join(re.split(r"[\s_/,;:]+", name.upper())).strip()
    for look in (_ipc, _header, _rowed, _named, _round, _packed, _moulded, _chip, _dual_inline, _stated):
        package = look(words)
        if package is not None:
            return package
    return None


def _ipc(words: str) -> Package | None:
    """Names by the convention of IPC-7351: `RESC1608X50N`, `SOIC127P600X175-8N` (from memory)."""
    chip = _IPC_CHIP.match(words)
    if chip is not None:
        size = _METRIC.get(chip[1] + chip[2])
        if size is not None:
            return Package(size, *_CHIPS[size], "ends")
        sides = int(chip[1]) / 10 + MOULD_FLASH_MM, int(chip[2]) / 10 + MOULD_FLASH_MM
        return Package(words, *sides, int(chip[3]) / 100, "ends")
    rows = _IPC_ROWS.match(words)
    if rows is None:
        return None
    pitch, first, second, leads = (int(rows[at]) / 100 for at in (2, 3, 4, 6))
    if rows[5] is None:
        # Gull wings reach about 0.95 mm past the body on each side; what is stated is span and height.
        length = max(leads * 50 * pitch + 0.1, 1.0)
        return Package(words, length, max(first - 1.9, 1.0), second, "sides", False)
    less = 2.0 if rows[1] == "QFP" else -0.1
    return Package(words, first - less, second - less, int(rows[5]) / 100, "around")


def _header(words: str) -> Package | None:
    if _HEADER.search(words) is None or _LYING.search(words) is not None:
        return None
    grid = _GRID.search(words)
    if grid is None:
        return None
    few, many = sorted((int(grid[1]), int(grid[2])))
    pitch = _PITCH.search(words)
    step = float(pitch[1]) if pitch is not None else 2.54
    socket = "SOCKET" in words
    if not 1.0 <= step <= 5.08 or few > 4 or many == 0:
        return None
    # Dual-row sockets were read (2.54 N/2 + 0.5 long); single rows from memory.
    return Package(
        f"{'socket' if socket else 'header'} {few} x {many}", many * step + (0.75 if socket else 0.1),
        few * step + (0.1 if few > 1 or not socket else 0.2), 8.5, "rows", grid=(few, many), pitch_mm=step,
    )  # fmt: skip


def _rowed(words: str) -> Package | None:
    found = _ROWED.search(words)
    leads = int(found[2] or found[4] or 0) if found is not None else 0
    if found is None or not leads:
        return None
    kind = {"SO": "SOIC", "SOP": "SOIC", "VSSOP": "MSOP"}.get(found[1], found[1])
    wide = found[3] == "W" or _WIDE.search(words) is not None
    if kind == "SOIC" and (wide or leads in (18, 20, 24, 28)):
        kind = "SOIC wide"
    if kind == "SSOP" and re.search(r"3\.9|0\.635", words):
        kind = "QSOP"
    pitch, width, height, lengths = _BODY_OF_ROWS[kind]
    stated = _two_sizes(words)
    if stated is not None:
        long, short = max(stated), min(stated)
        return Package(f"{kind}-{leads}", long + MOULD_FLASH_MM, short + MOULD_FLASH_MM, height, "sides")
    if leads not in lengths:
        return Package(f"{kind}-{leads}", leads / 2 * pitch + 0.1, width, height, "sides", False)
    return Package(f"{kind}-{leads}", lengths[leads], width, height, "sides", found[1] not in ("SOP",))


def _named(words: str) -> Package | None:
    return next((package for pattern, package in _BY_NAME if pattern.search(words)), None)


def _packed(words: str) -> Package | None:
    """Flat packages all around or beneath, whose names state their size."""
    stated = _two_sizes(words) if _PACKED.search(words) is not None else None
    if stated is None:
        return None
    height = 4.0 if "QFP" in words and "LQFP" not in words and "TQFP" not in words else 1.6
    return Package(
        f"{stated[0]:g} x {stated[1]:g} mm flat package", max(stated) + MOULD_FLASH_MM, min(stated) + MOULD_FLASH_MM,
        height, "around",
    )  # fmt: skip


def _moulded(words: str) -> Package | None:
    if _LEADED.search(words) is not None:
        return None
    for code, body in _MOULDED.items():
        if re.search(rf"(?<!\d){code}(?!\d\d\d)", words) is not None and ("EIA" in words or code != "3216-"):
            return Package(f"moulded {code.rstrip('-')}", *body, "ends")
    return None


def _chip(words: str) -> Package | None:
    """Chips by their size in hundredths of an inch, or in tenths of a millimetre where the name says so."""
    if _LEADED.search(words) is not None:
        return None
    size = _chip_size(words)
    return None if size is None else Package(size, *_CHIPS[size], "ends")


def _chip_size(words: str) -> str | None:
    codes = re.findall(r"(?<![\d.])(\d{4,5})(M(?:ETRIC)?(?![A-Z])| METRIC)?(?![\d.]| ?X|W)", words)
    for code, metric in codes:
        if code in _CHIPS and not metric:
            return code
    for code, metric in codes:
        if code in _METRIC and (metric or code in _SPOKEN_AS_METRIC_ONLY):
            return _METRIC[code]
    return None


def _round(words: str) -> Package | None:
    """Standing round bodies, of which the name states the diameter."""
    if _STANDING.search(words) is None or "AXIAL" in words or _LYING.search(words) is not None:
        return None
    sizes = {letter: float(value) for letter, value in _OWN_SIZES.findall(words)}
    bare = _BARE_RADIAL.search(words)
    diameter = sizes.get("D") or (float(bare[1]) if bare is not None and "L" not in sizes else None)
    if diameter is None or not 2.0 <= diameter <= 40.0:
        return None
    # Makers' sheets allow 0.5 mm over the nominal diameter.
    return Package(f"{diameter:g} mm can", diameter + 0.5, diameter + 0.5, sizes.get("H"), "round")


def _dual_inline(words: str) -> Package | None:
    found = _DUAL_INLINE.search(words)
    leads = int(found[1] or found[2] or 0) if found is not None else 0
    if leads not in _DUAL_INLINE_LENGTH:
        return None
    wide = leads in (40, 42, 48, 64) or re.search(r"W ?15\.24|600 ?MIL|WIDE", words) is not None
    length, width = _DUAL_INLINE_LENGTH[leads], 14.73 if wide else 7.11
    if "SOCKET" in words:
        return Package(f"DIP-{leads} socket", leads / 2 * 2.54 + 0.75, width + 3.0, 5.0, "sides")
    return Package(f"DIP-{leads}", length, width, 5.33, "sides")


def _stated(words: str) -> Package | None:
    """Anything else whose name states length and width of its body."""
    if _LYING.search(words) is not None:
        return None
    sizes = {letter: float(value) for letter, value in _OWN_SIZES.findall(words)}
    if "L" in sizes and ("W" in sizes or "D" in sizes):
        across = sizes["W"] if "W" in sizes else sizes["D"]
        stated: tuple[float, float] | None = (sizes["L"], across)
    else:
        stated = _two_sizes(words, with_unit=True)
    if stated is None or not 0.4 <= min(stated) <= max(stated) <= 60.0:
        return None
    return Package(
        f"{stated[0]:g} x {stated[1]:g} mm body", max(stated) + MOULD_FLASH_MM, min(stated) + MOULD_FLASH_MM,
        sizes.get("H"), "ends", False,
    )  # fmt: skip


def _two_sizes(words: str, with_unit: bool = False) -> tuple[float, float] | None:
    """`7X7MM` in a name; sizes of a pad, a grid or an exposed pad have a word of their own before them."""
    for found in _TWO_SIZES.finditer(words):
        length, width = float(found[1]), float(found[2])
        if (not with_unit or found[3]) and min(length, width) >= 0.4 and max(length, width) <= 60.0:
            return length, width
    return None
