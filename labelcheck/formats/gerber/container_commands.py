"""Step-and-repeat (SR) and block apertures (AB), opened and closed (clauses 4.11, 4.12)."""

import re
from collections.abc import Sequence
from dataclasses import replace

from labelcheck.formats.gerber.aperture_commands import add_aperture
from labelcheck.formats.gerber.blocks import Statement
from labelcheck.formats.gerber.bounds import DEEPEST_NESTING, MOST_CONTAINERS, MOST_REPEATS
from labelcheck.formats.gerber.number_patterns import DECIMAL
from labelcheck.formats.gerber.program import Container
from labelcheck.formats.gerber.session import Handler, Session
from labelcheck.formats.gerber.state import ROOT

_REPEAT = re.compile(rf"(?:X(\d{{1,12}}))?(?:Y(\d{{1,12}}))?(?:I({DECIMAL}))?(?:J({DECIMAL}))?", re.IGNORECASE)
_BLOCK = re.compile(r"D?0*(\d{2,9})", re.IGNORECASE)
_SIMPLER_EXPORT = "Export a single board instead of the panel."


def _repeat_counts(statement: Statement) -> tuple[int, int] | None:
    """How often an SR repeats along x and y; (1, 1) where it closes one; None where it is not understood."""
    found = _REPEAT.fullmatch(statement.packed)
    if found is None:
        return None
    x, y = (1 if value is None else int(value) for value in found.groups()[:2])
    return x, y


def repeats_nest(statements: Sequence[Statement]) -> bool:
    """Whether step-and-repeats stand inside one another: only then does each have a close of its own.

    The format has one SR at a time, and a new one ends the one before; some old files nest them nevertheless.
    """
    depth, deepest = 0, 0
    for statement in statements:
        if statement.code != "SR":
            continue
        closes = _repeat_counts(statement) == (1, 1)
        if closes and depth == 0:
            continue
        depth += -1 if closes else 1
        deepest = max(deepest, depth)
    return deepest > 1 and depth == 0


def _repeat(session: Session, statement: Statement) -> None:
    counts = _repeat_counts(statement)
    found = _REPEAT.fullmatch(statement.packed)
    if counts is None or found is None:
        session.not_understood(statement)
        return
    program = session.program
    program.layer_starts.append(statement.at)
    if 0 in counts:
        session.note("SR of 0", statement, "A step-and-repeat asks for 0 copies; it was taken as one.")
        counts = max(counts[0], 1), max(counts[1], 1)
    if counts[0] * counts[1] > MOST_REPEATS:
        problem = f"a step-and-repeat asks for {counts[0]} x {counts[1]} copies, more than {MOST_REPEATS:,}."
        raise session.unreadable(statement, problem, _SIMPLER_EXPORT)
    closes = counts == (1, 1)
    number = session.open_containers[-1] if session.open_containers else ROOT
    if number != ROOT and not program.containers[number].is_block and (closes or not session.repeats_nest):
        _close(session, statement.at)
    if not closes:
        step_x, step_y = (0.0 if value is None else float(value) * program.unit_mm for value in found.groups()[2:])
        parent = program.states.now.container
        _open(session, statement, Container(parent, statement.at, -1, counts[0], counts[1], step_x, step_y))


def _block(session: Session, statement: Statement) -> None:
    program = session.program
    if not statement.packed:
        number = session.open_containers[-1] if session.open_containers else ROOT
        if not program.containers[number].is_block:
            message = "A block is closed that was not opened; it was passed over."
            session.note("stray AB", statement, message, lost=True)
            return
        row = program.containers[number].aperture
        # A block may be flashed only after its end, so it can never hold itself.
        program.apertures[row] = replace(program.apertures[row], from_offset=statement.at)
        _close(session, statement.at)
        return
    found = _BLOCK.fullmatch(statement.packed)
    if found is None or int(found.group(1)) < 10:
        session.not_understood(statement)
        return
    row = add_aperture(session, statement, int(found.group(1)), "block")
    _open(session, statement, Container(program.states.now.container, statement.at, -1, aperture=row))


def _open(session: Session, statement: Statement, container: Container) -> None:
    program = session.program
    if len(session.open_containers) >= DEEPEST_NESTING:
        problem = f"blocks and step-and-repeats stand more than {DEEPEST_NESTING} deep inside one another."
        raise session.unreadable(statement, problem, _SIMPLER_EXPORT)
    if len(program.containers) >= MOST_CONTAINERS:
        problem = f"it has more than {MOST_CONTAINERS:,} blocks and step-and-repeats."
        raise session.unreadable(statement, problem, _SIMPLER_EXPORT)
    session.open_containers.append(len(program.containers))
    program.states.change(statement.at, replace(program.states.now, container=len(program.containers)))
    program.containers.append(container)


def _close(session: Session, at: int) -> None:
    program = session.program
    number = session.open_containers.pop()
    program.containers[number] = replace(program.containers[number], closed_at=at)
    program.states.change(at, replace(program.states.now, container=program.containers[number].parent))


def close_left_open(session: Session) -> None:
    """Close at the end of the file what was not closed before; for a block that is worth a remark."""
    while session.open_containers:
        container = session.program.containers[session.open_containers[-1]]
        if container.is_block:
            line = session.sheet.line(container.opened_at)
            message = "A block is opened that is never closed; it ends with the file."
            session.remarks.note("open AB", line, message, lost=True)
        _close(session, len(session.sheet.plain))


CONTAINER_COMMANDS: dict[str, Handler] = {"SR": _repeat, "AB": _block}
