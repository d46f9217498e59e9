"""Fitting of lists to pads: right where it is unmistakable, and silent where it is not."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.board.bodies.origins import fit_by_name, fit_to_pads, pairs_of, share_on


def scattered(count: int, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).uniform(0, 60, (count, 2))


@settings(max_examples=15, derandomize=True)
@given(st.floats(-200, 200), st.floats(-200, 200), st.booleans(), st.integers(0, 50))
def test_any_shift_of_scattered_pads_is_found(x: float, y: float, mirrored: bool, seed: int) -> None:
    pads = scattered(60, seed)
    places = (pads[:40] - np.array([x, y])) * np.array([-1.0 if mirrored else 1.0, 1.0])
    # Lists are rounded to a hundredth of a millimetre.
    shift = fit_to_pads(places.round(2), pads, mirrored)
    assert shift is not None
    assert np.abs(shift.moved(places) - pads[:40]).max() < 0.03


def test_pads_of_the_artworks_own_origin_are_left_alone() -> None:
    pads = scattered(30, 1)
    shift = fit_to_pads(pads, pads)
    assert shift is not None and shift.none and shift.share == 1.0


def test_a_regular_field_fits_under_many_shifts_and_so_under_none() -> None:
    field = np.array([(x, y) for x in range(20) for y in range(20)], dtype=float)
    inner = field[(field > 4).all(axis=1) & (field < 12).all(axis=1)]
    assert fit_to_pads(inner + 100, field) is None


def test_strangers_do_not_fit() -> None:
    assert fit_to_pads(scattered(30, 2) + 500, scattered(40, 3)) is None
    assert fit_to_pads(scattered(3, 2) + 500, scattered(3, 2)) is None
    assert fit_to_pads(np.zeros((0, 2)), scattered(3, 2)) is None
    assert fit_to_pads(scattered(3, 2), np.zeros((0, 2))) is None


def test_parts_known_by_name_agree_on_a_shift_though_some_are_placed_by_their_first_pin() -> None:
    middles = scattered(10, 4)
    places = middles - np.array([25.0, -80.0])
    places[:3] += np.array([3.81, 0.0])
    shift = fit_by_name(places, middles)
    assert shift is not None
    assert (shift.x_mm, shift.y_mm) == pytest.approx((25.0, -80.0))
    assert fit_by_name(scattered(10, 5), scattered(10, 6)) is None


def test_lands_of_chips_are_pairs() -> None:
    chip = np.array([(-1.2, -0.5, -0.4, 0.5), (0.4, -0.5, 1.2, 0.5)])
    boxes = np.concatenate([chip + np.array([10, 5, 10, 5]), [(30, 30, 31, 33)]])
    pairs = pairs_of([boxes])
    assert pairs.middles.tolist() == [[10.0, 5.0]]
    assert pairs.sizes[0] == pytest.approx((0.8, 1.0))


def test_share_on_pads() -> None:
    pads = np.array([(0.0, 0.0), (10.0, 0.0)])
    assert share_on(np.array([(0.05, 0.0), (5.0, 0.0)]), pads) == 0.5
