"""From what the reader believes to how often it is right."""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Calibration:
    """A logistic curve from the share that a text takes of all readings to the chance that it is right.

    Platt, "Probabilistic outputs for support vector machines", 1999; fitted on typefaces left out of training.
    """

    slope: float = 1.0
    offset: float = 0.0

    def chance(self, share: float) -> float:
        """0 to 1, never falling with `share` (0 to 1)."""
        return 1 / (1 + math.exp(-(self.slope * log_odds(share) + self.offset)))


def log_odds(share: float) -> float:
    """Natural logarithm of share against its rest, bounded to what can be told apart."""
    bounded = min(max(share, 1e-5), 1 - 1e-5)
    return math.log(bounded / (1 - bounded))
