"""A table of the limits file that fits nothing on a board, and what is told of it."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from labelcheck.trade.places import Remark

CURE = "Correct it or take it out"
FOR_OTHERS = 'where it is for another board, write board = "NAME" there'
"""What silences the remark on a board that the table is not for."""


@dataclass(frozen=True, slots=True)
class IdleStatement:
    """One table of the limits file with what of it fits nothing; equal on every board where that is so."""

    file: str
    line: int | None
    what: str
    """Beginning of a sentence: `no label fits "TP*"`, without a full stop; whole sentences of a board's name."""
    of_board: bool
    """Whether the table names the board that it is for: then other boards do not matter."""
    of_no_board: bool = False
    """Whether it names a board that there is not."""
    meant: str = field(default="", compare=False)
    """The name that is nearest to that one; empty where none is near."""

    def remark(self) -> Remark:
        """For the board that it was looked for on."""
        if self.of_no_board:
            meant = f' Did you mean "{self.meant}"?' if self.meant else f" {CURE}."
            return Remark(self.file, self.line, f"{self.what}{meant}")
        cure = f"{CURE}." if self.of_board else f"{CURE}; {FOR_OTHERS}."
        return Remark(self.file, self.line, f"On this board {self.what}. {cure}")

    def remark_of_many(self, boards: int) -> Remark:
        """For so many boards of one run, on none of which it fits."""
        if self.of_no_board:
            return self.remark()
        return Remark(self.file, self.line, f"On these {boards} boards {self.what}. {CURE}.")


def idle_on_all(boards: Iterable[tuple[IdleStatement, ...]]) -> tuple[IdleStatement, ...]:
    """Those that fit nothing on any of the boards; at least one board."""
    first, *others = boards
    return tuple(one for one in first if all(one in other for other in others))
