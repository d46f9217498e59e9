"""Duplicates are drawn once and told in full."""

from dataclasses import replace

import numpy as np

from labelcheck.labels.ink import without_duplicates
from labelcheck.trade.shapes import bars, concatenate, polygon

SQUARE = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], dtype=float)


def test_strokes_drawn_forth_and_back_and_dots_drawn_twice_are_one():
    shapes = bars([0, 1, 5, 5, 0], [0, 1, 5, 5, 0], [1, 0, 5, 5, 2], [1, 0, 5, 5, 2], 0.1)
    ink = without_duplicates(shapes)
    assert ink.row.tolist() == [0, 2, 4]
    assert ink.rows_of(np.arange(3), np.array([0, 1, 3])) == [(0, 1), (2, 3, 4)]


def test_another_pen_or_another_polarity_is_another_object():
    stroke = bars([0], [0], [1], [1], 0.1)
    clear = replace(stroke, dark=np.zeros(1, dtype=bool))
    assert len(without_duplicates(concatenate([stroke, bars([0], [0], [1], [1], 0.2), clear])).shapes) == 3


def test_where_clear_ink_comes_between_the_last_of_equals_counts():
    stroke, clear = bars([0], [0], [1], [1], 0.1), polygon([SQUARE], dark=False)
    assert without_duplicates(concatenate([stroke, clear, stroke])).row.tolist() == [1, 2]


def test_equal_areas_are_one():
    areas = concatenate([polygon([SQUARE]), polygon([SQUARE]), polygon([SQUARE * 2])])
    assert without_duplicates(areas).row.tolist() == [0, 2]
