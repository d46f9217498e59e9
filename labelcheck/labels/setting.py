"""How a line is set: its glyphs, base line, height of capitals, and the gaps between its glyphs."""

from dataclasses import dataclass

import numpy as np

from labelcheck.labels.glyphs import spread
from labelcheck.labels.lines import Lines
from labelcheck.trade.shapes import Flags, Floats, Integers

SAME_GLYPH = 0.55
"""Marks share a glyph where this much of the narrower one's width stands above or below the other: i, %, =."""
CAPITALS = 0.75
"""Share of the sorted heights of a line's taller glyphs that is taken for the height of its capitals."""
LOWER_CASE, UPRIGHT_SIGN = (1.25, 1.65), 0.4
"""Capitals are so many times as high as lower case; a slash or bracket is as high but narrower than this share."""
MISFIT = 1.7
"""No character is so much taller or wider than the capitals of its line."""
WORD_GAP, USUAL_GAPS = 0.38, 2.0
"""A gap of this share of the height parts words, if it is clearly over twice the usual gap of the line: letters of
one width each stand further apart about a narrow one."""


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """Columns for the hypotheses of `Lines`.

    `glyph` (k,) counts the glyphs of all lines in a row; `glyph_box` (g, 4) in the frame; `glyph_first` (n + 1,);
    `base`, `height` (n,) of capitals; `gap` (g,) clear space before each glyph, nan before the first of its line;
    `spaced` (g,) whether a word gap stands before it; `collides` (n,) where glyphs stand on one another,
    or one is far too large; `uneven` (n,) how far on average glyphs that stand on the base line miss it;
    `drift` (n,) how far base and top climb or fall together from end to end; both in heights.
    """

    glyph: Integers
    glyph_box: Floats
    glyph_first: Integers
    base: Floats
    height: Floats
    gap: Floats
    spaced: Flags
    collides: Flags
    uneven: Floats
    drift: Floats

    def take(self, chosen: Flags | Integers) -> "Setting":
        """The setting of the chosen lines only, in that order."""
        size = np.diff(self.glyph_first)[chosen]
        glyphs = spread(self.glyph_first[:-1][chosen], size)
        first = np.concatenate(([0], np.cumsum(size))).astype(np.int64)
        mark_first = np.searchsorted(self.glyph, self.glyph_first)
        marks = np.diff(mark_first)[chosen]
        glyph = self.glyph[spread(mark_first[:-1][chosen], marks)]
        return Setting(
            glyph - np.repeat(self.glyph_first[:-1][chosen] - first[:-1], marks), self.glyph_box[glyphs], first,
            self.base[chosen], self.height[chosen], self.gap[glyphs], self.spaced[glyphs], self.collides[chosen],
            self.uneven[chosen], self.drift[chosen],
        )


def set_lines(lines: Lines) -> Setting:
    """Work out the setting of every hypothesis."""
    count = len(lines)
    line = np.repeat(np.arange(count), np.diff(lines.first))
    box = lines.box
    fresh, collides_mark = _glyph_starts(line, box)
    glyph = np.cumsum(fresh) - 1
    starts = np.flatnonzero(fresh)
    glyph_box = np.column_stack((
        np.minimum.reduceat(box[:, 0], starts), np.minimum.reduceat(box[:, 1], starts),
        np.maximum.reduceat(box[:, 2], starts), np.maximum.reduceat(box[:, 3], starts),
    )) if len(starts) else np.zeros((0, 4))
    glyph_first = np.searchsorted(line[starts], np.arange(count + 1))
    return _spaced_out(glyph, glyph_box, glyph_first, np.bincount(line[collides_mark], minlength=count) > 0)


def turned_over(setting: Setting) -> Setting:
    """The same glyphs as read from the other side: lines from their last glyph to their first, boxes turned."""
    backwards = backwards_in(setting.glyph_first)
    owner = np.searchsorted(setting.glyph_first, setting.glyph, side="right") - 1
    glyph = setting.glyph_first[owner] + setting.glyph_first[owner + 1] - 1 - setting.glyph
    mark_first = np.searchsorted(owner, np.arange(len(setting.glyph_first)))
    glyph_box = -setting.glyph_box[backwards][:, [2, 3, 0, 1]]
    return _spaced_out(glyph[backwards_in(mark_first)], glyph_box, setting.glyph_first, setting.collides)


def joined_settings(one: Setting, other: Setting) -> Setting:
    """Two settings, one after the other."""
    return Setting(
        np.concatenate((one.glyph, other.glyph + len(one.glyph_box))),
        np.concatenate((one.glyph_box, other.glyph_box)),
        np.concatenate((one.glyph_first, other.glyph_first[1:] + len(one.glyph_box))),
        *(np.concatenate((getattr(one, name), getattr(other, name)))
          for name in ("base", "height", "gap", "spaced", "collides", "uneven", "drift")),
    )


def backwards_in(first: Integers) -> Integers:
    """The places of every line's members in reverse."""
    count = np.diff(first)
    owner = np.repeat(np.arange(len(count)), count)
    return first[owner] + first[owner + 1] - 1 - np.arange(len(owner))


def _spaced_out(glyph: Integers, glyph_box: Floats, glyph_first: Integers, collides: Flags) -> Setting:
    """Base line, height and gaps of lines whose glyphs are known."""
    count = len(glyph_first) - 1
    glyph_line = np.repeat(np.arange(count), np.diff(glyph_first))
    base, height, uneven = _base_and_height(glyph_line, glyph_first, glyph_box)
    gap = np.full(len(glyph_box), np.nan)
    inner = np.flatnonzero(np.diff(glyph_line) == 0) + 1
    gap[inner] = glyph_box[inner, 0] - glyph_box[inner - 1, 2]
    usual = _group_quantile(glyph_line[inner], gap[inner], count, 0.5)
    with np.errstate(invalid="ignore"):
        wide = np.maximum(WORD_GAP * height, USUAL_GAPS * np.maximum(usual, 0.0) + WORD_GAP / 4 * height)
        spaced = gap > wide[glyph_line]
    largest = np.maximum(glyph_box[:, 2] - glyph_box[:, 0], glyph_box[:, 3] - glyph_box[:, 1])
    misfit = np.bincount(glyph_line, largest > MISFIT * height[glyph_line], count) > 0
    drift = _drift(glyph_line, glyph_box, height)
    return Setting(glyph, glyph_box, glyph_first, base, height, gap, spaced, collides | misfit, uneven, drift)


def _glyph_starts(line: Integers, box: Floats) -> tuple[Flags, Flags]:
    """Which marks start a new glyph, and which stand on the mark before them although they overlap it."""
    total = len(line)
    if total == 0:
        return np.zeros(0, dtype=np.bool_), np.zeros(0, dtype=np.bool_)
    new_line = np.concatenate(([True], np.diff(line) != 0))
    # The furthest right that a line has come to: lines laid end to end so that one running maximum serves all.
    span = float(np.ptp(box[:, [0, 2]])) + 1.0
    left = float(box[:, 0].min())
    reached = np.maximum.accumulate(box[:, 2] - left + line * span) - line * span + left
    before = np.concatenate(([-np.inf], reached[:-1]))
    shared = np.minimum(before, box[:, 2]) - box[:, 0]
    width = box[:, 2] - box[:, 0]
    narrower = np.minimum(width, np.concatenate(([np.inf], width[:-1])))
    together = ~new_line & (shared >= SAME_GLYPH * narrower)
    low = np.concatenate(([0.0], box[:-1, 1]))
    high = np.concatenate(([0.0], box[:-1, 3]))
    height = box[:, 3] - box[:, 1]
    upon = np.minimum(high, box[:, 3]) - np.maximum(low, box[:, 1])
    lesser = np.minimum(height, high - low)
    # The rings of % stand within the box of its slash.
    comparable = lesser >= 0.5 * np.maximum(height, high - low)
    return ~together, together & (upon > 0.3 * lesser) & comparable


def _group_quantile(group: Integers, value: Floats, count: int, share: float) -> Floats:
    """The value at this share of each group's sorted values, shape (count,); nan for no values.

    Between two values the lower for a share up to a half, else the higher.
    """
    order = np.lexsort((value, group))
    first = np.searchsorted(group[order], np.arange(count + 1))
    size = np.diff(first)
    rank = (size - 1) * share
    rank = np.floor(rank) if share <= 0.5 else np.ceil(rank)
    at = first[:-1] + np.maximum(rank.astype(np.int64), 0)
    found = np.full(count, np.nan)
    found[size > 0] = value[order][at[size > 0]]
    return found


def _base_and_height(line: Integers, first: Integers, box: Floats) -> tuple[Floats, Floats, Floats]:
    """Base line and height of capitals of each line, from its taller glyphs; and how unevenly these stand."""
    count = len(first) - 1
    height = box[:, 3] - box[:, 1]
    tallest = np.maximum.reduceat(height, first[:-1]) if count else np.zeros(0)
    tall = height >= 0.55 * tallest[line]
    base = _group_quantile(line[tall], box[tall, 1], count, 0.5)
    on_base = tall & (np.abs(box[:, 1] - base[line]) <= 0.12 * tallest[line])
    capital = _group_quantile(line[on_base], height[on_base], count, CAPITALS)
    capital = _of_capitals(line[on_base], box[on_base], capital)
    miss = np.bincount(line[on_base], np.abs(box[:, 1] - base[line])[on_base], count)
    standing = np.bincount(line[on_base], minlength=count)
    return base, capital, miss / np.maximum(standing, 1) / capital


def _of_capitals(line: Integers, box: Floats, height: Floats) -> Floats:
    """The height of the few capitals or digits of a line that is lower case for the most part; else as it is."""
    tall, wide = box[:, 3] - box[:, 1], box[:, 2] - box[:, 0]
    ratio = tall / height[line]
    capital = (ratio >= LOWER_CASE[0]) & (ratio <= LOWER_CASE[1]) & (wide >= UPRIGHT_SIGN * tall)
    highest = np.zeros(len(height))
    np.maximum.at(highest, line[capital], tall[capital])
    return np.where(highest > 0, highest, height)


def _drift(line: Integers, box: Floats, height: Floats) -> Floats:
    """See `Setting`: the lesser slope of base and top where both go one way, times the length of the line."""
    count = len(height)
    tall = box[:, 3] - box[:, 1] >= 0.55 * height[line]
    line, box = line[tall], box[tall]
    number = np.maximum(np.bincount(line, minlength=count), 1)
    middle = (box[:, 0] + box[:, 2]) / 2
    away = middle - (np.bincount(line, middle, count) / number)[line]
    spread_x = np.bincount(line, away * away, count)
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, line, middle)
    np.maximum.at(high, line, middle)
    slopes = [
        np.divide(np.bincount(line, away * box[:, side], count), spread_x, out=np.zeros(count), where=spread_x > 0)
        for side in (1, 3)
    ]
    together = np.where(slopes[0] * slopes[1] > 0, np.minimum(*np.abs(slopes)), 0.0)
    return together * np.where(number > 1, high - low, 0.0) / height
