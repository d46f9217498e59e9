"""What the handlers of extended commands work on."""

from collections.abc import Callable
from dataclasses import dataclass, field

from labelcheck.formats.gerber.blocks import Sheet, Statement
from labelcheck.formats.gerber.program import Program
from labelcheck.formats.gerber.remarking import EXPORT_AGAIN, RemarkBook, shown
from labelcheck.trade.errors import UnreadableFile


@dataclass(slots=True)
class Session:
    """One file being interpreted: what it said so far, and where remarks go."""

    sheet: Sheet
    remarks: RemarkBook
    program: Program
    open_containers: list[int] = field(default_factory=list)
    repeats_nest: bool = False
    """Whether step-and-repeats of this file stand inside one another."""

    def note(self, kind: str, statement: Statement, message: str, lost: bool = False) -> None:
        """Remark on a statement; `lost` says that it was left out or not understood."""
        self.remarks.note(kind, self.sheet.line(statement.at), message, lost=lost)

    def not_understood(self, statement: Statement) -> None:
        """Remark that a statement was passed over."""
        message = f"'{shown(statement.text)}' is not understood; it was passed over. Check this place in the file."
        self.note(f"wrong {statement.code}", statement, message, lost=True)

    def unreadable(self, statement: Statement, problem: str, cure: str = EXPORT_AGAIN) -> UnreadableFile:
        """The error to raise about a statement."""
        return self.remarks.unreadable(self.sheet.line(statement.at), problem, cure)


Handler = Callable[[Session, Statement], None]
