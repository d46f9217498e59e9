"""Asks a parsed limits file for its values; what is wrong or not known is gathered with its line, none is lost."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches

from labelcheck.formats.limits_file.lines import KeyPath

_SHOWN = 40
"""Characters of a wrong value that are shown."""


@dataclass(slots=True)
class Document:
    """One limits file while it is read (mutable: problems gather); `place` is what a person calls it."""

    name: str
    place: str
    lines: Mapping[KeyPath, int]
    top_keys: frozenset[str] = frozenset()
    problems: list[tuple[int, str]] = field(default_factory=list)
    """Line, and a sentence or two: what is wrong, and the cure."""

    def line(self, path: KeyPath) -> int:
        """The line of a key, or of the nearest table around it that has one."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)

    def source(self, path: KeyPath) -> str:
        """`labelcheck.toml:12`."""
        return f"{self.name}:{self.line(path)}"

    def wrong(self, path: KeyPath, problem: str) -> None:
        """Remember a problem with its line."""
        self.problems.append((self.line(path), problem))


@dataclass(slots=True)
class Table:
    """One table being asked for its keys; every question notes its key, so that the rest is not known."""

    document: Document
    path: KeyPath
    values: Mapping[str, object]
    _asked: set[str] = field(default_factory=set)

    def line(self, key: str) -> int:
        return self.document.line((*self.path, key))

    def own_line(self) -> int:
        """The line of the table itself."""
        return self.document.line(self.path)

    def source(self, key: str | None = None) -> str:
        """Where the key stands, or the table as a whole."""
        return self.document.source(self.path if key is None else (*self.path, key))

    def wrong(self, key: str | None, problem: str) -> None:
        self.document.wrong(self.path if key is None else (*self.path, key), problem)

    def has(self, key: str) -> bool:
        return key in self.values

    def get(self, key: str) -> object | None:
        """The value as the parser gave it, None where it is not there."""
        self._asked.add(key)
        return self.values.get(key)

    def need(self, key: str, meaning: str) -> None:
        """Complain where the key is missing."""
        if key not in self.values:
            self.wrong(None, f'"{key}" is missing: {meaning}.')

    def text(self, key: str) -> str | None:
        value = self.get(key)
        if value is None:
            return None
        if not isinstance(value, str):
            self.wrong(key, f'"{key}" is {_shown(value)}, where a text in quotes is needed.')
            return None
        if not value.strip():
            self.wrong(key, f'"{key}" is empty. Write a text, or take the line out.')
            return None
        return value

    def texts(self, key: str) -> tuple[str, ...] | None:
        """A text, or an array of texts."""
        value = self.get(key)
        if not isinstance(value, list):
            one = self.text(key)
            return None if one is None else (one,)
        if not value or not all(isinstance(text, str) and text.strip() for text in value):
            self.wrong(key, f'"{key}" is {_shown(value)}, where texts in quotes are needed.')
            return None
        return tuple(value)

    def choice(self, key: str, words: Sequence[str]) -> str | None:
        """One of some words."""
        value = self.text(key)
        if value is None or value in words:
            return value
        none_of = f'"{key}" is "{_cut(value)}", which is none of {_alternatives(words)}.'
        self.wrong(key, none_of + _nearest(value, words))
        return None

    def switch(self, key: str) -> bool | None:
        value = self.get(key)
        if value is None or isinstance(value, bool):
            return value
        self.wrong(key, f'"{key}" is {_shown(value)}, where true or false is needed.')
        return None

    def number(self, key: str, least: float, most: float, unit: str) -> float | None:
        """A number from `least` to `most`, both allowed."""
        value = self.get(key)
        if value is None:
            return None
        if not _is_number(value):
            self.wrong(key, f'"{key}" is {_shown(value)}, where a number{_in(unit)} is needed.')
            return None
        return self._within(key, float(value), least, most, unit)  # type: ignore[arg-type]  # a number, by the line above

    def numbers(self, key: str, count: int, least: float, most: float) -> tuple[float, ...] | None:
        """An array of so many numbers in millimetres."""
        value = self.get(key)
        if value is None:
            return None
        if not isinstance(value, list) or len(value) != count or not all(map(_is_number, value)):
            example = ", ".join(["0.0"] * count)
            self.wrong(key, f'"{key}" is {_shown(value)}, where {count} numbers in mm are needed: [{example}].')
            return None
        found = [self._within(key, float(one), least, most, "mm") for one in value]
        return None if None in found else tuple(one for one in found if one is not None)

    def _within(self, key: str, value: float, least: float, most: float, unit: str) -> float | None:
        if math.isfinite(value) and least <= value <= most:
            return value
        between = f"{least:g} to {most:g}{'' if unit in ('', 'fraction', 'count') else ' ' + unit}"
        lengths = " All lengths are millimetres." if unit == "mm" else ""
        self.wrong(key, f'"{key}" is {value:g}, which is impossible; it can be {between}.{lengths}')
        return None

    def table(self, key: str) -> "Table | None":
        value = self.get(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            self.wrong(key, f'"{key}" is {_shown(value)}, where a table is needed: [{key}].')
            return None
        return Table(self.document, (*self.path, key), value)

    def tables(self, key: str) -> list["Table"]:
        """An array of tables, `[[key]]`."""
        value = self.get(key)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            self.wrong(key, f'"{key}" is {_shown(value)}, where tables are needed: [[{key}]], one for each.')
            return []
        return [Table(self.document, (*self.path, key, number), one) for number, one in enumerate(value)]

    def finish(self) -> None:
        """Complain about every key that nobody asked for."""
        for key in self.values:
            if key not in self._asked:
                self.wrong(key, self._unknown(key))

    def _unknown(self, key: str) -> str:
        where = f" in {_table_name(self.path)}" if self.path else ""
        told = f'The key "{_cut(key)}" is not known{where}.'
        near = _nearest(key, self._asked)
        if near:
            return told + near
        if self.path and key in self.document.top_keys:
            return f"{told} It belongs above the first [table] of the file."
        return f"{told} Known are: {', '.join(sorted(self._asked))}."


def _is_number(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return isinstance(value, float) or abs(value) < 1e15


def _nearest(word: str, words: Iterable[str]) -> str:
    """` Did you mean "stroke"?`, or nothing where no word is near."""
    plain = {_plain(known): known for known in sorted(words)}
    near = get_close_matches(_plain(word), list(plain), n=1, cutoff=0.6)
    return f' Did you mean "{plain[near[0]]}"?' if near else ""


def _plain(word: str) -> str:
    return word.lower().replace("_", "-").replace(" ", "-").replace("colors", "colours")


def _alternatives(words: Sequence[str]) -> str:
    quoted = [f'"{word}"' for word in words]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"


def _table_name(path: KeyPath) -> str:
    keys = [str(key) for key in path if isinstance(key, str)]
    return f"[[{'.'.join(keys)}]]" if isinstance(path[-1], int) else f"[{'.'.join(keys)}]"


def _in(unit: str) -> str:
    return "" if unit in ("", "fraction", "count") else f" in {unit}"


def _shown(value: object) -> str:
    """A wrong value as its writer knows it, cut short."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{_cut(value)}"'
    return _cut(str(value))


def _cut(text: str) -> str:
    text = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)
    return text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"
