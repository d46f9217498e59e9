"""Work ahead of its time: a check that is begun before it is wanted waits at a gate before it writes anything."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager


class Abandoned(BaseException):
    """What was prepared is not wanted any more; no `Exception`, for it is no failure of the check."""


class Gate:
    """Open for a check that is wanted; closed for one that is prepared, until somebody wants it or gives it up."""

    def __init__(self, wanted: Callable[[], bool] = lambda: True) -> None:
        """`wanted` waits until that is known."""
        self._wanted = wanted
        self._breakable = False
        self.is_open = True
        self.given_up = False
        """Whether nobody wants it, as far as is known without waiting."""

    def begin(self, is_open: bool) -> None:
        """For the next check."""
        self.is_open, self.given_up = is_open, False

    def pass_through(self) -> None:
        """Wait until it is open. Raises `Abandoned`."""
        if not self.is_open:
            if not self._wanted():
                raise Abandoned
            self.is_open = True

    def give_up(self) -> None:
        """To be called by a signal's handler, which may break into anything: raises `Abandoned` where that may be."""
        self.given_up = True
        if self._breakable and not self.is_open:
            raise Abandoned

    @contextmanager
    def breakable(self) -> Iterator[None]:
        """Meanwhile nothing is done but working out, which may be broken off between any two steps."""
        self._breakable = True
        try:
            if self.given_up and not self.is_open:
                raise Abandoned
            yield
        finally:
            self._breakable = False
