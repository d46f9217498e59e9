"""Aperture macros (AM) and aperture definitions (AD), as they are met along the file (clauses 4.3, 4.5)."""

import re
from dataclasses import replace

from labelcheck.formats.gerber.apertures import (
    enough_parameters,
    in_millimetres,
    is_standard,
    parse_definition,
    pen_of,
)
from labelcheck.formats.gerber.artwork import Aperture
from labelcheck.formats.gerber.blocks import Statement
from labelcheck.formats.gerber.program import ApertureEntry, MacroBody
from labelcheck.formats.gerber.remarking import shown
from labelcheck.formats.gerber.session import Handler, Session

_CODE = re.compile(r"D?\s*0*(\d{1,9})", re.IGNORECASE)


def _macro(session: Session, statement: Statement) -> None:
    session.program.macros[statement.rest] = statement.body


def _aperture(session: Session, statement: Statement) -> None:
    definition = parse_definition(statement.rest)
    if definition is not None and definition.template not in session.program.macros:
        # Some programs write the standard templates small; a macro of that name comes first.
        capital = definition.template.upper()
        definition = replace(definition, template=capital) if is_standard(capital) else definition
    numbered = _CODE.match(statement.rest)
    if numbered is None:
        session.not_understood(statement)
    elif int(numbered.group(1)) < 10:
        session.note("low D-code", statement, f"D{numbered.group(1)} cannot be an aperture; it was passed over.")
    elif definition is None or not enough_parameters(definition):
        session.note("wrong AD", statement, f"The aperture definition '{shown(statement.text)}' is not understood.")
        reason = f"its definition '{shown(statement.text)}' is not understood"
        add_aperture(session, statement, int(numbered.group(1)), "", wrong=reason)
    elif is_standard(definition.template):
        parameters = in_millimetres(definition, session.program.unit_mm)
        add_aperture(session, statement, definition.code, definition.template, parameters)
    else:
        macro = session.program.macros.get(definition.template)
        wrong = f"its macro '{shown(definition.template)}' is not defined" if macro is None else None
        add_aperture(session, statement, definition.code, definition.template, definition.numbers, macro, wrong)


def add_aperture(
    session: Session, statement: Statement, code: int, template: str,
    parameters: tuple[float, ...] = (), macro: MacroBody | None = None, wrong: str | None = None,
) -> int:  # fmt: skip
    """Enter an aperture from this statement on; returns its row."""
    program = session.program
    pen = pen_of(template, parameters) if is_standard(template) else None
    line = session.sheet.line(statement.at)
    aperture = Aperture(code, template, parameters, pen, program.attributes.aperture_row, line)
    program.apertures.append(ApertureEntry(aperture, statement.at, program.unit_mm, macro, wrong))
    return len(program.apertures) - 1


APERTURE_COMMANDS: dict[str, Handler] = {"AM": _macro, "AD": _aperture}
