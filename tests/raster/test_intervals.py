"""Intervals on a number line, against counting every place one by one."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from labelcheck.raster.intervals import Intervals, covered_times, expand, join, merge, subtract

RAW = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 12)), max_size=14)


def intervals(raw: list[tuple[int, int]]) -> Intervals:
    start = np.array([place for place, _ in raw], dtype=np.int64)
    return start, start + np.array([length for _, length in raw], dtype=np.int64)


def counts(pieces: Intervals) -> NDArray[np.int64]:
    """How often each place is covered."""
    line = np.zeros(60, dtype=np.int64)
    for start, end in zip(*pieces, strict=True):
        line[start:end] += 1
    return line


@settings(derandomize=True, max_examples=150, deadline=None)
@given(raw=RAW)
def test_merging_keeps_every_place_once(raw: list[tuple[int, int]]) -> None:
    merged = merge(*intervals(raw))
    assert np.array_equal(counts(merged), counts(intervals(raw)) > 0)
    assert (merged[0] < merged[1]).all()
    assert (merged[0][1:] > merged[1][:-1]).all()


@settings(derandomize=True, max_examples=120, deadline=None)
@given(raw=RAW, times=st.integers(1, 4))
def test_places_covered_several_times(raw: list[tuple[int, int]], times: int) -> None:
    found = covered_times(*intervals(raw), times)
    assert np.array_equal(counts(found), counts(intervals(raw)) >= times)


@settings(derandomize=True, max_examples=120, deadline=None)
@given(a=RAW, b=RAW)
def test_subtracting(a: list[tuple[int, int]], b: list[tuple[int, int]]) -> None:
    left = subtract(merge(*intervals(a)), merge(*intervals(b)))
    assert np.array_equal(counts(left), (counts(intervals(a)) > 0) & (counts(intervals(b)) == 0))


@settings(derandomize=True, max_examples=120, deadline=None)
@given(a=RAW, b=RAW)
def test_joining_finds_all_that_overlap(a: list[tuple[int, int]], b: list[tuple[int, int]]) -> None:
    one, others = intervals([item for item in a if item[1]]), merge(*intervals(b))
    first, last, many = join(one, others)
    for i, (start, end) in enumerate(zip(*one, strict=True)):
        overlapping = np.flatnonzero((others[0] < end) & (others[1] > start))
        assert many[i] == len(overlapping)
        assert list(range(first[i], last[i])) == overlapping.tolist()


def test_expanding_names_each_copy() -> None:
    item, copy = expand(np.array([2, 0, 3]))
    assert item.tolist() == [0, 0, 2, 2, 2]
    assert copy.tolist() == [0, 1, 0, 1, 2]
