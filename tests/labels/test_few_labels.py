"""A side with a few short labels only: they are found, though each by itself might be a drawing."""

import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.trade.shapes import concatenate
from labelcheck.trade.sides import Side

from .alphabet import Lettering, draw_text


def texts(*words: str, angle_deg: float = 0.0) -> list[str | None]:
    style = Lettering(1.0, 0.15)
    drawn = [draw_text(word, (3.0, 4.0 + 5.0 * row), style, angle_deg) for row, word in enumerate(words)]
    legend = Layer(("legend.gbr",), concatenate(drawn), (), ((),))
    return sorted((label.text for label in find_labels(Side.TOP, legend, built_in_reader()).labels), key=str)


@pytest.mark.parametrize("words", [("C1", "J1"), ("D1", "U1"), ("HI", "LO"), ("J1", "J2")])
def test_short_texts_of_one_lettering_vouch_for_each_other(words) -> None:
    assert texts(*words) == sorted(words)


@pytest.mark.parametrize("word", ["C1", "J1", "U1", "D1", "SW1", "TP1"])
@pytest.mark.parametrize("angle_deg", [0.0, 90.0])
def test_the_only_reference_of_a_side_is_found(word, angle_deg) -> None:
    assert texts(word, angle_deg=angle_deg) == [word]


def test_the_same_short_text_twice_may_be_a_symbol_drawn_twice() -> None:
    assert texts("HI", "HI") == []


def test_what_reads_either_way_up_runs_with_the_strokes_of_the_file() -> None:
    assert texts("ZOO") == ["ZOO"]
