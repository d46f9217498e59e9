"""Outline faces: glyphs of installed font files as pictures, thickened, thinned, stretched and sloped."""

from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from labelcheck.labels.reading.bitmaps import fitted
from labelcheck.labels.reading.characters import NUMBER
from labelcheck.labels.reading.training.samples import Random, Samples, finished

CAPITAL_PIXELS = 56
"""Height of capitals at which outlines are rasterised."""
ROOM = 40
"""Clear pixels around an outline."""


@lru_cache(maxsize=256)
def _font(file: Path) -> ImageFont.FreeTypeFont:
    """The face, scaled so that its capital H is `CAPITAL_PIXELS` high."""
    trial = ImageFont.truetype(str(file), 100)
    _, top, _, bottom = trial.getbbox("H", anchor="ls")
    return ImageFont.truetype(str(file), 100 * CAPITAL_PIXELS / (bottom - top))


@lru_cache(maxsize=16384)
def bitmap(file: Path, character: str) -> tuple[Image.Image, int]:
    """Picture of a character with `ROOM` around it, ink 255, and the row of the base line."""
    font = _font(file)
    left, top, right, bottom = (int(v) for v in font.getbbox(character, anchor="ls"))
    picture = Image.new("L", (max(right - left, 1) + 2 * ROOM, max(bottom - top, 1) + 2 * ROOM), 0)
    ImageDraw.Draw(picture).text((ROOM - left, ROOM - top), character, fill=255, font=font, anchor="ls")
    return picture, ROOM - top


@lru_cache(maxsize=4096)
def has(file: Path, character: str) -> bool:
    """Whether a face draws this character, and not a box in its place."""
    missing, _ = bitmap(file, "\uffff")
    picture, _ = bitmap(file, character)
    return picture.getbbox() is not None and picture.tobytes() != missing.tobytes()


def outline_samples(random: Random, files: list[Path], characters: list[str]) -> Samples:
    """One sample a character, each of the face beside it, spoiled."""
    pictures, metrics = [], []
    for file, character in zip(files, characters, strict=True):
        picture, base = bitmap(file, character)
        ink, base_row = _bent(random, picture, base)
        box = ink_box(ink)
        tight = ink[box[1] : box[3], box[0] : box[2]]
        pictures.append(fitted(tight))
        edge = np.abs(np.diff(ink, axis=0)).sum() + np.abs(np.diff(ink, axis=1)).sum()
        stroke = 2 * tight.sum() / max(float(edge) * np.pi / 4, 1.0)  # axis-parallel edge length over-counts by 4/pi
        metrics.append((tight.shape[1], tight.shape[0], base_row - box[3], stroke))
    classes = np.array([NUMBER[character] for character in characters])
    return finished(random, np.stack(pictures), np.array(metrics, dtype=np.float64) / CAPITAL_PIXELS, classes)


def _bent(random: Random, picture: Image.Image, base: int) -> tuple[NDArray[np.float32], float]:
    """The picture made heavier or lighter, wider or narrower, sloped or turned a little; its base line's row."""
    if random.random() < 0.25:
        picture = picture.filter(ImageFilter.MaxFilter(3) if random.random() < 0.6 else ImageFilter.MinFilter(3))
    if random.random() < 0.35:
        wide = float(np.exp(random.normal(0, 0.09)))
        slope = random.normal(0, 0.06)
        angle = np.deg2rad(np.clip(random.normal(0, 1.2), -4, 4))
        size = (int(picture.width * wide) + 16, picture.height)
        middle = size[0] / 2
        coefficients = (1 / wide, slope / wide, (-middle - slope * base) / wide + picture.width / 2,
                        float(np.sin(angle)), 1.0, -middle * float(np.sin(angle)))
        bent = picture.transform(size, Image.Transform.AFFINE, coefficients, Image.Resampling.BILINEAR)
        if bent.getbbox() is not None:
            picture = bent
    return np.asarray(picture, dtype=np.float32) / np.float32(255), float(base)


def ink_box(ink: NDArray[np.float32]) -> tuple[int, int, int, int]:
    """Left, top, right, bottom of what is at least a third ink; the whole picture where nothing is."""
    dark = ink > 1 / 3
    columns, rows = np.flatnonzero(dark.any(axis=0)), np.flatnonzero(dark.any(axis=1))
    if len(columns) == 0:
        return 0, 0, ink.shape[1], ink.shape[0]
    return int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1
