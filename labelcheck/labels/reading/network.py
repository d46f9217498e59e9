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
        return self.finish(self.begin(features, slice(None)))

    def begin(self, features: Rows, which: slice) -> Rows:
        """What some columns of the features, `which` they are, bring to the hidden layer, shape (n, hidden)."""
        rows = (features - self.middle[which]) * self.scale[which]
        return np.asarray(rows @ self.into_hidden[which], dtype=np.float32)

    def finish(self, hidden: Rows) -> Rows:
        """Natural log-probabilities (n, classes) of what all features bring to the hidden layer together."""
        outputs = np.maximum(hidden + self.hidden_bias, 0) @ self.into_classes
        outputs += self.class_bias
        outputs /= np.float32(self.temperature)
        outputs -= outputs.max(axis=1, keepdims=True)
        outputs -= np.log(np.exp(outputs).sum(axis=1, keepdims=True))
        return np.asarray(outputs, dtype=np.float32)
