"""The flow from a side's legend to its labels, on one screen."""

import numpy as np

from labelcheck.board.board import Layer
from labelcheck.labels.choosing import best_disjoint
from labelcheck.labels.directions import find_frames, pieces_of
from labelcheck.labels.ink import without_duplicates
from labelcheck.labels.label import SideLabels
from labelcheck.labels.likeness import fitting_singles, plain_marks, text_likeness
from labelcheck.labels.lines import find_lines
from labelcheck.labels.marks import find_marks
from labelcheck.labels.reading.protocol import Reader
from labelcheck.labels.setting import set_lines
from labelcheck.labels.telling import tell_labels
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
    return tell_labels(side, ink, marks, frames, lines, setting, chosen)
