"""What typefaces draw alike is shared out, and nothing else."""

import numpy as np

from labelcheck.labels.reading.characters import CLASSES, NUMBER
from labelcheck.labels.reading.twins import TWINS, shared_between_twins


def sure_of(character: str) -> np.ndarray:
    logs = np.full((1, len(CLASSES)), np.log(1e-9), dtype=np.float32)
    logs[0, NUMBER[character]] = 0.0
    return logs


def test_a_sure_o_leaves_a_zero_plausible_and_stays_an_o():
    shares = np.exp(shared_between_twins(sure_of("O")))[0]
    assert shares[NUMBER["O"]] > 0.95
    assert 0.01 < shares[NUMBER["0"]] < 0.05


def test_characters_without_twins_stay_as_sure_as_they_were():
    for character in set("AEFHQR34679+#"):
        assert np.exp(shared_between_twins(sure_of(character)))[0, NUMBER[character]] > 0.999


def test_probabilities_still_add_up_to_one():
    random = np.random.default_rng(3).random((20, len(CLASSES)), dtype=np.float32)
    logs = np.log(random / random.sum(axis=1, keepdims=True))
    np.testing.assert_allclose(np.exp(shared_between_twins(logs)).sum(axis=1), 1, atol=1e-5)


def test_every_character_keeps_most_of_its_share():
    for character in CLASSES[:-1]:
        assert sum(share for read, _, share in TWINS if read == character) < 0.4
