"""Features: bounded, the same in any company, and blind to nothing that tells characters apart."""

import numpy as np

from labelcheck.labels.reading.features import AT_ONCE, FEATURES, TURNED_OVER, features, picture_features


def pictures(count: int) -> np.ndarray:
    return np.random.default_rng(5).random((count, 32, 24), dtype=np.float32)


def test_a_glyph_has_the_same_features_in_any_company():
    some, metrics = pictures(AT_ONCE + 7), np.random.default_rng(6).random((AT_ONCE + 7, 4), dtype=np.float32)
    whole = features(some, metrics)
    assert whole.shape == (AT_ONCE + 7, FEATURES)
    assert whole.dtype == np.float32
    tried = [0, 9, AT_ONCE, AT_ONCE + 6]
    single = np.concatenate([features(some[at : at + 1], metrics[at : at + 1]) for at in tried])
    np.testing.assert_allclose(whole[tried], single, atol=2e-6)


def test_no_glyphs_and_empty_pictures_and_absurd_metrics_are_borne():
    assert features(np.zeros((0, 32, 24), np.float32), np.zeros((0, 4), np.float32)).shape == (0, FEATURES)
    wild = np.array([(0, 0, 0, 0), (1e9, 1e-9, -1e9, 5), (1e-9, 1e9, 1e9, 0)], dtype=np.float32)
    assert np.isfinite(features(np.zeros((3, 32, 24), np.float32), wild)).all()


def test_an_upright_bar_has_edges_to_left_and_right_only():
    bar = np.zeros((1, 32, 24), np.float32)
    bar[0, :, 10:14] = 1
    edges = features(bar, np.ones((1, 4), np.float32))[0, : 8 * 48].reshape(8, 8, 6)
    middle = edges[:, 2:6].sum(axis=(1, 2))
    assert middle[[0, 4]].min() > 1
    assert middle[[2, 6]].max() < 0.05


def test_features_of_a_picture_upside_down_are_those_of_the_picture_moved_about():
    some = pictures(5)
    moved = picture_features(some)[:, TURNED_OVER]
    np.testing.assert_allclose(picture_features(some[:, ::-1, ::-1]), moved, atol=2e-6)
