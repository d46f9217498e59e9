"""Small fab sets made by hand, for tests that go from files to a review."""

from collections.abc import Mapping
from pathlib import Path

HEAD = "%FSLAX46Y46*%\n%MOMM*%\n"


def at(value_mm: float) -> str:
    """A coordinate in format 4.6."""
    return str(round(value_mm * 1_000_000))


def artwork(function: str | None, pen_mm: float, lines: list[tuple[float, float, float, float]]) -> str:
    """A Gerber layer of straight strokes; `function` is its file function, None for a file without attributes."""
    attribute = "" if function is None else f"%TF.FileFunction,{function}*%\n"
    drawn = "".join(f"X{at(x0)}Y{at(y0)}D02*\nX{at(x1)}Y{at(y1)}D01*\n" for x0, y0, x1, y1 in lines)
    return f"{attribute}{HEAD}%ADD10C,{pen_mm}*%\nD10*\n{drawn}M02*\n"


def flashes(function: str, diameter_mm: float, places: list[tuple[float, float]]) -> str:
    """A Gerber layer of round flashes."""
    drawn = "".join(f"X{at(x)}Y{at(y)}D03*\n" for x, y in places)
    polarity = "%TF.FilePolarity,Negative*%\n" if function.startswith("Soldermask") else ""
    return f"%TF.FileFunction,{function}*%\n{polarity}{HEAD}%ADD10C,{diameter_mm}*%\nD10*\n{drawn}M02*\n"


LETTERS = {
    "R": [(0, 0, 0, 1), (0, 1, 0.6, 1), (0.6, 1, 0.6, 0.5), (0.6, 0.5, 0, 0.5), (0.25, 0.5, 0.6, 0)],
    "7": [(0, 1, 0.6, 1), (0.6, 1, 0.2, 0)],
    "2": [(0, 0.8, 0.2, 1), (0.2, 1, 0.5, 1), (0.5, 1, 0.6, 0.75), (0.6, 0.75, 0, 0), (0, 0, 0.6, 0)],
}
"""Strokes on a square of one character height."""


def word(x: float, y: float, height: float, text: str = "R72") -> list[tuple[float, float, float, float]]:
    """Strokes of a short text; its lower left corner, its height along the middle of the pen."""
    return [
        (x + (number * 1.1 + a) * height, y + b * height, x + (number * 1.1 + c) * height, y + d * height)
        for number, character in enumerate(text)
        for a, b, c, d in LETTERS[character]
    ]


def a_set(legend: str | None = None, **other: str | None) -> dict[str, str]:
    """Files of a sound board of 30 x 20 mm with one label, `R72`; others replace or, where None, leave out."""
    files: dict[str, str | None] = {
        "legend-top": artwork("Legend,Top", 0.18, word(5, 10, 1.5)) if legend is None else legend,
        "mask-top": flashes("Soldermask,Top", 1.6, [(20, 10)]),
        "copper-top": flashes("Copper,L1,Top", 1.4, [(20, 10)]),
        "profile": artwork(
            "Profile,NP", 0.1, [(0, 0, 30, 0), (30, 0, 30, 20), (30, 20, 0, 20), (0, 20, 0, 0)]
        ),
        "plated": "M48\nMETRIC\nT1C0.8\n%\nT1\nX20.0Y10.0\nM30\n",
    }
    files.update({name.replace("_", "-"): text for name, text in other.items()})
    return {
        f"crossing-{name}.{'xnc' if name == 'plated' else 'gbr'}": text
        for name, text in files.items()
        if text is not None
    }


def write(folder: Path, files: Mapping[str, str | bytes]) -> Path:
    """Put the files into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return folder
