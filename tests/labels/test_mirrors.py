"""A label drawn for the other side is read in the mirror, and told to be mirrored."""

from dataclasses import replace

import numpy as np
import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.mirrors import all_labels, reads_only_there
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.trade.shapes import Shapes, bars, concatenate
from labelcheck.trade.sides import Side
from tests.labels.alphabet import Lettering, draw_text


def legend_of(*shapes: Shapes) -> Layer:
    return Layer(("made",), concatenate(shapes), (), ((),))


def turned_over(shapes: Shapes) -> Shapes:
    return bars(-shapes.x0, shapes.y0, -shapes.x1, shapes.y1, shapes.width)


def found(side: Side, layer: Layer):
    reader = built_in_reader()
    return all_labels(side, layer, reader)


@pytest.mark.parametrize("side", [Side.TOP, Side.BOTTOM])
def test_text_drawn_for_the_other_side_is_read_in_the_mirror(side) -> None:
    text = draw_text("SENSOR", lettering=Lettering(1.5, 0.18))
    right_way = text if side is Side.TOP else turned_over(text)
    wrong_way = turned_over(text) if side is Side.TOP else text
    (right,) = found(side, legend_of(right_way)).labels
    assert right.text == "SENSOR" and not right.mirrored
    (wrong,) = found(side, legend_of(wrong_way)).labels
    assert wrong.text == "SENSOR" and wrong.mirrored and wrong.side is side
    assert np.unique([row for mark in wrong.marks for row in mark.objects]).tolist() == list(range(len(wrong_way)))


def test_text_that_a_mirror_leaves_alone_is_not_told() -> None:
    (label,) = found(Side.TOP, legend_of(turned_over(draw_text("TOMATO", lettering=Lettering(1.5, 0.18))))).labels
    assert not label.mirrored


@pytest.mark.parametrize(("text", "turned_deg", "so"), [
    ("RESET", 0.0, True), ("RESET", 180.0, True), ("DDX", 0.0, True), ("DDX", 180.0, False), ("CODE", 270.0, False),
    ("MAIM", 0.0, False), ("BOX 3", 180.0, False), ("BOX 3", 90.0, False), ("RESET", 90.0, True),
    ("EED", 90.0, False), ("DETECTOR", 90.0, True), ("SECTION", 270.0, True),
    ("JJ G", 0.0, False), ("P2 S5", 0.0, True),
])  # fmt: skip
def test_text_that_reads_upside_down_in_the_mirror_may_be_in_its_right_place(text, turned_deg, so) -> None:
    (label,) = found(Side.TOP, legend_of(draw_text("SENSOR", lettering=Lettering(1.5, 0.18)))).labels
    assert reads_only_there(replace(label, text=text, turned_deg=turned_deg, text_confidence=0.99)) is so


@pytest.mark.parametrize("turned_deg", [0.0, 90.0, 180.0, 270.0])
def test_text_turned_over_about_its_line_reads_at_half_a_turn_less_its_angle_in_the_mirror(turned_deg) -> None:
    text = draw_text("DECODE", angle_deg=turned_deg, lettering=Lettering(1.5, 0.18))
    (seen,) = find_labels(Side.BOTTOM, legend_of(text), built_in_reader()).labels
    assert seen.text == "DECODE" and seen.turned_deg == pytest.approx((180.0 - turned_deg) % 360.0, abs=0.1)
    assert reads_only_there(replace(seen, text_confidence=0.99)) is (turned_deg == 180.0)
