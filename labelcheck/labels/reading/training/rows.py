"""Words in one face and pen, to calibrate how sure a reader of words may be."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.calibration import Calibration, log_odds
from labelcheck.labels.reading.characters import CAPITALS, CLASSES, DIGITS, NUMBER, SMALL
from labelcheck.labels.reading.grammar import PREFIXES
from labelcheck.labels.reading.lexicon import COMMON, GENERAL, TRADE
from labelcheck.labels.reading.training.alphabet import ALPHABET
from labelcheck.labels.reading.training.outlines import has, outline_samples
from labelcheck.labels.reading.training.samples import (
    Random,
    Samples,
    random_pen,
    random_style,
    shaken,
    stroke_samples,
    together,
)
from labelcheck.labels.reading.training.strokes import Glyph, drawn, hershey_face

LOW = frozenset("acemnorsuvwxz")
"""Small letters without an ascender: a word of nothing else is taken for capitals by its height."""


def random_text(random: Random) -> str:
    """A text as legends carry them, or one in five that no grammar knows: more than legends have, to be careful."""
    kind = random.choice(5, p=(0.34, 0.28, 0.08, 0.1, 0.2))
    if kind == 0:
        letters = list(PREFIXES)
        shares = np.array([PREFIXES[letter] for letter in letters])
        chosen = letters[int(random.choice(len(letters), p=shares / shares.sum()))]
        return chosen + str(int(10 ** random.uniform(0, 2.6)))
    if kind == 1:
        group = (COMMON, TRADE, GENERAL)[int(random.choice(3, p=(0.5, 0.3, 0.2)))]
        word = group[int(random.integers(len(group)))]
        return (word, word, word, word.lower(), word.capitalize())[int(random.integers(5))]
    if kind == 2:
        return str(int(random.integers(0, 100)))
    if kind == 3:
        whole, part = random.integers(1, 100), random.integers(0, 10)
        units = ("k", "R", "M", "n", "u", "V", "k", "uF", "nF", "pF", "mA")
        unit = units[int(random.integers(len(units)))]
        forms = (f"{whole}{unit}", f"{whole % 10}{unit[0]}{part}", f"{whole % 10}.{part}{unit}")
        return forms[int(random.integers(3))]
    pool = (CAPITALS, CAPITALS + DIGITS, CAPITALS + SMALL + DIGITS + "+-/.")[int(random.integers(3))]
    return "".join(pool[int(random.integers(len(pool)))] for _ in range(int(random.integers(2, 8))))


Draw = Callable[[Random, str], Samples]


def own_face(random: Random) -> Draw:
    """A face of our own alphabet: one style, one form of each character, one pen."""
    style, pen = random_style(random), random_pen(random)
    forms = {character: skeletons[int(random.integers(len(skeletons)))] for character, skeletons in ALPHABET.items()}
    return _stroke_face({c: drawn(form, style, c in SMALL or c == "µ") for c, form in forms.items()}, pen)


def stroke_face(file: Path, random: Random) -> Draw:
    """A Hershey face with one pen."""
    return _stroke_face(hershey_face(file), random_pen(random))


def _stroke_face(glyphs: dict[str, Glyph], pen: float) -> Draw:
    def draw(random: Random, text: str) -> Samples:
        known = [character for character in text if character in glyphs]
        return stroke_samples(
            random, [shaken(random, glyphs[c]) for c in known], [NUMBER[c] for c in known], np.full(len(known), pen)
        )

    return draw


def outline_face(file: Path) -> Draw:
    """An outline face."""

    def draw(random: Random, text: str) -> Samples:
        known = [character for character in text if has(file, character)]
        return outline_samples(random, [file] * len(known), known)

    return draw


def draw_rows(random: Random, faces: list[Draw], count: int) -> tuple[Samples, NDArray[np.int64], list[str]]:
    """So many words, each in a face of these: all their glyphs, where each word starts (count + 1,), their texts."""
    parts, starts, texts = [], [0], []
    for at in range(count):
        samples = faces[at % len(faces)](random, random_text(random))
        text = "".join(CLASSES[number] for number in samples.classes)
        if text and set(text) <= LOW:
            metrics = samples.metrics / np.median(samples.metrics[:, 1])
            metrics[:, 2] = 0
            samples = Samples(samples.pictures, metrics.astype(np.float32), samples.classes)
        parts.append(samples)
        starts.append(starts[-1] + len(samples))
        texts.append(text)
    return together(parts), np.array(starts), texts


def fit_calibration(shares: NDArray[np.float64], right: NDArray[np.bool_]) -> Calibration:
    """The logistic curve that makes these outcomes the likeliest, by Newton's method; a few counts evened out."""
    odds = np.array([log_odds(float(share)) for share in shares])
    inputs = np.column_stack((odds, np.ones(len(odds))))
    # Two made-up words at the middle, one right and one wrong, keep the curve finite.
    inputs = np.concatenate((inputs, ((0.0, 1.0), (0.0, 1.0))))
    truth = np.concatenate((right.astype(np.float64), (0.0, 1.0)))
    weights = np.array((1.0, 0.0))
    for _ in range(30):
        chance = 1 / (1 + np.exp(-(inputs @ weights)))
        slope = inputs.T @ (truth - chance) - 1e-3 * weights
        bend = (inputs * (chance * (1 - chance))[:, None]).T @ inputs + 1e-3 * np.eye(2)
        weights = weights + np.linalg.solve(bend, slope)
    return Calibration(max(float(weights[0]), 0.05), float(weights[1]))
