"""On which line each key of a TOML document stands, which the parser of the standard library does not tell.

Only for documents that the parser has taken: what is not valid there may be walked through in any way here.
"""

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass, field

KeyPath = tuple[str | int, ...]
"""Keys from the root down; a number is a place in an array."""

_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_SPACES = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_QUOTED = re.compile(r"""\"(?:[^"\\\n]|\\.)*\"|'[^'\n]*'""")
_LONG = {
    '"""': re.compile(r'"""(?:[^"\\]|\\[\s\S]|"{1,2}(?!"))*"{3,5}'),
    "'''": re.compile(r"'''(?:[^']|'{1,2}(?!'))*'{3,5}"),
}
_PLAIN = re.compile(r"[^,\]}#\n]*")


def lines_of(text: str) -> dict[KeyPath, int]:
    """The line, from 1, on which each key, table and array element of a valid document first stands."""
    walk = _Walk(text.replace("\r\n", "\n"))
    walk.document()
    return walk.lines


@dataclass(slots=True)
class _Walk:
    """A place in the document, moving on; `lines` fills on the way."""

    text: str
    at: int = 0
    lines: dict[KeyPath, int] = field(default_factory=dict)
    _tables: dict[KeyPath, int] = field(default_factory=dict)
    """How many elements each array of tables has so far."""
    _line_starts: list[int] = field(init=False)

    def __post_init__(self) -> None:
        self._line_starts = [0, *(found.end() for found in re.finditer("\n", self.text))]

    def document(self) -> None:
        """Walk through all of it."""
        table: KeyPath = ()
        self._pass(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._pass(_BLANK)

    def _pass(self, pattern: re.Pattern[str]) -> str:
        """Move past what the pattern fits; at least one character where it fits nothing that it should."""
        found = pattern.match(self.text, self.at)
        self.at = found.end() if found is not None else self.at + 1
        return found.group() if found is not None else ""

    def _line(self, at: int) -> int:
        return bisect_right(self._line_starts, at)

    def _note(self, path: KeyPath, at: int) -> None:
        self.lines.setdefault(path, self._line(at))

    def _header(self) -> KeyPath:
        """`[a.b]` or `[[a.b]]`; the path of the table that it opens."""
        start = self.at
        of_array = self.text.startswith("[[", start)
        self.at += 2 if of_array else 1
        keys = self._keys()
        self.at += 2 if of_array else 1
        path: KeyPath = ()
        for key in keys[:-1]:
            path = self._last_element((*path, key))
            self._note(path, start)
        path = (*path, keys[-1])
        self._note(path, start)
        if not of_array:
            return self._last_element(path)
        self._tables[path] = self._tables.get(path, 0) + 1
        path = self._last_element(path)
        self._note(path, start)
        return path

    def _last_element(self, path: KeyPath) -> KeyPath:
        """The path itself, or its last element so far where it is an array of tables."""
        return (*path, self._tables[path] - 1) if path in self._tables else path

    def _keys(self) -> list[str]:
        """`a."b".c` with blanks between; never empty."""
        keys = []
        while True:
            self._pass(_SPACES)
            if self.text.startswith(('"', "'"), self.at):
                keys.append(str(tomllib.loads(f"key = {self._pass(_QUOTED)}")["key"]))
            else:
                keys.append(self._pass(_BARE_KEY))
            self._pass(_SPACES)
            if not self.text.startswith(".", self.at):
                return keys
            self.at += 1

    def _pair(self, table: KeyPath) -> None:
        start, path = self.at, table
        for key in self._keys():
            path = (*path, key)
            self._note(path, start)
        self.at += 1  # the equals sign
        self._pass(_SPACES)
        self._value(path)

    def _value(self, path: KeyPath) -> None:
        for quotes, pattern in _LONG.items():
            if self.text.startswith(quotes, self.at):
                self._pass(pattern)
                return
        match self.text[self.at : self.at + 1]:
            case '"' | "'":
                self._pass(_QUOTED)
            case "[":
                self._elements(path)
            case "{":
                self._inline_table(path)
            case _:
                self._pass(_PLAIN)

    def _elements(self, path: KeyPath) -> None:
        self.at += 1
        number = 0
        self._pass(_BLANK)
        while self.at < len(self.text) and self.text[self.at] != "]":
            self._note((*path, number), self.at)
            self._value((*path, number))
            number += 1
            self._comma()
        self.at += 1

    def _inline_table(self, path: KeyPath) -> None:
        self.at += 1
        self._pass(_BLANK)
        while self.at < len(self.text) and self.text[self.at] != "}":
            self._pair(path)
            self._comma()
        self.at += 1

    def _comma(self) -> None:
        self._pass(_BLANK)
        if self.text.startswith(",", self.at):
            self.at += 1
        self._pass(_BLANK)
