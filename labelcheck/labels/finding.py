"""The flow from a side's legend to its labels, on one screen."""

import numpy as np

from labelcheck.board.board import Layer
from labelcheck.labels.choosing import best_disjoint
from labelcheck.labels.directions import find_frames, pieces_of
from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.ink import Ink, without_duplicates
from labelcheck.labels.label import SideLabels
from labelcheck.labels.likeness import fitting_singles, plain_marks, text_likeness
from labelcheck.labels.lines import Lines, find_lines
from labelcheck.labels.marks import Marks, find_marks
from labelcheck.labels.measuring import Sizes, measure_lines
from labelcheck.labels.reading.protocol import Reader
from labelcheck.labels.setting import Setting, set_lines
from labelcheck.labels.telling import tell_labels
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import Side


def find_labels(side: Side, legend: Layer, reader: Reader | None) -> SideLabels:
    """All labels and drawings of one side's legend; labels stay unread where there is no reader."""
    mirrored = side is Side.BOTTOM
    ink = without_duplicates(legend.shapes)
    marks = find_marks(ink.shapes)
    pieces = pieces_of(ink.shapes, marks, mirrored)
    frames = find_frames(pieces, marks.box)
    lines = find_lines(frames, marks)
    setting = set_lines(lines)
    straight, bordering = plain_marks(pieces, marks)
    score = text_likeness(lines, setting, marks, straight, bordering)
    chosen = np.flatnonzero(best_disjoint(score, lines.mark, lines.first, len(marks)))
    chosen = np.append(chosen, fitting_singles(lines, setting, marks, straight | bordering, chosen))
    kept = lines.take(np.isin(np.arange(len(lines)), chosen))
    setting = set_lines(kept)
    turned = np.array([frame.turned_deg for frame in frames])[kept.frame]
    sizes = _measure(ink, marks, kept, setting, turned, mirrored)
    return tell_labels(side, (ink, marks), (kept, setting, turned), sizes)


def _measure(
    ink: Ink, marks: Marks, lines: Lines, setting: Setting, turned: Floats, mirrored: bool
) -> Sizes:
    """Stroke widths and gaps of the lines, glyph by glyph."""
    objects, which = marks.members(lines.mark)
    glyph = setting.glyph[which]
    order = np.lexsort((objects, glyph))
    glyph_line = np.repeat(np.arange(len(lines)), np.diff(setting.glyph_first))
    glyphs = lay_out(ink.shapes, objects[order], glyph[order], turned[glyph_line], mirrored)
    painted = np.zeros(len(glyph_line), dtype=np.bool_)
    np.logical_or.at(painted, setting.glyph, marks.painted[lines.mark])
    return measure_lines(glyphs, painted, setting.glyph_first)
