"""Legends far too large or too dense: refused at once, by an error that names bound and cure."""

import time

import numpy as np
import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.apart import take_apart
from labelcheck.labels.crowding import CONTACTS_AT_MOST, OBJECTS_AT_MOST, contacts_expected
from labelcheck.labels.finding import find_labels
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.shapes import Shapes, bars
from labelcheck.trade.sides import Side


def layer(shapes: Shapes) -> Layer:
    return Layer(("legend.gbr",), shapes, (), ((),))


def hatching(count: int, pitch_mm: float) -> Shapes:
    at = np.arange(count) * pitch_mm
    return bars(at, at * 0, at, at * 0 + 30, 0.15)


def scribble(count: int) -> Shapes:
    return bars(*(np.random.default_rng(1).random((4, count)) * 30), 0.1)


@pytest.mark.parametrize(
    ("shapes", "problem"),
    [
        (hatching(60_000, 0.0002), rf"lie on one another about 44,\d+,\d+ times, more than {CONTACTS_AT_MOST:,}"),
        (scribble(20_000), r"lie on one another about \d+,\d+,\d+ times"),
        (hatching(OBJECTS_AT_MOST + 1, 0.5), f"draws {OBJECTS_AT_MOST + 1:,} objects, more than {OBJECTS_AT_MOST:,}"),
    ],
    ids=["hatching", "scribble", "objects"],
)
def test_what_would_never_end_is_refused_at_once(shapes: Shapes, problem: str) -> None:
    started = time.process_time()
    with pytest.raises(UnreadableFile, match=rf"^legend\.gbr: .*{problem}.*[Ee]xport"):
        find_labels(Side.TOP, layer(shapes), None)
    assert time.process_time() - started < 2


def test_the_same_stroke_a_million_times_is_one_stroke() -> None:
    once = bars(np.zeros(1), np.zeros(1), np.ones(1), np.ones(1), 0.2)
    many = bars(np.zeros(300_000), np.zeros(300_000), np.ones(300_000), np.ones(300_000), 0.2)
    assert len(take_apart(layer(many)).marks) == len(take_apart(layer(once)).marks) == 1


@pytest.mark.parametrize("shapes", [hatching(3_000, 0.01), scribble(3_500)], ids=["hatching", "scribble"])
def test_the_expected_contacts_are_about_those_that_there_are(monkeypatch, shapes: Shapes) -> None:
    monkeypatch.setattr("labelcheck.labels.crowding.CONTACTS_AT_MOST", 0)
    half = shapes.width / 2
    x0, x1 = np.minimum(shapes.x0, shapes.x1) - half, np.maximum(shapes.x0, shapes.x1) + half
    y0, y1 = np.minimum(shapes.y0, shapes.y1) - half, np.maximum(shapes.y0, shapes.y1) + half
    over = (x0[:, None] <= x1) & (x1[:, None] >= x0) & (y0[:, None] <= y1) & (y1[:, None] >= y0)
    assert contacts_expected(shapes) == pytest.approx((over.sum() - len(x0)) / 2, rel=0.1)
