"""Training of the network: Adam on cross-entropy, from a seed, on numpy alone."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.network import Network

Rows = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Schedule:
    """How long and how hard to learn."""

    hidden: int = 256
    epochs: int = 24
    batch: int = 256
    rate: float = 2e-3
    decay: float = 1e-5
    """Shrinking of the weights a step, as a share of the rate's step."""
    smoothing: float = 0.02
    """Share of the truth spread over all classes: keeps probabilities from running to one."""
    dropped: float = 0.15
    """Share of hidden outputs left out at random in each step."""


def learn(
    random: np.random.Generator, features: Rows, classes: NDArray[np.int64], count: int, schedule: Schedule
) -> Network:
    """A network for features (n, k) and classes (n,) out of `count`."""
    middle = features.mean(axis=0)
    scale = 1 / (features.std(axis=0) + np.float32(0.02))
    width = features.shape[1]
    weights = [
        (random.standard_normal((width, schedule.hidden)) * np.sqrt(2 / width)).astype(np.float32),
        np.zeros(schedule.hidden, dtype=np.float32),
        (random.standard_normal((schedule.hidden, count)) * np.sqrt(1 / schedule.hidden)).astype(np.float32),
        np.zeros(count, dtype=np.float32),
    ]
    first = [np.zeros_like(w) for w in weights]
    second = [np.zeros_like(w) for w in weights]
    steps = schedule.epochs * (len(features) // schedule.batch)
    step = 0
    for _ in range(schedule.epochs):
        order = random.permutation(len(features))
        for start in range(0, len(order) - schedule.batch + 1, schedule.batch):
            rows = order[start : start + schedule.batch]
            step += 1
            rate = schedule.rate * min(1, step / 200) * 0.5 * (1 + np.cos(np.pi * step / steps))
            drawn = random.random((len(rows), schedule.hidden), dtype=np.float32) > schedule.dropped
            kept = drawn.astype(np.float32) / np.float32(1 - schedule.dropped)
            inputs = (features[rows] - middle) * scale
            gradients = _gradients(weights, inputs, classes[rows], kept, schedule.smoothing)
            for at, gradient in enumerate(gradients):
                first[at] += 0.1 * (gradient - first[at])
                second[at] += 0.002 * (gradient * gradient - second[at])
                moved = first[at] / (1 - 0.9**step) / (np.sqrt(second[at] / (1 - 0.998**step)) + 1e-8)
                weights[at] -= np.float32(rate) * (moved + np.float32(schedule.decay / 1e-3) * weights[at])
    into_hidden, hidden_bias, into_classes, class_bias = weights
    return Network(middle, scale.astype(np.float32), into_hidden, hidden_bias, into_classes, class_bias, 1.0)


def _gradients(
    weights: list[Rows], inputs: Rows, classes: NDArray[np.int64], kept: Rows, smoothing: float
) -> list[Rows]:
    """Gradients of the mean cross-entropy by each of the weights."""
    hidden = np.maximum(inputs @ weights[0] + weights[1], 0) * kept
    outputs = hidden @ weights[2] + weights[3]
    outputs -= outputs.max(axis=1, keepdims=True)
    error = np.exp(outputs)
    error /= error.sum(axis=1, keepdims=True)
    error -= np.float32(smoothing / error.shape[1])
    error[np.arange(len(error)), classes] -= np.float32(1 - smoothing)
    error /= np.float32(len(error))
    back = (error @ weights[2].T) * (hidden > 0) * kept
    return [inputs.T @ back, back.sum(axis=0), hidden.T @ error, error.sum(axis=0)]


def best_temperature(network: Network, features: Rows, classes: NDArray[np.int64]) -> float:
    """The divisor of the outputs that makes these classes the most likely; see Guo et al., "On calibration of modern
    neural networks", ICML 2017."""
    outputs = network.log_probabilities(features) * network.temperature
    tried = np.exp(np.linspace(np.log(0.3), np.log(3), 61))
    losses = []
    for temperature in tried:
        scaled = outputs / temperature
        scaled = scaled - scaled.max(axis=1, keepdims=True)
        chosen = scaled[np.arange(len(classes)), classes]
        losses.append(float((np.log(np.exp(scaled).sum(axis=1)) - chosen).mean()))
    return float(tried[int(np.argmin(losses))])
