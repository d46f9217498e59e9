"""Samples to learn from: pictures, metrics, classes of spoiled glyphs, drawn as the finder of labels draws them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.pictures import draw_glyphs
from labelcheck.labels.reading.characters import CAPITALS, DIGITS, NUMBER, SMALL
from labelcheck.labels.reading.training.alphabet import ALPHABET
from labelcheck.labels.reading.training.strokes import Glyph, Style, drawn
from labelcheck.trade.shapes import bars

Random = np.random.Generator
Pictures = NDArray[np.float32]

WEIGHTS = {
    **dict.fromkeys(CAPITALS, 2.0), **dict.fromkeys(DIGITS, 2.4), **dict.fromkeys(SMALL, 1.2),
    **dict.fromkeys("+-/.()_", 1.0), **dict.fromkeys(":,#&%=<>*µΩ°", 0.7), **dict.fromkeys("~!?'\"$@[]|", 0.45),
}
"""How often each character is drawn; a class prior that `words` knows nothing of, so kept mild."""


_LETTERS = [NUMBER[character] for character in CAPITALS + SMALL + DIGITS]
_TWINS = [NUMBER[character] for small in "cosuvwxzkp" for character in (small, small.upper())]


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """n glyphs: `pictures` (n, 32, 24) uint8 (255 is ink), `metrics` (n, 4), `classes` (n,)."""

    pictures: NDArray[np.uint8]
    metrics: Pictures
    classes: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.classes)

    def take(self, rows: NDArray[np.int64] | NDArray[np.bool_]) -> "Samples":
        """The chosen samples."""
        return Samples(self.pictures[rows], self.metrics[rows], self.classes[rows])


def together(parts: Sequence[Samples]) -> Samples:
    """All samples of all parts, in order."""
    return Samples(
        np.concatenate([p.pictures for p in parts]), np.concatenate([p.metrics for p in parts]),
        np.concatenate([p.classes for p in parts]),
    )


def random_characters(random: Random, count: int, of: Sequence[str] = tuple(WEIGHTS)) -> list[str]:
    """Characters drawn by `WEIGHTS`."""
    weights = np.array([WEIGHTS[character] for character in of])
    return [of[int(at)] for at in random.choice(len(of), count, p=weights / weights.sum())]


def random_style(random: Random) -> Style:
    """Round, rounded, octagonal or square; narrow to wide; upright, seldom sloped."""
    kind = random.choice(4, p=(0.4, 0.25, 0.27, 0.08))
    softness, most, pieces = (
        (random.uniform(0.75, 1), 1.0, int(random.integers(2, 6))),
        (random.uniform(0.6, 1), random.uniform(0.08, 0.3), int(random.integers(2, 5))),
        (1.0, random.uniform(0.06, 0.26), 1),
        (0.0, 1.0, 1),
    )[kind]
    return Style(
        softness=softness, most=most, pieces=pieces, width=float(np.exp(random.normal(0, 0.16))),
        x_height=random.uniform(0.55, 0.76), slant=random.normal(0, 0.1) if random.random() < 0.25 else 0.0,
        waist=float(np.clip(random.normal(0, 0.06), -0.15, 0.15)),
    )


def random_pen(random: Random) -> float:
    """Width of the pen in heights of capitals, from a quarter to a twentieth."""
    return float(np.clip(np.exp(random.normal(np.log(0.13), 0.36)), 0.05, 0.25))


def own_glyph(random: Random, character: str) -> Glyph:
    """One of our skeletons of a character, in a random style."""
    forms = ALPHABET[character]
    form = forms[min(int(random.exponential(1.6)), len(forms) - 1)] if random.random() < 0.5 else forms[
        int(random.integers(len(forms)))]
    return drawn(form, random_style(random), character in SMALL or character == "µ")


def shaken(random: Random, glyph: Glyph) -> Glyph:
    """The glyph with its corners moved a little, an end cut short now and then, turned by up to 4 degrees."""
    loose = (0.0, 0.01, 0.025)[int(random.integers(3))]
    angle = np.deg2rad(np.clip(random.normal(0, 1.2), -4, 4))
    turn = np.array(((np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))))
    wide = random.uniform(0.88, 1.14)
    paths = []
    for path in glyph:
        points = (path + random.normal(0, loose, path.shape)) * (wide, 1) if loose else path * (wide, 1)
        if len(points) > 1 and random.random() < 0.12:
            end = 0 if random.random() < 0.5 else -1
            beside = points[1 if end == 0 else -2]
            points[end] += (beside - points[end]) * random.uniform(0, 0.3)
        paths.append(points @ turn)
    return tuple(paths)


def stroke_samples(
    random: Random, glyphs: Sequence[Glyph], classes: Sequence[int], pens: NDArray[np.float64] | None = None
) -> Samples:
    """Draw stroke glyphs with the given pens (n,), else each with a random one, and spoil the pictures."""
    if pens is None:
        pens = np.array([random_pen(random) for _ in glyphs])
    starts, ends, owner = [], [], []
    for at, glyph in enumerate(glyphs):
        for path in glyph:
            chain = path if len(path) > 1 else np.repeat(path, 2, axis=0)
            starts.append(chain[:-1])
            ends.append(chain[1:])
            owner.append(np.full(len(chain) - 1, at))
    start, end, of = np.concatenate(starts), np.concatenate(ends), np.concatenate(owner)
    shapes = bars(start[:, 0], start[:, 1], end[:, 0], end[:, 1], pens[of])
    laid = lay_out(shapes, np.arange(len(of)), of, np.zeros(len(glyphs)))
    box = laid.box
    # The height of capitals is measured ink to ink, so the pen adds to it, and the base line is below the ink.
    sizes = (box[:, 2] - box[:, 0], box[:, 3] - box[:, 1], box[:, 1] + pens / 2, pens)
    metrics = np.column_stack(sizes) / (1 + pens)[:, None]
    return finished(random, draw_glyphs(laid), metrics, np.asarray(classes))


def finished(random: Random, pictures: Pictures, metrics: NDArray[np.float64], classes: NDArray[np.int64]) -> Samples:
    """Spoil pictures and metrics as printing and a badly estimated line of text do."""
    return Samples(
        np.round(spoiled(random, pictures) * 255).astype(np.uint8),
        misjudged(random, metrics, classes).astype(np.float32), np.asarray(classes, dtype=np.int64),
    )


def spoiled(random: Random, pictures: Pictures) -> Pictures:
    """Pictures blurred, with ink spread or starved, clipped at an edge or shifted by a pixel: some of each."""
    count = len(pictures)
    result = pictures.copy()
    blur = np.where(random.random(count) < 0.3, random.uniform(0, 0.25, count), 0).astype(np.float32)[:, None, None]
    padded = np.pad(result, ((0, 0), (1, 1), (1, 1)))
    around = padded[:, :-2, 1:-1] + padded[:, 2:, 1:-1] + padded[:, 1:-1, :-2] + padded[:, 1:-1, 2:]
    result += blur * (around / 4 - result) * 2
    spread = np.where(random.random(count) < 0.3, np.exp(random.normal(0, 0.35, count)), 1).astype(np.float32)
    result = np.clip(result, 0, 1) ** spread[:, None, None]
    for at in np.flatnonzero(random.random(count) < 0.06):
        rows = int(random.integers(1, 4))
        side = int(random.integers(4))
        sides = (result[at, :rows], result[at, -rows:], result[at, :, :rows], result[at, :, -rows:])
        sides[side][...] *= random.uniform(0, 0.5)
    for at in np.flatnonzero(random.random(count) < 0.1):
        result[at] = np.roll(result[at], random.integers(-1, 2, 2), axis=(0, 1))
    return result


def misjudged(random: Random, metrics: NDArray[np.float64], classes: NDArray[np.int64]) -> NDArray[np.float64]:
    """Metrics as measured on a line whose height of capitals and base line were estimated."""
    count = len(metrics)
    result = metrics * np.exp(random.normal(0, 0.035, count))[:, None]
    result[:, 2] += random.normal(0, 0.025, count)
    # A character alone, or among others of its height, is its own measure. Seldom shown of letters that look the same
    # in capitals and small: the network could only learn to doubt its metrics, and `read_rows` puts them right.
    chance = np.where(np.isin(classes, _TWINS), 0.03, np.where(np.isin(classes, _LETTERS), 0.1, 0.0))
    alone = random.random(count) < chance
    result[alone] /= result[alone, 1:2]
    result[alone, 2] = 0
    result[:, 3] *= np.exp(random.normal(0, 0.08, count))
    return result
