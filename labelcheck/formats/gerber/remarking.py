"""Collecting remarks: each kind once, with its first line and how often it was met."""

from dataclasses import dataclass, field

from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark

EXPORT_AGAIN = "Export the set again; the file may be damaged or cut short."
_MOST_KINDS = 200
"""Kinds of remarks kept for one file; a damaged file has as many as it has bytes."""
_FURTHER = "further kinds"


def shown(text: str, most: int = 40) -> str:
    """Text of a file as it may stand in a message: short, and without control characters."""
    cut = text[:most]
    return "".join(letter if letter.isprintable() else "?" for letter in cut) + ("…" if len(text) > most else "")


@dataclass(slots=True)
class _Kind:
    line: int | None
    message: str
    count: int


@dataclass(slots=True)
class RemarkBook:
    """Remarks about one file while it is being read."""

    file: str
    passed_over: int = 0
    """Places where something was left out or not understood, so that ink may be missing or wrong."""
    _kinds: dict[str, _Kind] = field(default_factory=dict)

    def note(self, kind: str, line: int | None, message: str, count: int = 1, lost: bool = False) -> None:
        """Remember `message` under `kind`; the same kind again only counts up.

        `lost` says that what stands there was left out or not understood.
        """
        self.passed_over += count if lost else 0
        known = self._kinds.get(kind)
        if known is None:
            if len(self._kinds) >= _MOST_KINDS and kind != _FURTHER:
                self.note(_FURTHER, line, "More is wrong from here on, of kinds not told one by one.", count)
                return
            self._kinds[kind] = _Kind(line, message, count)
            return
        known.count += count
        if line is not None and (known.line is None or line < known.line):
            known.line, known.message = line, message

    def remarks(self) -> tuple[Remark, ...]:
        """All remarks in order of line; those about the whole file first."""
        told = [
            (
                -1 if kind.line is None else kind.line,
                kind.message + (f" ({kind.count} times)" if kind.count > 1 else ""),
            )
            for kind in self._kinds.values()
        ]
        return tuple(Remark(self.file, None if line < 0 else line, message) for line, message in sorted(told))

    def unreadable(self, line: int | None, problem: str, cure: str = EXPORT_AGAIN) -> UnreadableFile:
        """The error to raise where nothing true can be returned."""
        return UnreadableFile(self.file, line, problem, cure)
