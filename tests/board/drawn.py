"""Small artwork and drill files, written as text: what the board tests are made of.

Lengths are millimetres; coordinates are written with 6 decimals (FS 4.6).
"""

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

Point = tuple[float, float]


def gerber(*blocks: str, function: str | None = None, polarity: str | None = None, end: bool = True) -> bytes:
    """A whole file out of blocks of objects; `function` is the value of `.FileFunction`."""
    head = "" if function is None else f"%TF.FileFunction,{function}*%\n"
    head += "" if polarity is None else f"%TF.FilePolarity,{polarity}*%\n"
    return (head + "%FSLAX46Y46*%\n%MOMM*%\n%LPD*%\nG01*\n" + "".join(blocks) + ("M02*\n" if end else "")).encode()


def number(length: float) -> str:
    return str(round(length * 1_000_000))


def place(x: float, y: float) -> str:
    return f"X{number(x)}Y{number(y)}"


def pen(width: float, code: int = 10) -> str:
    """Define a round aperture and take it."""
    return f"%ADD{code}C,{width:.6f}*%\nD{code}*\n"


def path(*points: Point) -> str:
    """Strokes from point to point."""
    return f"{place(*points[0])}D02*\n" + "".join(f"{place(*point)}D01*\n" for point in points[1:])


def loop(x0: float, y0: float, x1: float, y1: float) -> str:
    """A closed rectangle of four strokes."""
    return path((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))


def flashes(*points: Point) -> str:
    return "".join(f"{place(*point)}D03*\n" for point in points)


def region(*points: Point) -> str:
    """A filled contour."""
    return "G36*\n" + path(*points, points[0]) + "G37*\n"


def clear() -> str:
    return "%LPC*%\n"


def dark() -> str:
    return "%LPD*%\n"


PADS: tuple[Point, ...] = tuple((x, y) for x in (5.0, 10.0, 15.0, 20.0, 25.0) for y in (5.0, 10.0, 15.0))
"""Middles of the pads of the small board, which is 30 by 20 mm with its corner at the origin."""


def profile(**attributes: str) -> bytes:
    return gerber(pen(0.1), loop(0, 0, 30, 20), **attributes)  # type: ignore[arg-type]  # all are texts here


def mask(**attributes: str) -> bytes:
    return gerber(pen(1.6), flashes(*PADS), **attributes)  # type: ignore[arg-type]  # the same


def legend(x: float = 3.0, **attributes: str) -> bytes:
    """Two letters' worth of strokes, their left edge at x."""
    strokes = path((x, 17), (x, 18.5), (x + 1, 18.5)) + path((x + 2, 17), (x + 3, 18.5))
    return gerber(pen(0.15), strokes, **attributes)  # type: ignore[arg-type]  # the same


def copper(**attributes: str) -> bytes:
    tracks = "".join(path(a, b) for a, b in pairwise(PADS))
    return gerber(pen(1.5), flashes(*PADS), pen(0.25, 11), tracks, **attributes)  # type: ignore[arg-type]  # the same


def drill(points: Sequence[Point] = PADS, diameter: float = 0.9, unit: str = "METRIC") -> bytes:
    """A plain program with decimal points."""
    scale = 1.0 if unit == "METRIC" else 25.4
    holes = "".join(f"X{x / scale:.4f}Y{y / scale:.4f}\n" for x, y in points)
    return f"M48\n{unit}\nT1C{diameter / scale:.4f}\n%\nG90\nG05\nT1\n{holes}T0\nM30\n".encode()


def a_set() -> dict[str, bytes]:
    """A whole small set without attributes."""
    return {
        "relay-F_Silkscreen.gbr": legend(),
        "relay-B_Silkscreen.gbr": legend(8.0),
        "relay-F_Mask.gbr": mask(),
        "relay-B_Mask.gbr": mask(),
        "relay-F_Cu.gbr": copper(),
        "relay-B_Cu.gbr": copper(),
        "relay-Edge_Cuts.gbr": profile(),
        "relay.drl": drill(),
    }


def lay_out(folder: Path, files: dict[str, bytes]) -> Path:
    """Write files into a folder, sub-folders as their names say."""
    for name, data in files.items():
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return folder
