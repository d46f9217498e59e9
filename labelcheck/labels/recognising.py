"""Lines read both ways up: every glyph once, its evidence for every line that it stands in."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.alike import alike, some_glyphs
from labelcheck.labels.directions import Frame
from labelcheck.labels.glyphs import Glyphs, contents_of, lay_out, spread
from labelcheck.labels.ink import scattered_numbers
from labelcheck.labels.lines import Lines, joined_lines
from labelcheck.labels.marks import Marks
from labelcheck.labels.pictures import draw_glyphs, stroke_widths
from labelcheck.labels.reading.protocol import GLYPH_COLUMNS, GLYPH_ROWS, Reader
from labelcheck.labels.reading.words import DRAWN_TOO
from labelcheck.labels.setting import Setting, backwards_in, joined_settings, set_lines, turned_over
from labelcheck.trade.remembering import each_remembered, is_remembering
from labelcheck.trade.shapes import Floats, Integers, Shapes

METRIC_STEP = 0.04
"""Metrics are rounded to this, so that a glyph in several hypotheses of one line is read once."""
FARTHEST = 1024
"""Steps that a metric is told apart to, either way: far more than any character has."""
AT_ONCE = 2048
"""Glyphs looked at together: memory does not grow with a panel."""
MOST_EVIDENCE = 7.0
"""One glyph speaks for or against a line by no more than this, in natural logarithm."""


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """Glyphs that were looked at before: `key` (d,) of each distinct one, ascending, and its `kind` (d,).

    Glyphs of one kind are one drawing. `looks` (2, kinds, k) see `Reader.look`; `stroke_mm` (kinds,).
    """

    key: Integers
    kind: Integers
    looks: NDArray[np.float32]
    stroke_mm: Floats


@dataclass(frozen=True, slots=True, eq=False)
class ReadLines:
    """Hypotheses the right way up and turned over, with what their glyphs read as.

    `turned_deg` (n,) of each line; `row` (g,) the row of `log_probabilities` that each glyph of the setting reads
    as, and `same` (rows,) a number for each of these rows, the same whenever the same glyph is read in the same
    metrics; `evidence` (g,) how much each glyph looks like some character rather than none; `seen` all glyphs looked
    at.
    """

    lines: Lines
    turned_deg: Floats
    setting: Setting
    row: Integers
    same: Integers
    log_probabilities: NDArray[np.float32]
    evidence: Floats
    seen: Seen


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """Where the ink of a side's marks is, and whether it is looked at from behind."""

    shapes: Shapes
    marks: Marks
    mirrored: bool


def read_lines(drawn: Drawn, frames: list[Frame], lines: Lines, reader: Reader, before: Seen | None) -> ReadLines:
    """Read every line of the hypotheses and its like turned over; glyphs seen `before` are not looked at again.

    The frames from before must come first, in the same order.
    """
    upright = set_lines(lines)
    turned = np.array([frame.turned_deg for frame in frames])
    frame_of = np.repeat(lines.frame, np.diff(upright.glyph_first))
    key = _glyph_keys(lines, upright, frame_of, len(drawn.marks))
    seen = _look(drawn, (lines, upright, turned[frame_of]), key, reader, before)
    kind = seen.kind[np.searchsorted(seen.key, key)]

    backwards = backwards_in(lines.first)
    over = Lines(lines.mark[backwards], -lines.box[backwards][:, [2, 3, 0, 1]], lines.first, lines.frame)
    setting = joined_settings(upright, turned_over(upright))
    sizes = np.diff(upright.glyph_first)
    kinds = np.concatenate((2 * kind, 2 * kind[backwards_in(upright.glyph_first)] + 1))
    line = np.repeat(np.arange(2 * len(lines)), np.tile(sizes, 2))
    height, base = setting.height[line], setting.base[line]
    box = setting.glyph_box
    metrics = np.column_stack((
        (box[:, 2] - box[:, 0]) / height, (box[:, 3] - box[:, 1]) / height, (box[:, 1] - base) / height,
        seen.stroke_mm[kinds // 2] / height,
    )) if len(kinds) else np.zeros((0, 4))
    first, row, same = _same_rows(kinds, np.round(metrics / METRIC_STEP).astype(np.int64))
    told_metrics = (np.round(metrics[first] / METRIC_STEP) * METRIC_STEP).astype(np.float32)
    read, best = _told(seen.looks, kinds[first], told_metrics, reader)
    return ReadLines(
        lines=joined_lines([lines, over]),
        turned_deg=np.concatenate((turned[lines.frame], turned[lines.frame] + 180.0)),
        setting=setting, row=row, same=same, log_probabilities=read,
        evidence=np.clip(best, -MOST_EVIDENCE, MOST_EVIDENCE).astype(np.float64)[row],
        seen=seen,
    )


def _told(
    looks: NDArray[np.float32], kinds: Integers, metrics: NDArray[np.float32], reader: Reader
) -> tuple[NDArray[np.float32], Floats]:
    """Log-probabilities of glyphs of some kinds in their metrics, and how much each looks like some character.

    Worked on in parts, so that no large table of intermediate results is needed.
    """
    drawn_too = np.array([DRAWN_TOO.get(character, 0.0) for character in reader.classes[:-1]])
    read = np.empty((len(kinds), len(reader.classes)), dtype=np.float32)
    best = np.empty(len(kinds))
    for first in range(0, len(kinds), AT_ONCE):
        some = slice(first, first + AT_ONCE)
        read[some] = reader.tell(looks[kinds[some] % 2, kinds[some] // 2], metrics[some])
        against = np.log(np.exp(read[some, -1:]) + drawn_too + 1e-9)
        best[some] = np.max(read[some, :-1] - against, axis=1, initial=-MOST_EVIDENCE)
    return read, best


def _same_rows(kinds: Integers, steps: Integers) -> tuple[Integers, Integers, Integers]:
    """The first of each distinct row of a kind and its metrics in steps, which of these every row is, and a number
    for each of these."""
    packed = kinds
    for column in np.clip(steps, -FARTHEST, FARTHEST - 1).T:
        packed = packed * (2 * FARTHEST) + column + FARTHEST
    same, first, row = np.unique(packed, return_index=True, return_inverse=True)
    return first, row.reshape(-1), same


def _look(
    drawn: Drawn, lines: tuple[Lines, Setting, Floats], key: Integers, reader: Reader, before: Seen | None
) -> Seen:
    """All glyphs looked at so far; those whose key was not seen before are laid out and drawn now.

    `lines` are the hypotheses, their setting, and the angle of each glyph.
    """
    distinct, first = np.unique(key, return_index=True)
    if before is not None:
        place = np.minimum(np.searchsorted(before.key, distinct), max(len(before.key) - 1, 0))
        fresh = before.key[place] != distinct if len(before.key) else np.ones(len(distinct), dtype=np.bool_)
        distinct, first = distinct[fresh], first[fresh]
    hypotheses, setting, turned = lines
    glyphs = _lay_out(drawn, hypotheses, setting, (first, turned[first]))
    lead, kind = alike(glyphs)
    chosen = some_glyphs(glyphs, lead)
    pictures, stroke = drawn_once(chosen)
    parts = [reader.look(pictures[at : at + AT_ONCE]) for at in range(0, max(len(pictures), 1), AT_ONCE)]
    looks = np.concatenate(parts, axis=1)
    if before is not None:
        distinct = np.concatenate((before.key, distinct))
        kind = np.concatenate((before.kind, kind + len(before.stroke_mm)))
        looks = np.concatenate((before.looks, looks), axis=1)
        stroke = np.concatenate((before.stroke_mm, stroke))
    order = np.argsort(distinct, kind="stable")
    return Seen(distinct[order], kind[order], looks, stroke)


def drawn_once(glyphs: Glyphs) -> tuple[NDArray[np.float32], Floats]:
    """Pictures and stroke widths of glyphs; those of an earlier check are not drawn again."""
    if not is_remembering():
        pictures = draw_glyphs(glyphs)
        return pictures, stroke_widths(glyphs, pictures)

    def make(places: list[int]) -> list[bytes]:
        some = some_glyphs(glyphs, np.array(places, dtype=np.int64))
        pictures = draw_glyphs(some)
        strokes = stroke_widths(some, pictures)
        return [picture.tobytes() + stroke.tobytes() for picture, stroke in zip(pictures, strokes, strict=True)]

    size = GLYPH_ROWS * GLYPH_COLUMNS * np.dtype(np.float32).itemsize
    rows = each_remembered(draw_glyphs, contents_of(glyphs), make)
    pictures = np.frombuffer(b"".join(row[:size] for row in rows), dtype=np.float32)
    strokes = np.frombuffer(b"".join(row[size:] for row in rows), dtype=np.float64)
    return pictures.reshape(-1, GLYPH_ROWS, GLYPH_COLUMNS), strokes


def _glyph_keys(lines: Lines, setting: Setting, frame_of: Integers, marks: int) -> Integers:
    """A number for the set of marks that each glyph is, and the frame that it stands in."""
    scatter = scattered_numbers(marks)
    starts = np.searchsorted(setting.glyph, np.arange(len(frame_of)))
    key = np.add.reduceat(scatter[lines.mark], starts) if len(starts) else np.zeros(0, dtype=np.int64)
    return np.asarray(key + frame_of * np.int64(0x9E3779B97F4A7C1))


def _lay_out(drawn: Drawn, lines: Lines, setting: Setting, chosen: tuple[Integers, Floats]) -> Glyphs:
    """The chosen glyphs, upright by their own angles."""
    first, turned = chosen
    starts = np.searchsorted(setting.glyph, np.arange(len(setting.glyph_box) + 1))
    count = starts[first + 1] - starts[first]
    member = lines.mark[spread(starts[first], count)]
    objects, which = drawn.marks.members(member)
    glyph = np.repeat(np.arange(len(first)), count)[which]
    order = np.lexsort((objects, glyph))
    return lay_out(drawn.shapes, objects[order], glyph[order], turned, drawn.mirrored)
