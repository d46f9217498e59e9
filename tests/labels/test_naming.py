"""Names that strokes carry are believed where the reading bears them out, and only there."""

from dataclasses import replace

import numpy as np
import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.label import Label
from labelcheck.labels.reading.protocol import Reading
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.trade.shapes import bars, concatenate
from labelcheck.trade.sides import Side

from .alphabet import draw_text


@pytest.fixture(scope="module")
def reader():
    return built_in_reader()


def find(reader, text: str, carried: str | None) -> Label:
    """The label of a text whose strokes carry a component, beside an outline of the component."""
    outline = bars([-1, 9, 9, -1], [-2, -2, -1, -1], [9, 9, -1, -1], [-2, -1, -1, -2], 0.12)
    shapes = concatenate([draw_text(text), outline])
    sets = ((),) if carried is None else ((), ((".C", (carried,)),))
    shapes = replace(shapes, attributes=np.full(len(shapes), len(sets) - 1))
    (label,) = find_labels(Side.TOP, Layer(("legend.gbr",), shapes, (), sets), reader).labels
    return label


def test_a_name_that_reads_as_such_is_known_by_its_attribute(reader):
    label = find(reader, "R12", "R12")
    assert (label.text, label.text_known_by, label.kind) == ("R12", "attribute", "reference")
    assert label.text_confidence > 0.99


@pytest.mark.parametrize(("drawn", "carried"), [("RO1", "R01"), ("U1O", "U10"), ("JS5", "J55")])
def test_a_name_settles_what_looks_alike(reader, drawn, carried):
    assert find(reader, drawn, carried).text == carried


@pytest.mark.parametrize("carried", ["R13", "R121", "R1", "C12", "", None])
def test_other_text_of_the_component_keeps_its_reading(reader, carried):
    label = find(reader, "R12", carried)
    assert (label.text, label.text_known_by) == ("R12", "reading")


def test_a_name_settles_what_could_hardly_be_read(reader):
    class Doubting:
        """Reads as the built-in reader does, but is sure of nothing and has not read the second character."""

        classes = reader.classes
        read, look, tell = staticmethod(reader.read), staticmethod(reader.look), staticmethod(reader.tell)

        @staticmethod
        def decode(*asked):
            return tuple(
                Reading(r.text[:1] + "?" + r.text[2:] if len(r.text) == 4 else r.text, 0.1, r.score)
                for r in reader.decode(*asked)
            )

    assert find(Doubting(), "R128", "R128").text == "R128"
    assert find(Doubting(), "R128", None).text is None
