"""A watch that runs in a thread while a test changes files; what it says is waited for, never slept for."""

import re
import threading
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType

from labelcheck.watching.deciding import Patience
from labelcheck.watching.loop import Options, Watch

HASTY = Patience(quiet_s=0.15, gathering_s=3.0, cut_short_s=0.4, gone_s=0.3, retry_s=0.3)
"""Short times, so that tests are quick."""
DEADLINE_S = 30.0
"""Only a failing test takes so long."""


class RunningWatch:
    """`with RunningWatch([folder]) as watch: watch.heard("RELEASE")`."""

    def __init__(self, roots: Sequence[Path], options: Options | None = None) -> None:
        self.lines: list[str] = []
        self._told = threading.Condition()
        self._read = 0
        self._watch = Watch(roots, Options(patience=HASTY) if options is None else options, self._say)
        self._thread = threading.Thread(target=self._run, name="watch")
        self._failure: BaseException | None = None

    def heard(self, pattern: str) -> str:
        """The next line that matches, waited for; lines before it count as read."""
        with self._told:
            found = self._told.wait_for(lambda: self._next(pattern), DEADLINE_S)
        assert found, f"{pattern!r} was not said in {self.lines[self._read :]} after {self.lines[: self._read]}"
        return self.lines[self._read - 1]

    def said(self, pattern: str) -> list[str]:
        """Every line so far that matches."""
        with self._told:
            return [line for line in self.lines if re.search(pattern, line)]

    def _next(self, pattern: str) -> bool:
        for place in range(self._read, len(self.lines)):
            if re.search(pattern, self.lines[place]):
                self._read = place + 1
                return True
        return self._failure is not None

    def _say(self, line: str) -> None:
        with self._told:
            self.lines.append(line)
            self._told.notify_all()

    def _run(self) -> None:
        try:
            self._watch.run()
        except BaseException as failure:  # told in the test's own thread
            self._failure = failure
            self._say(f"the watch broke off: {failure!r}")

    def __enter__(self) -> "RunningWatch":
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._watch.stop()
        self._thread.join(DEADLINE_S)
        assert not self._thread.is_alive()
        if self._failure is not None:
            raise self._failure
