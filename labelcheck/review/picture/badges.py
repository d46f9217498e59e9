"""Badges: numbers and words in the shape and colours of a severity or of the verdict."""

from collections.abc import Sequence

import numpy as np

from labelcheck.judging import Severity
from labelcheck.review.contents import Verdict
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import PAPER, RELEASED, SEVERITY_STYLES, SeverityStyle
from labelcheck.review.picture.lettering import Face, face
from labelcheck.review.picture.palette import Coverage

BADGE_LETTERS_PX = 27
BADGE_HEIGHT = 40
_HALO = 3
_EDGE = 3
_POINT = 0.55
"""How far the tip of a pointed end reaches, in half heights."""

VERDICT_STYLES = {
    Verdict.HOLD: SEVERITY_STYLES[Severity.UNREADABLE],
    Verdict.RELEASE: SeverityStyle("round", RELEASED, RELEASED, PAPER, "whole"),
}


def badge_size(text: str) -> tuple[int, int]:
    """Width and height in pixels of a badge, the same for every severity."""
    return _width(text, face(BADGE_LETTERS_PX), BADGE_HEIGHT), BADGE_HEIGHT


def draw_badge(canvas: Canvas, left: int, top: int, text: str, severity: Severity) -> None:
    """A numbered badge with a light halo, so that it stands out on any board."""
    width, height = badge_size(text)
    _draw(canvas, (left, top, width, height), text, SEVERITY_STYLES[severity], face(BADGE_LETTERS_PX))


def draw_verdict(canvas: Canvas, left: int, top: int, verdict: Verdict) -> int:
    """The verdict in large letters; how many pixels it is wide."""
    letters = face(54)
    text, height = str(verdict).upper(), 84
    width = _width(text, letters, height)
    _draw(canvas, (left, top, width, height), text, VERDICT_STYLES[verdict], letters)
    return width


def _width(text: str, letters: Face, height: int) -> int:
    return max(letters.width(text) + round(height * 0.62), round(height * 1.1))


def _draw(canvas: Canvas, box: tuple[int, int, int, int], text: str, style: SeverityStyle, letters: Face) -> None:
    left, top, width, height = box
    for colour, grown in ((PAPER, _HALO), (style.edge, 0), (style.fill, -_EDGE)):
        cover = end_shape(style.ends, (width, height), grown)
        canvas.blend(cover, left - _HALO, top - _HALO, colour)
    across = left + (width - letters.width(text)) // 2
    # Digits and capitals have no descenders: their middle is what has to stand in the middle.
    capital = letters.letter("H")
    down = top + (height - capital.cover.shape[0]) // 2 - (letters.ascent + capital.top)
    canvas.write((across, down), text, letters, (style.text, style.fill), bold=True)


def end_shape(ends: str, size: Sequence[int], grown: float) -> Coverage:
    """A badge's outline as coverage with a rim of the halo's width; `grown` pixels larger than its size."""
    width, height = size
    x = np.abs(np.arange(width + 2 * _HALO) + 0.5 - width / 2 - _HALO)[None, :]
    y = np.abs(np.arange(height + 2 * _HALO) + 0.5 - height / 2 - _HALO)[:, None]
    half_width, half_height = width / 2, height / 2
    if ends == "round":
        outside = np.hypot(np.maximum(x - (half_width - half_height), 0), y) - half_height
    elif ends == "pointed":
        slanted = ((x - half_width) + y * _POINT) / np.hypot(1, _POINT)
        outside = np.maximum(slanted, y - half_height)
    else:
        outside = np.maximum(x - half_width, y - half_height)
    return (np.clip(0.5 + grown - outside, 0, 1) * 255).astype(np.uint8)
