"""Artwork made at random with the constructs of the layer format, written in two ways that draw the same.

One way uses repeats, blocks, and apertures turned, mirrored and scaled; the other spells all of that out, for a
reference that does not know them. Regular polygons are spelled out as regions, corner by corner after clauses 4.4.5
and 4.5.1.7 of the layer format specification, because the reference turns and places them otherwise. Nothing of
labelcheck is imported here.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

UNITS = {"mm": 1.0, "inch": 25.4}
MACROS = {
    "BAR": "20,1,$1,0,0,$2,0,0*",
    "BOX": "21,1,$1,$2,0,0,$3*",
    "DOT": "$3=$1x1.5-$1/4*1,1,$3,0,0*",
    "SHAPE": "4,1,4,0,0,$1,0,$1,$2,0,$2,0,0,0*",
    "SIX": "5,1,6,0,0,$1,0*",
    "PAIR": "1,1,$1,0-$2,0*1,1,$1,$2,0*",
}
"""Bodies of aperture macros, each of few lengths; `DOT` does arithmetic."""
ARGUMENTS = {"BAR": "ll", "BOX": "lla", "DOT": "l", "SHAPE": "ll", "PAIR": "ll"}
"""What each takes: lengths and angles."""


@dataclass(slots=True)
class Made:
    """One artwork in both ways, and what was put into it."""

    text: str
    spelled_out: str
    flashes: int
    objects: int
    constructs: set[str] = field(default_factory=set)


Point = tuple[float, float]
Commands = Callable[[float, float], str]
"""Writes something moved by so many millimetres."""


@dataclass(slots=True)
class _Writer:
    """Chance, the coordinate format of one file, and its apertures; mutable while it writes."""

    chance: np.random.Generator
    unit: str
    decimals: int
    apertures: list[str] = field(default_factory=list)
    constructs: set[str] = field(default_factory=set)

    def length(self, low: float, high: float) -> float:
        """A length in millimetres that is whole in the file's unit and format."""
        return self.on_grid(float(self.chance.uniform(low, high)))

    def on_grid(self, mm: float) -> float:
        step = UNITS[self.unit] * 10.0**-self.decimals
        return round(mm / step) * step

    def at(self, x: float, y: float, letters: str = "XY") -> str:
        whole = (round(value / UNITS[self.unit] * 10**self.decimals) for value in (x, y))
        return "".join(f"{letter}{value}" for letter, value in zip(letters, whole, strict=True))

    def size(self, mm: float) -> str:
        return f"{mm / UNITS[self.unit]:.8f}"

    def aperture(self, definition: str) -> int:
        self.apertures.append(definition)
        return 9 + len(self.apertures)

    def head(self) -> str:
        name = "MM" if self.unit == "mm" else "IN"
        macros = "".join(f"%AM{macro}*{body}%\n" for macro, body in MACROS.items())
        defined = "".join(f"%ADD{code}{text}*%\n" for code, text in enumerate(self.apertures, start=10))
        return f"G04 made at random*\n%FSLAX3{self.decimals}Y3{self.decimals}*%\n%MO{name}*%\nG75*\n{macros}{defined}"


def random_artwork(seed: int) -> Made:
    """The artwork of a seed: three to nine things, each of a random kind, dark or clear."""
    chance = np.random.default_rng(seed)
    unit = str(chance.choice(["mm", "inch"]))
    writer = _Writer(chance, unit, int(chance.integers(4 if unit == "mm" else 5, 7)))
    short, long = "", ""
    flashes = objects = 0
    for number in range(int(chance.integers(3, 10))):
        dark = number == 0 or chance.random() < 0.7
        polarity = "%LPD*%\n" if dark else "%LPC*%\n"
        writer.constructs.add("dark" if dark else "clear")
        one = _thing(writer, polarity)
        short += polarity + one.text
        long += polarity + one.spelled_out
        flashes, objects = flashes + one.flashes, objects + one.objects
    text, spelled_out = (f"{writer.head()}{body}M02*\n" for body in (short, long))
    return Made(text, spelled_out, flashes, objects, writer.constructs)


def _thing(writer: _Writer, polarity: str) -> Made:
    """Something drawn once, in a step-and-repeat, or as a block flashed at several places."""
    x, y = writer.length(-15, 15), writer.length(-15, 15)
    kind = writer.chance.choice(["plain", "plain", "plain", "repeat", "block", "turned", "hole"])
    writer.constructs.add(str(kind))
    if kind == "hole":
        # Apart from all else: in the reference a hole clears what lies beneath, in the format it is only open.
        code = writer.aperture(f"{_standard(writer)}X{writer.size(writer.length(0.1, 0.5))}")
        flash = f"%LPD*%\nD{code}*\n{writer.at(30.0 + 5 * len(writer.apertures), y)}D03*\n"
        return Made(flash, flash, 1, 1)
    if kind == "turned":
        return _turned_flash(writer, x, y)
    commands, plainly, flashes, objects = _drawn(writer)
    if kind == "plain":
        return Made(commands(x, y), plainly(x, y), flashes, objects)
    if kind == "repeat":
        columns, rows = (int(n) for n in writer.chance.integers(1, 4, 2))
        dx, dy = writer.length(0.5, 6), writer.length(0.5, 6)
        repeated = f"%SRX{columns}Y{rows}I{writer.size(dx)}J{writer.size(dy)}*%\n{commands(x, y)}%SR*%\n"
        copies = [plainly(x + column * dx, y + row * dy) for row in range(rows) for column in range(columns)]
    else:
        places = [(writer.length(-15, 15), writer.length(-15, 15)) for _ in range(int(writer.chance.integers(1, 4)))]
        code = 500 + len(writer.apertures)
        flashed = "".join(f"{writer.at(*place)}D03*\n" for place in places)
        # A clear flash of a block turns the polarity of what is in it: clear in it would be dark again (clause 4.11).
        repeated = f"%ABD{code}*%\n%LPD*%\n{commands(0, 0)}%AB*%\n{polarity}D{code}*\n{flashed}"
        copies = [plainly(*place) for place in places]
    return Made(repeated, "".join(copies), flashes * len(copies), objects * len(copies))


def _drawn(writer: _Writer) -> tuple[Commands, Commands, int, int]:
    """Something to draw: its commands, the same spelled out, and how many flashes and objects it makes."""
    kind = str(writer.chance.choice(["flash", "polygon", "macro", "other"], p=[0.25, 0.1, 0.2, 0.45]))
    if kind == "polygon":
        return _polygon(writer)
    if kind != "other":
        writer.constructs.add(kind)
        code = writer.aperture(_standard(writer) if kind == "flash" else _macro(writer))

        def flash(x: float, y: float) -> str:
            return f"D{code}*\n{writer.at(x, y)}D03*\n"

        return flash, flash, 1, 1
    commands, objects = _path(writer)
    return commands, commands, 0, objects


def _polygon(writer: _Writer) -> tuple[Commands, Commands, int, int]:
    """A flash of a regular polygon, standard or macro, and the region with the same corners."""
    diameter = float(writer.size(writer.length(0.8, 3))) * UNITS[writer.unit]
    corners, turned = int(writer.chance.integers(3, 9)), float(writer.chance.integers(0, 90))
    if writer.chance.random() < 0.5:
        writer.constructs.add("P")
        code = writer.aperture(f"P,{writer.size(diameter)}X{corners}X{turned:g}")
    else:
        writer.constructs.add("SIX")
        corners, turned = 6, 0.0
        code = writer.aperture(f"SIX,{writer.size(diameter)}")
    angles = np.radians(turned) + 2 * np.pi * np.arange(corners) / corners
    offsets = np.column_stack((np.cos(angles), np.sin(angles))) * diameter / 2

    def flash(x: float, y: float) -> str:
        return f"D{code}*\n{writer.at(x, y)}D03*\n"

    def region(x: float, y: float) -> str:
        return _contour(writer, [(x + float(a), y + float(b)) for a, b in offsets])

    return flash, region, 1, 1


def _path(writer: _Writer) -> tuple[Commands, int]:
    """Strokes or a region: the commands, and how many objects they make."""
    kind = str(writer.chance.choice(["stroke", "arc", "circle", "region", "round region"]))
    writer.constructs.add(kind)
    if kind == "region":
        corners = [(writer.length(-3, 3), writer.length(-3, 3)) for _ in range(int(writer.chance.integers(3, 7)))]
        # In order of angle about the origin, so that the contour does not cross itself.
        corners.sort(key=lambda corner: math.atan2(corner[1], corner[0]))
        return lambda x, y: _contour(writer, [(x + a, y + b) for a, b in corners]), 1
    radius = writer.length(0.4, 3)
    if kind == "round region":
        return lambda x, y: _half_disc(writer, x, y, radius), 1
    code = writer.aperture(f"C,{writer.size(writer.length(0.05, 0.6))}")
    if kind == "stroke":
        points = [(writer.length(-4, 4), writer.length(-4, 4)) for _ in range(int(writer.chance.integers(2, 5)))]
        return lambda x, y: _polyline(writer, code, [(x + a, y + b) for a, b in points]), len(points) - 1
    way = str(writer.chance.choice(["G02", "G03"]))
    turns = 4 if kind == "circle" else int(writer.chance.integers(1, 4))
    return lambda x, y: _arc(writer, code, (x, y), radius, (way, turns)), 1


def _standard(writer: _Writer) -> str:
    template = str(writer.chance.choice(["C", "R", "O"]))
    a, b = writer.length(0.6, 3), writer.length(0.6, 3)
    writer.constructs.add(template)
    sizes = [writer.size(a)] if template == "C" else [writer.size(a), writer.size(b)]
    return f"{template},{'X'.join(sizes)}"


def _macro(writer: _Writer) -> str:
    name = str(writer.chance.choice(sorted(ARGUMENTS)))
    writer.constructs.add(name)
    given = [
        writer.size(writer.length(0.4, 2)) if kind == "l" else f"{float(writer.chance.uniform(0, 90)):.1f}"
        for kind in ARGUMENTS[name]
    ]
    return f"{name},{'X'.join(given)}"


def _turned_flash(writer: _Writer, x: float, y: float) -> Made:
    """A flash turned by a quarter, scaled or mirrored, and the aperture that looks so without that."""
    a, b = writer.length(0.6, 3), writer.length(0.6, 3)
    way = str(writer.chance.choice(["LR90", "LS2", "LMX"]))
    writer.constructs.add(way)
    # In a mirror a box aslant is one that is turned the other way.
    turn = float(writer.chance.integers(0, 90))
    box = f"BOX,{writer.size(a)}X{writer.size(b)}"
    before, after = {
        "LR90": (f"R,{writer.size(a)}X{writer.size(b)}", f"R,{writer.size(b)}X{writer.size(a)}"),
        "LS2": (f"O,{writer.size(a)}X{writer.size(b)}", f"O,{writer.size(2 * a)}X{writer.size(2 * b)}"),
        "LMX": (f"{box}X{turn:g}", f"{box}X{-turn:g}"),
    }[way]
    one, other = writer.aperture(before), writer.aperture(after)
    back = {"LR90": "LR0", "LS2": "LS1", "LMX": "LMN"}[way]
    text = f"D{one}*\n%{way}*%\n{writer.at(x, y)}D03*\n%{back}*%\n"
    return Made(text, f"D{other}*\n{writer.at(x, y)}D03*\n", 1, 1)


def _polyline(writer: _Writer, code: int, points: list[Point]) -> str:
    first, *others = points
    drawn = "".join(f"{writer.at(*point)}D01*\n" for point in others)
    return f"D{code}*\nG01*\n{writer.at(*first)}D02*\n{drawn}"


def _contour(writer: _Writer, corners: list[Point]) -> str:
    drawn = "".join(f"{writer.at(*corner)}D01*\n" for corner in [*corners[1:], corners[0]])
    return f"G36*\nG01*\n{writer.at(*corners[0])}D02*\n{drawn}G37*\n"


def _half_disc(writer: _Writer, x: float, y: float, radius: float) -> str:
    centre = writer.at(-radius, 0, "IJ")
    return (
        f"G36*\n{writer.at(x + radius, y)}D02*\nG03*\n{writer.at(x - radius, y)}{centre}D01*\nG01*\n"
        f"{writer.at(x + radius, y)}D01*\nG37*\n"
    )


def _arc(writer: _Writer, code: int, centre: Point, radius: float, way: tuple[str, int]) -> str:
    """An arc of so many quarter turns from the right of its centre."""
    x, y = centre
    turn, quarters = way
    end = [(x + radius, y), (x, y + radius), (x - radius, y), (x, y - radius)][
        quarters % 4 if turn == "G03" else -quarters % 4
    ]
    middle = writer.at(-radius, 0, "IJ")
    return f"D{code}*\n{writer.at(x + radius, y)}D02*\n{turn}*\n{writer.at(*end)}{middle}D01*\nG01*\n"
