"""Drill files (XNC, Excellon and its many dialects) become holes and slots.

The modern form, XNC, says everything in its header. Older files leave out the unit, the digits, or the header itself;
what is then guessed is named in `DrillFile.guessed`, with the other possibilities in `candidates`, so that the board
can decide by its pads and outline.
"""

import re
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from labelcheck.formats.drill_header import Declarations, Line, collect, split_lines, tool_definition
from labelcheck.formats.drill_numbers import Declared, NumberFormat, alternatives, look_at_numbers, settle
from labelcheck.formats.drill_program import ODDITIES_TOLD, Machine, Path, run
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats, Kind, Shapes, empty_shapes

LARGEST_TOOL_MM = 50.0
"""A larger tool is a misread number: drills for boards end near 6.5 mm, routing bits are smaller."""

BYTES_AT_MOST = 20_000_000
"""A program of as many holes as are read at most is smaller."""

LOOKED_AT_BYTES = 8_000
"""How much of a file is looked at to tell what it is."""

_COORDINATE = re.compile(r"[XY]([+-]?[\d.]+)")
_BODY_HOLE = re.compile(
    r"^(?:G0?[0123])?(?:X[+-]?[\d.]+Y[+-]?[\d.]+|[XY][+-]?[\d.]+)(?:G85(?:[XY][+-]?[\d.]+){1,2})?$"
)
_BODY_TOOL = re.compile(r"^T\d{1,4}(?:[CFSBHZ][\d.]*)*$")


@dataclass(frozen=True, slots=True)
class Tool:
    """One tool of a drill file."""

    number: int
    diameter_mm: float | None
    """None where the file never says."""
    plated: bool | None


@dataclass(frozen=True, slots=True, eq=False)
class DrillFile:
    """One drill file; lengths in millimetres."""

    name: str
    shapes: Shapes
    """Holes as discs (kind flash), slots and routed paths as bars (kind stroke); `aperture` is a row in `tools`."""
    tools: tuple[Tool, ...]
    plated: tuple[bool | None, ...]
    """One entry an object."""
    format: NumberFormat
    """How its coordinates were understood."""
    guessed: tuple[str, ...]
    """What of that the file does not say: `unit`, `number of digits`, `left-out zeros`."""
    candidates: tuple[NumberFormat, ...]
    """All readings that the file allows, the likeliest first; only one where nothing was guessed."""
    others: tuple[NumberFormat, ...]
    """Readings that contradict the file, for a file that does not fit its board."""
    file_function: tuple[str, ...] | None
    """Values of its `.FileFunction` attribute in capitals, None where it has none."""
    whole: bool
    """Whether the program ended with its end-of-program command."""
    left_out: int
    """Holes that the file asks for and that could not be made out."""
    remarks: tuple[Remark, ...]


def looks_like_drill(data: bytes) -> bool:
    """Whether the bytes are a drill program: a header, or tool and coordinate lines without Gerber's stars."""
    text = data[:LOOKED_AT_BYTES].decode("latin-1")
    lines = split_lines(text)
    codes = [line.code for line in lines if line.code]
    if any("*" in code for code in codes[:50]):
        return False
    if "M48" in codes[:50]:
        return True
    holes = sum(1 for code in codes if _BODY_HOLE.match(code))
    tools = sum(1 for code in codes if _BODY_TOOL.match(code))
    return holes >= 1 and tools >= 1 and holes + tools >= len(codes) / 2


def read_drill(name: str, data: bytes, reading: NumberFormat | None = None) -> DrillFile:
    """Read a drill file; `reading` states how to understand its numbers where the board has decided that.

    Raises UnreadableFile where the bytes are no drill program or ask for more holes than any board holds.
    """
    if len(data) > BYTES_AT_MOST:
        raise UnreadableFile(name, None, f"The file has more than {BYTES_AT_MOST:,} bytes.", "Export it again.")
    lines = split_lines(data.decode("latin-1"))
    if not lines or not (looks_like_drill(data) or _has_holes(lines)):
        raise UnreadableFile(name, None, "This is no drill program.", "Export the drill file again.")
    declared = collect(lines)
    written = look_at_numbers(text for line in lines for text in _COORDINATE.findall(line.code))
    formats, guessed = settle(declared.numbers, written, _tools_if_metric(lines, declared))
    format = formats[0] if reading is None else reading
    others = tuple(other for other in alternatives(formats[0], written) if other not in formats)
    machine = Machine(name, format, tools=set(declared.comment_diameter_mm) | set(declared.comment_diameter_unitless))
    run(lines, machine)
    diameters, remarks = _diameters(name, lines, declared, format)
    tools, paths, left_out, tool_remarks = _usable(name, machine, declared, diameters)
    ended = machine.ended or declared.has_end
    shapes, plated = _as_shapes(paths, tools)
    return DrillFile(
        name=name,
        shapes=shapes,
        tools=tools,
        plated=plated,
        format=format,
        guessed=guessed,
        candidates=formats,
        others=others,
        file_function=declared.attributes.get(".FILEFUNCTION"),
        whole=ended,
        left_out=left_out,
        remarks=(*remarks, *tool_remarks, *_told(machine), *_end_remarks(machine, ended)),
    )


def _has_holes(lines: tuple[Line, ...]) -> bool:
    holes = sum(1 for line in lines if _BODY_HOLE.match(line.code))
    return holes >= 1 and holes >= len(lines) / 4


def _tools_if_metric(lines: tuple[Line, ...], declared: Declarations) -> list[float]:
    found = [
        float(definition[1])
        for line in lines
        if (definition := tool_definition(line.code)) is not None
        and definition[1] is not None
        and definition[1].count(".") == 1
    ]
    return [*found, *declared.comment_diameter_unitless.values()]


def _diameters(
    name: str, lines: tuple[Line, ...], declared: Declarations, format: NumberFormat
) -> tuple[dict[int, float], list[Remark]]:
    """Diameter of each tool: from its definition, else from a comment."""
    diameters: dict[int, float] = {}
    remarks: list[Remark] = []
    unit_format = format
    for line in lines:
        overruled = declared.numbers.unit != format.unit  # The board decided against what the file says.
        if line.code.startswith(("METRIC", "INCH")) and not overruled:
            unit_format = replace(format, unit="mm" if line.code.startswith("METRIC") else "inch")
        definition = tool_definition(line.code)
        if definition is None or definition[1] is None:
            continue
        number, text = definition[0], definition[1]
        try:
            diameter = unit_format.length_mm(text)
        except ValueError:
            remarks.append(Remark(name, line.number, f"The diameter of tool T{number} is no number."))
            continue
        if number in diameters and abs(diameters[number] - diameter) > 1e-6:
            remarks.append(
                Remark(
                    name,
                    line.number,
                    f"Tool T{number} is defined twice with different diameters; "
                    f"{diameter:.3f} mm was taken for all of its holes.",
                )
            )
        diameters[number] = diameter
    for number, diameter in declared.comment_diameter_mm.items():
        diameters.setdefault(number, diameter)
    for number, diameter in declared.comment_diameter_unitless.items():
        diameters.setdefault(number, diameter * format.mm_per_unit)
    return diameters, remarks


def _usable(
    name: str, machine: Machine, declared: Declarations, diameters: dict[int, float]
) -> tuple[tuple[Tool, ...], list[Path], int, list[Remark]]:
    """The tools in use, the paths whose tool has a believable diameter, and how many had to be left out."""
    used: dict[int, list[Path]] = {}
    for path in machine.paths:
        used.setdefault(path.tool, []).append(path)
    tools: list[Tool] = []
    remarks: list[Remark] = []
    left_out = machine.left_out
    for number in sorted(used.keys() | {key for key in diameters if key > 0}):
        diameter = diameters.get(number)
        tools.append(Tool(number, diameter, declared.tool_plated.get(number, declared.plated)))
        if number not in used or (diameter is not None and 0 < diameter <= LARGEST_TOOL_MM):
            continue
        problem = "has no diameter anywhere in the file" if diameter is None else f"would be {diameter:.3f} mm wide"
        message = f"Tool T{number} {problem}; its {len(used[number])} holes are left out."
        remarks.append(Remark(name, used[number][0].line, f"{message} Export the drill file with its tool table."))
        left_out += len(used[number])
    usable = {
        tool.number for tool in tools if tool.diameter_mm is not None and 0 < tool.diameter_mm <= LARGEST_TOOL_MM
    }
    return tuple(tools), [path for path in machine.paths if path.tool in usable], left_out, remarks


def _as_shapes(paths: list[Path], tools: tuple[Tool, ...]) -> tuple[Shapes, tuple[bool | None, ...]]:
    if not paths:
        return empty_shapes(), ()
    rows = {tool.number: row for row, tool in enumerate(tools)}
    aperture = np.array([rows[path.tool] for path in paths], dtype=np.int64)
    bar_object: list[int] = []
    bars: list[tuple[float, float, float, float]] = []
    for index, path in enumerate(paths):
        points = path.points if len(path.points) > 1 else path.points * 2
        for (x0, y0), (x1, y1) in pairwise(points):
            bar_object.append(index)
            bars.append((x0, y0, x1, y1))
    ends: Floats = np.array(bars, dtype=np.float64)
    owner = np.array(bar_object, dtype=np.int64)
    widths = np.array([tool.diameter_mm or 0.0 for tool in tools])
    count = len(paths)
    kinds = [Kind.FLASH if len(path.points) == 1 else Kind.STROKE for path in paths]
    shapes = Shapes(
        kind=np.array(kinds, dtype=np.int64),
        dark=np.ones(count, dtype=np.bool_),
        line=np.array([path.line for path in paths], dtype=np.int64),
        aperture=aperture,
        attributes=np.zeros(count, dtype=np.int64),
        bar_object=owner,
        x0=ends[:, 0].copy(),
        y0=ends[:, 1].copy(),
        x1=ends[:, 2].copy(),
        y1=ends[:, 3].copy(),
        width=widths[aperture][owner],
        ring_object=np.zeros(0, dtype=np.int64),
        ring_start=np.zeros(1, dtype=np.int64),
        vx=np.zeros(0),
        vy=np.zeros(0),
    )
    return shapes, tuple(tools[row].plated for row in aperture)


def _told(machine: Machine) -> list[Remark]:
    told = machine.oddities[:ODDITIES_TOLD]
    rest = len(machine.oddities) - len(told)
    return [*told, Remark(machine.name, None, f"{rest} more lines were not understood.")] if rest > 0 else told


def _end_remarks(machine: Machine, ended: bool) -> list[Remark]:
    remarks = []
    if not ended:
        remarks.append(
            Remark(
                machine.name,
                None,
                "The program has no end (M30): the file may be cut short. Export the drill file again.",
            )
        )
    if machine.after_end:
        remarks.append(
            Remark(machine.name, None, f"{machine.after_end} lines behind the end of the program were left out.")
        )
    return remarks


__all__ = ["Declared", "DrillFile", "NumberFormat", "Tool", "looks_like_drill", "read_drill"]
