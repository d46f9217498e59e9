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


def letter_h(x: float, y: float, height: float) -> list[tuple[float, float, float, float]]:
    """Strokes of an H; its lower left corner, its height along the middle of the pen."""
    width = 0.7 * height
    return [
        (x, y, x, y + height),
        (x + width, y, x + width, y + height),
        (x, y + height / 2, x + width, y + height / 2),
    ]


def word(x: float, y: float, height: float, letters: int = 3) -> list[tuple[float, float, float, float]]:
    """`HHH`."""
    return [stroke for number in range(letters) for stroke in letter_h(x + number * 1.1 * height, y, height)]


def a_set(legend: str | None = None, **other: str | None) -> dict[str, str]:
    """Files of a sound board of 30 x 20 mm with one label, `HHH`; others replace or, where None, leave out."""
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
