"""What a check is doing, on one line that a person watches and that is gone when the work is done."""

import os
import time
from typing import TextIO

from labelcheck.review.wording import printable

_PATIENCE_S = 0.5
"""Work that takes less than this needs no line."""


class Progress:
    """A line on a terminal, written over and over; nothing at all where no person watches, or in a child.

    The only thing here that changes while it is used.
    """

    def __init__(self, stream: TextIO, columns: int) -> None:
        self.stream = stream if stream.isatty() else None
        self.columns = columns
        self.owner = os.getpid()
        self.begun_s = time.monotonic()
        self.running: list[str] = []
        self.done = 0
        self.shown = False

    def begin(self, name: str) -> None:
        """Work on a set begins."""
        self.running.append(printable(name))

    def end(self, name: str) -> None:
        """Work on a set has ended, and what it found is about to be printed."""
        if printable(name) in self.running:
            self.running.remove(printable(name))
        self.done += 1
        self.clear()

    def tell(self, doing: str = "") -> None:
        """Show what is being done; `doing` says which part of it."""
        spent_s = time.monotonic() - self.begun_s
        if self.stream is None or os.getpid() != self.owner or (spent_s < _PATIENCE_S and not doing):
            return
        behind = f"{self.done} done, " if self.done else ""
        line = f"{behind}checking {', '.join(self.running)}{f': {doing}' if doing else ''} ({spent_s:.0f} s)"
        line = line if len(line) < self.columns else line[: self.columns - 2] + "…"
        self.stream.write(f"\r\x1b[K{line}")
        self.stream.flush()
        self.shown = True

    def clear(self) -> None:
        """Take the line away."""
        if self.stream is not None and self.shown:
            self.stream.write("\r\x1b[K")
            self.stream.flush()
            self.shown = False
