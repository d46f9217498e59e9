"""Badges find room: inside the region, apart from each other, off what is wrong, near what they point at."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.review.picture.canvas import Pixels
from labelcheck.review.picture.placing import find_places, nearest_on

REGION: Pixels = (0, 0, 1600, 1200)
SIZE = (44, 40)
FAR, SIZES = st.integers(-3000, 5000), st.integers(1, 900)


def rect(place: tuple[int, int], size: tuple[int, int] = SIZE) -> Pixels:
    return place[0], place[1], place[0] + size[0], place[1] + size[1]


def overlap(a: Pixels, b: Pixels) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def random_frames(count: int, seed: int) -> list[Pixels]:
    at = np.random.default_rng(seed).integers((40, 40), (1450, 1100), (count, 2))
    return [(int(x), int(y), int(x) + 80, int(y) + 30) for x, y in at]


@pytest.mark.parametrize("seed", range(4))
def test_forty_badges_do_not_cover_each_other(seed: int) -> None:
    frames = random_frames(40, seed)
    places = find_places(frames, [SIZE] * 40, REGION, [])
    rects = [rect(place) for place in places if place is not None]
    assert len(rects) == 40
    assert not any(overlap(a, b) for a, b in combinations(rects, 2))
    assert all(a[0] >= 0 and a[1] >= 0 and a[2] <= 1600 and a[3] <= 1200 for a in rects)
    covering = sum(overlap(a, frame) for a in rects for frame in frames)
    assert covering <= 2


def test_labels_are_left_visible_where_there_is_room() -> None:
    frame: Pixels = (700, 500, 800, 540)
    labels: list[Pixels] = [(800, 400, 1100, 640), (600, 560, 1000, 760)]
    (place,) = find_places([frame], [SIZE], REGION, labels)
    assert place is not None
    assert not any(overlap(rect(place), label) for label in labels)


def test_a_lonely_badge_stays_close() -> None:
    frame: Pixels = (700, 500, 800, 540)
    (place,) = find_places([frame], [SIZE], REGION, [])
    assert place is not None
    middle = np.array([place[0] + SIZE[0] / 2, place[1] + SIZE[1] / 2])
    assert np.hypot(*(nearest_on(np.array(frame, dtype=float), middle) - middle)) < 60


def test_the_same_faults_give_the_same_places() -> None:
    frames = random_frames(12, 5)
    assert find_places(frames, [SIZE] * 12, REGION, []) == find_places(frames, [SIZE] * 12, REGION, [])


def test_a_frame_without_number_has_no_place() -> None:
    assert find_places(random_frames(2, 1), [None, SIZE], REGION, [])[0] is None
    assert find_places([], [], REGION, []) == []


@settings(derandomize=True, max_examples=60)
@given(st.lists(st.tuples(FAR, FAR, SIZES, SIZES), min_size=1, max_size=12), st.integers(30, 300))
def test_every_badge_stays_in_the_region_wherever_the_fault_is(
    faults: list[tuple[int, int, int, int]], width: int
) -> None:
    frames = [(x, y, x + across, y + down) for x, y, across, down in faults]
    size = (width, 40)
    for place in find_places(frames, [size] * len(frames), REGION, []):
        assert place is not None
        left, top, right, bottom = rect(place, size)
        assert 0 <= left <= right <= 1600
        assert 0 <= top <= bottom <= 1200


def test_a_crowd_in_a_corner_still_gets_every_number() -> None:
    frames: list[Pixels] = [(4, 4, 30, 20)] * 60
    places = find_places(frames, [SIZE] * 60, REGION, [])
    assert all(place is not None for place in places)
