"""Shapes that are no characters: cut, turned and joined as they say."""

import numpy as np

from labelcheck.labels.reading.training.drawings import drawing, grown_together, is_bar, piece, turned

H = (np.array(((0, 0), (0, 1.0))), np.array(((0.6, 0), (0.6, 1.0))), np.array(((0, 0.5), (0.6, 0.5))))
BAR = (np.array(((0, 0), (0, 1.0))),)


def test_bars_and_dots_are_told_from_letters():
    assert is_bar(BAR)
    assert is_bar((np.array(((0.2, 0.3),)),))
    assert is_bar((np.array(((0, 0), (0.5, 0.5))), np.array(((0.7, 0.7), (1, 1.0)))))
    assert not is_bar(H)


def test_a_piece_lies_within_its_letter_and_is_less_of_it():
    random = np.random.default_rng(1)
    for _ in range(50):
        points = np.concatenate(piece(random, H))
        assert (points.min(axis=0) >= -1e-9).all()
        assert (points.max(axis=0) <= (0.6 + 1e-9, 1 + 1e-9)).all()
        size = np.ptp(points, axis=0)
        assert size[0] < 0.6 - 1e-9 or size[1] < 1 - 1e-9


def test_turned_letters_stand_on_the_line_again():
    random = np.random.default_rng(2)
    for _ in range(20):
        assert abs(min(path[:, 1].min() for path in turned(random, H))) < 1e-9


def test_letters_grown_together_follow_one_another_with_hardly_a_gap():
    joined = np.concatenate(grown_together(np.random.default_rng(3), (H, H)))
    assert 1.15 < np.ptp(joined[:, 0]) < 1.45


def test_drawings_are_about_as_high_as_letters_or_not_far_from_it():
    random = np.random.default_rng(4)
    for surely in (True, False):
        heights = [np.ptp(np.concatenate(drawing(random, surely))[:, 1]) for _ in range(200)]
        assert 0 <= min(heights) <= max(heights) < 6
