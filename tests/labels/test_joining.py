"""Nearness and components against shapely (GEOS) and against following every link."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.labels.joining import boxes_within, components, near_pairs, segment_distances

COORDINATE = st.integers(-8, 8)
SEGMENT = st.tuples(COORDINATE, COORDINATE, COORDINATE, COORDINATE)


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.lists(st.tuples(SEGMENT, SEGMENT), min_size=1, max_size=20))
def test_segments_are_as_far_apart_as_geos_says(pairs):
    a, b = (np.array([pair[which] for pair in pairs], dtype=float) for which in (0, 1))
    lines = [shapely.linestrings(segments.reshape(-1, 2, 2)) for segments in (a, b)]
    with np.errstate(all="ignore"):  # shapely 2.0 passes on what GEOS meets on its way
        expected = shapely.distance(*lines)
    np.testing.assert_allclose(segment_distances(a, b), expected, atol=1e-9)


@settings(max_examples=100, derandomize=True, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 29), st.integers(0, 29)), max_size=40))
def test_components_hold_what_links_reach(links):
    label = components(30, *np.array(links, dtype=np.int64).reshape(-1, 2).T)
    reached = {at: {at} for at in range(30)}
    for _ in range(30):
        for first, second in links:
            reached[first] |= reached[second]
            reached[second] |= reached[first]
    assert label.tolist() == [min(reached[at]) for at in range(30)]


def test_near_pairs_are_those_whose_grown_boxes_meet():
    boxes = np.array([[0, 0, 1, 1], [1.5, 0, 2, 1], [5, 5, 6, 6]], dtype=float)
    assert [pair.tolist() for pair in near_pairs(boxes, 0.25)] == [[0], [1]]
    assert [pair.tolist() for pair in near_pairs(boxes, 0.2)] == [[], []]
    assert [pair.tolist() for pair in boxes_within(boxes[:1], boxes)] == [[0], [0]]
