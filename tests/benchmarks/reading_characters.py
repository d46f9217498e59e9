"""How well the built-in reader reads typefaces it never learned, beside a general-purpose engine as a reference.

Run: `python tests/benchmarks/reading_characters.py [--words N] [--no-reference]`. The typefaces come with Debian
packages (fonts-osifont fonts-open-sans fonts-lato fonts-roboto-unhinted fonts-vollkorn fonts-crosextra-caladea
fonts-inconsolata hershey-fonts-data) and, for one stroke face, with the test extra gerbonara; the reference is the
`tesseract` command (tesseract-ocr). What is not installed is named and left out.

No weight was learned from these faces, but grammar, `twins` and the caution of the calibration were set while its
results were looked at: a face that nobody has looked at yet may come out a little worse.
"""

import argparse
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from gerbonara.newstroke import Newstroke
from PIL import Image, ImageDraw

from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.pictures import draw_glyphs
from labelcheck.labels.reading.bitmaps import fitted
from labelcheck.labels.reading.reader import LEAST_CONFIDENCE, BuiltInReader, built_in_reader
from labelcheck.labels.reading.training.outlines import CAPITAL_PIXELS, bitmap, has, ink_box
from labelcheck.labels.reading.training.rows import random_text
from labelcheck.labels.reading.training.strokes import Glyph, hershey_face
from labelcheck.labels.reading.training.typefaces import OUTLINE_FOLDERS, STROKE_FOLDER, is_held_out
from labelcheck.trade.shapes import bars

FACES = (
    ("stroke", "newstroke"), ("stroke", "futural"), ("stroke", "osifont"), ("sans", "OpenSans-Regular"),
    ("sans", "Lato-Regular"), ("sans", "Roboto-Regular"), ("bold", "Lato-Bold"), ("bold", "Roboto-Bold"),
    ("bold", "OpenSans-ExtraBold"), ("serif", "Vollkorn-Regular"), ("serif", "Caladea-Regular"),
    ("narrow", "OpenSans-CondBold"), ("narrow", "RobotoCondensed-Regular"), ("fixed width", "Inconsolata"),
)
"""None of them was learned: `typefaces.HELD_OUT`."""

_UNSEEN = """
ballast banjo semaphore brakevan fernhill quarry gantry trestle sleeper fishplate bogie firebox tender
smokebox whistle coupling buffer gradient platform halt crossing viaduct culvert lever point throw aspect
relax amber dwell occupied vacant shunt passing loading timber slate wagon gravel jointed welded junction
bypass wharf zigzag exhaust governor injector axle hex screw pivot quiet jolt flywheel kilowatt megohm bobbin
varnish flux reflow stencil
"""
UNSEEN_WORDS = _UNSEEN.split()
"""Words that the lexicon of the grammar does not hold."""

SCALE = 40
"""Pixels to the height of capitals in the pictures for the reference: 1 mm at about 1000 dpi."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """One word: a picture and four metrics a glyph, and the whole word as a picture of black on white."""

    pictures: np.ndarray
    metrics: np.ndarray
    page: Image.Image


DrawWord = Callable[[np.random.Generator, str], Drawn]


def newstroke_glyphs() -> dict[str, Glyph]:
    """The stroke face that comes with gerbonara, capitals 1 high; y down in its data."""
    data = Newstroke.load().glyphs.items()
    raw = {c: [np.array(path) * (1, -1) for path in paths if path] for c, (_, paths) in data}
    capital = np.concatenate(raw["H"])
    base, height = capital[:, 1].min(), np.ptp(capital[:, 1])
    return {c: tuple((path - (0, base)) / height for path in paths) for c, paths in raw.items() if paths}


def stroke_word(glyphs: dict[str, Glyph]) -> DrawWord:
    """Words of a stroke face, drawn with pens of a tenth to a fifth of the height, turned by up to 2 degrees."""

    def draw(random: np.random.Generator, text: str) -> Drawn:
        pen, angle = random.uniform(0.1, 0.2), np.deg2rad(random.uniform(-2, 2))
        start, end, owner, at = [], [], [], 0.0
        for number, character in enumerate(text):
            paths = [p if len(p) > 1 else np.repeat(p, 2, axis=0) for p in glyphs[character]]
            points = np.concatenate(paths)
            shift = at - points[:, 0].min()
            at = points[:, 0].max() + shift + pen + 0.2
            for path in paths:
                moved = path + np.array((shift, 0.0))
                start.append(moved[:-1])
                end.append(moved[1:])
                owner.append(np.full(len(path) - 1, number))
        a, b, of = np.concatenate(start), np.concatenate(end), np.concatenate(owner)
        page = Image.new("L", (int((at + 1) * SCALE), int(2.4 * SCALE)), 255)
        corner = np.array((0.5, 0.7))
        for (ax, ay), (bx, by) in zip((a + corner) * SCALE, (b + corner) * SCALE, strict=True):
            _disc_line(page, (ax, page.height - ay), (bx, page.height - by), pen * SCALE)
        turn = np.array(((np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))))
        a, b = _about(a, of, turn), _about(b, of, turn)
        laid = lay_out(bars(a[:, 0], a[:, 1], b[:, 0], b[:, 1], pen), np.arange(len(of)), of, np.zeros(len(text)))
        box = laid.box
        sizes = (box[:, 2] - box[:, 0], box[:, 3] - box[:, 1], box[:, 1] + pen / 2, np.full(len(text), pen))
        return Drawn(draw_glyphs(laid), np.column_stack(sizes) / (1 + pen), page)

    return draw


def _about(points: np.ndarray, owner: np.ndarray, turn: np.ndarray) -> np.ndarray:
    """Points turned, each glyph about where it stands on the line."""
    first = np.array([points[owner == number, 0].min() for number in range(owner.max() + 1)])
    origin = np.column_stack((first[owner], np.zeros(len(owner))))
    return (points - origin) @ turn + origin


def _disc_line(page: Image.Image, a: tuple[float, float], b: tuple[float, float], width: float) -> None:
    pencil, half = ImageDraw.Draw(page), width / 2
    pencil.line((*a, *b), fill=0, width=round(width))
    for x, y in (a, b):
        pencil.ellipse((x - half, y - half, x + half, y + half), fill=0)


def outline_word(file: Path) -> DrawWord:
    """Words of an outline face."""

    def draw(random: np.random.Generator, text: str) -> Drawn:
        pictures, metrics = [], []
        page, at = Image.new("L", (CAPITAL_PIXELS * (len(text) + 2), CAPITAL_PIXELS * 3), 255), CAPITAL_PIXELS // 2
        for character in text:
            picture, base = bitmap(file, character)
            ink = np.asarray(picture, dtype=np.float32) / 255
            left, top, right, bottom = ink_box(ink)
            tight = ink[top:bottom, left:right]
            edge = np.abs(np.diff(ink, axis=0)).sum() + np.abs(np.diff(ink, axis=1)).sum()
            pictures.append(fitted(tight))
            metrics.append((right - left, bottom - top, base - bottom, 2 * tight.sum() / (edge * np.pi / 4)))
            stamp = Image.fromarray(np.round(255 - 255 * tight).astype(np.uint8))
            page.paste(stamp, (at, CAPITAL_PIXELS * 2 - base + top))
            at += right - left + CAPITAL_PIXELS // 6
        page = page.crop((0, 0, at + CAPITAL_PIXELS // 2, page.height))
        return Drawn(np.stack(pictures), np.array(metrics) / CAPITAL_PIXELS, page)

    return draw


def find_face(name: str) -> tuple[DrawWord, Callable[[str], bool]] | None:
    """How to draw a face and which characters it has; None where it is not installed."""
    if not is_held_out(name):
        raise ValueError(f"{name} may have been learned")
    if name == "newstroke":
        glyphs = newstroke_glyphs()
        return stroke_word(glyphs), glyphs.__contains__
    if name == "futural":
        file = STROKE_FOLDER / "futural.jhf"
        if not file.exists():
            return None
        face = hershey_face(file)
        return stroke_word(face), face.__contains__
    files = sorted(path for folder in OUTLINE_FOLDERS for path in folder.rglob(f"{name}.*tf"))
    return (outline_word(files[0]), lambda character: has(files[0], character)) if files else None


def benchmark_text(random: np.random.Generator, mixed: bool) -> str:
    """A text in capitals and digits, or in mixed case: what legends carry, unseen words, and plain nonsense."""
    kind = random.random()
    if kind < 0.45:
        text = random_text(random)
    elif kind < 0.85:
        word = UNSEEN_WORDS[int(random.integers(len(UNSEEN_WORDS)))]
        text = word.capitalize() if random.random() < 0.5 else word
        text += str(int(random.integers(1, 20))) if random.random() < 0.2 else ""
    else:
        pool = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-/."
        text = "".join(pool[int(random.integers(len(pool)))] for _ in range(int(random.integers(2, 7))))
    return text if mixed else text.upper()


@dataclass(slots=True)
class Tally:
    """Counts over the words of one face."""

    characters: int = 0
    alone_right: int = 0
    capitals: int = 0
    capitals_right: int = 0
    mixed: int = 0
    mixed_right: int = 0
    words: int = 0
    words_right: int = 0
    read: int = 0
    read_wrong: int = 0
    seconds: float = 0.0


def measure(
    reader: BuiltInReader, draw: DrawWord, texts: list[str], random: np.random.Generator
) -> tuple[Tally, list, list]:
    """Read the words of one face; also (confidence, right) of each, and the words' pictures and the mistakes."""
    words = [draw(random, text) for text in texts]
    first = np.cumsum([0, *(len(text) for text in texts)])
    pictures = np.concatenate([word.pictures for word in words]).astype(np.float32)
    metrics = np.concatenate([word.metrics for word in words]).astype(np.float32)
    started = time.perf_counter()
    logs = reader.read(pictures, metrics)
    readings = reader.decode(logs, first, np.zeros(len(pictures), dtype=np.bool_))
    tally = Tally(seconds=time.perf_counter() - started)
    alone = [reader.classes[at] for at in logs.argmax(axis=1)]
    for text, reading, start in zip(texts, readings, first[:-1].tolist(), strict=True):
        tally.characters += len(text)
        tally.alone_right += sum(a == b for a, b in zip(alone[start : start + len(text)], text, strict=True))
        right = sum(a == b for a, b in zip(reading.text, text, strict=True))
        if text == text.upper():
            tally.capitals += len(text)
            tally.capitals_right += right
        else:
            tally.mixed += len(text)
            tally.mixed_right += right
        tally.words += 1
        tally.words_right += reading.text == text
        sure = reading.confidence >= LEAST_CONFIDENCE and "?" not in reading.text
        tally.read += sure
        tally.read_wrong += sure and reading.text != text
    outcomes = [(reading.confidence, reading.text == text) for reading, text in zip(readings, texts, strict=True)]
    mistakes = [(t, r.text, round(r.confidence, 2)) for r, t in zip(readings, texts, strict=True) if r.text != t]
    return tally, outcomes, [[word.page for word in words], mistakes]


def reference_accuracy(pages: list[Image.Image], texts: list[str]) -> tuple[float, float]:
    """Share of characters that the reference reads right, and milliseconds a label."""
    with tempfile.TemporaryDirectory() as folder:
        names = []
        for number, page in enumerate(pages):
            name = Path(folder) / f"{number:04}.png"
            page.save(name, dpi=(600, 600))
            names.append(str(name))
        listed = Path(folder) / "pages.txt"
        listed.write_text("\n".join(names))
        started = time.perf_counter()
        command = ["tesseract", str(listed), "-", "--psm", "7", "-c", "page_separator=\f"]
        run = subprocess.run(command, capture_output=True, text=True, check=True)
        milliseconds = (time.perf_counter() - started) * 1000 / len(pages)
    found = [page.strip().replace(" ", "") for page in run.stdout.split("\f")]
    found += [""] * (len(texts) - len(found))
    wrong = sum(min(_distance(a, b), len(b)) for a, b in zip(found, texts, strict=False))
    return 1 - wrong / sum(map(len, texts)), milliseconds


def _distance(a: str, b: str) -> int:
    """Least number of characters to insert, drop or change."""
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        before, row[0] = row[0], i
        for j, y in enumerate(b, 1):
            before, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, before + (x != y))
    return row[-1]


def reliability(outcomes: list[tuple[float, bool]]) -> None:
    """Print how often texts of each confidence are right."""
    print("\nconfidence     words   mean said   right")
    edges = (0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 0.98, 0.99, 1.0001)
    for low, high in pairwise(edges):
        chosen = [(said, right) for said, right in outcomes if low <= said < high]
        if chosen:
            said, right = np.mean([c[0] for c in chosen]), np.mean([c[1] for c in chosen])
            print(f"{low:.2f} - {min(high, 1):.2f}  {len(chosen):6}   {said:8.3f}  {right:6.3f}")


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--words", type=int, default=400)
    parser.add_argument("--reference-words", type=int, default=60)
    parser.add_argument("--no-reference", action="store_true")
    parser.add_argument("--mistakes", action="store_true")
    options = parser.parse_args()
    reader = built_in_reader()
    reference = shutil.which("tesseract") is not None and not options.no_reference
    if not reference:
        print("the reference engine is not installed (apt-get install tesseract-ocr) or not wanted: left out")
    heads = f"{'alone':>7}{'CAPITALS':>10}{'Mixed':>8}{'words':>8}{'read':>7}{'wrong':>8}{'ms':>6}   reference"
    print(f"{'face':26}{'kind':12}{heads}")
    every: list[tuple[float, bool]] = []
    for kind, name in FACES:
        face = find_face(name)
        if face is None:
            print(f"{name:26}{kind:12}not installed")
            continue
        draw, known = face
        random = np.random.default_rng(7)
        drawn_up = (benchmark_text(random, mixed=at % 3 == 0) for at in range(options.words))
        texts = [text for text in drawn_up if all(map(known, text))]
        tally, outcomes, (pages, mistakes) = measure(reader, draw, texts, random)
        every += outcomes
        line = (
            f"{name:26}{kind:12}{tally.alone_right / tally.characters:7.2%}"
            f"{tally.capitals_right / tally.capitals:10.2%}{tally.mixed_right / tally.mixed:8.2%}"
            f"{tally.words_right / tally.words:8.1%}"
            f"{tally.read / tally.words:7.1%}{tally.read_wrong / max(tally.read, 1):8.2%}"
            f"{tally.seconds * 1000 / tally.words:6.2f}"
        )
        if reference:
            few = options.reference_words
            share, milliseconds = reference_accuracy(pages[:few], texts[:few])
            line += f"   {share:.2%} {milliseconds:.0f} ms"
        print(line, flush=True)
        if options.mistakes:
            print("   ", mistakes[:40])
    reliability(every)


if __name__ == "__main__":
    main()
