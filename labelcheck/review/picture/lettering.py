"""Letters of a picture: Pillow's built-in scalable face, each letter drawn once and set by ourselves."""

import unicodedata
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import ImageFont

Coverage = NDArray[np.uint8]

_SPELT = {  # signs that the face does not have, as it can say them
    "×": "x", "–": "-", "—": "-", "−": "-", "µ": "u", "μ": "u", "Ω": "Ohm", "\u2126": "Ohm", "≥": ">=", "≤": "<=",
    "²": "2", "³": "3", "ß": "ss", "„": '"', "→": "->", "←": "<-", "↔": "<->", "æ": "ae", "Æ": "AE", "ø": "o",
    "Ø": "O", "\N{REPLACEMENT CHARACTER}": "?",
}
_ELLIPSIS = "…"


@dataclass(frozen=True, slots=True, eq=False)
class Letter:
    """One letter: its coverage, where that lies from the pen's place on the base line, and how far the pen moves."""

    cover: Coverage
    left: int
    top: int
    """Negative above the base line."""
    advance: float


class Face:
    """The built-in face at one size in pixels."""

    def __init__(self, size: int) -> None:
        font = ImageFont.load_default(size)
        if not isinstance(font, ImageFont.FreeTypeFont):
            raise RuntimeError("Pillow was built without FreeType, so that it has no scalable letters.")
        self._type = font
        self._letters: dict[str, Letter] = {}
        self._lengths: dict[str, float] = {}
        self._missing = bytes(self._type.getmask("\ue123"))
        self.size = size
        self.ascent, descent = self._type.getmetrics()
        self.line_height = self.ascent + descent

    def width(self, text: str) -> int:
        """How many pixels the text is wide."""
        return int(np.ceil(sum(self.length(word) for word in text.split(" ")) + text.count(" ") * self.length(" ")))

    def length(self, text: str) -> float:
        """How far the pen moves for a word; remembered, for words come again."""
        length = self._lengths.get(text)
        if length is None:
            length = self._lengths[text] = sum(self.letter(sign).advance for sign in self.spelt(text))
        return length

    def cover(self, text: str, bold: bool = False) -> Coverage:
        """The text as coverage, (line height, width); letters that reach beyond are cut."""
        signs = self.spelt(text)
        letters = [self.letter(sign) for sign in signs]
        width = int(np.ceil(sum(letter.advance for letter in letters))) + 2
        line = np.zeros((self.line_height, width), dtype=np.uint8)
        pen = 0.0
        for letter in letters:
            height, breadth = letter.cover.shape
            x, y = max(round(pen) + letter.left, 0), max(self.ascent + letter.top, 0)
            place = line[y : y + height, x : x + breadth]
            np.maximum(place, letter.cover[: place.shape[0], : place.shape[1]], out=place)
            pen += letter.advance
        if bold:
            line[:, 1:] = np.maximum(line[:, 1:], line[:, :-1])
        return line

    def spelt(self, text: str) -> str:
        """The text in signs that the face has: accents may fall off, and what cannot be said becomes a box."""
        if text.isascii():
            return text
        return "".join(self._spell(sign) for sign in text)

    def _spell(self, sign: str) -> str:
        if sign.isascii() or self._has(sign):
            return sign
        if sign in _SPELT:
            return _SPELT[sign]
        plain = unicodedata.normalize("NFKD", sign)[:1]
        return plain if plain.isascii() and plain else sign

    def _has(self, sign: str) -> bool:
        return bytes(self._type.getmask(sign)) != self._missing

    def letter(self, sign: str) -> Letter:
        """One letter, drawn at its first use."""
        known = self._letters.get(sign)
        if known is None:
            mask, (left, top) = self._type.getmask2(sign, mode="L", anchor="ls")
            cover = np.frombuffer(bytes(mask), dtype=np.uint8).reshape(mask.size[1], mask.size[0])
            known = Letter(cover, left, top, self._type.getlength(sign))
            self._letters[sign] = known
        return known


@lru_cache(maxsize=16)
def face(size: int) -> Face:
    """The face at one size; letters drawn once serve all pictures."""
    return Face(size)


def wrapped(text: str, letters: Face, width: int, most_lines: int | None = None) -> list[str]:
    """The text in lines that fit a width in pixels; where there are too many the last one ends in an ellipsis."""
    lines: list[str] = []
    current, used = "", 0.0
    for word in text.split():
        length = letters.length(word)
        if current and used + letters.length(" ") + length <= width:
            current, used = f"{current} {word}", used + letters.length(" ") + length
            continue
        if current:
            lines.append(current)
        while length > width and len(word) > 1:
            fitting = _fitting(word, letters, width)
            lines.append(word[:fitting])
            word = word[fitting:]
            length = letters.length(word)
        current, used = word, length
    if current:
        lines.append(current)
    if most_lines is not None and len(lines) > most_lines:
        last = f"{lines[most_lines - 1]} {lines[most_lines]}"
        return [*lines[: most_lines - 1], shortened(last, letters, width)]
    return lines


def shortened(text: str, letters: Face, width: int) -> str:
    """The text, or as much of its beginning as fits the width together with an ellipsis."""
    if letters.width(text) <= width:
        return text
    kept = _fitting(text, letters, width - letters.width(_ELLIPSIS))
    return text[:kept].rstrip() + _ELLIPSIS


def _fitting(text: str, letters: Face, width: int) -> int:
    """How many characters fit, at least one."""
    used = 0.0
    for place, sign in enumerate(text):
        used += sum(letters.letter(part).advance for part in letters.spelt(sign))
        if used > width:
            return max(place, 1)
    return len(text)
