"""What ink belongs together."""

from dataclasses import replace

import numpy as np

from labelcheck.labels.marks import Drawn, find_contacts, find_marks
from labelcheck.trade.shapes import Kind, Shapes, bars, concatenate, polygon

SQUARE = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], dtype=float)


def marks_of(*parts: Shapes):
    shapes = concatenate(parts)
    return find_marks(shapes, find_contacts(shapes))


def groups(marks) -> list[list[int]]:
    return [marks.objects(number).tolist() for number in range(len(marks))]


def moved(right: float) -> np.ndarray:
    return SQUARE + np.array((right, 0.0))


def line(x0, y0, x1, y1, pen=0.2) -> Shapes:
    return bars([x0], [y0], [x1], [y1], pen)


def test_strokes_join_where_their_centre_lines_meet_not_where_their_ink_does():
    meeting = marks_of(line(0, 0, 0, 1), line(0, 0.5, 1, 0.5))
    assert groups(meeting) == [[0, 1]]
    assert groups(marks_of(line(0, 0, 0, 1), line(0.19, 0.5, 1, 0.5))) == [[0], [1]]


def test_pens_of_other_width_do_not_join():
    assert groups(marks_of(line(0, 0, 0, 1), line(0, 0.5, 1, 0.5, pen=0.15))) == [[0], [1]]


def test_far_apart_in_the_file_they_do_not_join_unless_the_file_was_sorted():
    cross = [line(0, 0, 0, 1), line(-0.5, 0.5, 0.5, 0.5)]
    words = [
        line(at * 3.0 + dx, 5, at * 3.0 + dx + 0.3, 5) for at in range(80) for dx in (0.0, 0.3)
    ]
    in_order = marks_of(cross[0], *words, cross[1])
    assert [0] in groups(in_order)
    shuffled = [words[at] for at in np.random.default_rng(1).permutation(len(words))]
    assert [0, len(words) + 1] in groups(marks_of(cross[0], *shuffled, cross[1]))


def test_scan_lines_and_dots_side_by_side_paint_one_mark_without_a_pen_of_its_own():
    y = np.arange(0, 1, 0.1)
    lines = marks_of(bars(y * 0, y, y * 0 + 2, y, 0.1))
    x = np.arange(0, 1, 0.1)
    dots = marks_of(replace(bars(x, x * 0, x, x * 0, 0.12), kind=np.full(10, int(Kind.FLASH))))
    for marks in (lines, dots):
        assert len(marks) == 1
        assert marks.painted.tolist() == [True]
    assert dots.drawn.tolist() == [Drawn.FLASHES]


def test_a_dot_drawn_as_a_tiny_square_is_not_painted():
    side = 0.1
    x, y = np.array([0, side, side, 0]), np.array([0, 0, side, side])
    marks = marks_of(bars(x, y, np.roll(x, -1), np.roll(y, -1), 0.15))
    assert (len(marks), marks.painted.tolist(), marks.pen_mm.tolist()) == (1, [False], [0.15])


def test_areas_that_touch_and_the_strokes_along_their_edge_belong_together():
    outline = line(0, 0, 1, 0, pen=0.1)
    marks = marks_of(polygon([SQUARE]), polygon([moved(1)]), polygon([moved(5)]), outline)
    assert groups(marks) == [[0, 1, 3], [2]]
    assert marks.drawn.tolist() == [Drawn.REGIONS, Drawn.REGIONS]


def test_a_clear_counter_goes_to_the_smallest_mark_around_it_that_came_before():
    counter = polygon([SQUARE * 0.2 + 0.4], dark=False)
    marks = marks_of(polygon([SQUARE * 9 - 4]), counter)
    assert groups(marks) == [[0, 1]]
    assert groups(marks_of(counter, polygon([SQUARE]))) == [[1]]
    assert groups(marks_of(polygon([SQUARE]), counter, polygon([moved(3)]))) == [[0, 1], [2]]
