"""What must not change, and what must change in step: turning, moving, units, splitting, scaling, repeating."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.gerber.reading import read_artwork

from .drawn import picture

APERTURES = {10: "C,0.2", 11: "R,0.6X0.2", 12: "O,0.8X0.3", 13: "P,0.7X5X10", 14: "C,0.5X0.2"}
UNITS = {"mm": ("%MOMM*%", 1.0), "inch": ("%MOIN*%", 25.4)}
Command = tuple[str, int, tuple[float, float], tuple[float, float]]
place = st.tuples(st.floats(-8, 8), st.floats(-8, 8))
kind = st.sampled_from(["stroke", "flash", "region", "circle", "clear"])
command = st.tuples(kind, st.sampled_from(sorted(APERTURES)), place, place)
commands = st.lists(command, min_size=1, max_size=6)
quick = settings(max_examples=15, derandomize=True, deadline=None)


def written(
    drawn: list[Command], unit: str = "mm", turn: int = 0, by: tuple[float, float] = (0, 0), scale: float = 1
) -> str:
    """An artwork in format 6.6 with every point turned by quarter turns, scaled and moved."""
    length, unit_mm = UNITS[unit]

    def point(at: tuple[float, float]) -> str:
        x, y = at
        for _ in range(turn):
            x, y = -y, x
        # Rounded to a micrometre first, so that every variant starts from the same points.
        x, y = round(x, 3) * scale + by[0], round(y, 3) * scale + by[1]
        return f"X{round(x / unit_mm * 1e6)}Y{round(y / unit_mm * 1e6)}"

    text = f"%FSLAX66Y66*%{length}G75*%LR{90 * turn}*%%LS{scale}*%"
    for code, aperture in APERTURES.items():
        template, numbers = aperture.split(",")
        lengths = [float(number) for number in numbers.split("X")]
        keep = {1, 2} if template == "P" else set()
        values = [value if n in keep else value / unit_mm for n, value in enumerate(lengths)]
        text += f"%ADD{code}{template}," + "X".join(f"{value:.12f}" for value in values) + "*%"
    for kind, code, start, end in drawn:
        text += "%LPC*%" if kind == "clear" else "%LPD*%"
        if kind == "flash":
            text += f"D{code}*{point(start)}D03*"
        elif kind == "circle":
            radius = max(abs(end[0]), 0.3)
            offset = [(radius, 0), (0, radius), (-radius, 0), (0, -radius)][turn]
            i, j = (round(round(v, 3) * scale / unit_mm * 1e6) for v in offset)
            text += f"D10*{point(start)}D02*G03{point(start)}I{i}J{j}D01*G01*"
        elif kind == "region":
            third = (start[0], end[1])
            text += f"G36*{point(start)}D02*{point(end)}D01*{point(third)}D01*{point(start)}D01*G37*"
        else:
            text += f"D{10 if code == 14 else code}*{point(start)}D02*{point(end)}D01*"
    return text + "M02*"


def drawn_as(drawn: list[Command], **how: object) -> Artwork:
    return read_artwork("x", written(drawn, **how).encode())  # type: ignore[arg-type]  # names are those of written


def differ(a: object, b: object) -> float:
    """Area that two pictures do not share."""
    with np.errstate(all="ignore"):  # shapely 2.0 passes on what GEOS meets on its way
        return a.symmetric_difference(b).area


@quick
@given(commands, st.integers(1, 3))
def test_turned_commands_draw_a_turned_picture(drawn: list[Command], turn: int) -> None:
    plain = picture(drawn_as(drawn).shapes)
    turned = affinity.rotate(plain, 90 * turn, origin=(0, 0))
    assert differ(picture(drawn_as(drawn, turn=turn).shapes), turned) < 1e-3 * (1 + plain.length)


@quick
@given(commands)
def test_moved_commands_draw_a_moved_picture(drawn: list[Command]) -> None:
    plain = picture(drawn_as(drawn).shapes)
    moved = affinity.translate(plain, 100, -50)
    assert differ(picture(drawn_as(drawn, by=(100, -50)).shapes), moved) < 1e-6 * (1 + plain.length)


@quick
@given(commands)
def test_inches_draw_the_same_as_millimetres(drawn: list[Command]) -> None:
    metric, imperial = picture(drawn_as(drawn).shapes), picture(drawn_as(drawn, unit="inch").shapes)
    assert differ(metric, imperial) < 1e-4 * (1 + metric.length)


@quick
@given(commands)
def test_twice_the_scale_draws_twice_the_size(drawn: list[Command]) -> None:
    plain = picture(drawn_as(drawn).shapes)
    doubled = affinity.scale(plain, 2, 2, origin=(0, 0))
    assert differ(picture(drawn_as(drawn, scale=2).shapes), doubled) < 4e-3 * (1 + plain.length)


@quick
@given(place, place, st.floats(0.1, 0.9), st.sampled_from([10, 11, 12, 13]))
def test_a_stroke_drawn_in_two_goes_is_the_same_ink(start: tuple, end: tuple, part: float, code: int) -> None:
    # Split at a point of the grid: end = start + n (step), so that the middle lies exactly on the line.
    step = tuple(round((b - a) / 10, 3) for a, b in zip(start, end, strict=True))
    first = tuple(round(a, 3) for a in start)
    cut = max(1, round(10 * part))
    middle, last = (tuple(a + n * s for a, s in zip(first, step, strict=True)) for n in (cut, 10))
    whole = picture(drawn_as([("stroke", code, first, last)]).shapes)
    halves = picture(drawn_as([("stroke", code, first, middle), ("stroke", code, middle, last)]).shapes)
    assert differ(whole, halves) < 1e-5


@quick
@given(commands, st.integers(1, 3), st.integers(1, 3))
def test_a_repeat_of_n_by_m_gives_n_times_m(drawn: list[Command], n: int, m: int) -> None:
    once = drawn_as(drawn)
    head, body = written(drawn).split("%ADD14C", 1)
    definition, body = body.split("%", 1)
    text = f"{head}%ADD14C{definition}%%SRX{n}Y{m}I40J40*%{body.removesuffix('M02*')}%SR*%M02*"
    repeated = read_artwork("x", text.encode())
    assert len(repeated.shapes) == n * m * len(once.shapes)
    assert picture(repeated.shapes).area == pytest.approx(n * m * picture(once.shapes).area, rel=1e-9, abs=1e-9)


@quick
@given(st.floats(0, 360), st.floats(0.05, 5), st.booleans())
def test_an_arc_and_its_reverse_are_the_same_ink(sweep: float, radius: float, clockwise: bool) -> None:
    r = round(radius * 1e6)
    x, y = round(r * math.cos(math.radians(sweep))), round(r * math.sin(math.radians(sweep)))
    if (x, y) == (r, 0):
        return
    head = "%FSLAX66Y66*%%MOMM*%%ADD10C,0.1*%D10*G75*"
    forth, back = ("G02", "G03") if clockwise else ("G03", "G02")
    one = read_artwork("x", f"{head}X{r}Y0D02*{forth}X{x}Y{y}I-{r}J0D01*M02*".encode())
    two = read_artwork("x", f"{head}X{x}Y{y}D02*{back}X{r}Y0I{-x}J{-y}D01*M02*".encode())
    assert differ(picture(one.shapes), picture(two.shapes)) < 2e-3 * radius * 2 * math.pi
