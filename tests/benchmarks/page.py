"""How large is the page of a review, how long does it take to make, and how long to open in a real browser?

`python tests/benchmarks/page.py` prints, for made-up boards with ever more findings: size of the whole page and of
its pictures, seconds of the processor for making it (the pictures are drawn anyway and not counted), then, where
Debian's chromium is installed, seconds from asking for the page until it is laid out and painted, and milliseconds
for typing into the filter. The yardstick in the same run is an empty page.
"""

import sys
import tempfile
import time
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from boards.synthetic import Recipe, write_synthetic  # noqa: E402  # the path must be known first
from labelcheck.checking import Checked, check_path  # noqa: E402  # the same
from labelcheck.review.page.pictures import SidePicture, side_picture  # noqa: E402  # the same
from labelcheck.review.page.whole import page_of  # noqa: E402  # the same
from labelcheck.review.picture.sheet import draw_sheet, png_of  # noqa: E402  # the same
from labelcheck.trade.limits import limits_for  # noqa: E402  # the same
from labelcheck.trade.sides import OUTER_SIDES  # noqa: E402  # the same
from tests.review.page.browser import PROGRAM, Browser, browser  # noqa: E402  # the same

FINDINGS = (10, 100, 1000, 5000)
FILTER = (
    "{ const begun = performance.now(); const find = document.querySelector('input[type=search]');"
    " find.value = 'R1'; find.dispatchEvent(new Event('input', {bubbles: true})); document.body.offsetHeight;"
    " performance.now() - begun }"
)


def with_findings(checked: Checked, count: int) -> Checked:
    """The same board with so many findings: its own, again and again."""
    own = checked.review.findings
    many = tuple(replace(own[place % len(own)], id=f"F{place + 1}") for place in range(count))
    return Checked(checked.board, replace(checked.review, findings=many))


def pictures_of(checked: Checked) -> list[SidePicture]:
    """Both sides, drawn and packed."""
    sheets = [draw_sheet(checked.review, checked.board, side) for side in OUTER_SIDES]
    return [side_picture(sheet, png_of(sheet.image), checked.review.findings) for sheet in sheets]


def measure(checked: Checked, folder: Path, reader: Browser | None) -> None:
    """One line of the table."""
    pictures = pictures_of(checked)
    begun = time.process_time()
    page = page_of(checked.review, pictures).encode("utf-8")
    made = time.process_time() - begun
    path = folder / "review.html"
    path.write_bytes(page)
    opened, filtered = "      -", "      -"
    if reader is not None:
        opened = f"{min(reader.open(path) for _ in range(3)):7.2f}"
        filtered = f"{min(reader.run(FILTER) for _ in range(3)):7.0f}"
    packed = sum(len(picture.png) for picture in pictures)
    print(f"{len(checked.review.findings):8} {len(page) / 1000:8.0f} {packed / 1000:8.0f} {made:7.3f} "
          f"{opened} {filtered}")


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        folder = Path(name)
        write_synthetic(folder / "board", Recipe(seed=1, labels=400))
        # Limits that nearly every label breaks give findings of all kinds.
        (checked,) = check_path(folder / "board", limits_for(reading_distance_mm=900.0), datetime.now(UTC))
        print(f"{'findings':>8} {'page kB':>8} {'PNG kB':>8} {'made s':>7} {'open s':>7} {'find ms':>7}")
        if PROGRAM is None:
            for count in FINDINGS:
                measure(with_findings(checked, count), folder, None)
            return
        with browser(folder / "profile") as reader:
            reader.look(1440)
            (folder / "empty.html").write_text("<!DOCTYPE html><title>empty</title>")
            empty = min(reader.open(folder / "empty.html") for _ in range(3))
            print(f"{'empty':>8} {0:8} {'':8} {'':7} {empty:7.2f}")
            for count in FINDINGS:
                measure(with_findings(checked, count), folder, reader)


if __name__ == "__main__":
    main()
