"""How near do measured strokes and heights come to what the text was drawn with? Synthetic text at any angle.

`python tests/benchmarks/measuring_text.py [--words 60]` prints, for text drawn with strokes, filled, painted
with scan lines and cut in to its counters, the errors of the stroke width (typical and least) and of the height
of capitals in micrometres: median, 95th and 100th percentile of their size. Demanded at the 95th: 10 for
strokes, 15 for heights, 0 for the strokes of a pen; the run fails where strokes or filled text miss that. The
truth is what the text was drawn with: the pen, and capitals as high as the alphabet's grid and a pen, ink to
ink.
"""

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from labelcheck.labels.glyphs import lay_out  # needs the path above
from labelcheck.labels.measuring import measure_lines  # the same
from labelcheck.trade.shapes import Shapes, concatenate  # the same
from tests.labels.alphabet import LETTERS, Lettering, draw_text  # the same
from tests.labels.lettering import WAYS  # the same

LETTERS_OF_FULL_HEIGHT = sorted(set("ABDEFHIKLMNPRTUVXZ0123456789") & set(LETTERS))
STROKE_UM, HEIGHT_UM = 10.0, 15.0


def measured(way: str, letters: list[str], lettering: Lettering, angle_deg: float) -> tuple[float, float, float]:
    """Stroke typical and least, and height, of a word whose letters are drawn one by one."""
    parts: list[Shapes] = []
    for place, letter in enumerate(letters):
        parts.append(WAYS[way](draw_text(letter, (3.0 + 4.0 * place, 2.0), lettering, angle_deg)))
    glyph = np.repeat(np.arange(len(parts)), [len(part) for part in parts])
    glyphs = lay_out(concatenate(parts), np.arange(len(glyph)), glyph, np.full(len(parts), angle_deg))
    sizes = measure_lines(glyphs, np.full(len(parts), way == "scan lines"), np.array([0, len(parts)]))
    height = float(np.median(glyphs.box[:, 3] - glyphs.box[:, 1]))
    return float(sizes.typical[0]), float(sizes.least[0]), height


def main() -> int:
    """Measure words at random and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--words", type=int, default=60)
    chosen = parser.parse_args()
    failed = False
    print(f"{'µm off':22}{'typical stroke':>24}{'least stroke':>24}{'height':>24}")
    for way in ("strokes", "regions", "regions with cut-ins", "scan lines"):
        random = np.random.default_rng(1)
        errors = []
        for _ in range(chosen.words):
            height = float(random.uniform(0.5, 2.5))
            pen = float(np.clip(height * random.uniform(0.06, 0.18), 0.06, 0.3))
            letters = [str(letter) for letter in random.choice(LETTERS_OF_FULL_HEIGHT, 4)]
            typical, least, tall = measured(way, letters, Lettering(height, pen), float(random.uniform(0, 360)))
            errors.append((typical - pen, least - pen, tall - _drawn_height(height, pen)))
        off = np.abs(np.array(errors)) * 1000
        cells = ["  ".join(f"{np.percentile(column, at):6.1f}" for at in (50, 95, 100)) for column in off.T]
        print(f"{way:22}" + "".join(f"{cell:>24}" for cell in cells))
        stroke_um = 0.001 if way == "strokes" else STROKE_UM
        bounds = np.array([stroke_um, stroke_um, HEIGHT_UM])
        failed |= way != "scan lines" and bool((np.percentile(off, 95, axis=0) > bounds).any())
    return int(failed)


def _drawn_height(height: float, pen: float) -> float:
    """Ink to ink of a capital, from the one stroke of I."""
    drawn = draw_text("I", (0.0, 0.0), Lettering(height, pen), 0.0)
    return float(np.ptp(np.concatenate((drawn.y0, drawn.y1)))) + pen


if __name__ == "__main__":
    sys.exit(main())
