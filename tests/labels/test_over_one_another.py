"""Two words of one pen printed over one another: their strokes touch, yet each is found and read."""

import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.trade.shapes import concatenate
from labelcheck.trade.sides import Side

from .alphabet import Lettering, draw_text


@pytest.mark.parametrize(
    ("over", "shift_mm"),
    [("YARD", (0.6, 0.6)), ("LOOP", (0.5, -0.55)), ("FEED", (1.0, 0.5)), ("YARD", (0.3, 0.8)), ("HALT", (0.9, -0.7))],
)
def test_both_words_are_read(over, shift_mm):
    style = Lettering(1.5, 0.2)
    shapes = concatenate([draw_text("SPUR", (0.0, 0.0), style), draw_text(over, shift_mm, style)])
    found = find_labels(Side.TOP, Layer(("legend.gbr",), shapes, (), ((),)), built_in_reader())
    assert sorted(str(label.text) for label in found.labels) == sorted(["SPUR", over])
