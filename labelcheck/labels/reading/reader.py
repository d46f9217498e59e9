"""The built-in reader: its trained network for glyphs, its grammar for words."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.calibration import Calibration
from labelcheck.labels.reading.characters import CLASSES, NUMBER
from labelcheck.labels.reading.features import OF_PICTURE, TURNED_OVER, metric_features, picture_features
from labelcheck.labels.reading.network import Network
from labelcheck.labels.reading.protocol import Reading
from labelcheck.labels.reading.twins import shared_between_twins
from labelcheck.labels.reading.weights import WEIGHTS_FILE, load_weights
from labelcheck.labels.reading.words import decode_rows

_OF_PICTURE, _OF_METRICS = slice(0, OF_PICTURE), slice(OF_PICTURE, None)

X_HEIGHT = 0.66
"""Height of small letters as a share of that of capitals in most faces."""
LEAST_CAPITAL = 0.85
"""A glyph that is so high, as a share of its row's capitals, or as much higher than they, is as high as they."""
SURE = 0.8
_MUST = [NUMBER[letter] for letter in "aemnrgqy"]
_MAY = [NUMBER[letter] for letter in "aemnrgqycopsuvwxz"] + [NUMBER[letter.upper()] for letter in "cosuvwxzp"]

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
        return self.tell(self.look(glyphs)[0], metrics)

    def look(self, glyphs: NDArray[np.float32]) -> NDArray[np.float32]:
        """See `protocol.Reader.look`."""
        seen = picture_features(glyphs)
        ways = [self.network.begin(way, _OF_PICTURE) for way in (seen, seen[:, TURNED_OVER])]
        return np.stack(ways)

    def tell(self, looks: NDArray[np.float32], metrics: NDArray[np.float32]) -> NDArray[np.float32]:
        """See `protocol.Reader.tell`."""
        hidden = looks + self.network.begin(metric_features(metrics), _OF_METRICS)
        return shared_between_twins(self.network.finish(hidden))

    def read_rows(
        self, glyphs: NDArray[np.float32], metrics: NDArray[np.float32], first: NDArray[np.int64]
    ) -> NDArray[np.float32]:
        """As `read`, for rows of glyphs that start at `first` (rows + 1,), each measured against its own capitals.

        A row of small letters without ascenders, such as "on", is measured as if they were capitals. Where a letter
        that has no capital of its shape tells so, the row is read again with its metrics put right.
        """
        logs = self.read(glyphs, metrics)
        again = np.repeat(_set_small(logs, metrics, first), np.diff(first))
        if again.any():
            logs[again] = self.read(glyphs[again], metrics[again] * np.float32(X_HEIGHT))
        return logs

    def decode(
        self, log_probabilities: NDArray[np.float32], first: NDArray[np.int64], spaced: NDArray[np.bool_]
    ) -> tuple[Reading, ...]:
        """See `protocol.Reader.decode`."""
        return decode_rows(log_probabilities, first, spaced, self.calibration)


def _set_small(
    logs: NDArray[np.float32], metrics: NDArray[np.float32], first: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Which rows hold a small letter as high as capitals ought to be, and nothing so high that must be a capital."""
    high = (metrics[:, 1] > LEAST_CAPITAL) & (metrics[:, 1] < 2 - LEAST_CAPITAL)
    share = np.exp(logs)
    must = high & (share[:, _MUST].sum(axis=1) > SURE)
    cannot = high & (share[:, _MAY].sum(axis=1) < 1 - SURE)
    row = np.repeat(np.arange(len(first) - 1), np.diff(first))
    rows = len(first) - 1
    return (np.bincount(row, must, rows) > 0) & (np.bincount(row, cannot, rows) == 0)


def built_in_reader(file: Path = WEIGHTS_FILE) -> BuiltInReader:
    """The reader with its weights loaded."""
    return BuiltInReader(*load_weights(file))
