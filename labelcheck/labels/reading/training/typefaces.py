"""The typefaces that the reader learns from, those that set its calibration, and those kept apart for testing.

All but our own alphabet come with Debian packages (`PACKAGES`), under licences that let anyone use, study and
redistribute them; nothing of them is stored in this repository. The weights hold no outlines.

| faces | package | licence (as its copyright file states) |
|---|---|---|
| Hershey rowmans, rowmand, rowmant, futuram, timesr, timesrb | hershey-fonts-data | any use: see `HERSHEY` |
| DejaVu | fonts-dejavu-core, -extra | Bitstream Vera licence, changes in the public domain |
| Liberation 2, Libertine, Biolinum | fonts-liberation2, fonts-linuxlibertine | SIL OFL 1.1 |
| TeX Gyre | fonts-texgyre | GUST font licence (LPPL) |
| Hack | fonts-hack | Expat and Bitstream Vera licence |
| JetBrains Mono, Clear Sans | fonts-jetbrains-mono, fonts-clear-sans | Apache 2.0 |
| Fira Code, Comfortaa, Quicksand, Play, Cantarell, B612 | fonts-firacode and so on | SIL OFL 1.1 |
| Didot, Jura, Cabin, Dosis, Karla | fonts-gfs-didot and so on | SIL OFL 1.1 |
| Manrope, mononoki, League Mono, Millimetre | fonts-manrope and so on | SIL OFL 1.1 |
"""

from dataclasses import dataclass
from pathlib import Path

HERSHEY = (
    "The Hershey Fonts were originally created by Dr. A. V. Hershey while working at the U. S. National Bureau of "
    "Standards. The format of the Font data was originally created by James Hurt, Cognition, Inc."
)
"""The acknowledgement that goes with the data."""

PACKAGES = (
    "hershey-fonts-data", "fonts-dejavu-core", "fonts-dejavu-extra", "fonts-liberation2", "fonts-linuxlibertine",
    "fonts-texgyre", "fonts-hack", "fonts-jetbrains-mono", "fonts-clear-sans", "fonts-firacode", "fonts-comfortaa",
    "fonts-quicksand", "fonts-play", "fonts-cantarell", "fonts-b612", "fonts-gfs-didot", "fonts-jura", "fonts-cabin",
    "fonts-dosis", "fonts-karla", "fonts-manrope", "fonts-mononoki", "fonts-league-mono", "fonts-millimetre",
)
"""Debian packages to install before training (`apt-get install`)."""

HELD_OUT = (
    "newstroke", "futural", "osifont",
    "opensans", "droidsans", "notosans", "lato", "carlito", "roboto",
    "vollkorn", "caladea", "inconsolata",
)
"""Families kept apart for testing, with their near copies, as file names begin without `-`, `_` and blanks. Three of
strokes; sans; bold and narrow cuts of those; serif; one of fixed width. Training refuses every one of them."""

STROKE_FOLDER = Path("/usr/share/hershey-fonts")
OUTLINE_FOLDERS = (Path("/usr/share/fonts"), Path("/usr/share/texmf/fonts/opentype/public/tex-gyre"))

STROKE_FACES = ("rowmans", "rowmand", "rowmant", "futuram", "timesr", "timesrb")

OUTLINE_FACES = (
    "DejaVuSans", "DejaVuSans-Bold", "DejaVuSansCondensed", "DejaVuSansCondensed-Bold", "DejaVuSansMono",
    "DejaVuSansMono-Bold", "DejaVuSerif", "DejaVuSerif-Bold", "DejaVuSerifCondensed",
    "LiberationSans-Regular", "LiberationSans-Bold", "LiberationSans-Italic", "LiberationSerif-Regular",
    "LiberationSerif-Bold", "LiberationMono-Regular", "LiberationMono-Bold",
    "LinLibertine_R", "LinLibertine_RB", "LinBiolinum_R", "LinBiolinum_RB",
    "texgyreadventor-regular", "texgyreadventor-bold", "texgyrebonum-regular", "texgyrecursor-regular",
    "texgyrecursor-bold", "texgyreheroscn-regular", "texgyreheroscn-bold", "texgyrepagella-regular",
    "texgyrepagella-bold", "texgyreschola-regular", "texgyreschola-bold",
    "Hack-Regular", "Hack-Bold", "JetBrainsMono-Regular", "JetBrainsMono-ExtraBold", "ClearSans-Regular",
    "ClearSans-Bold", "ClearSans-Italic", "FiraCode-Regular", "FiraCode-Bold", "Comfortaa-Regular", "Comfortaa-Bold",
    "Quicksand-Regular", "Quicksand-Bold", "Play-Regular", "Play-Bold", "Cantarell-Regular", "Cantarell-ExtraBold",
    "B612-Regular", "B612-Bold", "GFSDidot", "Jura-Regular", "Jura-Bold", "Cabin-Regular", "Cabin-Bold",
    "Dosis-Bold", "Dosis-Medium", "Karla-Regular", "Karla-Bold", "Manrope-Regular", "Manrope-ExtraBold",
    "mononoki-Regular", "mononoki-Bold", "LeagueMono-Regular", "LeagueMono-NarrowBold", "LeagueMono-CondensedLight",
    "LeagueMono-WideMedium", "millimetreA 01", "millimetreA Bold 01",
)

CALIBRATION_FACES = (
    "rowmans", "Cabin-Regular", "B612-Bold", "LinBiolinum_R", "texgyreschola-regular", "LeagueMono-NarrowBold",
    "Play-Regular",
)
"""Left out of the first round of training, which sets the calibration on them; the second round learns them too."""


class HeldOut(ValueError):
    """A typeface kept apart for testing was about to be learned."""


@dataclass(frozen=True, slots=True)
class Typefaces:
    """Files of the faces to learn from, sorted by name."""

    strokes: tuple[Path, ...]
    outlines: tuple[Path, ...]


def is_held_out(name: str) -> bool:
    """Whether a file of this name belongs to a family kept apart for testing."""
    plain = name.lower().replace("-", "").replace("_", "").replace(" ", "")
    return plain.startswith(HELD_OUT)


def find_typefaces(strokes: tuple[str, ...] = STROKE_FACES, outlines: tuple[str, ...] = OUTLINE_FACES) -> Typefaces:
    """Files of the named faces; those not installed raise FileNotFoundError, those kept apart `HeldOut`."""
    for name in (*strokes, *outlines):
        if is_held_out(name):
            raise HeldOut(f"{name} is kept apart for testing. Take it out of the faces to learn from.")
    stroke_files = {path.stem: path for path in sorted(STROKE_FOLDER.glob("*.jhf"))}
    outline_files: dict[str, Path] = {}
    for folder in OUTLINE_FOLDERS:
        for path in sorted(folder.rglob("*.[ot]tf")):
            outline_files.setdefault(path.stem, path)
    missing = sorted({*strokes} - {*stroke_files} | {*outlines} - {*outline_files})
    if missing:
        raise FileNotFoundError(f"not installed: {', '.join(missing)}. Run: apt-get install {' '.join(PACKAGES)}")
    return Typefaces(
        tuple(stroke_files[name] for name in sorted(strokes)), tuple(outline_files[name] for name in sorted(outlines))
    )
