"""Clear space between neighbouring glyphs, row by row across the line.

Neighbours run together where spreading ink joins them along a stretch. Where only two tips meet, the foot of L and
that of 1, or the arms of E and T, the letters stay what they are: so the gap is the narrowest over a run of rows,
the width that all rows of the run keep within. Kerned pairs as AV share no row in which they come near.
"""

import numpy as np

from labelcheck.labels.gaps import NEIGHBOURS, Gaps, round_gaps
from labelcheck.labels.glyphs import Glyphs, spread
from labelcheck.labels.necks import TOUCHING_MM
from labelcheck.trade.shapes import Floats, Integers

ROWS_A_HEIGHT = 40
RUN_HEIGHTS, RUN_GLYPHS = 0.4, 0.6
"""A run is so much of the tallest glyph of the line, or of the extent of the smaller neighbour: a full stop has the
least. Dashes and underscores are lower than a run, and no gap stands beside them."""


def gaps_between(glyphs: Glyphs, first: Integers) -> Gaps:
    """Clear space between glyphs and the one before each in its line; none where they touch.

    `first` (n + 1,) where each line starts.
    """
    apart, place = np.full(len(glyphs), np.inf), np.full((len(glyphs), 4), np.nan)
    later = np.setdiff1d(np.arange(len(glyphs)), first[:-1])
    if len(later) == 0:
        return round_gaps(NEIGHBOURS, later, apart[later], place[later, :2])
    high = glyphs.box[:, 3] - glyphs.box[:, 1]
    line = np.repeat(np.arange(len(first) - 1), np.diff(first))
    low, tallest = np.full(len(first) - 1, np.inf), np.zeros(len(first) - 1)
    np.minimum.at(low, line, glyphs.box[:, 1])
    np.maximum.at(tallest, line, high)
    pitch = np.maximum(tallest / ROWS_A_HEIGHT, TOUCHING_MM / 10)[line]
    left, right = _profiles(glyphs, low[line], pitch)
    width = left[later] - right[later - 1]
    extent = np.maximum(high, glyphs.box[:, 2] - glyphs.box[:, 0])
    lesser = np.minimum(extent[later], extent[later - 1])
    run = np.minimum(RUN_HEIGHTS * tallest[line[later]], RUN_GLYPHS * lesser) / pitch[later]
    rows = np.clip(np.rint(run).astype(np.int64), 1, width.shape[1])
    for number in np.unique(rows).tolist():
        chosen = np.flatnonzero(rows == number)
        runs = np.lib.stride_tricks.sliding_window_view(width[chosen], number, axis=1).max(axis=2)
        start = runs.argmin(axis=1)
        glyph = later[chosen]
        apart[glyph] = runs[np.arange(len(chosen)), start]
        # In the middle row of the run, so that the box is the clear space there.
        middle = start + number // 2
        bottom = low[line[glyph]] + start * pitch[glyph]
        place[glyph] = np.column_stack((
            right[glyph - 1, middle], bottom, left[glyph, middle], bottom + number * pitch[glyph]
        ))
    open_ones = np.flatnonzero((apart > TOUCHING_MM) & np.isfinite(apart))
    width = apart[open_ones]
    return Gaps(open_ones, np.full(len(open_ones), NEIGHBOURS), width, width, place[open_ones])


def _profiles(glyphs: Glyphs, low: Floats, pitch: Floats) -> tuple[Floats, Floats]:
    """Where the dark ink of each glyph starts and ends in each row of its line, shape (g, rows); inf, -inf for none.

    `low` (g,) is where the rows begin, `pitch` (g,) how far they are apart.
    """
    count = int(np.ceil(((glyphs.box[:, 3] - low) / pitch).max())) + 1
    left, right = np.full((len(glyphs), count), np.inf), np.full((len(glyphs), count), -np.inf)
    bars, edges = glyphs.bar_layer % 2 == 0, glyphs.edge_layer % 2 == 0
    owner, radius = glyphs.bar_glyph[bars], glyphs.radius[bars]
    x0, y0, x1, y1 = (column[bars] for column in (glyphs.x0, glyphs.y0, glyphs.x1, glyphs.y1))
    bar, row, y = _rows(low[owner], pitch[owner], np.minimum(y0, y1) - radius, np.maximum(y0, y1) + radius)
    start, end = np.full(len(bar), np.inf), np.full(len(bar), -np.inf)
    for x, middle in ((x0, y0), (x1, y1)):
        half = radius[bar] ** 2 - (y - middle[bar]) ** 2
        reach = np.where(half >= 0, np.sqrt(np.maximum(half, 0.0)), -np.inf)
        np.minimum(start, x[bar] - reach, out=start)
        np.maximum(end, x[bar] + reach, out=end)
    length = np.hypot(x1 - x0, y1 - y0)
    with np.errstate(invalid="ignore", divide="ignore"):
        across_x, across_y = (y0 - y1) / length * radius, (x1 - x0) / length * radius
        rise, run = (y1 - y0)[bar], (x1 - x0)[bar]
        for sign in (-1.0, 1.0):
            share = (y - (y0 + sign * across_y)[bar]) / rise
            x = (x0 + sign * across_x)[bar] + share * run
            beside = (share >= 0) & (share <= 1)
            np.minimum(start, x, out=start, where=beside)
            np.maximum(end, x, out=end, where=beside)
        _widen(left, right, (owner[bar], row), (start, end), start <= end)
        corner = glyphs.edge_glyph[edges]
        ax, ay, bx, by = (column[edges] for column in (glyphs.ax, glyphs.ay, glyphs.bx, glyphs.by))
        edge, row, y = _rows(low[corner], pitch[corner], np.minimum(ay, by), np.maximum(ay, by))
        x = ax[edge] + (y - ay[edge]) / (by - ay)[edge] * (bx - ax)[edge]
        _widen(left, right, (corner[edge], row), (x, x), np.isfinite(x))
    return left, right


def _rows(low: Floats, pitch: Floats, bottom: Floats, top: Floats) -> tuple[Integers, Integers, Floats]:
    """The rows whose middle lies between bottom and top of each item: the item, the row, and its middle."""
    begin = np.maximum(np.ceil((bottom - low) / pitch - 0.5), 0).astype(np.int64)
    count = np.maximum(np.ceil((top - low) / pitch - 0.5).astype(np.int64) - begin, 0)
    item, row = np.repeat(np.arange(len(low)), count), spread(begin, count)
    return item, row, low[item] + (row + 0.5) * pitch[item]


def _widen(
    left: Floats, right: Floats, at: tuple[Integers, Integers], span: tuple[Floats, Floats], hit: np.ndarray
) -> None:
    """Let the ink of glyphs and rows reach from the start to the end of each span that is hit."""
    # Flat places, for which numpy has a quick way.
    places = (at[0] * left.shape[1] + at[1])[hit]
    np.minimum.at(left.reshape(-1), places, span[0][hit])
    np.maximum.at(right.reshape(-1), places, span[1][hit])
