"""Extended commands in file order -> a `Program`."""

from collections.abc import Sequence
from dataclasses import replace

from labelcheck.formats.gerber.aperture_commands import APERTURE_COMMANDS
from labelcheck.formats.gerber.blocks import Sheet, Statement
from labelcheck.formats.gerber.container_commands import CONTAINER_COMMANDS, close_left_open, repeats_nest
from labelcheck.formats.gerber.coordinates import INCH, MM, parse_format
from labelcheck.formats.gerber.number_patterns import number_in
from labelcheck.formats.gerber.old_commands import OLD_COMMANDS
from labelcheck.formats.gerber.program import Program
from labelcheck.formats.gerber.remarking import RemarkBook, shown
from labelcheck.formats.gerber.session import Handler, Session
from labelcheck.formats.gerber.state import ApertureTurn

_WITHOUT_EFFECT = ("IN", "PF", "IC")
"""Image name, plotter film, input code: they change nothing in the image."""


def interpret(
    sheet: Sheet, unit_words: Sequence[tuple[int, float]], first_unit_mm: float, remarks: RemarkBook
) -> Program:
    """Obey every extended command of a file.

    `unit_words` are byte offset and length of the units set by G70 and G71, in order; `first_unit_mm` holds
    before any unit is set.
    """
    session = Session(sheet, remarks, Program([first_unit_mm]), repeats_nest=repeats_nest(sheet.statements))
    waiting = list(reversed(unit_words))
    for statement in sheet.statements:
        while waiting and waiting[-1][0] < statement.at:
            session.program.set_unit(*waiting.pop())
        handler = _HANDLERS.get(statement.code)
        if handler is not None:
            handler(session, statement)
        elif statement.code not in _WITHOUT_EFFECT:
            message = f"The command '{shown(statement.text)}' is not known; it was passed over."
            session.note(f"unknown {statement.code}", statement, message, lost=True)
    while waiting:
        session.program.set_unit(*waiting.pop())
    close_left_open(session)
    return session.program


def declared_unit(sheet: Sheet, unit_words: Sequence[tuple[int, float]]) -> float | None:
    """The unit that is declared first, by MO or by G70 and G71."""
    declared = list(unit_words[:1])
    for statement in sheet.statements:
        if statement.code == "MO" and statement.packed.upper() in _UNITS:
            declared.append((statement.at, _UNITS[statement.packed.upper()]))
            break
    return min(declared)[1] if declared else None


_UNITS = {"MM": MM, "IN": INCH}


def _format(session: Session, statement: Statement) -> None:
    parsed = parse_format(statement.packed)
    if parsed is None:
        problem = f"the coordinate format '{shown(statement.text)}' is not understood."
        cure = "Export the set again with a plain format such as 4.6, leading zeros omitted."
        raise session.unreadable(statement, problem, cure)
    session.program.format_row.change(statement.at, len(session.program.formats))
    session.program.formats.append(parsed)


def _unit(session: Session, statement: Statement) -> None:
    unit = _UNITS.get(statement.packed.upper())
    if unit is None:
        session.not_understood(statement)
    else:
        session.program.set_unit(statement.at, unit)


def _polarity(session: Session, statement: Statement) -> None:
    polarity = statement.packed.upper()
    if polarity not in ("D", "C"):
        session.not_understood(statement)
        return
    states = session.program.states
    session.program.layer_starts.append(statement.at)
    states.change(statement.at, replace(states.now, dark=polarity == "D"))


def _turn(session: Session, statement: Statement, turn: ApertureTurn) -> None:
    states = session.program.states
    states.change(statement.at, replace(states.now, turn=turn))


def _mirror_aperture(session: Session, statement: Statement) -> None:
    axes = statement.packed.upper()
    if axes not in ("N", "X", "Y", "XY"):
        session.not_understood(statement)
        return
    _turn(session, statement, replace(session.program.states.now.turn, mirror_x="X" in axes, mirror_y="Y" in axes))


def _rotate_aperture(session: Session, statement: Statement) -> None:
    degrees = number_in(statement.packed)
    if degrees is None:
        session.not_understood(statement)
        return
    _turn(session, statement, replace(session.program.states.now.turn, rotation=degrees))


def _scale_aperture(session: Session, statement: Statement) -> None:
    factor = number_in(statement.packed)
    if factor is None or factor <= 0:
        session.not_understood(statement)
        return
    _turn(session, statement, replace(session.program.states.now.turn, scale=factor))


def _attribute(session: Session, statement: Statement) -> None:
    program, code = session.program, statement.code
    book = program.attributes
    if not book.obey(code, statement.rest):
        message = "Too many attributes are in force; further ones were passed over."
        session.note("many attributes", statement, message)
    if code != "TA":
        program.object_row.change(statement.at, book.object_row)
    if code != "TO":
        program.region_row.change(statement.at, book.aperture_row)


_HANDLERS: dict[str, Handler] = {
    "FS": _format,
    "MO": _unit,
    "LP": _polarity,
    "LM": _mirror_aperture,
    "LR": _rotate_aperture,
    "LS": _scale_aperture,
    "TF": _attribute,
    "TA": _attribute,
    "TO": _attribute,
    "TD": _attribute,
    **APERTURE_COMMANDS,
    **CONTAINER_COMMANDS,
    **OLD_COMMANDS,
}
