"""Runs the command that the person wants to be run on a change of verdict, without a shell and without waiting."""

import os
import shlex
import shutil
import signal
import subprocess
import tempfile
from collections import deque
from dataclasses import dataclass
from typing import IO

from labelcheck.trade.errors import WrongArguments
from labelcheck.trade.file_systems import ON_WINDOWS
from labelcheck.watching.messages import BoardTold

LONGEST_S = 60.0
"""A command that takes longer is ended."""
ENDING_S = 1.0
"""How long a command may take to end when it is asked to."""
WAITING_AT_MOST = 20
"""Of many changes at once the oldest are dropped."""


def words_of_command(text: str, on_windows: bool = ON_WINDOWS) -> tuple[str, ...]:
    """The words of a command line; raises `WrongArguments` where there is no such program."""
    lexer = shlex.shlex(text, posix=True)
    lexer.whitespace_split, lexer.commenters = True, ""
    if on_windows:
        lexer.escape = ""  # it parts folders there
    try:
        words = list(lexer)
    except ValueError as error:
        raise WrongArguments(f"--on-verdict: {text}: {error}. Close the quotes.") from error
    if not words:
        raise WrongArguments("--on-verdict is empty. Name a program that can be run.")
    if shutil.which(words[0]) is None:
        raise WrongArguments(f"--on-verdict: {text}: there is no such program. Name one that can be run.")
    if on_windows and words[0].lower().endswith((".bat", ".cmd")):
        told = "A batch file runs in a shell, which would run what the name of a set says. Name the program itself."
        raise WrongArguments(f"--on-verdict: {text}: {told}")
    return tuple(words)


@dataclass(slots=True)
class _Running:
    process: "subprocess.Popen[bytes]"
    told: IO[bytes]
    """What it says on its error output."""
    since_s: float


class Answering:
    """One command after the other; `{set}`, `{verdict}` and `{review}` in its words are filled in."""

    def __init__(self, words: tuple[str, ...]) -> None:
        self._words = words
        self._waiting: deque[BoardTold] = deque(maxlen=WAITING_AT_MOST)
        self._running: _Running | None = None

    @property
    def busy(self) -> bool:
        """Whether a command runs or waits."""
        return self._running is not None or bool(self._waiting)

    def verdict_changed(self, board: BoardTold) -> None:
        """Have the command run for a board."""
        self._waiting.append(board)

    def turn(self, now_s: float) -> str | None:
        """Begin what waits, see what ended; a sentence where it failed."""
        trouble = self._ended(now_s)
        if self._running is None and self._waiting:
            trouble = self._begin(self._waiting.popleft(), now_s) or trouble
        return trouble

    def end(self) -> None:
        """End what runs."""
        if self._running is not None:
            _end(self._running.process)
            self._running.told.close()
            self._running = None

    def _begin(self, board: BoardTold, now_s: float) -> str | None:
        filled = {"{set}": board.name, "{verdict}": board.verdict, "{review}": str(board.folder)}
        told = tempfile.TemporaryFile()  # noqa: SIM115  # closed when the command has ended
        try:
            process = subprocess.Popen(
                [_filled(word, filled) for word in self._words],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=told,
                start_new_session=True,
            )
        except (OSError, ValueError) as error:
            told.close()
            return f"The command {self._words[0]} could not be run: {error}."
        self._running = _Running(process, told, now_s)
        return None

    def _ended(self, now_s: float) -> str | None:
        running = self._running
        if running is None:
            return None
        status = running.process.poll()
        if status is None and now_s - running.since_s < LONGEST_S:
            return None
        self._running = None
        try:
            if status is None:
                _end(running.process)
                return f"The command {self._words[0]} took longer than {LONGEST_S:.0f} s and was ended."
            if status != 0:
                running.told.seek(0)
                said = running.told.read(2000).decode("utf-8", "replace").strip().splitlines()
                why = f": {said[-1]}" if said else ""
                return f"The command {self._words[0]} ended with status {status}{why}."
            return None
        finally:
            running.told.close()


def _filled(word: str, values: dict[str, str]) -> str:
    for name, value in values.items():
        word = word.replace(name, value)
    return word


def _end(process: "subprocess.Popen[bytes]") -> None:
    """End a command and all that it started: asked first, then for certain; nothing of it is left in the system."""
    _end_group(process, signal.SIGTERM)
    try:
        process.wait(ENDING_S)
    except subprocess.TimeoutExpired:
        _end_group(process, signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
        process.wait()


def _end_group(process: "subprocess.Popen[bytes]", how: signal.Signals) -> None:
    try:
        if hasattr(os, "killpg"):
            os.killpg(process.pid, how)
        else:
            process.terminate()
    except (ProcessLookupError, PermissionError):  # it is gone
        return
