"""Does text stay readable when it is printed? Read-back against height, stroke, lost ink and narrow gaps.

Run: `python tests/benchmarks/read_back.py [--words 120] [--process photo-imaged]`. References and trade words in
stroke faces that the reader never learned (hershey-fonts-data, and the test extra gerbonara) are printed by the model
of `press/` and read back. Every step of a chart prints the same words. The bar is the share of words whose every
character is read back right from what is printed, read anew; `told` is the share of which the check says that they do
not read as drawn: it holds only what printing changes against a label, not what the reader fails at anyway. In the
charts of bodies and of knocked-out text the bar, too, is what the check does not hold against them. Nothing is
written.

Thresholds of `trade/limits.py` and `press/evidence.py` were placed with this chart in view; it says how far the
simulation bears the rules of thumb out, and rests on the reader: people read better than it does.
"""

import argparse
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from reading_characters import newstroke_glyphs
from shapely.geometry import MultiPolygon

from labelcheck.board.board import Appearance, Board, BoardSide, Holes, Layer, Outline
from labelcheck.board.components import Body, Component
from labelcheck.judging import misread_severity
from labelcheck.labels.label import Label, Mark, SideLabels
from labelcheck.labels.reading.reader import BuiltInReader, built_in_reader
from labelcheck.labels.reading.training.rows import random_text
from labelcheck.labels.reading.training.strokes import Glyph, hershey_face
from labelcheck.labels.reading.training.typefaces import STROKE_FOLDER, is_held_out
from labelcheck.press.obstacles import obstacles_on
from labelcheck.press.printing import as_printed
from labelcheck.press.printing_ink import through_the_process
from labelcheck.press.printing_reading import read_rows, rows_of, same_shape
from labelcheck.press.scene import evidence_on
from labelcheck.raster.rendering import render_groups
from labelcheck.raster.run_algebra import subtract
from labelcheck.raster.runs import area_by_group
from labelcheck.trade.limits import Limits, Process, limits_for
from labelcheck.trade.shapes import Shapes, bars, concatenate, empty_shapes, polygon
from labelcheck.trade.sides import Side

COLUMNS, CELL_MM, ROW_MM = 6, 25.0, 5.0
BARS = 40
"""Characters of a full bar of the chart."""


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """What is printed: texts, each with the face that it is drawn in."""

    texts: tuple[str, ...]
    faces: tuple[dict[str, Glyph], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """The words on a legend."""

    shapes: Shapes
    found: SideLabels


def faces() -> list[dict[str, Glyph]]:
    """Stroke faces kept apart from training, capitals 1 high."""
    found = [newstroke_glyphs()]
    futural = STROKE_FOLDER / "futural.jhf"
    if futural.exists() and is_held_out("futural"):
        found.append(hershey_face(futural))
    else:
        print("left out: futural (hershey-fonts-data is not installed)")
    return found


def some_words(count: int) -> Words:
    """References and words that all faces can draw; the same at every run."""
    random, known = np.random.default_rng(3), faces()
    texts: list[str] = []
    while len(texts) < count:
        text = random_text(random)
        plain = 2 <= len(text) <= 8 and text.isascii() and text.isalnum()
        if plain and all(character in face for face in known for character in text):
            texts.append(text)
    return Words(tuple(texts), tuple(known[at % len(known)] for at in range(count)))


def drawn(words: Words, height_mm: float, pen_mm: float, gap_mm: float | None = None) -> Drawn:
    """All words in a grid of rows and columns; heights are ink to ink, `gap_mm` is the clear space between boxes."""
    parts, labels, number, first = [], [], 0, 0
    scale = height_mm - pen_mm
    between = 0.2 * height_mm if gap_mm is None else gap_mm
    for place, (text, face) in enumerate(zip(words.texts, words.faces, strict=True)):
        at, low = (place % COLUMNS) * CELL_MM + 2.0, (place // COLUMNS) * ROW_MM + 2.0
        marks = []
        for character in text:
            paths = [path * scale for path in face[character]]
            left = min(float(path[:, 0].min()) for path in paths)
            right = max(float(path[:, 0].max()) for path in paths)
            lines = [path if len(path) > 1 else np.repeat(path, 2, axis=0) for path in paths]
            shift = np.array((at - left, low))
            start, end = (np.concatenate(points) for points in ([a[:-1] for a in lines], [a[1:] for a in lines]))
            start, end = start + shift, end + shift
            ink = bars(start[:, 0], start[:, 1], end[:, 0], end[:, 1], pen_mm)
            box = ink.boxes()
            x0, y0, x1, y1 = (float(edge) for edge in (*box[:, :2].min(axis=0), *box[:, 2:].max(axis=0)))
            marks.append(Mark(number, tuple(range(first, first + len(ink))), (x0, y0, x1, y1), pen_mm, character))
            parts.append(ink)
            number, first = number + 1, first + len(ink)
            at += right - left + pen_mm + between
        labels.append(_label(f"T{place + 1}", text, marks, (height_mm, pen_mm, between)))
    return Drawn(concatenate(parts), SideLabels(tuple(labels), ()))


def _label(name: str, text: str, marks: Sequence[Mark], sizes: tuple[float, float, float]) -> Label:
    boxes = np.array([mark.box_mm for mark in marks])
    x0, y0, x1, y1 = (float(edge) for edge in (*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)))
    height, pen, gap = sizes
    return Label(
        id=name, side=Side.TOP, text=text, text_confidence=1.0, text_known_by="reading", kind="reference",
        box_mm=(x0, y0, x1, y1), turned_deg=0.0, drawn_as="strokes", marks=tuple(marks), character_height_mm=height,
        stroke_least_mm=pen, stroke_typical_mm=pen, gap_mm=gap,
    )


def bitten(legend: Drawn, share: float, clip_mm: float) -> Shapes:
    """Openings that take, with their clip, a share of the box of one character of each word, from a side by turns."""
    if share == 0:
        return empty_shapes()
    openings = [area.buffer(-clip_mm) for area in parts_of_characters(legend, share)]
    parts = [polygon([np.asarray(opening.exterior.coords)[:-1]]) for opening in openings if not opening.is_empty]
    return concatenate(parts) if parts else empty_shapes()


def parts_of_characters(legend: Drawn, share: float) -> list[shapely.Polygon]:
    """A share of the box of one character of each word, from a side by turns."""
    parts = []
    for place, label in enumerate(legend.found.labels):
        x0, y0, x1, y1 = label.marks[place % len(label.marks)].box_mm
        wide, high = (x1 - x0) * share, (y1 - y0) * share
        x0, y0, x1, y1 = [
            (x0, y0, x1, y0 + high), (x0, y1 - high, x1, y1), (x0, y0, x0 + wide, y1), (x1 - wide, y0, x1, y1),
        ][place // 2 % 4]
        parts.append(shapely.box(x0, y0, x1, y1))
    return parts


@dataclass(frozen=True, slots=True)
class Outcome:
    """Shares of all words: read back right, and told by the check not to read as drawn."""

    right: float
    told: float


def in_fields(legend: Drawn) -> Drawn:
    """The same words left clear in a filled field each."""
    fields, labels, first = [], [], len(legend.found.labels)
    for label in legend.found.labels:
        x0, y0, x1, y1 = label.box_mm
        field = shapely.box(x0 - 0.5, y0 - 0.5, x1 + 0.5, y1 + 0.5)
        fields.append(polygon([np.asarray(field.exterior.coords)[:-1]]))
        marks = tuple(replace(mark, objects=tuple(first + one for one in mark.objects)) for mark in label.marks)
        labels.append(replace(label, marks=marks, drawn_as="knocked out"))
    clear = replace(legend.shapes, dark=np.zeros(len(legend.shapes), dtype=np.bool_))
    return Drawn(concatenate([*fields, clear]), SideLabels(tuple(labels), ()))


def board_of(legend: Drawn, openings: Shapes, parts: tuple[Component, ...] = ()) -> Board:
    """A board large enough for all words."""
    area = MultiPolygon([shapely.box(-20, -20, COLUMNS * CELL_MM + 20, 400)])
    top = BoardSide(Side.TOP, _layer(legend.shapes), _layer(openings), None, None)
    return Board(
        Outline(area, "profile"), Holes(empty_shapes(), ()), top, BoardSide(Side.BOTTOM, None, None, None, None),
        Appearance(None, None, None), (), (), parts,
    )


def seen(legend: Drawn, share: float, limits: Limits, reader: BuiltInReader) -> Outcome:
    """What becomes of every word as assembled, bodies over a share of one character of each; told of bodies only."""
    parts = tuple(
        Component(f"U{place}", Side.TOP, None, None, None, 0.0, (), Body(area, None, "component layer", False))
        for place, area in enumerate(parts_of_characters(legend, share)) if share > 0
    )
    board = board_of(legend, empty_shapes(), parts)
    # Bodies are taken as they are told: what parts are larger than drawn is the matter of another limit.
    exact = replace(limits, body_allowance=replace(limits.body_allowance, value_mm=0.0))
    evidence = evidence_on(board, Side.TOP, legend.found, exact, reader)
    states = [one.printed if one.assembled is None else one.assembled for one in evidence]
    right = sum(not state.misread for state in states)
    told = sum(
        misread_severity(state.misread, one.label) is not None for state, one in zip(states, evidence, strict=True)
    )
    return Outcome(right / len(evidence), told / len(evidence))


def outcome(legend: Drawn, openings: Shapes, limits: Limits, reader: BuiltInReader) -> Outcome:
    """What becomes of every word."""
    labels = legend.found.labels
    group = np.zeros(len(legend.shapes), dtype=np.int64)
    for label in labels:
        for mark in label.marks:
            group[list(mark.objects)] = mark.number
    ink = render_groups(legend.shapes, group, limits.pitch_mm)
    near = (-10.0, -10.0, COLUMNS * CELL_MM + 10, 390.0)
    obstacles = obstacles_on(board_of(legend, openings), Side.TOP, near, limits)
    left = ink if obstacles.openings is None else subtract(ink, obstacles.openings)
    rows = rows_of(labels, ink)
    texts = read_rows(rows, through_the_process(left, limits), reader, limits.spread.value_mm)
    read = sum(
        all(same_shape(a, b) for a, b in zip(label.text or "", text, strict=True))
        for label, text in zip(rows.labels, texts, strict=True)
    )
    lost = area_by_group(left, int(group.max()) + 1) < area_by_group(ink, int(group.max()) + 1)
    states = as_printed(ink, labels, (obstacles, lost), limits, reader, all_in_full=True)
    told = sum(misread_severity(one.misread, label) is not None for one, label in zip(states, labels, strict=True))
    return Outcome(read / len(labels), told / len(labels))


def _layer(shapes: Shapes) -> Layer:
    return Layer(("drawn for this benchmark",), shapes, (), ((),))


def chart(title: str, steps: Sequence[float], unit: str, of: Callable[[float], Outcome]) -> None:
    """A bar a step, and whether it never rises."""
    print(f"\n{title}")
    found = [of(step) for step in steps]
    for step, one in zip(steps, found, strict=True):
        bar = "#" * round(one.right * BARS)
        print(f"  {step:6.2f} {unit:3} {one.right * 100:5.1f} %  {bar:{BARS}}  told {one.told * 100:5.1f} %")
    rises = [later.right - earlier.right for earlier, later in pairwise(found)]
    print("  never rises" if max(rises) <= 0 else f"  rises by {max(rises) * 100:.1f} points at most")


def main() -> None:
    """Print the charts."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--words", type=int, default=120)
    parser.add_argument("--process", choices=[str(process) for process in Process], default="photo-imaged")
    chosen = parser.parse_args()
    limits, reader, words = limits_for(Process(chosen.process)), built_in_reader(), some_words(chosen.words)
    began = time.process_time()
    learned = len({id(face) for face in words.faces})
    print(f"{len(words.texts)} words in {learned} faces that were never learned, {chosen.process}")
    nothing = empty_shapes()
    chart("height, pen 0.15 mm", (1.5, 1.2, 1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4), "mm",
          lambda height: outcome(drawn(words, height, 0.15), nothing, limits, reader))
    chart("pen, 1.2 mm high", (0.25, 0.15, 0.12, 0.10, 0.09, 0.08, 0.07, 0.06, 0.05), "mm",
          lambda pen: outcome(drawn(words, 1.2, pen), nothing, limits, reader))
    legend = drawn(words, 1.2, 0.15)
    chart("share of one character's box that an opening clips, 1.2 mm high", (0, 5, 10, 15, 20, 25, 30, 40, 50, 100),
          "%", lambda share: outcome(legend, bitten(legend, share / 100, limits.clip.value_mm), limits, reader))
    heavy = (0.15, 0.2, 0.25, 0.3, 0.35, 0.4)
    chart("pen of 1.2 mm high characters that closes their gaps", heavy, "mm",
          lambda pen: outcome(drawn(words, 1.2, pen), nothing, limits, reader))
    chart("share of one character's box that a body hides, 1.2 mm high", (0, 5, 10, 15, 20, 25, 30, 40, 50, 100), "%",
          lambda share: seen(legend, share / 100, limits, reader))
    chart("pen of knocked-out characters, 1.2 mm high", (0.25, 0.15, 0.10, 0.08, 0.07, 0.06, 0.05, 0.04, 0.03), "mm",
          lambda pen: seen(in_fields(drawn(words, 1.2, pen)), 0.0, limits, reader))
    print(f"\n{time.process_time() - began:.1f} s")


if __name__ == "__main__":
    main()
