"""Writes drilled holes and slots: XNC, and the older ways of writing the same."""

from collections.abc import Sequence

from boards.artwork_writer import MM_PER_INCH, write_artwork
from boards.design import Drawn, Flash, Hole, Line
from boards.dialect import Dialect

WHOLE_DIGITS = {"mm": 3, "inch": 2}
DECIMALS = {"mm": 3, "inch": 4}
"""The digits that files without a decimal point usually have: 3.3 in mm, 2.4 in inch."""


def write_drill(holes: Sequence[Hole], dialect: Dialect, plated: bool | None, layers: int = 2) -> bytes:
    """One drill file: header, tools, holes a tool at a time; `plated` None where one file holds all."""
    tools = {size: number for number, size in enumerate(sorted({hole.diameter_mm for hole in holes}), start=1)}
    per_unit = MM_PER_INCH if dialect.drill_unit == "inch" else 1.0
    lines = ["M48"]
    if dialect.attributes != "none":
        functions = {True: "Plated,1,{},PTH", False: "NonPlated,1,{},NPTH", None: "MixedPlating,1,{}"}
        lines.append(f"; #@! TF.FileFunction,{functions[plated].format(layers)}")
    unit = "INCH" if dialect.drill_unit == "inch" else "METRIC"
    zeros = {"point": "", "leading": ",LZ", "trailing": ",TZ"}[dialect.drill_digits]
    digits = ",000.000" if zeros and dialect.drill_unit == "mm" else ""  # metric digits are not otherwise agreed
    lines.append(unit + zeros + digits)
    lines += [f"T{number:02d}C{size / per_unit:.4f}" for size, number in tools.items()]
    lines += ["%", "G05"]
    for size, number in tools.items():
        lines.append(f"T{number:02d}")
        lines += [line for hole in holes if hole.diameter_mm == size for line in _hole(hole, dialect, per_unit)]
    lines.append("M30")
    return (dialect.newline.join(lines) + dialect.newline).encode("ascii")


def write_drill_artwork(holes: Sequence[Hole], dialect: Dialect, plated: bool, layers: int = 2) -> bytes:
    """The same holes as a Gerber file: flashes and strokes of the tool's diameter."""
    function = ("Plated", "1", str(layers), "PTH") if plated else ("NonPlated", "1", str(layers), "NPTH")
    objects: list[Drawn] = []
    for hole in holes:
        if hole.to_x is None or hole.to_y is None:
            size = hole.diameter_mm
            objects.append(Flash(hole.x, hole.y, "circle", size, size, function=hole.function))
        else:
            objects.append(Line(((hole.x, hole.y), (hole.to_x, hole.to_y)), hole.diameter_mm))
    attributes = [(".FileFunction", *function), (".FilePolarity", "Positive")]
    return write_artwork(objects, attributes, dialect, "holes", "ComponentDrill")


def _hole(hole: Hole, dialect: Dialect, per_unit: float) -> list[str]:
    """The lines of one hole or slot."""
    start = _coordinates(hole.x / per_unit, hole.y / per_unit, dialect)
    if hole.to_x is None or hole.to_y is None:
        return [start]
    end = _coordinates(hole.to_x / per_unit, hole.to_y / per_unit, dialect)
    if dialect.slots == "g85":
        return [f"{start}G85{end}"]
    return [f"G00{start}", "M15", f"G01{end}", "M16", "G05"]


def _coordinates(x: float, y: float, dialect: Dialect) -> str:
    return f"X{_number(x, dialect)}Y{_number(y, dialect)}"


def _number(value: float, dialect: Dialect) -> str:
    decimals = DECIMALS[dialect.drill_unit]
    if dialect.drill_digits == "point":
        return f"{round(value, decimals) + 0.0:.{decimals}f}"
    sign = "-" if value < 0 else ""
    digits = f"{abs(round(value * 10**decimals)):0{WHOLE_DIGITS[dialect.drill_unit] + decimals}d}"
    if dialect.drill_digits == "leading":
        return sign + (digits.rstrip("0") or "0")
    return sign + (digits.lstrip("0") or "0")
