"""Reading of all real artwork against a reference library (gerbonara): time, ink area and box, in one run.

    python tests/benchmarks/reading_artwork.py [FOLDER] [--legends]

FOLDER holds fab sets (default: the real sets beside the repository). Times are the best of several, taken in turns
in one process, so that the ratio holds on any machine. The reference only parses its objects there, while
ours are laid out as shapes. Files that the reference cannot read as they are (single-digit G-codes with coordinates,
coordinates without a D-code) are rewritten for it, and marked.
"""

import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.formats.gerber.sniffing import looks_like_gerber, peek_file_attributes
from labelcheck.trade.errors import UnreadableFile
from tests.formats.gerber.reference import area_and_box, parse, reference_shapes, spelled_out

REAL = Path(__file__).resolve().parents[2] / "../shared/real-boards"
LEGEND_NAMES = ("silk", ".gto", ".gbo", "legend")
LARGE_BYTES = 300_000


def is_legend(path: Path, data: bytes) -> bool:
    """By file attribute, else by name."""
    function = dict(peek_file_attributes(data)).get(".FileFunction")
    if function is not None:
        return function[0] == "Legend"
    return any(part in path.name.lower() for part in LEGEND_NAMES) and "drill" not in path.name.lower()


def best_ms(works: Sequence[Callable[[], object]], times: int) -> list[float]:
    """Least processor time of several runs of each, taken in turns, so that a busy machine is busy for all."""
    best = [np.inf] * len(works)
    for _ in range(times):
        for number, work in enumerate(works):
            started = time.process_time()
            work()
            best[number] = min(best[number], time.process_time() - started)
    return [float(seconds) * 1e3 for seconds in best]


def compare(path: Path, root: Path) -> tuple[str, float | None]:
    """One line of the table, and the ratio of times where both read the file."""
    data = path.read_bytes()
    name = f"{path.relative_to(root)!s:58.58} {len(data) / 1e3:7.0f} kB"
    try:
        artwork = read_artwork(path.name, data)
    except UnreadableFile as error:
        return f"{name}  not read: {error}", None
    text, rewritten = data.decode("utf-8", errors="replace"), ""
    try:
        shapes = reference_shapes(parse(text))
    except Exception as error:  # whatever the reference library raises is told
        text, rewritten = spelled_out(text), f" rewritten for the reference: {str(error)[:60]!r}"
        try:
            shapes = reference_shapes(parse(text))
        except Exception as still:
            return f"{name} reference: {type(still).__name__} {str(still)[:80]!r}", None
    times = 7 if is_legend(path, data) else 3
    ours, reference = best_ms([lambda: read_artwork(path.name, data), lambda: parse(text)], times)
    (area, box), (expected_area, expected_box) = area_and_box(artwork.shapes), area_and_box(shapes)
    difference = (area / expected_area - 1) * 100 if expected_area > 0 else (0.0 if area == 0 else np.inf)
    shift = 0.0 if box == expected_box else np.inf
    if box is not None and expected_box is not None:
        shift = float(np.abs(np.subtract(box, expected_box)).max()) * 1e3
    mark = " " if abs(difference) <= 0.3 and shift <= 20 else "!"
    ratio = reference / max(ours, 1e-6)
    line = f"{name} {ours:7.1f} ms {reference:8.1f} ms {ratio:6.1f} x"
    line += f" {area:10.3f} mm² {difference:+7.3f} % {shift:6.2f} µm {mark}{rewritten}"
    return line, ratio if is_legend(path, data) and len(data) >= LARGE_BYTES else None


def main(arguments: list[str]) -> None:
    """Print the table."""
    only_legends = "--legends" in arguments
    folders = [argument for argument in arguments if not argument.startswith("--")]
    root = Path(folders[0]) if folders else REAL
    print("file, size, ours, reference, ratio, ink area, its difference, difference in box, ! beyond 0.3 % or 20 µm")
    ratios = []
    for path in sorted(path for path in root.rglob("*") if path.is_file() and "syntax-cases" not in path.parts):
        data = path.read_bytes()
        if not looks_like_gerber(data) or (only_legends and not is_legend(path, data)):
            continue
        line, ratio = compare(path, root)
        print(line, flush=True)
        if ratio is not None:
            ratios.append(ratio)
    if ratios:
        print(f"legends over {LARGE_BYTES / 1e6} MB: ratio {min(ratios):.1f} to {max(ratios):.1f}")


if __name__ == "__main__":
    main(sys.argv[1:])
