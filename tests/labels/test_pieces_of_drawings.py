"""Characters that run into an outline are labels; a letter that is a piece of a picture is none."""

import numpy as np
import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.trade.shapes import Shapes, bars, concatenate
from labelcheck.trade.sides import Side

from .alphabet import Lettering, draw_text

STYLE = Lettering(1.5, 0.2)
WORDS = concatenate([draw_text("FEED", (0.0, 0.0), STYLE), draw_text("RAIL", (0.0, 4.0), STYLE)])
OUTLINE = bars([10, 16, 16, 10], [0, 0, 5, 5], [16, 16, 10, 10], [0, 5, 5, 0], 0.2)


def texts(*parts: Shapes) -> set[str | None]:
    legend = Layer(("legend.gbr",), concatenate([WORDS, *parts]), (), ((),))
    return {label.text for label in find_labels(Side.TOP, legend, built_in_reader()).labels}


def test_a_plus_that_runs_into_an_outline_is_a_label() -> None:
    assert "+" in texts(OUTLINE, bars([15.7, 16.3], [2.5, 1.9], [16.9, 16.3], [2.5, 3.1], 0.2))


@pytest.mark.parametrize("letter", ["Y", "K", "R"])
def test_a_lone_letter_on_a_line_counts_at_an_outline_and_not_in_a_picture(letter: str) -> None:
    upon = draw_text(letter, (12.0, 0.0), STYLE)
    assert letter in texts(OUTLINE, upon)
    x = np.arange(10.3, 15.9, 0.4)
    fence = bars(x, np.zeros(len(x)), x, np.full(len(x), -1.5), 0.2)
    assert letter not in texts(fence, OUTLINE, upon)


@pytest.mark.parametrize("diameter_mm", [1.2, 1.4, 1.6])
def test_three_lamps_in_a_row_are_no_text(diameter_mm: float) -> None:
    angle = np.linspace(0.0, 2 * np.pi, 25)
    lamps = [
        bars(x0[:-1], y0[:-1], x0[1:], y0[1:], 0.2)
        for place in range(3)
        for x0, y0 in [(14 + 2.2 * place + diameter_mm / 2 * np.cos(angle), 10 + diameter_mm / 2 * np.sin(angle))]
    ]
    assert texts(*lamps) == {"FEED", "RAIL"}


@pytest.mark.parametrize("legs", [(-0.8, -1.3), (-1.3, 0.8), (1.3, -0.8)])
def test_a_corner_about_a_part_is_no_letter_turned(legs: tuple[float, float]) -> None:
    # An L of the lettering's own size, but for its direction.
    x, y = legs
    assert texts(bars([20.0, 20.0], [10.0, 10.0], [20.0, 20 + x], [10 + y, 10.0], 0.2)) == {"FEED", "RAIL"}


def test_an_upright_letter_of_two_strokes_is_a_label() -> None:
    assert "L" in texts(bars([20.0, 20.0], [10.0, 10.0], [20.0, 20.8], [11.3, 10.0], 0.2))
