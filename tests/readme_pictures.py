"""Makes the pictures that README shows anew, from the demo boards: `python -m tests.readme_pictures`.

The marked-up top, the page with one finding chosen (where Debian's chromium is installed), the upper part of a
comparison of two revisions, and the enlarged labels of the board whose faults no screen shows.
"""

import shutil
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from PIL import Image

from labelcheck.checking import check_path
from labelcheck.cli import main as labelcheck
from labelcheck.review.picture.sheet import draw_sheet
from labelcheck.trade.limits import limits_for
from labelcheck.trade.sides import Side
from tests.review.page.browser import PROGRAM, browser

ROOT = Path(__file__).resolve().parents[1]
BOARD, REVISED = ROOT / "boards" / "track-detector", ROOT / "boards" / "track-detector-b"
SPOILT = ROOT / "boards" / "track-feeder"
PICTURES = ROOT / "boards" / "pictures"
CHOSEN = "F3"
"""The finding that the page is shown with."""
_COMPARED = 2370
"""Rows of the comparison: both sides and the first four places."""
_SCALE = 0.6


def main() -> None:
    """Make all of them."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        folder = Path(name)
        labelcheck(["check", str(BOARD), "--out", str(folder / "review"), "--quiet"])
        shutil.copy(folder / "review" / "top.png", PICTURES / "track-detector-top.png")
        if PROGRAM is not None:
            _show_page(folder / "review" / "review.html", folder)
        labelcheck(["compare", str(BOARD), str(REVISED), "--out", str(folder / "compared"), "--quiet"])
        _keep(Image.open(folder / "compared" / "comparison.png"), PICTURES / "track-detector-comparison.png")
    _show_insets(PICTURES / "track-feeder-insets.png")


def _show_insets(path: Path) -> None:
    (checked,) = check_path(SPOILT, limits_for(), datetime.now(UTC))
    sheet = draw_sheet(checked.review, checked.board, Side.TOP)
    left, top, right, bottom = zip(*(tile for tile, _ in sheet.insets), strict=True)
    sheet.image.crop((min(left), min(top), max(right), max(bottom))).save(path, optimize=True)


def _show_page(page: Path, folder: Path) -> None:
    with browser(folder / "profile") as seen:
        seen.look(1440, 860)
        seen.open(page)
        seen.run(f"document.querySelector('#{CHOSEN} a').click()")
        seen.run("new Promise(done => setTimeout(done, 800))")  # the picture takes its time to come near
        seen.run("window.scrollTo({top: 0, behavior: 'instant'})")
        seen.run("new Promise(done => setTimeout(done, 200))")
        seen.screenshot(folder / "page.png")
    _pack(Image.open(folder / "page.png"), PICTURES / "track-detector-page.png")


def _keep(picture: Image.Image, path: Path) -> None:
    """The upper part, smaller."""
    upper = picture.convert("RGB").crop((0, 0, picture.width, min(picture.height, _COMPARED)))
    size = (round(upper.width * _SCALE), round(upper.height * _SCALE))
    _pack(upper.resize(size, Image.Resampling.LANCZOS), path)


def _pack(picture: Image.Image, path: Path) -> None:
    """Fewer colours: the largest of these pictures would weigh a megabyte else."""
    few = picture.convert("RGB").quantize(256, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
    few.save(path, optimize=True)


if __name__ == "__main__":
    main()
