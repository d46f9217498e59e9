"""What the legend process can print and the eye can read; each value with its source.

No public board standard states a legend size in millimetres: the sizes of the processes rest on what many
fabricators ask (common practice, no single source), the sizes for the eye on human-factors standards.
"""

import math
from dataclasses import dataclass, fields, replace
from enum import StrEnum

from labelcheck.trade.places import Remark
from labelcheck.trade.stated import Acceptance, MustCarry, StatedBody, StatedColour, StatedWeight, fits

ARCMINUTES_PER_RADIAN = 180 * 60 / math.pi

COMMON_PRACTICE = "common practice of board fabricators, no single source"
FROM_MEMORY = "common practice, from memory, low confidence"
OWN_JUDGEMENT = "judgement of this project, no source"
MOULD_FLASH = "mould flash that outlines leave out: 0.15 mm an end (notes of an SOIC-8 outline)"
BY_DEFAULT = "default"

BOUNDS = ("unreadable", "doubtful", "note")
"""The bounds of a limit, the worst first: fields of `Limit`, and severities."""


class Process(StrEnum):
    """How the legend is put on the board."""

    SCREEN_PRINTED = "screen-printed"
    PHOTO_IMAGED = "photo-imaged"
    INKJET = "inkjet"

    @property
    def legend(self) -> str:
        """`a photo-imaged legend`, `an inkjet legend`."""
        return f"{'an' if self.value.startswith('i') else 'a'} {self.value} legend"


@dataclass(frozen=True, slots=True)
class Limit:
    """A quantity with up to three bounds; where a bound is None no finding of that severity is made.

    Without `worse_above` a smaller value is the worse one. `tolerance` is the stated error of the measurement:
    a value within it of a bound has the benefit of the doubt.
    """

    name: str
    unit: str
    unreadable: float | None
    doubtful: float | None
    note: float | None
    source: str
    tolerance: float = 0.0
    worse_above: bool = False
    stated: tuple[tuple[str, str], ...] = ()
    """Bounds that the limits file states, and where: `("doubtful", "labelcheck.toml:12")`."""

    @property
    def bounds(self) -> tuple[float, ...]:
        """Those that there are, the worst first."""
        return tuple(one for one in (self.unreadable, self.doubtful, self.note) if one is not None)

    def source_of(self, bound: str) -> str:
        """Where one of the bounds comes from: the limits file where that states it."""
        return dict(self.stated).get(bound, self.source)


@dataclass(frozen=True, slots=True)
class Distance:
    """One length that the process asks for or causes."""

    name: str
    value_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class LimitsFileBytes:
    """Which limits file was in force: its name, and a digest over its bytes."""

    name: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Limits:
    """Everything that findings are judged by."""

    process: Process
    reading_distance_mm: float
    pitch_mm: float
    """Raster pitch: the resolution at which ink is compared with openings, holes and other ink."""
    stroke: Limit
    height: Limit
    height_for_eye: Limit
    gap: Limit
    lost_ink: Limit
    crossed_ink: Limit
    mirrored: Limit
    third_direction: Limit
    namesakes: Limit
    misplaced_names: Limit
    mistaken_part: Limit
    undecided_part: Limit
    unnamed: Limit
    clip: Distance
    hole_clearance: Distance
    outline_clearance: Distance
    tented_hole: Distance
    registration: Distance
    spread: Distance
    printed_pixel: Distance
    thinnest_print: Distance
    copper_thickness: Distance
    copper_step: Limit
    contrast: Limit
    read_back: Limit
    hidden_ink: Limit
    shadowed: Limit
    body_allowance: Distance
    viewing_angle_deg: float = 30.0
    """Off the normal: how an eye looks at a board whose labels tall parts may hide."""
    process_source: str = BY_DEFAULT
    reading_distance_source: str = BY_DEFAULT
    pitch_source: str = BY_DEFAULT
    mask_colour: StatedColour | None = None
    """None where the limits file names none; the job file may."""
    legend_colour: StatedColour | None = None
    weights: tuple[StatedWeight, ...] = ()
    must_carry: tuple[MustCarry, ...] = ()
    accepted: tuple[Acceptance, ...] = ()
    bodies: tuple[StatedBody, ...] = ()
    """Bodies that the limits file states; the first that fits a part is taken."""
    file: LimitsFileBytes | None = None
    """The limits file that was read, None where there was none."""
    remarks: tuple[Remark, ...] = ()
    """What was met while the limits file was read."""
    boards_beside: tuple[str, ...] | None = None
    """Names that boards near the limits file or the set may have; None where nothing asks for them."""

    def pen_for(self, height_mm: float) -> float:
        """Pen to draw characters of a height with: heavy enough to print, in proportion otherwise."""
        return max(self.stroke.doubtful or 0.0, STROKE_OF_HEIGHT * height_mm)

    def findings_limits(self) -> tuple[Limit, ...]:
        """Those that a measurement is judged against."""
        return tuple(limit for name in names_of_limits() if isinstance(limit := getattr(self, name), Limit))

    def distances(self) -> tuple[Distance, ...]:
        """Those that say where ink does not stay."""
        return tuple(one for name in names_of_limits() if isinstance(one := getattr(self, name), Distance))

    def boards_named(self) -> tuple[tuple[str, int | None], ...]:
        """Every pattern for the name of a board with the line of each table that it restricts."""
        stated: list[StatedWeight | MustCarry | Acceptance | StatedBody]
        stated = [*self.weights, *self.must_carry, *self.accepted, *self.bodies]
        return tuple((one.board, one.line) for one in stated if one.board is not None)

    def on_board(self, set_name: str) -> "Limits":
        """The same, with only those statements that are about the board of this name."""
        return replace(
            self,
            weights=tuple(one for one in self.weights if fits(one.board, set_name)),
            must_carry=tuple(one for one in self.must_carry if fits(one.board, set_name)),
            accepted=tuple(one for one in self.accepted if fits(one.board, set_name)),
            bodies=tuple(one for one in self.bodies if fits(one.board, set_name)),
            boards_beside=None,
        )


def names_of_limits() -> tuple[str, ...]:
    """Fields of `Limits` that hold a `Limit` or a `Distance`, in order."""
    return tuple(field.name for field in fields(Limits) if field.type in (Limit, Distance))


@dataclass(frozen=True, slots=True)
class _ProcessValues:
    """One column of the table of processes, millimetres; pairs are unreadable below, doubtful below."""

    stroke: tuple[float, float]
    height: tuple[float, float]
    gap: tuple[float, float]
    clip: float
    registration: float
    registration_source: str
    spread: float
    pixel: tuple[float, str]
    """Side of the printer's own pixel, and where that figure comes from."""


_PROCESSES = {
    Process.SCREEN_PRINTED: _ProcessValues(
        (0.13, 0.18), (1.00, 1.27), (0.13, 0.20), 0.15, 0.15, COMMON_PRACTICE, 0.03,
        (0.05, "opening of a screen of about 120 threads a centimetre, from memory, low confidence"),
    ),
    Process.PHOTO_IMAGED: _ProcessValues(
        (0.10, 0.15), (0.80, 1.00), (0.08, 0.15), 0.10, 0.10, FROM_MEMORY, 0.02,
        (0.01, "photoplot or direct exposure at 2540 dots an inch or finer, from memory"),
    ),
    Process.INKJET: _ProcessValues(
        (0.08, 0.12), (0.50, 0.80), (0.08, 0.12), 0.05, 0.05, FROM_MEMORY, 0.01,
        (0.042, "600 dots an inch, the finer of the resolutions that fabricators state (one page, weak)"),
    ),
}

USUAL_COPPER = "the usual, where neither a limits file nor the job file of a set states another"

SURVIVING_SHARE = 0.8
"""Thinnest line that survives, as a share of the least stroke that fabricators ask for: they leave pieces thinner
than that stroke out (two of the pages looked at), and a stroke just below it comes out mostly (judgement)."""

HEAVY_COPPER_MM = 0.09
"""Outer copper of 70 µm (2 oz) passes, 105 µm (3 oz) does not."""

DEFAULT_PROCESS = Process.PHOTO_IMAGED
DEFAULT_READING_DISTANCE_MM = 250.0
"""A board in the hand."""
DEFAULT_PITCH_MM = 0.01
"""2540 dots an inch."""

STROKE_OF_HEIGHT = 0.14
"""Stroke to height for light strokes on a dark ground, between 1/7 and 1/8: DOD-HDBK-791(AM) 6-5.3.2.3."""

# The error of measuring, 95th percentile over synthetic text (tests/benchmarks); pens are read off the file exactly.
STROKE_TOLERANCE_MM = 0.005
HEIGHT_TOLERANCE_MM = 0.010
GAP_TOLERANCE_MM = 0.010


def height_seen_under(arcminutes: float, distance_mm: float) -> float:
    """Height in millimetres that fills a visual angle at a distance: h = 2 d tan(a / 2).

    Source: the definition of visual angle, as in the FAA Human Factors Design Standard; ISO 9241-3 states its
    least and preferred heights by it.
    """
    return 2 * distance_mm * math.tan(arcminutes / ARCMINUTES_PER_RADIAN / 2)


def limits_for(
    process: Process = DEFAULT_PROCESS,
    reading_distance_mm: float = DEFAULT_READING_DISTANCE_MM,
    pitch_mm: float = DEFAULT_PITCH_MM,
) -> Limits:
    """Default limits of a process, and of an eye at a distance."""
    values = _PROCESSES[process]
    return Limits(
        process=process,
        reading_distance_mm=reading_distance_mm,
        pitch_mm=pitch_mm,
        stroke=Limit("stroke width", "mm", *values.stroke, None, COMMON_PRACTICE, STROKE_TOLERANCE_MM),
        height=Limit("character height, print", "mm", *values.height, None, COMMON_PRACTICE, HEIGHT_TOLERANCE_MM),
        height_for_eye=Limit(
            "character height, eye",
            "mm",
            height_seen_under(10, reading_distance_mm),
            height_seen_under(12, reading_distance_mm),
            height_seen_under(16, reading_distance_mm),
            f"10, 12 and 16 minutes of arc at {reading_distance_mm:g} mm: 16 is the least of ISO 9241-3, 12 that of "
            "ISO 15008 (at second hand), 10 the floor of reading at good contrast (Human Factors 21(6), 1979)",
            HEIGHT_TOLERANCE_MM,
        ),
        gap=Limit("gap", "mm", *values.gap, None, COMMON_PRACTICE, GAP_TOLERANCE_MM),
        # Placed with the chart of tests/benchmarks/read_back.py in view: clipped from one side, characters read back
        # whole up to 15 % of their box, two in five are lost at 25 %, four in five at 40 %; pens fail below 0.07 mm
        # of a photo-imaged legend, characters with a pen of 0.15 mm below a height of 0.7 mm.
        lost_ink=Limit(
            "ink lost from one character", "fraction", 0.25, 0.10, 0.05, OWN_JUDGEMENT, 0.01, worse_above=True
        ),
        crossed_ink=Limit(
            "foreign ink within one character", "fraction", 0.50, 0.12, None, OWN_JUDGEMENT, 0.01, worse_above=True
        ),
        mirrored=Limit("read in a mirror", "count", 0.0, None, None, OWN_JUDGEMENT, worse_above=True),
        third_direction=Limit(
            "turned away from both main directions", "deg", None, None, 0.0, COMMON_PRACTICE, worse_above=True
        ),
        copper_thickness=Distance("thickness of the outer copper", 0.035, USUAL_COPPER),
        copper_step=Limit(
            "step at the edge of the outer copper", "mm", None, None, HEAVY_COPPER_MM,
            "ink breaks up over a step of heavy copper (one fabricator); from which thickness is a judgement",
            worse_above=True,
        ),
        contrast=Limit(
            "contrast of legend on mask", "ratio", 2.0, 3.0, None,
            "3:1 is the least for symbols (NASA, Color Usage) and for large text (WCAG 2.1), whose formula is used; "
            "2:1 is a judgement of this project",
        ),
        read_back=Limit(
            "characters that do not read as drawn once printed", "count", 0.0, None, None, OWN_JUDGEMENT,
            worse_above=True,
        ),
        hidden_ink=Limit(
            "ink of one character under a body", "fraction", 0.25, 0.10, 0.05, OWN_JUDGEMENT, 0.01, worse_above=True
        ),
        shadowed=Limit(
            "label between tall parts", "fraction", None, 0.50, None, OWN_JUDGEMENT, 0.02, worse_above=True
        ),
        body_allowance=Distance("parts larger than drawn, each side", 0.15, MOULD_FLASH),
        namesakes=Limit("places of one reference", "count", None, 1.0, None, OWN_JUDGEMENT, worse_above=True),
        misplaced_names=Limit("names at a wrong pin", "count", 0.0, None, None, OWN_JUDGEMENT, worse_above=True),
        mistaken_part=Limit(
            "reference farther from its own part than from another", "mm", None, 0.8, 0.4, OWN_JUDGEMENT,
            worse_above=True,
        ),
        undecided_part=Limit(
            "another part farther than its own", "mm", None, None, 0.1, "nobody sees a smaller difference: judgement",
        ),
        unnamed=Limit("parts or pins without a label", "count", None, None, 0.0, OWN_JUDGEMENT, worse_above=True),
        clip=Distance("ink kept clear of a mask opening", values.clip, COMMON_PRACTICE),
        hole_clearance=Distance("ink kept clear of a hole", 0.10, COMMON_PRACTICE),
        outline_clearance=Distance("ink kept clear of a routed outline", 0.25, COMMON_PRACTICE),
        tented_hole=Distance("largest hole that mask still covers", 0.50, OWN_JUDGEMENT),
        registration=Distance("registration, any direction", values.registration, values.registration_source),
        spread=Distance("ink spread, each edge", values.spread, FROM_MEMORY),
        printed_pixel=Distance("printer's own pixel", *values.pixel),
        thinnest_print=Distance(
            "thinnest line that survives printing", round(SURVIVING_SHARE * values.stroke[0], 3),
            f"{SURVIVING_SHARE:g} of the least stroke, judgement of this project",
        ),
    )
