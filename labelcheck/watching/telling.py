"""What the watch says: a line for each check, and below it what changed since the one before."""

from collections.abc import Iterable, Sequence

from labelcheck.review.changes import Changes, Fault, StillThere, faults_alike
from labelcheck.review.wording import counted, in_unit, printable, some_of
from labelcheck.trade.units import Unit
from labelcheck.watching.messages import BoardTold, Came

SHOWN = 5
"""Kinds of faults told that are new, fixed and so on; what is beyond is counted and stands in the review."""
NAMED = 5
"""Labels named that have the same fault."""
_INDENT = " " * 10
"""Below the name, behind the time of day."""


def board_lines(board: BoardTold, clock: str, unit: Unit) -> list[str]:
    """The line of one check, `clock` being the time of day, and what changed."""
    first = f"{clock}  {printable(board.name)}  {board.words} ({board.tally})"
    if board.came is Came.CURRENT and board.changes is None:
        return [f"{first}; its review is up to date"]
    if board.changes is None:
        return [first, f"{_INDENT}written: {printable(str(board.folder))}"]
    return [first, *(_INDENT + in_unit(line, unit) for line in change_lines(board.changes))]


def change_lines(changes: Changes) -> list[str]:
    """What is new, fixed and still there, the worst of each first; one line where nothing of that kind changed."""
    told = [
        *_faults("new", [fault for fault in changes.new if not fault.finding.accepted], with_advice=True),
        *_faults("worse", [one.new for one in _open(changes.still) if one.went == "worse"], with_advice=True),
        *_faults("better", [one.new for one in _open(changes.still) if one.went == "better"]),
        *_faults("fixed", [fault for fault in changes.fixed if not fault.finding.accepted]),
        *_named("gone with its label", changes.gone),
        *_named("could not be asked again", changes.unasked),
        *_accepted(changes.still),
        *(f"holds    {reason}" for reason in changes.holding[:SHOWN]),
        *(f"settled  {reason}" for reason in changes.no_longer_holding[:SHOWN]),
    ]
    same = sum(1 for one in _open(changes.still) if one.went == "same")
    if changes.limits:
        told.append(f"limits   other than before: {some_of(changes.limits, 4)}")
    if not told:
        return [f"no change to any fault ({counted(same, 'fault')} still there)"]
    return [*told, f"still    {counted(same, 'fault')} as before" if same else "still    nothing"]


def _open(still: Iterable[StillThere]) -> list[StillThere]:
    """Those that nobody has accepted."""
    return [one for one in still if not one.new.finding.accepted]


def _faults(word: str, faults: Sequence[Fault], with_advice: bool = False) -> list[str]:
    """A line for each kind of fault: the worst one's own sentence, and who else has the same."""
    kinds = faults_alike(faults)
    lines = []
    for same in kinds[:SHOWN]:
        finding = same[0].finding
        advice = f" {finding.advice}" if with_advice and finding.advice is not None else ""
        others = ""
        if len(same) > 1:
            names = [_called(fault) for fault in same[1:]]
            others = f" The same fault on {len(names)} more: {some_of(names, NAMED, 'others, see the review')}."
        lines.append(f"{word:<8} {finding.side:<7} {printable(finding.message + advice + others)}")
    beyond = sum(map(len, kinds[SHOWN:]))
    if beyond:
        lines.append(f"{word:<8} {beyond} more of other kinds, see the review")
    return lines


def _called(fault: Fault) -> str:
    return fault.finding.id if fault.label is None else fault.label.called()


def _named(what: str, faults: Sequence[Fault]) -> list[str]:
    """Faults that are away without being mended, by the names of their labels."""
    if not faults:
        return []
    names = [
        f"{fault.finding.analyser} of {'a side' if fault.label is None else fault.label.called()}"
        for fault in faults
    ]
    return [printable(f"{what}: {some_of(names, SHOWN)}")]


def _accepted(still: Sequence[StillThere]) -> list[str]:
    count = sum(1 for one in still if one.new.finding.accepted and not one.old.finding.accepted)
    return [f"accepted {counted(count, 'fault')} by the limits file"] if count else []
