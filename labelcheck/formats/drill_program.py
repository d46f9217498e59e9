"""Runs a drill program: every hole, slot and routed path that its lines make.

The machine has a tool, a position, and a mode (drilling, or routing with the tool up or down). A slot drilled with
G85, a path routed between M15 and M16, and a hole are all paths here: points that the middle of the tool passes.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from labelcheck.formats.drill_arcs import Point, along_arc, centre_by_radius
from labelcheck.formats.drill_header import Line, tool_definition
from labelcheck.formats.drill_numbers import DEFAULT_DIGITS, NumberFormat
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark

PATHS_AT_MOST = 300_000
"""Holes and slots of one file; a repeat code can ask for more than any board holds."""

ODDITIES_TOLD = 5
"""Remarks about lines that were not understood, before the rest is only counted."""

_WORD = re.compile(r"([A-Z])([+-]?[\d.]*)")
_PLAIN_HOLE = re.compile(r"^(?:X([+-]?[\d.]+))?(?:Y([+-]?[\d.]+))?$")
_REPEAT = re.compile(r"^R(\d+)(M02|M2)?(?:X([+-]?[\d.]+))?(?:Y([+-]?[\d.]+))?$")
_MESSAGES = ("M47", "M97", "M98", "M45", "M199")
"""Texts to the operator, to be drilled as dots or shown; boards are not labelled so today."""

_CYCLES = frozenset({"G82", "G83", "G84", "G87", "G32", "G33", "G35", "G36", "G37", "G38"})
_TURNED_PATTERNS = frozenset({"M70", "M80", "M90"})
_COORDINATES = re.compile(r"[XY][+-]?[\d.]")
_HARMLESS = re.compile(r"^(R,[A-Z]+|%+|[\x00-\x1f\x7f]+)$")
_HEADER_WORDS = re.compile(r"^[A-Z]{2,}([,/].*)?$")


@dataclass(frozen=True, slots=True)
class Path:
    """Where the middle of one tool goes: one point for a hole, more for a slot."""

    tool: int
    line: int
    points: tuple[Point, ...]


@dataclass(slots=True)
class Machine:
    """The state of the drilling machine (mutable; it never leaves this module's callers)."""

    name: str
    format: NumberFormat
    paths: list[Path] = field(default_factory=list)
    oddities: list[Remark] = field(default_factory=list)
    left_out: int = 0
    """Commands that would have made holes but were not understood."""
    tools: set[int] = field(default_factory=set)
    ended: bool = False
    after_end: int = 0
    tool: int | None = None
    x: float = 0.0
    y: float = 0.0
    zero: Point = (0.0, 0.0)
    incremental: bool = False
    routing: bool = False
    motion: int = 0
    """0 rapid, 1 straight, 2 clockwise, 3 counter-clockwise."""
    cut: list[Point] | None = None
    """Points of the path being routed, None while the tool is up."""
    cut_line: int = 0
    pattern_first: int | None = None
    pattern_last: int | None = None
    pattern_shift: Point = (0.0, 0.0)

    def odd(self, line: int, message: str, hole_lost: bool = False) -> None:
        """Note something not understood; a lost hole makes the file incomplete."""
        self.left_out += hole_lost
        self.oddities.append(Remark(self.name, line, message))

    def add(self, line: int, points: tuple[Point, ...]) -> None:
        """One finished path of the tool in hand."""
        if self.tool is None:
            self.odd(line, "A hole is drilled before any tool is chosen; it was left out.", hole_lost=True)
        elif self.tool != 0:
            self.paths.append(Path(self.tool, line, points))
            self.expect(line, 0)

    def expect(self, line: int, more: int) -> None:
        """Refuse a program before it makes more holes than any board holds."""
        if len(self.paths) + more > PATHS_AT_MOST:
            raise UnreadableFile(
                self.name,
                line,
                f"The program makes more than {PATHS_AT_MOST:,} holes.",
                "Export the drill file again without step-and-repeat.",
            )

    def finish_cut(self) -> None:
        """Lift the tool: what was routed so far is one path."""
        if self.cut is not None and len(self.cut) > 1:
            self.add(self.cut_line, tuple(self.cut))
        self.cut = None


def run(lines: tuple[Line, ...], machine: Machine) -> None:
    """Run all lines on the machine; it holds the outcome."""
    first = _first_of_body(lines, machine)
    for line in lines[first:]:
        code = line.code.lstrip("/")  # Block delete: the machine may skip it, a board house does not.
        if not code:
            continue
        if machine.ended:
            machine.after_end += code != "%"
            continue
        plain = None if machine.routing else _PLAIN_HOLE.match(code)
        if plain is not None:
            _go(machine, line.number, plain[1], plain[2])
            machine.add(line.number, ((machine.x, machine.y),))
        else:
            _command(code, line.number, machine)
    machine.finish_cut()


def _first_of_body(lines: tuple[Line, ...], machine: Machine) -> int:
    """Place of the first line behind the header; the header's tools become known to the machine.

    The header ends with `%` or M95, or, where that is missing, with the first choice of a tool or the first hole.
    """
    start = next((place for place, line in enumerate(lines) if line.code == "M48"), None)
    if start is None:
        return 0
    for place, line in enumerate(lines[start:], start=start):
        if line.code in ("%", "M95"):
            return place + 1
        definition = tool_definition(line.code)
        if definition is not None and definition[1] is not None:
            machine.tools.add(definition[0])
        elif definition is not None or line.code.startswith(("X", "Y", "M30", "G00", "G01")):
            return place
    return len(lines)


def _command(code: str, number: int, machine: Machine) -> None:
    if code == "%":
        return
    definition = tool_definition(code)
    if definition is not None:
        machine.finish_cut()
        _choose_tool(definition[0], machine)
        return
    repeat = _REPEAT.match(code)
    if repeat is not None:
        _repeat(machine, number, repeat)
        return
    if _HEADER_WORDS.match(code):
        if code.startswith(("METRIC", "INCH")):
            _set_unit(machine, code.startswith("METRIC"))
        elif code.startswith("ICI"):
            machine.incremental = code.endswith("ON")
        return
    if code.startswith(_MESSAGES) or _HARMLESS.match(code):
        return
    words = _WORD.findall(code)
    if "".join(letter + value for letter, value in words) != code:
        told = f"`{_shortened(code)}` was not understood and was left out."
        machine.odd(number, told, hole_lost=_COORDINATES.search(code) is not None)
        return
    _Block(words, number, machine).run()


def _choose_tool(wanted: int, machine: Machine) -> None:
    # `T0102` is tool 1 with compensation 2 on some machines.
    if wanted not in machine.tools and wanted >= 100 and wanted // 100 in machine.tools:
        wanted //= 100
    machine.tool = wanted
    machine.tools.add(wanted)


def _set_unit(machine: Machine, metric: bool) -> None:
    unit = "mm" if metric else "inch"
    if machine.format.unit != unit:
        whole, decimal = DEFAULT_DIGITS["mm" if metric else "inch"]
        machine.format = replace(
            machine.format, unit="mm" if metric else "inch", whole_digits=whole, decimal_digits=decimal
        )


def _shortened(code: str) -> str:
    printable = "".join(character if character.isprintable() else "?" for character in code[:40])
    return printable if len(code) <= 40 else printable + "…"


def _go(machine: Machine, number: int, x: str | None, y: str | None) -> None:
    """Move the position; what is not written stays as it was."""
    try:
        dx = None if x is None else machine.format.length_mm(x)
        dy = None if y is None else machine.format.length_mm(y)
    except ValueError:
        machine.odd(number, f"`{_shortened(f'X{x} Y{y}')}` holds no number that can be a coordinate.", hole_lost=True)
        return
    if machine.incremental:
        machine.x += dx or 0.0
        machine.y += dy or 0.0
    else:
        machine.x = machine.x if dx is None else dx + machine.zero[0]
        machine.y = machine.y if dy is None else dy + machine.zero[1]


def _repeat(machine: Machine, number: int, match: re.Match[str]) -> None:
    count = min(int(match[1][:9]), PATHS_AT_MOST + 1)
    try:
        dx = 0.0 if match[3] is None else machine.format.length_mm(match[3])
        dy = 0.0 if match[4] is None else machine.format.length_mm(match[4])
    except ValueError:
        machine.odd(number, "The step of a repeat is no number; it was left out.", hole_lost=True)
        return
    machine.expect(number, count)
    for _ in range(count):
        if match[2]:
            _repeat_pattern(machine, number, dx, dy)
        else:
            machine.x += dx
            machine.y += dy
            machine.add(number, ((machine.x, machine.y),))
        if not machine.paths:
            return  # Nothing to repeat: the oddity is told once.


def _repeat_pattern(machine: Machine, number: int, dx: float, dy: float) -> None:
    if machine.pattern_first is None:
        machine.odd(number, "A pattern is repeated that was never begun; it was left out.", hole_lost=True)
        return
    if machine.pattern_last is None:
        machine.pattern_last = len(machine.paths)
    sx, sy = machine.pattern_shift[0] + dx, machine.pattern_shift[1] + dy
    machine.pattern_shift = (sx, sy)
    held = machine.tool
    for path in machine.paths[machine.pattern_first : machine.pattern_last]:
        machine.tool = path.tool
        machine.add(number, tuple((x + sx, y + sy) for x, y in path.points))
    machine.tool = held


@dataclass(frozen=True, slots=True)
class _Block:
    """One line as words; G and M words act in the order in which they stand."""

    words: list[tuple[str, str]]
    number: int
    machine: Machine

    def run(self) -> None:
        machine = self.machine
        values = {letter: value for letter, value in self.words if letter not in "GMXY"}
        moves = list(self._moves())
        for before, code, after in moves:
            if before != (None, None):
                self._move(before, values)
            if code is not None:
                self._act(code, after, values)
        if any(letter == "T" for letter, _ in self.words):
            wanted = values["T"]
            if wanted.isdigit():
                machine.finish_cut()
                _choose_tool(int(wanted[:7]), machine)

    def _moves(self) -> Iterator[tuple[tuple[str | None, str | None], str | None, tuple[str | None, str | None]]]:
        """(place before, code, place after) for each G or M word; a block of coordinates only has no code."""
        codes = [index for index, (letter, _) in enumerate(self.words) if letter in "GM"]
        if not codes:
            yield self._place(0, len(self.words)), None, (None, None)
            return
        bounds = [*codes, len(self.words)]
        first = self._place(0, codes[0])
        for order, index in enumerate(codes):
            letter, value = self.words[index]
            number = value.lstrip("0") or "0"
            yield (first if order == 0 else (None, None)), letter + number, self._place(index, bounds[order + 1])

    def _place(self, first: int, last: int) -> tuple[str | None, str | None]:
        found: dict[str, str] = {letter: value for letter, value in self.words[first:last] if letter in "XY"}
        return found.get("X"), found.get("Y")

    def _move(self, place: tuple[str | None, str | None], values: dict[str, str]) -> None:
        """Coordinates in the mode that is on: a hole, a rapid move, or a routed piece."""
        machine, number = self.machine, self.number
        if place == (None, None):
            return
        if any(letter == "G" and value == "85" for letter, value in self.words):
            _go(machine, number, *place)  # The start of a slot: no hole of its own.
            return
        start = (machine.x, machine.y)
        _go(machine, number, *place)
        end = (machine.x, machine.y)
        if not machine.routing:
            machine.add(number, (end,))
        elif machine.motion != 0:
            if machine.cut is None:
                machine.cut, machine.cut_line = [start], number
            if machine.motion == 1:
                machine.cut.append(end)
            else:
                machine.cut += self._arc(start, end, values)

    def _arc(self, start: Point, end: Point, values: dict[str, str]) -> list[Point]:
        machine = self.machine
        clockwise = machine.motion == 2
        try:
            if "A" in values:
                centre = centre_by_radius(start, end, machine.format.length_mm(values["A"]), clockwise)
            else:
                i = machine.format.length_mm(values["I"]) if "I" in values else 0.0
                j = machine.format.length_mm(values["J"]) if "J" in values else 0.0
                centre = (start[0] + i, start[1] + j) if "I" in values or "J" in values else None
        except ValueError:
            centre = None
        if centre is None:
            machine.odd(self.number, "A routed arc has no usable radius or centre; a straight line was taken.")
            return [end]
        return along_arc(start, end, centre, clockwise)

    def _act(self, code: str, place: tuple[str | None, str | None], values: dict[str, str]) -> None:
        """Carry out one G or M word, then move to the place behind it."""
        machine, number = self.machine, self.number
        if code in _CYCLES:
            told = f"{code} (a canned cycle) was not carried out; its holes are left out."
            machine.odd(number, told, hole_lost=True)
        elif code in _TURNED_PATTERNS:
            machine.odd(number, f"{code} (a mirrored or turned pattern) was not carried out.", hole_lost=True)
        elif code == "G85":
            start = (machine.x, machine.y)
            _go(machine, number, *place)
            machine.add(number, (start, (machine.x, machine.y)))
        elif code in ("G92", "G93"):
            self._set_zero(place)
        elif code == "M2" and place != (None, None):
            self._pattern(place)
        else:
            self._set_mode(code)
            self._move(place, values)

    def _set_mode(self, code: str) -> None:
        machine = self.machine
        match code:
            case "G0" | "G1" | "G2" | "G3":
                if code == "G0":
                    machine.finish_cut()
                machine.routing, machine.motion = True, int(code[1])
            case "G5" | "G81":
                machine.finish_cut()
                machine.routing = False
            case "G90" | "G91":
                machine.incremental = code == "G91"
            case "G70" | "G71" | "G20" | "G21" | "M71" | "M72":
                _set_unit(machine, code in ("G71", "G21", "M71"))
            case "G41" | "G42":
                told = f"{code} (cutter compensation) was not applied: the path may be half a tool off."
                machine.odd(self.number, told)
            case "M14" | "M15":
                machine.cut, machine.cut_line = [(machine.x, machine.y)], self.number
            case "M16" | "M17" | "M18":
                machine.finish_cut()
            case "M25":
                machine.pattern_first, machine.pattern_last = len(machine.paths), None
                machine.pattern_shift = (0.0, 0.0)
            case "M1":
                machine.pattern_last = len(machine.paths)
            case "M8":
                machine.pattern_first = machine.pattern_last = None
            case "M2" if machine.pattern_first is None:
                machine.ended = True
            case "M30":
                machine.ended = True

    def _set_zero(self, place: tuple[str | None, str | None]) -> None:
        machine = self.machine
        try:
            x, y = (0.0 if text is None else machine.format.length_mm(text) for text in place)
        except ValueError:
            machine.odd(self.number, "The zero that is set is no number; it was left out.")
            return
        machine.zero = (x, y)

    def _pattern(self, place: tuple[str | None, str | None]) -> None:
        try:
            dx, dy = (0.0 if text is None else self.machine.format.length_mm(text) for text in place)
        except ValueError:
            self.machine.odd(self.number, "The step of a pattern is no number; it was left out.", True)
            return
        if any(letter == "M" and value in ("70", "80", "90") for letter, value in self.words):
            return  # The oddity is told where that word acts.
        _repeat_pattern(self.machine, self.number, dx, dy)
