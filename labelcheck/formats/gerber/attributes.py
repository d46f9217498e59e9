"""Attributes of files, apertures and objects (Gerber layer format, chapter 5)."""

import re
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.artwork import AttributeSet
from labelcheck.formats.gerber.bounds import MOST_ATTRIBUTES

Integers = NDArray[np.int64]

_ESCAPE = re.compile(r"\\u([0-9A-Fa-f]{4})|\\U([0-9A-Fa-f]{8})")
_LAST_CODE_POINT = 0x10FFFF
_SURROGATES = range(0xD800, 0xE000)


def unescape(text: str) -> str:
    """Replace `\\u002A` and `\\U0001F600` by their characters (chapter 3, strings)."""

    def character(found: re.Match[str]) -> str:
        number = int(found.group(1) or found.group(2), 16)
        return found.group() if number > _LAST_CODE_POINT or number in _SURROGATES else chr(number)

    return _ESCAPE.sub(character, text) if "\\" in text else text


def split_attribute(text: str) -> tuple[str, tuple[str, ...]]:
    """`.FileFunction,Legend,Top` -> its name and values; an attribute may have no value."""
    name, *values = [part.strip() for part in text.split(",")]
    if "\\" in text:
        return unescape(name), tuple(unescape(value) for value in values)
    return name, tuple(values)


def attribute_set(attributes: dict[str, tuple[str, ...]]) -> AttributeSet:
    """Attributes in order of name."""
    return tuple(sorted(attributes.items())) if len(attributes) > 1 else tuple(attributes.items())


@dataclass(slots=True)
class AttributeBook:
    """Attributes in force while a file is read, and every set met so far; row 0 is the empty set."""

    of_file: dict[str, tuple[str, ...]] = field(default_factory=dict)
    _of_aperture: dict[str, tuple[str, ...]] = field(default_factory=dict)
    _of_object: dict[str, tuple[str, ...]] = field(default_factory=dict)
    _rows: dict[AttributeSet, int] = field(default_factory=lambda: {(): 0})
    _sets: list[AttributeSet] = field(default_factory=lambda: [()])
    _merged: dict[tuple[int, int], int] = field(default_factory=dict)
    aperture_row: int = 0
    """Row of the aperture attributes in force; regions get them too (clause 5.3)."""
    object_row: int = 0

    def obey(self, code: str, text: str) -> bool:
        """Carry out TF, TA, TO or TD; False where too many attributes are in force to take one more."""
        if code == "TD":
            self._delete(unescape(text.lstrip(",").strip()))
            return True
        name, values = split_attribute(text)
        attributes = self._of_object if code == "TO" else self._of_aperture if code == "TA" else self.of_file
        if name not in attributes and len(attributes) >= MOST_ATTRIBUTES:
            return False
        attributes[name] = values
        if code == "TA":
            self.aperture_row = self._row(attribute_set(self._of_aperture))
        elif code == "TO":
            self.object_row = self._row(attribute_set(self._of_object))
        return True

    def _delete(self, name: str) -> None:
        if not name:
            self._of_aperture.clear()
            self._of_object.clear()
            self.aperture_row = self.object_row = 0
            return
        if self._of_aperture.pop(name, None) is not None:
            self.aperture_row = self._row(attribute_set(self._of_aperture))
        if self._of_object.pop(name, None) is not None:
            self.object_row = self._row(attribute_set(self._of_object))

    def _row(self, attributes: AttributeSet) -> int:
        row = self._rows.setdefault(attributes, len(self._sets))
        if row == len(self._sets):
            self._sets.append(attributes)
        return row

    def merged_row(self, under: int, over: int) -> int:
        """Row of both sets together; where both name an attribute, `over` holds."""
        if under == 0 or under == over:
            return over
        if over == 0:
            return under
        row = self._merged.get((under, over))
        if row is None:
            row = self._row(attribute_set(dict(self._sets[under]) | dict(self._sets[over])))
            self._merged[under, over] = row
        return row

    def merged_rows(self, under: Integers, over: Integers) -> Integers:
        """Rows of both sets together, for columns of rows."""
        if not under.any():
            return over
        pairs, place = np.unique(np.column_stack((under, over)), axis=0, return_inverse=True)
        merged = np.array([self.merged_row(*pair) for pair in pairs.tolist()], dtype=np.int64)
        return merged[place.reshape(-1)]

    def sets(self) -> tuple[AttributeSet, ...]:
        """Every set met, by row."""
        return tuple(self._sets)
