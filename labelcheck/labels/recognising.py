"""Lines read both ways up: every glyph once, its evidence for every line that it stands in."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.alike import alike, some_glyphs
from labelcheck.labels.directions import Frame
from labelcheck.labels.glyphs import Glyphs, draw_glyphs, lay_out, spread, stroke_widths
from labelcheck.labels.lines import Lines, joined_lines
from labelcheck.labels.marks import Marks
from labelcheck.labels.reading.protocol import Reader
from labelcheck.labels.reading.words import DRAWN_TOO
from labelcheck.labels.setting import Setting, backwards_in, joined_settings, set_lines, turned_over
from labelcheck.trade.shapes import Floats, Integers, Shapes

METRIC_STEP = 0.04
"""Metrics are rounded to this, so that a glyph in several hypotheses of one line is read once."""
MOST_EVIDENCE = 7.0
"""One glyph speaks for or against a line by no more than this, in natural logarithm."""


@dataclass(frozen=True, slots=True, eq=False)
class ReadLines:
    """Hypotheses the right way up and turned over, with what their glyphs read as.

    `turned_deg` (n,) of each line; `row` (g,) the row of `log_probabilities` that each glyph of the setting reads
    as; `evidence` (g,) how much each glyph looks like some character rather than none.
    """

    lines: Lines
    turned_deg: Floats
    setting: Setting
    row: Integers
    log_probabilities: NDArray[np.float32]
    evidence: Floats


def read_lines(
    shapes: Shapes, marks: Marks, frames: list[Frame], lines: Lines, reader: Reader, mirrored: bool
) -> ReadLines:
    """Read every line of the hypotheses and its like turned over."""
    upright = set_lines(lines)
    turned = np.array([frame.turned_deg for frame in frames])
    frame_of = np.repeat(lines.frame, np.diff(upright.glyph_first))
    distinct, first = _distinct_glyphs(lines, upright, frame_of, len(marks))
    glyphs = _lay_out(shapes, marks, lines, upright, (first, turned[frame_of[first]]), mirrored)
    lead, kind = alike(glyphs)
    drawn = some_glyphs(glyphs, lead)
    pictures = draw_glyphs(drawn)
    stroke = stroke_widths(drawn, pictures)
    upright_kind = kind[distinct]

    backwards = backwards_in(lines.first)
    over = Lines(lines.mark[backwards], -lines.box[backwards][:, [2, 3, 0, 1]], lines.first, lines.frame)
    setting = joined_settings(upright, turned_over(upright))
    sizes = np.diff(upright.glyph_first)
    backwards = backwards_in(upright.glyph_first)
    kinds = np.concatenate((upright_kind, upright_kind[backwards] + len(drawn)))
    line = np.repeat(np.arange(2 * len(lines)), np.tile(sizes, 2))
    height, base = setting.height[line], setting.base[line]
    box = setting.glyph_box
    metrics = np.column_stack((
        (box[:, 2] - box[:, 0]) / height, (box[:, 3] - box[:, 1]) / height, (box[:, 1] - base) / height,
        stroke[kinds % len(drawn)] / height,
    )) if len(kinds) else np.zeros((0, 4))
    steps = np.round(metrics / METRIC_STEP).astype(np.int64)
    unique, row = np.unique(np.column_stack((kinds, steps)), axis=0, return_inverse=True)
    every = np.concatenate((pictures, pictures[:, ::-1, ::-1]))
    read = reader.read(every[unique[:, 0]], (unique[:, 1:] * METRIC_STEP).astype(np.float32))
    drawn_too = np.array([DRAWN_TOO.get(character, 0.0) for character in reader.classes[:-1]])
    against = np.log(np.exp(read[:, -1:]) + drawn_too + 1e-9)
    best = np.max(read[:, :-1] - against, axis=1, initial=-MOST_EVIDENCE)
    return ReadLines(
        lines=joined_lines([lines, over]),
        turned_deg=np.concatenate((turned[lines.frame], turned[lines.frame] + 180.0)),
        setting=setting, row=row.reshape(-1), log_probabilities=read,
        evidence=np.clip(best, -MOST_EVIDENCE, MOST_EVIDENCE).astype(np.float64)[row.reshape(-1)],
    )


def _distinct_glyphs(lines: Lines, setting: Setting, frame_of: Integers, marks: int) -> tuple[Integers, Integers]:
    """Which distinct set of marks in a frame each glyph is, and the first glyph of each set."""
    scatter = np.random.default_rng(0).integers(1, 2**62, marks)
    starts = np.searchsorted(setting.glyph, np.arange(len(frame_of)))
    key = np.add.reduceat(scatter[lines.mark], starts) if len(starts) else np.zeros(0, dtype=np.int64)
    key = key + frame_of * np.int64(0x9E3779B97F4A7C1)
    _, first, number = np.unique(key, return_index=True, return_inverse=True)
    return number.reshape(-1), first


def _lay_out(
    shapes: Shapes, marks: Marks, lines: Lines, setting: Setting, chosen: tuple[Integers, Floats], mirrored: bool
) -> Glyphs:
    """The chosen glyphs, upright by their own angles."""
    first, turned = chosen
    starts = np.searchsorted(setting.glyph, np.arange(len(setting.glyph_box) + 1))
    count = starts[first + 1] - starts[first]
    member = lines.mark[spread(starts[first], count)]
    objects, which = marks.members(member)
    glyph = np.repeat(np.arange(len(first)), count)[which]
    order = np.lexsort((objects, glyph))
    return lay_out(shapes, objects[order], glyph[order], turned, mirrored)
