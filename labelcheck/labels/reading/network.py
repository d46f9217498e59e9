"""A small network of two layers: features to log-probabilities."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """Weights of a trained network: features are moved by `middle` and scaled by `scale`, then two dense layers."""

    middle: Rows
    scale: Rows
    into_hidden: Rows
    hidden_bias: Rows
    into_classes: Rows
    class_bias: Rows
    temperature: float
    """The outputs are divided by it: set so that probabilities hold on faces not trained on."""

    def log_probabilities(self, features: Rows) -> Rows:
        """Natural log-probabilities (n, classes) of features (n, k)."""
        hidden = np.maximum(((features - self.middle) * self.scale) @ self.into_hidden + self.hidden_bias, 0)
        outputs = (hidden @ self.into_classes + self.class_bias) / np.float32(self.temperature)
        outputs -= outputs.max(axis=1, keepdims=True)
        outputs -= np.log(np.exp(outputs).sum(axis=1, keepdims=True))
        return np.asarray(outputs, dtype=np.float32)
