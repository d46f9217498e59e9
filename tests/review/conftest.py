"""A made-up board of the model-railway workshop, its labels and findings, for the tests of reviews."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest
from shapely.geometry import MultiPolygon, Point, box

from labelcheck.board.board import Appearance, Board, BoardSide, Holes, Layer, Outline
from labelcheck.judging import Finding, Severity
from labelcheck.labels.label import Label
from labelcheck.review.contents import FileEntry, LabelState, LimitEntry, Review
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Shapes, bars, concatenate
from labelcheck.trade.sides import Side

_CELL = {  # corners and middles of a character cell of width 0.6 and height 1
    "a": (0.0, 1.0), "b": (0.3, 1.0), "c": (0.6, 1.0), "d": (0.0, 0.5), "e": (0.3, 0.5), "f": (0.6, 0.5),
    "g": (0.0, 0.0), "h": (0.3, 0.0), "i": (0.6, 0.0),
}
_LETTERS = {  # strokes as pairs of places in the cell
    "0": "ac ci ig ga", "1": "bh", "2": "ac cf fd dg gi", "3": "ac ci ig df", "4": "ad df ci", "5": "ca ad df fi ig",
    "6": "ca ag gi if fd", "7": "ac ch", "8": "ac ci ig ga df", "9": "fd da ac ci ig", "A": "ga ac ci df",
    "C": "ca ag gi", "D": "ab bf fh hg ga", "F": "ca ag de", "J": "bc ci ig gd", "K": "ag dc di", "L": "ag gi",
    "R": "ga ac cf fd ei", "S": "ca ad df fi ig", "T": "ac bh", "U": "ag gi ic", "N": "ga ai ic",
    "-": "df", "+": "df bh",
}


def written(text: str, x: float, y: float, height: float, pen: float) -> Shapes:
    """Strokes of a text whose first character's cell has its lower left corner at x, y."""
    ends: list[tuple[float, float, float, float]] = []
    for place, letter in enumerate(text):
        for stroke in _LETTERS.get(letter, "ac ci ig ga").split():
            (x0, y0), (x1, y1) = (_CELL[end] for end in stroke)
            left = x + place * 0.9 * height
            ends.append((left + x0 * height, y + y0 * height, left + x1 * height, y + y1 * height))
    x0s, y0s, x1s, y1s = np.array(ends).reshape(-1, 4).T
    return bars(x0s, y0s, x1s, y1s, pen)


def layer(name: str, *parts: Shapes) -> Layer:
    """A layer of one file, without attributes."""
    return Layer((name,), concatenate(parts), (), ((),))


@dataclass(frozen=True)
class Printed:
    """One label to be put on the test board."""

    text: str
    x: float
    y: float
    height: float = 1.2
    pen: float = 0.15
    side: Side = Side.TOP


TEXTS = (
    Printed("R12", 5, 20, 0.71), Printed("C3", 12, 20),
    Printed("TRACK-1", 5, 5, 1.8), Printed("K2", 25, 12, 1.0, 0.08),
    Printed("D4", 5, 12, side=Side.BOTTOM), Printed("SF-2", 15, 22, side=Side.BOTTOM),
)


def label_of(printed: Printed, name: str) -> Label:
    """The label as it would be found."""
    ink = written(printed.text, printed.x, printed.y, printed.height - printed.pen, printed.pen).boxes()
    x0, y0 = ink[:, :2].min(axis=0)
    x1, y1 = ink[:, 2:].max(axis=0)
    return Label(
        id=name, side=printed.side, kind="reference",
        text=printed.text, text_confidence=0.97, text_known_by="reading",
        box_mm=(float(x0), float(y0), float(x1), float(y1)), turned_deg=0.0, drawn_as="strokes", marks=(),
        character_height_mm=printed.height, stroke_least_mm=printed.pen, stroke_typical_mm=printed.pen, gap_mm=0.3,
    )


def too_short(number: int, label: Label, severity: Severity = Severity.UNREADABLE, limit: float = 0.80) -> Finding:
    """A finding of the short-character kind about the whole label."""
    x0, y0, x1, y1 = label.box_mm
    height = label.character_height_mm
    return Finding(
        id=f"F{number}", analyser="short-character", severity=severity, label=label.id, side=label.side,
        at_mm=((x0 + x1) / 2, (y0 + y1) / 2), box_mm=label.box_mm, measured=height, limit=limit, unit="mm",
        message=f"{label.called()} is {height:.2f} mm high; {limit:.2f} mm prints.",
        advice=f"Make it {limit - height:.2f} mm higher.", source="common practice",
    )


@pytest.fixture
def board() -> Board:
    """30 x 25 mm with a slot and a round cut-out, pads, holes, and a legend on both sides."""

    columns = np.array([10.0, 14.0, 18.0])

    def side_of(side: Side) -> BoardSide:
        ink = [written(p.text, p.x, p.y, p.height - p.pen, p.pen) for p in TEXTS if p.side is side]
        pads = bars(columns, np.full(3, 9.0), columns, np.full(3, 10.0), 1.6)
        tracks = bars(np.array([10.0, 14.0]), np.full(2, 9.0), np.array([2.0, 28.0]), np.array([15.0, 18.0]), 0.4)
        return BoardSide(side, layer(f"{side}-legend.gbr", *ink), layer(f"{side}-mask.gbr", pads),
                         layer(f"{side}-copper.gbr", tracks, pads), None)

    area = box(0, 0, 30, 25).difference(box(22, 2, 28, 4))
    holes = bars(columns, np.full(3, 9.5), columns, np.full(3, 9.5), 0.9)
    return Board(
        outline=Outline(MultiPolygon([area.difference(Point(3, 22).buffer(1.1))]), "profile"),
        holes=Holes(holes, (True, True, None)), top=side_of(Side.TOP), bottom=side_of(Side.BOTTOM),
        appearance=Appearance("Green", "White", "ENIG"), remarks=(), holding=(),
    )


@pytest.fixture
def labels() -> tuple[Label, ...]:
    """Every label of the board, top first."""
    counts = {Side.TOP: 0, Side.BOTTOM: 0}
    found = []
    for printed in TEXTS:
        counts[printed.side] += 1
        found.append(label_of(printed, f"{printed.side[0].upper()}{counts[printed.side]}"))
    return tuple(found)


@pytest.fixture
def review(labels: tuple[Label, ...]) -> Review:
    """A review of the board with one finding of each severity, one of them on the bottom."""
    findings = (
        too_short(1, labels[0]),
        too_short(2, labels[4], Severity.DOUBTFUL, 1.30),
        too_short(3, labels[1], Severity.NOTE, 1.40),
    )
    digest = "ab" * 32
    return Review(
        set_name="turnout-driver", set_path="sets/turnout-driver", fingerprint=f"sha256:{digest}",
        checked_at="2026-01-31T12:00:00Z",
        files=(FileEntry("top.gto", digest, "legend", Side.TOP, "attribute", 12.3456789, (0.0, 0.0, 30.0, 25.0)),
               FileEntry("notes.pdf", digest, "other", None, "content", None, None)),
        limits=(LimitEntry("character height", 0.8, "mm", "common practice"),
                LimitEntry("process", "photo-imaged", "", "asked for")),
        box_mm=(0.0, 0.0, 30.0, 25.0), outline_known_by="profile",
        labels=tuple(LabelState(label, 1.0, 0.98, label.text) for label in labels),
        findings=findings, holding=(),
        remarks=(Remark("holes.drl", 3, "No unit is given; millimetres fit the board."),),
    )


@pytest.fixture
def many(labels: tuple[Label, ...]) -> Callable[[int], tuple[tuple[LabelState, ...], tuple[Finding, ...]]]:
    """Makes that many labels R1, R2, … with one and the same fault each, on a grid over the board."""

    def make(count: int) -> tuple[tuple[LabelState, ...], tuple[Finding, ...]]:
        found = []
        for number in range(count):
            at = Printed(f"R{number + 1}", 2 + number % 10 * 2.6, 23 - number // 10 * 1.05, 0.71 + number % 4 * 0.01)
            found.append(replace(label_of(at, f"T{number + 1}"), text=at.text))
        return (tuple(LabelState(label, 1.0, 1.0, label.text) for label in found),
                tuple(too_short(number + 1, label) for number, label in enumerate(found)))

    return make
