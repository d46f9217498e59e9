"""Errors carry their exit status; their text is place, problem, cure."""


class LabelcheckError(Exception):
    """Any failure that a person can do something about."""

    exit_status = 3


class WrongArguments(LabelcheckError):
    """The command line, or the limits file, asks for something impossible."""

    exit_status = 2


class UnreadableSet(LabelcheckError):
    """The fab set as a whole cannot be read."""

    exit_status = 3


class UnreadableFile(LabelcheckError):
    """One file cannot be read; the set may still be checked without it, never released.

    `problem` and `cure` are sentences; `line` counts from 1.
    """

    exit_status = 3

    def __init__(self, file: str, line: int | None, problem: str, cure: str) -> None:
        self.file, self.line, self.problem, self.cure = file, line, problem, cure
        place = file if line is None else f"{file}:{line}"
        super().__init__(f"{place}: {problem} {cure}")

    def __reduce__(self) -> tuple[type, tuple[str, int | None, str, str]]:
        return type(self), (self.file, self.line, self.problem, self.cure)


class UnwritableResult(LabelcheckError):
    """The review cannot be written where it was asked for."""

    exit_status = 4


class RasterTooLarge(LabelcheckError):
    """Shapes so large, so many or so far away that rasterising them would take all memory or for ever."""

    exit_status = 3
