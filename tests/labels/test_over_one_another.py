"""Two words of one lettering printed over one another: their ink touches, yet each is found and read."""

import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.trade.shapes import concatenate
from labelcheck.trade.sides import Side

from .alphabet import Lettering, draw_text
from .lettering import drawn


@pytest.mark.parametrize(
    ("over", "shift_mm"),
    [("YARD", (0.6, 0.6)), ("LOOP", (0.5, -0.55)), ("FEED", (1.0, 0.5)), ("YARD", (0.3, 0.8)), ("HALT", (0.9, -0.7))],
)
def test_both_words_are_read(over, shift_mm):
    style = Lettering(1.5, 0.2)
    shapes = concatenate([draw_text("SPUR", (0.0, 0.0), style), draw_text(over, shift_mm, style)])
    found = find_labels(Side.TOP, Layer(("legend.gbr",), shapes, (), ((),)), built_in_reader())
    assert sorted(str(label.text) for label in found.labels) == sorted(["SPUR", over])


@pytest.mark.parametrize("way", ["regions", "regions with clear counters", "regions with cut-ins"])
@pytest.mark.parametrize(("over", "shift_mm"), [("YARD", (0.6, 0.6)), ("LOOP", (0.5, -0.55)), ("R12", (0.4, 0.9))])
def test_both_words_are_read_where_their_letters_are_filled(way, over, shift_mm):
    style = Lettering(1.5, 0.2)
    shapes = concatenate([drawn(way, "SPUR", (0.0, 0.0), style, 0.0), drawn(way, over, shift_mm, style, 0.0)])
    found = find_labels(Side.TOP, Layer(("legend.gbr",), shapes, (), ((),)), built_in_reader())
    assert sorted(str(label.text) for label in found.labels) == sorted(["SPUR", over])
