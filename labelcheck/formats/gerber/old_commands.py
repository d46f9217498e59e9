"""Deprecated commands that old files still carry (chapter 8, and the RS-274X user's guide they come from)."""

import re
from dataclasses import replace

from labelcheck.formats.gerber.blocks import Statement
from labelcheck.formats.gerber.number_patterns import DECIMAL, axes_in, number_in
from labelcheck.formats.gerber.program import KnockOut
from labelcheck.formats.gerber.remarking import shown
from labelcheck.formats.gerber.session import Handler, Session
from labelcheck.formats.gerber.state import CoordinateMap

_KNOCKOUT = re.compile(
    rf"(?:([CD])(?:X({DECIMAL}))?(?:Y({DECIMAL}))?(?:I({DECIMAL}))?(?:J({DECIMAL}))?(?:K({DECIMAL}))?)?",
    re.IGNORECASE,
)


def _followed(session: Session, statement: Statement, does: str) -> None:
    message = f"The old command '{shown(statement.text)}' {does}; it was followed."
    session.note(f"old {statement.code}", statement, message)


# Moves of the coordinate data, in force from where they stand


def _set_map(session: Session, statement: Statement, moved: CoordinateMap) -> None:
    states = session.program.states
    if moved != states.now.map:
        _followed(session, statement, "moves, scales or mirrors the image")
        states.change(statement.at, replace(states.now, map=moved))


def _axis_select(session: Session, statement: Statement) -> None:
    axes = statement.packed.upper()
    if axes not in ("AXBY", "AYBX"):
        session.not_understood(statement)
        return
    _set_map(session, statement, replace(session.program.states.now.map, swapped=axes == "AYBX"))


def _mirror(session: Session, statement: Statement) -> None:
    axes = axes_in(statement.packed)
    if axes is None:
        session.not_understood(statement)
        return
    a, b = (axis is not None and axis != 0 for axis in axes)
    _set_map(session, statement, replace(session.program.states.now.map, mirror_a=a, mirror_b=b))


def _scale(session: Session, statement: Statement) -> None:
    axes = axes_in(statement.packed)
    a, b = (1.0 if axis is None else axis for axis in axes) if axes is not None else (0.0, 0.0)
    if a <= 0 or b <= 0:
        session.not_understood(statement)
        return
    _set_map(session, statement, replace(session.program.states.now.map, scale_a=a, scale_b=b))


def _offset(session: Session, statement: Statement) -> None:
    axes = axes_in(statement.packed)
    if axes is None:
        session.not_understood(statement)
        return
    a, b = (0.0 if axis is None else axis * session.program.unit_mm for axis in axes)
    _set_map(session, statement, replace(session.program.states.now.map, offset_a=a, offset_b=b))


def _rotate_layer(session: Session, statement: Statement) -> None:
    degrees = number_in(statement.packed)
    if degrees is None:
        session.not_understood(statement)
        return
    _set_map(session, statement, replace(session.program.states.now.map, rotation=degrees))


# The whole image


def _rotate_image(session: Session, statement: Statement) -> None:
    degrees = number_in(statement.packed)
    if degrees is None or degrees % 90 != 0:
        session.not_understood(statement)
        return
    session.program.rotation_degrees = degrees
    if degrees != 0:
        _followed(session, statement, "turns the image")


def _offset_image(session: Session, statement: Statement) -> None:
    axes = axes_in(statement.packed)
    if axes is None:
        session.not_understood(statement)
        return
    a, b = (0.0 if axis is None else axis * session.program.unit_mm for axis in axes)
    session.program.offset_mm = (a, b)
    if (a, b) != (0.0, 0.0):
        _followed(session, statement, "moves the image")


def _image_polarity(session: Session, statement: Statement) -> None:
    polarity = statement.packed.upper()
    if polarity not in ("POS", "NEG"):
        session.not_understood(statement)
        return
    session.program.negative_at = statement.at if polarity == "NEG" else None


def _knock_out(session: Session, statement: Statement) -> None:
    found = _KNOCKOUT.fullmatch(statement.packed)
    if found is None:
        session.not_understood(statement)
        return
    program = session.program
    program.layer_starts.append(statement.at)
    polarity, *numbers = found.groups()
    if polarity is None:
        return  # "KO*" ends a knock-out
    x, y, width, height, margin = (None if value is None else float(value) * program.unit_mm for value in numbers)
    box = None
    if width is not None and height is not None:
        box = (0.0 if x is None else x, 0.0 if y is None else y, width, height)
    margin_mm = 0.0 if margin is None else margin
    program.knockouts.append(KnockOut(statement.at, polarity.upper() == "D", box, margin_mm))
    _followed(session, statement, "lays a rectangle under what follows")


def _layer_name(session: Session, statement: Statement) -> None:
    session.program.layer_starts.append(statement.at)


# What is only told


def _include(session: Session, statement: Statement) -> None:
    message = f"The file '{shown(statement.rest)}' should be included here; it was not read. Export it as one file."
    session.note("include", statement, message, lost=True)


def _justify(session: Session, statement: Statement) -> None:
    message = f"The old command '{shown(statement.text)}' places the image on a film; it was not followed."
    session.note("justify", statement, message)


OLD_COMMANDS: dict[str, Handler] = {
    "AS": _axis_select,
    "MI": _mirror,
    "SF": _scale,
    "OF": _offset,
    "RO": _rotate_layer,
    "IR": _rotate_image,
    "IO": _offset_image,
    "IP": _image_polarity,
    "KO": _knock_out,
    "LN": _layer_name,
    "IF": _include,
    "IJ": _justify,
}
