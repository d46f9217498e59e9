"""Stroke faces: skeletons to polylines in a style, and the public-domain faces of A. V. Hershey.

A glyph is a tuple of paths, each an array (k, 2) of points: x right, y up, base line at 0, capitals 1 high.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.reading.training.alphabet import X_HEIGHT, Skeleton

Path2D = NDArray[np.float64]
Glyph = tuple[Path2D, ...]


MOST_ECCENTRIC = 1.8
"""A corner is rounded at most so much farther on one leg than on the other."""


@dataclass(frozen=True, slots=True)
class Style:
    """How skeletons become a face."""

    softness: float
    """Share of the room at a soft corner that is rounded away: 1 makes ellipses of boxes, 0 keeps them square."""
    most: float
    """Upper bound of what is rounded away, in heights of capitals: small makes rounded boxes or small chamfers."""
    pieces: int
    """Straight pieces a rounded corner is made of; 1 is a chamfer."""
    width: float
    """Factor on the width."""
    x_height: float
    slant: float
    """Tangent of the slope of uprights."""
    waist: float = 0.0
    """How much higher than drawn the middle of capitals and digits lies."""


PLAIN = Style(softness=1.0, most=1.0, pieces=4, width=1.0, x_height=X_HEIGHT, slant=0.0)


def drawn(skeleton: Skeleton, style: Style, small: bool) -> Glyph:
    """The glyph of a skeleton in a style; `small` for lower case, whose x-height the style moves."""
    middle, moved = (X_HEIGHT, style.x_height) if small else (0.5, 0.5 + style.waist)
    knots = ([-0.4, 0.0, middle, 1.0, 1.4], [-0.4, 0.0, moved, 1.0, 1.4])
    glyph = []
    for path in skeleton.paths:
        points = np.array([(x, y) for x, y, _ in path])
        points[:, 0] *= skeleton.width * style.width
        points[:, 1] = np.interp(points[:, 1], *knots)
        points = _softened(points, [soft for _, _, soft in path], style)
        points[:, 0] += style.slant * points[:, 1]
        glyph.append(points)
    return tuple(glyph)


def _softened(points: Path2D, soft: list[bool], style: Style) -> Path2D:
    """The path with its soft corners cut by quarter ellipses of `style.pieces` straight pieces."""
    last = len(points) - 1
    turned: list[Path2D] = []
    share = np.linspace(0, np.pi / 2, style.pieces + 1)[:, None]
    for at, point in enumerate(points):
        if not soft[at] or at in (0, last) or style.softness == 0:
            turned.append(point[None])
            continue
        first, second = _cuts(points, soft, at, style)
        turned.append(point + first * (1 - np.sin(share)) + second * (1 - np.cos(share)))
    return np.concatenate(turned)


def _cuts(points: Path2D, soft: list[bool], at: int, style: Style) -> tuple[Path2D, Path2D]:
    """From a soft corner to where its rounding begins on either leg."""
    last = len(points) - 1
    legs, cuts = [], []
    for other in (at - 1, at + 1):
        leg = points[other] - points[at]
        length = max(float(np.hypot(leg[0], leg[1])), 1e-9)
        # Two soft corners share the edge between them; a soft corner may use up an edge that ends hard.
        room = length * (0.5 if soft[other] and other not in (0, last) else 1.0)
        legs.append(leg / length)
        cuts.append(min(room * style.softness, style.most))
    least = min(cuts)
    return legs[0] * min(cuts[0], least * MOST_ECCENTRIC), legs[1] * min(cuts[1], least * MOST_ECCENTRIC)


def hershey_face(file: Path) -> dict[str, Glyph]:
    """Characters of a face in James Hurt's text form of the Hershey data, in ASCII order, scaled to capitals 1 high.

    Each glyph: number (5 columns), count of pairs (3 columns), pairs of letters as offsets from `R`, ` R` lifts the
    pen; the first pair is the left and right bearing; y down.
    """
    lines = file.read_text("ascii").splitlines()
    texts: list[str] = []
    for line in lines:
        if line[:5].strip().isdigit() and len(line) >= 8:
            texts.append(line)
        elif texts:
            texts[-1] += line
    raw = {chr(32 + at): _hershey_paths(text[8:]) for at, text in enumerate(texts[:96])}
    capital = np.concatenate(raw["H"])
    base, height = capital[:, 1].min(), np.ptp(capital[:, 1])
    return {
        character: tuple(np.column_stack((path[:, 0], path[:, 1] - base)) / height for path in paths)
        for character, paths in raw.items()
        if paths
    }


def _hershey_paths(text: str) -> Glyph:
    paths: list[list[tuple[int, int]]] = [[]]
    for at in range(2, len(text) - 1, 2):
        pair = text[at : at + 2]
        if pair == " R":
            paths.append([])
        else:
            paths[-1].append((ord(pair[0]) - ord("R"), ord("R") - ord(pair[1])))
    return tuple(np.array(path, dtype=np.float64) for path in paths if path)
