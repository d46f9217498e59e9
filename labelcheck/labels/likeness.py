"""How much a line looks like text by its geometry alone: what choosing rests on where nothing is read."""

import numpy as np

from labelcheck.labels.glyphs import spread
from labelcheck.labels.lines import Lines
from labelcheck.labels.marks import SAME_PEN_MM, Marks
from labelcheck.labels.pieces import Pieces
from labelcheck.labels.setting import Setting
from labelcheck.trade.shapes import Flags, Floats, Integers

THINNEST, THICKEST = 0.045, 0.34
"""Stroke width of text as a share of its height; common practice is 0.1 to 0.2."""
TAKEN_APART = 0.3
"""What a mark that was taken out of another one loses: the whole is likelier."""
UNEVEN = 20.0
"""Letters of one line stand on its base line: what a height of missing it takes from the likeness, a glyph."""
DRIFT = 6.0
"""For base and top that climb or fall together by a height: the frame is turned wrong."""
SINGLE_HEIGHT = 0.06
"""Single characters differ no more than this from the lines that they are like."""


def plain_marks(pieces: Pieces, marks: Marks) -> tuple[Flags, Flags]:
    """Marks that are straight bars only, and marks on the border of their own box: frames, brackets, corners."""
    count = len(marks)
    dx, dy = pieces.x1 - pieces.x0, pieces.y1 - pieces.y0
    length = np.hypot(dx, dy)
    # Twice the angle, so that forth and back are one direction: a straight bar keeps its whole length.
    angle = 2 * np.arctan2(dy, dx)
    across, up = (np.bincount(pieces.mark, length * turn(angle), count) for turn in (np.cos, np.sin))
    total = np.bincount(pieces.mark, length, count)
    x0, y0, x1, y1 = (np.full(count, fill) for fill in (np.inf, np.inf, -np.inf, -np.inf))
    for x, y in ((pieces.x0, pieces.y0), (pieces.x1, pieces.y1)):
        np.minimum.at(x0, pieces.mark, x)
        np.minimum.at(y0, pieces.mark, y)
        np.maximum.at(x1, pieces.mark, x)
        np.maximum.at(y1, pieces.mark, y)
    straight = (np.hypot(across, up) >= 0.999 * total) & ~marks.painted
    slack = 0.02 * np.maximum(x1 - x0, y1 - y0)
    on_border = np.zeros(len(pieces.mark), dtype=np.bool_)
    for low, high, first, second in ((x0, x1, pieces.x0, pieces.x1), (y0, y1, pieces.y0, pieces.y1)):
        for edge in (low, high):
            near = slack[pieces.mark]
            on_border |= (np.abs(first - edge[pieces.mark]) <= near) & (np.abs(second - edge[pieces.mark]) <= near)
    off_border = np.bincount(pieces.mark, ~on_border, count) > 0
    return straight, ~off_border & ~straight


def text_likeness(lines: Lines, setting: Setting, marks: Marks, straight: Flags, bordering: Flags) -> Floats:
    """A score for each hypothesis: above 0 where it looks like text, higher the more marks it explains."""
    count = len(lines)
    line = np.repeat(np.arange(count), np.diff(lines.first))
    height = (lines.box[:, 3] - lines.box[:, 1]) / setting.height[line]
    width = (lines.box[:, 2] - lines.box[:, 0]) / setting.height[line]
    small = height < 0.5
    complex_mark = ~straight[lines.mark] & ~bordering[lines.mark] & ~small
    value = np.where(complex_mark, 1.0, np.where(bordering[lines.mark], 0.35, 0.1))
    value -= np.where(width > 1.3, 0.8, 0.0) + np.where(height > 1.6, 0.5, 0.0)
    pens = marks.pen_mm[lines.mark] / setting.height[line]
    value -= np.where(pens > THICKEST, 0.5, 0.0) + np.where(pens < THINNEST, 1.0, 0.0)
    value -= np.where(marks.parent[lines.mark] >= 0, TAKEN_APART, 0.0)
    total = np.bincount(line, value, count).astype(np.float64)
    glyphs = np.diff(setting.glyph_first)
    glyph_line = np.repeat(np.arange(count), glyphs)
    with np.errstate(invalid="ignore"):
        tight = np.clip(1.0 - setting.gap / setting.height[glyph_line] / 0.8, -1.0, 1.0)
    total = total + 0.6 * np.bincount(glyph_line, np.nan_to_num(tight), count)
    total = total - 0.4 - UNEVEN * setting.uneven * glyphs - DRIFT * setting.drift
    has_complex = np.bincount(line, complex_mark, count) > 0
    return np.where(has_complex & ~setting.collides & (glyphs > 1), total, -np.inf)


def fitting_singles(lines: Lines, setting: Setting, marks: Marks, plain: Flags, chosen: Integers) -> Integers:
    """Lines of one glyph that look like those of a chosen line: its pen and height, and more than a plain bar."""
    single = np.flatnonzero((np.diff(setting.glyph_first) == 1) & ~setting.collides)
    lead = lines.mark[lines.first[:-1]]
    single = single[~plain[lead[single]] & ~np.isin(lead[single], _marks_of(lines, chosen))]
    pen, height = np.nan_to_num(marks.pen_mm[lead]), setting.height
    alike = np.abs(pen[single, None] - pen[None, chosen]) <= SAME_PEN_MM
    alike &= np.abs(height[single, None] / height[None, chosen] - 1) <= SINGLE_HEIGHT
    single = single[alike.any(axis=1)]
    # The same mark may stand alone in several frames: the first is along the board's axis.
    return single[np.unique(lead[single], return_index=True)[1]]


def _marks_of(lines: Lines, chosen: Integers) -> Integers:
    """Marks of the chosen lines."""
    return lines.mark[spread(lines.first[chosen], lines.first[chosen + 1] - lines.first[chosen])]
