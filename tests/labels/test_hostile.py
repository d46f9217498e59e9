"""Legends that hold no sensible text: an answer all the same, in time, and no label made of hatching."""

from dataclasses import replace

import numpy as np
import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.trade.shapes import Kind, Shapes, bars, concatenate, empty_shapes, polygon
from labelcheck.trade.sides import Side

from .alphabet import Lettering, draw_text

SQUARE = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], dtype=float)
SCATTER = np.random.default_rng(0).random((400, 4)) * 12
STEPS = np.arange(600) * 0.2


def flashes(x: np.ndarray, y: np.ndarray, size_mm: float) -> Shapes:
    return replace(bars(x, y, x, y, size_mm), kind=np.full(len(x), int(Kind.FLASH)))


def grid(count: int, pitch_mm: float) -> tuple[np.ndarray, np.ndarray]:
    return tuple(axis.ravel() for axis in np.meshgrid(np.arange(count) * pitch_mm, np.arange(count) * pitch_mm))


CASES = {
    "nothing": empty_shapes(),
    "one point of no size": flashes(np.zeros(1), np.zeros(1), 0.0),
    "hatching": bars(STEPS, STEPS * 0, STEPS, STEPS * 0 + 50, 0.1),
    "cross hatching": concatenate([
        bars(STEPS[:200], STEPS[:200] * 0, STEPS[:200], STEPS[:200] * 0 + 40, 0.1),
        bars(STEPS[:200] * 0, STEPS[:200], STEPS[:200] * 0 + 40, STEPS[:200], 0.1),
    ]),
    "a grid of dots": flashes(*grid(40, 0.3), 0.15),
    "an area of dots": flashes(*grid(40, 0.1), 0.12),
    "an area of one point beside a hair": concatenate(
        [polygon([SQUARE[:2] * 1e-6]), polygon([SQUARE[1:2] * 1e-6])]
    ),
    "strokes without width": bars(*SCATTER.T, 0.0),
    "scribble": bars(*SCATTER.T, 0.1),
    "clear ink only": replace(bars(*SCATTER.T, 0.1), dark=np.zeros(400, dtype=bool)),
    "areas of nothing": concatenate(
        [polygon([SQUARE * 0]), polygon([SQUARE[[0, 2, 0]]]), polygon([SQUARE[[0, 2, 1, 3]]])]
    ),
    "rows of squares": concatenate(
        [polygon([SQUARE + np.array((at % 20 * 1.2, at // 20 * 1.2))]) for at in range(100)]
    ),
    "letters far too small": concatenate([draw_text("ABC", (at, 0), Lettering(0.08, 0.01)) for at in range(9)]),
}


@pytest.mark.parametrize("side", [Side.TOP, Side.BOTTOM])
@pytest.mark.parametrize("read", [False, True], ids=["unread", "read"])
@pytest.mark.parametrize("name", CASES)
def test_there_is_an_answer_and_all_ink_is_told(name, read, side):
    shapes = CASES[name]
    reader = built_in_reader() if read else None
    found = find_labels(side, Layer(("legend.gbr",), shapes, (), ((),)), reader)
    assert found.labels == ()
    told = {row for mark in found.drawings for row in mark.objects}
    dark = set(np.flatnonzero(shapes.dark & np.isfinite(shapes.boxes()[:, 0])).tolist())
    assert dark <= told


def test_the_same_legend_gives_the_same_labels():
    shapes = concatenate([draw_text("TURNOUT 4"), draw_text("R7", (0, 4), angle_deg=33.0), bars(*SCATTER.T, 0.12)])
    layer = Layer(("legend.gbr",), shapes, (), ((),))
    reader = built_in_reader()
    assert find_labels(Side.TOP, layer, reader) == find_labels(Side.TOP, layer, reader)
