"""Where something stands: a file, a line; and what is to be told about it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Remark:
    """Something skipped, guessed or not understood, which the person must see."""

    file: str
    """Name of the file within the set; empty where the remark is about the whole set."""
    line: int | None
    message: str
    """One sentence or two: what was met, what was done, what to do about it."""

    def __str__(self) -> str:
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        return f"{place}: {self.message}" if place else self.message
