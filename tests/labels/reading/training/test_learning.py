"""Training: the same seed gives the same weights, and what is learned is what was shown."""

import numpy as np

from labelcheck.labels.reading.characters import CLASSES, NUMBER, REJECT
from labelcheck.labels.reading.network import Network
from labelcheck.labels.reading.training.course import own_samples, reject_samples, rows_of
from labelcheck.labels.reading.training.learning import Schedule, best_temperature, learn
from labelcheck.labels.reading.training.rows import fit_calibration
from labelcheck.labels.reading.weights import load_weights, save_weights

SHORT = Schedule(hidden=16, epochs=2, batch=64)


def test_the_same_seed_gives_the_same_samples_weights_and_file(tmp_path):
    networks = []
    for _ in range(2):
        random = np.random.default_rng(11)
        samples = own_samples(random, 1000)
        networks.append((samples, learn(random, rows_of(samples), samples.classes, len(CLASSES), SHORT)))
    (first_samples, first), (second_samples, second) = networks
    np.testing.assert_array_equal(first_samples.pictures, second_samples.pictures)
    np.testing.assert_array_equal(first.into_hidden, second.into_hidden)
    calibration = fit_calibration(np.array([0.1, 0.5, 0.9, 0.99]), np.array([False, False, True, True]))
    for network, name in ((first, "a.npz"), (second, "b.npz")):
        save_weights(network, calibration, tmp_path / name)
    assert (tmp_path / "a.npz").read_bytes() == (tmp_path / "b.npz").read_bytes()
    loaded, calibration_loaded = load_weights(tmp_path / "a.npz")
    assert calibration_loaded == calibration
    np.testing.assert_allclose(loaded.into_hidden, first.into_hidden, rtol=1e-3, atol=1e-6)


def test_other_seeds_give_other_samples():
    a, b = (own_samples(np.random.default_rng(seed), 1000) for seed in (1, 2))
    assert not np.array_equal(a.pictures, b.pictures)


def test_learning_tells_apart_what_is_apart():
    random = np.random.default_rng(4)
    classes = random.integers(0, 3, 600)
    features = (random.standard_normal((600, 5)) * 0.3 + np.eye(3, 5)[classes] * 2).astype(np.float32)
    network = learn(random, features, classes, 3, Schedule(hidden=8, epochs=30, batch=32))
    assert (network.log_probabilities(features).argmax(axis=1) == classes).mean() > 0.97


def test_a_temperature_cools_a_network_that_is_too_sure():
    random = np.random.default_rng(5)
    truth = random.integers(0, 4, 4000)
    said = np.where(random.random(4000) < 0.7, truth, random.integers(0, 4, 4000))
    features = np.eye(4, dtype=np.float32)[said] * 4
    one = np.eye(4, dtype=np.float32)
    none = np.zeros(4, dtype=np.float32)
    plain = Network(none, none + 1, one, none, one, none, 1.0)
    temperature = best_temperature(plain, features, truth)
    # Right in 77.5 of 100 cases and evenly wrong otherwise: exp(4 / t) / (exp(4 / t) + 3) = 0.775 where t = 1.71.
    assert abs(temperature - 4 / np.log(3 * 0.775 / 0.225)) < 0.1


def test_calibration_finds_the_curve_that_made_the_outcomes():
    random = np.random.default_rng(6)
    shares = random.uniform(0.02, 0.98, 20_000)
    chance = 1 / (1 + np.exp(-(0.6 * np.log(shares / (1 - shares)) - 0.4)))
    found = fit_calibration(shares, random.random(20_000) < chance)
    assert abs(found.slope - 0.6) < 0.05
    assert abs(found.offset + 0.4) < 0.05


def test_rejects_are_marked_as_such_and_characters_as_theirs():
    random = np.random.default_rng(8)
    surely, doubtful = reject_samples(random, 1000)
    assert set(surely.classes) == set(doubtful.classes) == {REJECT}
    samples = own_samples(random, 2000)
    assert REJECT not in samples.classes
    assert len(set(samples.classes)) > 80
    upright = samples.classes == NUMBER["I"]
    assert (samples.metrics[upright, 1] > 0.8).all()
