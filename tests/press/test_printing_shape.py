"""Pieces, holes and transposing, against labelling of bitmaps (scikit-image: a general-purpose library)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage.measure import label

from labelcheck.press.printing_shape import pieces_and_holes, transposed
from labelcheck.raster.runs import Runs, concatenated
from labelcheck.raster.windows import Window, from_bitmap, to_bitmap


def grouped(bitmaps: list[np.ndarray]) -> Runs:
    parts = []
    for group, bitmap in enumerate(bitmaps):
        runs = from_bitmap(bitmap, Window(-3, 5, *bitmap.shape), 0.01)
        parts.append(Runs(0.01, runs.row, runs.start, runs.end, np.full(len(runs), group, dtype=np.int32)))
    return concatenated(parts, 0.01, grouped=True)


def at_random(seed: int, share: float) -> np.ndarray:
    return np.random.default_rng(seed).random((12, 14)) < share


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from([0.1, 0.4, 0.6, 0.85]))
def test_pieces_and_holes(seed: int, share: float) -> None:
    bitmaps = [at_random(seed, share), at_random(seed + 1, share)]
    pieces, holes = pieces_and_holes(grouped(bitmaps), 2)
    for group, bitmap in enumerate(bitmaps):
        around = np.pad(bitmap, 1)
        assert pieces[group] == label(around, connectivity=2).max()
        assert holes[group] == label(~around, connectivity=1).max() - 1


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from([0.1, 0.5, 0.9]))
def test_transposing(seed: int, share: float) -> None:
    bitmap = at_random(seed, share)
    turned = transposed(grouped([bitmap]))
    assert (to_bitmap(turned, Window(5, -3, 14, 12)) == bitmap.T).all()
    line = turned.row.astype(np.int64) * 1000 + turned.start
    assert (np.diff(line) > 0).all(), "runs stay sorted"


def test_no_ink_at_all() -> None:
    pieces, holes = pieces_and_holes(grouped([np.zeros((3, 3), dtype=bool)]), 2)
    assert pieces.tolist() == [0, 0] and holes.tolist() == [0, 0]


def test_ungrouped_runs_are_refused() -> None:
    with pytest.raises(ValueError, match="grouped"):
        pieces_and_holes(from_bitmap(np.ones((2, 2), dtype=bool), Window(0, 0, 2, 2), 0.01), 1)
