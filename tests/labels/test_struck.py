"""Text struck through by a stroke of its own pen is still found, and the line is told as a drawing."""

import numpy as np
import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.trade.shapes import bars
from labelcheck.trade.sides import Side
from tests.sets_made import word


def found(*lines: tuple[float, float, float, float], text: str = "R72"):
    strokes = np.array([*word(5, 10, 1.5, text), *lines])
    shapes = bars(*strokes.T, 0.18)
    return find_labels(Side.TOP, Layer(("made",), shapes, (), ((),)), built_in_reader())


@pytest.mark.parametrize(
    "line",
    [
        (4.0, 10.35, 11.0, 10.35),
        (5.5, 9.0, 5.5, 13.0),
        (4.5, 10.2, 10.0, 11.2),
        (4.0, 10.9, 6.3, 10.9),
    ],
    ids=["through all", "down through one", "aslant", "through one"],
)
def test_a_struck_text_is_found_beside_the_line(line) -> None:
    sides = found(line)
    assert [label.text for label in sides.labels] == ["R72"]
    assert [mark.objects for mark in sides.drawings] == [(12,)]


def test_two_lines_through_it_hide_nothing_either() -> None:
    sides = found((4.0, 10.35, 11.0, 10.35), (4.0, 11.1, 11.0, 11.1))
    assert [label.text for label in sides.labels] == ["R72"]


def test_a_plus_and_a_cross_are_not_taken_apart() -> None:
    cross = bars(np.array([5.0, 5.75]), np.array([10.0, 9.25]), np.array([6.5, 5.75]), np.array([10.0, 10.75]), 0.18)
    sides = find_labels(Side.TOP, Layer(("made",), cross, (), ((),)), built_in_reader())
    assert all(len(mark.objects) == 2 for label in sides.labels for mark in label.marks)
    assert all(len(mark.objects) == 2 for mark in sides.drawings)
