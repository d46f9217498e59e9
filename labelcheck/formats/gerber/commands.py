"""Extended commands in file order -> apertures, states along the file, blocks, attributes."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from labelcheck.formats.gerber.apertures import (
    enough_parameters,
    in_millimetres,
    is_standard,
    parse_definition,
    pen_of,
)
from labelcheck.formats.gerber.artwork import Aperture
from labelcheck.formats.gerber.attributes import AttributeBook
from labelcheck.formats.gerber.blocks import Sheet, Statement
from labelcheck.formats.gerber.bounds import DEEPEST_NESTING, MOST_REPEATS
from labelcheck.formats.gerber.coordinates import INCH, MM, CoordinateFormat, parse_format
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.formats.gerber.state import ROOT, ApertureTurn, CoordinateMap, StateLine, Timeline, timeline

_DECIMAL = r"[-+]?(?:\d{1,18}\.?\d{0,18}|\.\d{1,18})"
_AXES = re.compile(rf"(?:A({_DECIMAL}))?(?:B({_DECIMAL}))?$", re.IGNORECASE)
_REPEAT = re.compile(rf"(?:X(\d+))?(?:Y(\d+))?(?:I({_DECIMAL}))?(?:J({_DECIMAL}))?$", re.IGNORECASE)
_KNOCKOUT = re.compile(
    rf"([CD])?(?:X({_DECIMAL}))?(?:Y({_DECIMAL}))?(?:I({_DECIMAL}))?(?:J({_DECIMAL}))?(?:K({_DECIMAL}))?$",
    re.IGNORECASE,
)
_NUMBER = re.compile(_DECIMAL)


@dataclass(frozen=True, slots=True)
class Container:
    """A step-and-repeat or a block aperture; number 0 is the image."""

    parent: int
    opened_at: int
    closed_at: int
    repeats_x: int = 1
    repeats_y: int = 1
    step_x_mm: float = 0.0
    step_y_mm: float = 0.0
    aperture: int = -1
    """Row in the apertures, for a block."""


@dataclass(frozen=True, slots=True)
class KnockOut:
    """Deprecated KO: a rectangle laid under what follows; `box_mm` x, y, width, height, or a margin about it."""

    at: int
    dark: bool
    box_mm: tuple[float, float, float, float] | None
    margin_mm: float | None


@dataclass(slots=True)
class Program:
    """Everything that extended commands of one file say."""

    formats: list[CoordinateFormat] = field(default_factory=list)
    format_row: Timeline = field(default_factory=timeline)
    units: list[float] = field(default_factory=list)
    unit_row: Timeline = field(default_factory=timeline)
    apertures: list[Aperture] = field(default_factory=list)
    defined_at: list[int] = field(default_factory=list)
    """Byte offset from which on each aperture may be selected."""
    made_of: dict[int, tuple[tuple[int, str], ...]] = field(default_factory=dict)
    """Aperture row -> contents of its macro."""
    units_mm: list[float] = field(default_factory=list)
    """Unit in force where each aperture was defined."""
    states: StateLine = field(default_factory=StateLine)
    attributes: AttributeBook = field(default_factory=AttributeBook)
    object_row: Timeline = field(default_factory=timeline)
    region_row: Timeline = field(default_factory=timeline)
    containers: list[Container] = field(default_factory=lambda: [Container(-1, -1, -1)])
    knockouts: list[KnockOut] = field(default_factory=list)
    layer_starts: list[int] = field(default_factory=list)
    negative_at: int | None = None
    rotation_degrees: float = 0.0
    offset_mm: tuple[float, float] = (0.0, 0.0)


class Interpreter:
    """Obeys extended commands one after another and fills a `Program`."""

    def __init__(self, sheet: Sheet, unit_words: Sequence[tuple[int, float]], remarks: RemarkBook) -> None:
        self._sheet = sheet
        self._remarks = remarks
        self._unit_words = sorted(unit_words, reverse=True)
        self._macros: dict[str, tuple[tuple[int, str], ...]] = {}
        self._open: list[int] = []
        self.program = Program()

    def run(self, first_unit_mm: float) -> Program:
        """Obey every statement; before any unit is set, `first_unit_mm` holds."""
        program = self.program
        program.units = [first_unit_mm]
        nested = self._repeats_are_nested()
        for statement in self._sheet.statements:
            while self._unit_words and self._unit_words[-1][0] < statement.at:
                self._set_unit(*self._unit_words.pop())
            code, text = statement.text[:2].upper(), statement.text[2:].strip()
            handler = _HANDLERS.get(code)
            if handler is not None:
                handler(self, statement, text)
            elif code == "SR":
                self._repeat(statement, text, nested)
            elif code not in _WITHOUT_EFFECT:
                message = f"The command '{statement.text[:24]}' is not known; it was passed over."
                self._note(f"unknown {code}", statement, message)
        while self._unit_words:
            self._set_unit(*self._unit_words.pop())
        self._close_left_open()
        return program

    def _note(self, kind: str, statement: Statement, message: str) -> None:
        self._remarks.note(kind, self._sheet.line(statement.at), message)

    def _not_understood(self, statement: Statement) -> None:
        code = statement.text[:2].upper()
        message = f"'{statement.text[:40]}' is not understood; it was passed over. Check this place in the file."
        self._note(f"wrong {code}", statement, message)

    # Format and unit

    def _format(self, statement: Statement, text: str) -> None:
        parsed = parse_format(statement.text)
        if parsed is None:
            raise self._remarks.unreadable(
                self._sheet.line(statement.at),
                f"the coordinate format '{statement.text[:40]}' is not understood.",
                "Export the set again with a plain format such as 4.6, leading zeros omitted.",
            )
        self.program.format_row.change(statement.at, len(self.program.formats))
        self.program.formats.append(parsed)

    def _unit(self, statement: Statement, text: str) -> None:
        unit = {"MM": MM, "IN": INCH}.get(text.upper())
        if unit is None:
            self._not_understood(statement)
        else:
            self._set_unit(statement.at, unit)

    def _set_unit(self, at: int, unit_mm: float) -> None:
        program = self.program
        if unit_mm not in program.units:
            program.units.append(unit_mm)
        program.unit_row.change(at, program.units.index(unit_mm))

    @property
    def _unit_mm(self) -> float:
        return self.program.units[self.program.unit_row.value[-1]]

    # Apertures

    def _macro(self, statement: Statement, text: str) -> None:
        self._macros[text] = statement.body

    def _aperture(self, statement: Statement, text: str) -> None:
        definition = parse_definition(statement.text)
        if definition is None or (is_standard(definition.template) and not enough_parameters(definition)):
            raise self._remarks.unreadable(
                self._sheet.line(statement.at), f"the aperture definition '{statement.text[:40]}' is not understood."
            )
        if definition.code < 10:
            self._note("low D-code", statement, f"D{definition.code} cannot be an aperture; it was passed over.")
            return
        parameters, row = definition.numbers, len(self.program.apertures)
        pen = None
        if is_standard(definition.template):
            parameters = in_millimetres(definition, self._unit_mm)
            pen = pen_of(definition.template, parameters)
        else:
            body = self._macros.get(definition.template)
            if body is None:
                raise self._remarks.unreadable(
                    self._sheet.line(statement.at),
                    f"aperture D{definition.code} is made of the macro '{definition.template[:40]}', never defined.",
                )
            self.program.made_of[row] = body
        self._add_aperture(statement, definition.code, definition.template, parameters, pen)

    def _add_aperture(
        self, statement: Statement, code: int, template: str, parameters: tuple[float, ...], pen: float | None
    ) -> None:
        program = self.program
        line = self._sheet.line(statement.at)
        program.apertures.append(Aperture(code, template, parameters, pen, program.attributes.aperture_row, line))
        program.defined_at.append(statement.at)
        program.units_mm.append(self._unit_mm)

    # Containers: step and repeat, blocks

    def _block(self, statement: Statement, text: str) -> None:
        if not text:
            number = self._open[-1] if self._open else ROOT
            if number == ROOT or self.program.containers[number].aperture < 0:
                self._note("stray AB", statement, "A block is closed that was not opened; it was passed over.")
                return
            self.program.defined_at[self.program.containers[number].aperture] = statement.at
            self._close(statement.at)
            return
        digits = text.upper().removeprefix("D").strip()
        if not (digits.isascii() and digits.isdigit()) or len(digits) > 9 or int(digits) < 10:
            self._not_understood(statement)
            return
        row = len(self.program.apertures)
        self._add_aperture(statement, int(digits), "block", (), None)
        self._open_container(statement, Container(self.program.states.now.container, statement.at, -1, aperture=row))

    def _repeat(self, statement: Statement, text: str, nested: bool) -> None:
        found = _REPEAT.match(text.replace(" ", ""))
        if found is None:
            self._not_understood(statement)
            return
        counts = [int(value[:12]) if value is not None else 1 for value in found.groups()[:2]]
        steps = [float(value) if value is not None else 0.0 for value in found.groups()[2:]]
        number = self._open[-1] if self._open else ROOT
        inside = number != ROOT and self.program.containers[number].aperture < 0
        if 0 in counts:
            self._note("SR of 0", statement, "A step-and-repeat asks for 0 copies; it was taken as one.")
            counts = [max(count, 1) for count in counts]
        if counts[0] * counts[1] > MOST_REPEATS:
            raise self._remarks.unreadable(
                self._sheet.line(statement.at),
                f"a step-and-repeat asks for {counts[0]} x {counts[1]} copies, more than {MOST_REPEATS:,}.",
                "Check its counts, or export a smaller panel.",
            )
        closing = counts == [1, 1]
        if inside and (closing or not nested):
            self._close(statement.at)
        self.program.layer_starts.append(statement.at)
        if closing:
            return
        parent = self.program.states.now.container
        step_x, step_y = (step * self._unit_mm for step in steps)
        self._open_container(statement, Container(parent, statement.at, -1, counts[0], counts[1], step_x, step_y))

    def _repeats_are_nested(self) -> bool:
        """Whether step-and-repeats stand inside one another: only then does each have a close of its own."""
        depth, deepest = 0, 0
        for statement in self._sheet.statements:
            if not statement.text.startswith(("SR", "sr")):
                continue
            found = _REPEAT.match(statement.text[2:].replace(" ", "").strip())
            if found is None:
                continue
            closing = all(value is None or int(value[:12]) == 1 for value in found.groups()[:2])
            if closing and depth == 0:
                continue
            depth += -1 if closing else 1
            deepest = max(deepest, depth)
        return deepest > 1 and depth == 0

    def _open_container(self, statement: Statement, container: Container) -> None:
        if len(self._open) >= DEEPEST_NESTING:
            raise self._remarks.unreadable(
                self._sheet.line(statement.at),
                f"blocks and step-and-repeats stand more than {DEEPEST_NESTING} deep inside one another.",
                "Export the set again without panel, or flattened.",
            )
        program = self.program
        self._open.append(len(program.containers))
        program.states.change(statement.at, replace(program.states.now, container=len(program.containers)))
        program.containers.append(container)

    def _close(self, at: int) -> None:
        program = self.program
        number = self._open.pop()
        closed = replace(program.containers[number], closed_at=at)
        program.containers[number] = closed
        program.states.change(at, replace(program.states.now, container=closed.parent))

    def _close_left_open(self) -> None:
        end = len(self._sheet.plain)
        while self._open:
            container = self.program.containers[self._open[-1]]
            if container.aperture >= 0:
                message = "A block is opened that is never closed; it ends with the file."
                self._remarks.note("open AB", self._sheet.line(container.opened_at), message)
            self._close(end)

    # Polarity and transformations

    def _polarity(self, statement: Statement, text: str) -> None:
        if text.upper() not in ("D", "C"):
            self._not_understood(statement)
            return
        program = self.program
        program.layer_starts.append(statement.at)
        program.states.change(statement.at, replace(program.states.now, dark=text.upper() == "D"))

    def _mirror_aperture(self, statement: Statement, text: str) -> None:
        axes = text.upper()
        if axes not in ("N", "X", "Y", "XY"):
            self._not_understood(statement)
            return
        self._turn(statement, replace(self.program.states.now.turn, mirror_x="X" in axes, mirror_y="Y" in axes))

    def _rotate_aperture(self, statement: Statement, text: str) -> None:
        if _NUMBER.fullmatch(text) is None:
            self._not_understood(statement)
            return
        self._turn(statement, replace(self.program.states.now.turn, rotation=float(text)))

    def _scale_aperture(self, statement: Statement, text: str) -> None:
        if _NUMBER.fullmatch(text) is None or float(text) <= 0:
            self._not_understood(statement)
            return
        self._turn(statement, replace(self.program.states.now.turn, scale=float(text)))

    def _turn(self, statement: Statement, turn: ApertureTurn) -> None:
        self.program.states.change(statement.at, replace(self.program.states.now, turn=turn))

    # Deprecated moves of the coordinate data

    def _axes(self, statement: Statement, text: str) -> tuple[float | None, float | None] | None:
        found = _AXES.match(text.replace(" ", ""))
        if found is None:
            self._not_understood(statement)
            return None
        a, b = found.groups()
        return None if a is None else float(a), None if b is None else float(b)

    def _move_map(self, statement: Statement, moved: CoordinateMap) -> None:
        states = self.program.states
        if moved != states.now.map:
            code = statement.text[:2].upper()
            message = f"The old command '{statement.text[:24]}' moves, scales or mirrors the image; it was followed."
            self._note(f"old {code}", statement, message)
        states.change(statement.at, replace(states.now, map=moved))

    def _axis_select(self, statement: Statement, text: str) -> None:
        axes = text.upper().replace(" ", "")
        if axes not in ("AXBY", "AYBX"):
            self._not_understood(statement)
            return
        self._move_map(statement, replace(self.program.states.now.map, swapped=axes == "AYBX"))

    def _mirror(self, statement: Statement, text: str) -> None:
        axes = self._axes(statement, text)
        if axes is not None:
            a, b = (axis is not None and axis != 0 for axis in axes)
            self._move_map(statement, replace(self.program.states.now.map, mirror_a=a, mirror_b=b))

    def _scale(self, statement: Statement, text: str) -> None:
        axes = self._axes(statement, text)
        if axes is None:
            return
        a, b = (1.0 if axis is None else axis for axis in axes)
        if a <= 0 or b <= 0:
            self._not_understood(statement)
            return
        self._move_map(statement, replace(self.program.states.now.map, scale_a=a, scale_b=b))

    def _offset(self, statement: Statement, text: str) -> None:
        axes = self._axes(statement, text)
        if axes is not None:
            a, b = (0.0 if axis is None else axis * self._unit_mm for axis in axes)
            self._move_map(statement, replace(self.program.states.now.map, offset_a=a, offset_b=b))

    def _rotate_layer(self, statement: Statement, text: str) -> None:
        if _NUMBER.fullmatch(text) is None:
            self._not_understood(statement)
            return
        self._move_map(statement, replace(self.program.states.now.map, rotation=float(text)))

    # Deprecated commands for the whole image

    def _rotate_image(self, statement: Statement, text: str) -> None:
        if _NUMBER.fullmatch(text) is None or float(text) % 90 != 0:
            self._not_understood(statement)
            return
        self.program.rotation_degrees = float(text)
        if float(text) != 0:
            self._note("old IR", statement, f"The old command '{statement.text}' turns the image; it was followed.")

    def _offset_image(self, statement: Statement, text: str) -> None:
        axes = self._axes(statement, text)
        if axes is None:
            return
        a, b = (0.0 if axis is None else axis * self._unit_mm for axis in axes)
        self.program.offset_mm = (a, b)
        if (a, b) != (0.0, 0.0):
            self._note("old IO", statement, f"The old command '{statement.text}' moves the image; it was followed.")

    def _image_polarity(self, statement: Statement, text: str) -> None:
        if text.upper() not in ("POS", "NEG"):
            self._not_understood(statement)
            return
        self.program.negative_at = statement.at if text.upper() == "NEG" else None

    def _knock_out(self, statement: Statement, text: str) -> None:
        found = _KNOCKOUT.match(text.replace(" ", ""))
        if found is None:
            self._not_understood(statement)
            return
        self.program.layer_starts.append(statement.at)
        polarity, *numbers = found.groups()
        x, y, width, height, margin = (None if value is None else float(value) * self._unit_mm for value in numbers)
        if polarity is None:
            return
        box = None if width is None or height is None else (x or 0.0, y or 0.0, width, height)
        self.program.knockouts.append(KnockOut(statement.at, polarity.upper() == "D", box, margin))

    def _layer_name(self, statement: Statement, text: str) -> None:
        self.program.layer_starts.append(statement.at)

    # What is only told

    def _include(self, statement: Statement, text: str) -> None:
        message = f"The file '{text[:40]}' should be included here; it was not read. Export without include files."
        self._note("include", statement, message)

    def _justify(self, statement: Statement, text: str) -> None:
        message = f"The old command '{statement.text[:24]}' places the image on a film; it was not followed."
        self._note("justify", statement, message)

    def _attribute(self, statement: Statement, text: str) -> None:
        program = self.program
        book = program.attributes
        if not book.obey(statement.text[:2].upper(), text):
            message = "Too many attributes are in force; further ones were passed over."
            self._note("many attributes", statement, message)
        program.object_row.change(statement.at, book.object_row)
        program.region_row.change(statement.at, book.aperture_row)


_WITHOUT_EFFECT = ("IN", "PF", "IC")
"""Image name, plotter film, input code: they change nothing in the image."""

_HANDLERS: dict[str, Callable[[Interpreter, Statement, str], None]] = {
    "FS": Interpreter._format,
    "MO": Interpreter._unit,
    "AM": Interpreter._macro,
    "AD": Interpreter._aperture,
    "AB": Interpreter._block,
    "LP": Interpreter._polarity,
    "LM": Interpreter._mirror_aperture,
    "LR": Interpreter._rotate_aperture,
    "LS": Interpreter._scale_aperture,
    "LN": Interpreter._layer_name,
    "AS": Interpreter._axis_select,
    "MI": Interpreter._mirror,
    "SF": Interpreter._scale,
    "OF": Interpreter._offset,
    "RO": Interpreter._rotate_layer,
    "IR": Interpreter._rotate_image,
    "IO": Interpreter._offset_image,
    "IP": Interpreter._image_polarity,
    "KO": Interpreter._knock_out,
    "IF": Interpreter._include,
    "IJ": Interpreter._justify,
    "TF": Interpreter._attribute,
    "TA": Interpreter._attribute,
    "TO": Interpreter._attribute,
    "TD": Interpreter._attribute,
}
