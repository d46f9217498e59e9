"""The built-in reader: its trained network for glyphs, its grammar for words."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.calibration import Calibration
from labelcheck.labels.reading.characters import CLASSES
from labelcheck.labels.reading.features import features
from labelcheck.labels.reading.network import Network
from labelcheck.labels.reading.protocol import Reading
from labelcheck.labels.reading.weights import WEIGHTS_FILE, load_weights
from labelcheck.labels.reading.words import decode_rows

LEAST_CONFIDENCE = 0.6
"""A text of which we are less sure is better called unread."""


@dataclass(frozen=True, slots=True, eq=False)
class BuiltInReader:
    """Reads upright glyphs with weights that ship with the package; see `protocol.Reader`."""

    network: Network
    calibration: Calibration

    @property
    def classes(self) -> tuple[str, ...]:
        """One character each; the last is "" for what is no character at all."""
        return CLASSES

    def read(self, glyphs: NDArray[np.float32], metrics: NDArray[np.float32]) -> NDArray[np.float32]:
        """See `protocol.Reader.read`."""
        return self.network.log_probabilities(features(glyphs, metrics))

    def decode(
        self, log_probabilities: NDArray[np.float32], first: NDArray[np.int64], spaced: NDArray[np.bool_]
    ) -> tuple[Reading, ...]:
        """See `protocol.Reader.decode`."""
        return decode_rows(log_probabilities, first, spaced, self.calibration)


def built_in_reader(file: Path = WEIGHTS_FILE) -> BuiltInReader:
    """The reader with its weights loaded."""
    return BuiltInReader(*load_weights(file))
