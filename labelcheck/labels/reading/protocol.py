"""What the finder of labels asks of a reader: characters from glyph pictures, words from rows of characters."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

GLYPH_ROWS, GLYPH_COLUMNS = 32, 24
"""Size of a glyph picture; the ink box fills it but for a margin of one pixel, keeping its aspect, centred."""

METRICS = ("width", "height", "bottom", "stroke")
"""What a glyph picture cannot show, each as a share of the height of capitals on its line: width and height of
the ink box, height of its lower edge above the base line (negative for descenders), width of the stroke."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What a row of glyphs was read as."""

    text: str
    """One character a glyph, and a blank where a word gap stands before a glyph; `?` for one not read."""
    confidence: float
    """0 to 1, calibrated: the chance that the whole text is right."""
    score: float
    """Natural logarithm of likelihood times grammar, summed over the glyphs; comparable between rows that share
    the same glyphs, and so the higher the more glyphs are well read: each glyph counts as
    log p(character) - log p(reject)."""


class Reader(Protocol):
    """Reads upright glyphs; knows nothing of boards."""

    @property
    def classes(self) -> tuple[str, ...]:
        """One character each; the last is "" for what is no character at all."""
        ...

    def read(self, glyphs: NDArray[np.float32], metrics: NDArray[np.float32]) -> NDArray[np.float32]:
        """Natural log-probabilities, shape (n, classes).

        `glyphs` (n, 32, 24): ink 1, clear 0, row 0 on top, upright in the reading direction assumed. `metrics`
        (n, 4): see `METRICS`.
        """
        ...

    def look(self, glyphs: NDArray[np.float32]) -> NDArray[np.float32]:
        """What the pictures (n, 32, 24) alone tell, shape (2, n, k): as they are, and turned upside down.

        One picture stands in several lines, measured against other neighbours in each: it is looked at once.
        """
        ...

    def tell(self, looks: NDArray[np.float32], metrics: NDArray[np.float32]) -> NDArray[np.float32]:
        """Natural log-probabilities (n, classes) of looks (n, k) with the metrics (n, 4) of a line each."""
        ...

    def decode(
        self, log_probabilities: NDArray[np.float32], first: NDArray[np.int64], spaced: NDArray[np.bool_]
    ) -> tuple[Reading, ...]:
        """Settle each row of glyphs with the grammar of references and trade words.

        `log_probabilities` (n, classes) for all glyphs in reading order; `first` (rows + 1,) where each row of
        glyphs starts; `spaced` (n,) whether a word gap stands before the glyph. One `Reading` a row.
        """
        ...
