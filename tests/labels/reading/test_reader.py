"""The built-in reader with the weights that ship: what it reads, what it does not, how fast, how large."""

import hashlib
import time
from functools import cache

import numpy as np
import pytest
from gerbonara.newstroke import Newstroke

from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.pictures import draw_glyphs
from labelcheck.labels.reading.characters import CLASSES, NUMBER, REJECT
from labelcheck.labels.reading.reader import LEAST_CONFIDENCE, built_in_reader
from labelcheck.labels.reading.weights import WEIGHTS_FILE
from labelcheck.trade.shapes import bars

from ..alphabet import GRID, LETTERS, polylines

WEIGHTS_SHA256 = "93278bcdad4a255b7fb9312280d56b3e9a02e7ad66e101dce8559034333cd0b1"
"""Of the weights in this commit. Training again with the same seed, numpy and one thread gives it again."""

READER = built_in_reader()


def drawn(glyphs: list[list[np.ndarray]], pen: float) -> tuple[np.ndarray, np.ndarray]:
    """Pictures and metrics of glyphs given as paths with capitals 1 high."""
    numbered = [(at, path) for at, glyph in enumerate(glyphs) for path in glyph]
    paths = [(at, path if len(path) > 1 else np.repeat(path, 2, axis=0)) for at, path in numbered]
    start = np.concatenate([path[:-1] for _, path in paths])
    end = np.concatenate([path[1:] for _, path in paths])
    of = np.concatenate([np.full(len(path) - 1, at) for at, path in paths])
    shapes = bars(start[:, 0], start[:, 1], end[:, 0], end[:, 1], pen)
    laid = lay_out(shapes, np.arange(len(of)), of, np.zeros(len(glyphs)))
    box = laid.box
    sizes = (box[:, 2] - box[:, 0], box[:, 3] - box[:, 1], box[:, 1] + pen / 2, np.full(len(glyphs), pen))
    return draw_glyphs(laid), (np.column_stack(sizes) / (1 + pen)).astype(np.float32)


def read_words(face: dict[str, list[np.ndarray]], words: list[str], pen: float):
    pictures, metrics = drawn([face[character] for word in words for character in word], pen)
    first = np.cumsum([0, *map(len, words)])
    return READER.decode(READER.read(pictures, metrics), first, np.zeros(len(pictures), dtype=bool))


@cache
def stroke_face_never_learned() -> dict[str, list[np.ndarray]]:
    """A stroke face that the training refuses (`typefaces.HELD_OUT`), from gerbonara; its y points down."""
    data = Newstroke.load().glyphs
    raw = {chr(c): [np.array(path) * (1.0, -1.0) for path in data[chr(c)][1] if path] for c in range(33, 127)}
    capital = np.concatenate(raw["H"])
    base, height = capital[:, 1].min(), np.ptp(capital[:, 1])
    return {c: [(path - (0.0, base)) / height for path in paths] for c, paths in raw.items()}


TEXT = (
    "R1 R22 R108 C3 C47 C100 U5 U12 J4 Q2 D9 L1 SW1 TP13 FB2 Y1 JP6 GND VCC VIN VOUT SDA SCL MISO MOSI SCK RST EN "
    "IN OUT ON OFF 3V3 5V 12V 10k 100n 4u7 TURNOUT SIGNAL FROG TRACK V1.0 REV A+ B- 1 2 7 8 K A + - RX0 TX1 PB3 IO21 "
    "Gauge Loco points Switch aspect Yard 16.5mm 2024-06 DCC"
)
WORDS = TEXT.split()


@pytest.mark.parametrize("pen", [0.1, 0.15, 0.2])
def test_a_stroke_face_never_learned_is_read_with_98_of_100_characters_right(pen):
    readings = read_words(stroke_face_never_learned(), WORDS, pen)
    pairs = list(zip("".join(r.text for r in readings), "".join(WORDS), strict=True))
    assert sum(a == b for a, b in pairs) >= 0.98 * len(pairs), [r.text for r in readings]
    sure = [(r.text, w) for r, w in zip(readings, WORDS, strict=True) if r.confidence >= LEAST_CONFIDENCE]
    assert len(sure) >= 0.9 * len(WORDS)
    assert sum(text != word for text, word in sure) <= 1


def test_the_alphabet_of_the_other_tests_is_read():
    words = [w for w in WORDS if set(w) <= set(LETTERS) and len(w) > 1]
    assert len(words) > 30
    readings = read_words({c: [np.array(p) / GRID for p in polylines(c)] for c in LETTERS}, words, 0.12)
    assert [r.text for r in readings] == words


def drawings() -> list[list[np.ndarray]]:
    """What stands on legends beside text: a body, a crossed circle, a diode, an arrow, a coil, a comb, a cross."""
    turn = np.linspace(0, 2 * np.pi, 25)
    circle = np.column_stack((0.5 + 0.5 * np.cos(turn), 0.5 + 0.5 * np.sin(turn)))
    box = np.array(((0, 0), (2, 0), (2, 1), (0, 1), (0, 0.0)))
    return [
        [box, np.array(((0, 0.4), (0.2, 0.5), (0, 0.6)))],
        [circle, np.array(((0, 0.5), (1, 0.5))), np.array(((0.5, 0), (0.5, 1.0)))],
        [np.array(((0, 0), (0, 1), (0.8, 0.5), (0, 0))), np.array(((0.8, 0), (0.8, 1.0)))],
        [np.array(((0, 0.5), (1.5, 0.5))), np.array(((1.1, 0.9), (1.5, 0.5), (1.1, 0.1)))],
        [np.array([(0.2 * at, at % 2) for at in range(9)], dtype=float)],
        [np.array(((0, 0), (1.6, 0.0))), *(np.array(((x, 0), (x, 1.0))) for x in (0.2, 0.6, 1.0, 1.4))],
        [box, np.array(((0, 0), (2, 1.0))), np.array(((0, 1), (2, 0.0)))],
    ]


def test_drawings_are_no_characters():
    logs = READER.read(*drawn(drawings(), 0.12))
    assert (np.exp(logs[:, REJECT]) > 0.9).all(), np.exp(logs[:, REJECT]).round(3)


def test_an_l_is_an_l_and_no_corner_of_a_drawing():
    for width in (0.45, 0.55, 0.65):
        logs = READER.read(*drawn([[np.array(((0, 1), (0, 0), (width, 0.0)))]], 0.13))
        assert np.exp(logs[0, NUMBER["L"]]) > 0.9


def test_letters_upside_down_or_in_a_mirror_are_not_read_as_text():
    face = stroke_face_never_learned()
    for turn in (np.array((-1.0, -1.0)), np.array((-1.0, 1.0))):
        back = np.array((1.0, 0.0 if turn[1] > 0 else 1.0))
        glyphs = [[path * turn + back for path in face[c]] for c in "R4E2K7GFJ"]
        logs = READER.read(*drawn(glyphs, 0.14))
        reading = READER.decode(logs, np.array([0, len(glyphs)]), np.zeros(len(glyphs), dtype=bool))[0]
        assert reading.confidence < 0.05
        assert reading.score < 0


def test_reading_a_side_takes_under_a_millisecond_a_label():
    # 400 labels of about 4 glyphs; the bound of the requirement is loose here, since tests run on busy machines.
    words = (WORDS * 7)[:400]
    face = stroke_face_never_learned()
    pictures, metrics = drawn([face[c] for word in words for c in word], 0.15)
    first, gaps = np.cumsum([0, *map(len, words)]), np.zeros(len(pictures), dtype=bool)
    best = min(_seconds(lambda: READER.decode(READER.read(pictures, metrics), first, gaps)) for _ in range(3))
    assert best < 400 * 1e-3


def _seconds(act) -> float:
    started = time.perf_counter()
    act()
    return time.perf_counter() - started


def test_probabilities_are_probabilities_and_classes_are_told():
    logs = READER.read(np.random.default_rng(1).random((9, 32, 24), dtype=np.float32), np.ones((9, 4), np.float32))
    np.testing.assert_allclose(np.exp(logs).sum(axis=1), 1, atol=1e-4)
    assert READER.classes == CLASSES
    assert CLASSES[-1] == ""
    assert set("ABCXYZabcxyz0189+-/.,:_()#&%=<>*~µΩ°") <= set(CLASSES)


def test_the_weights_are_small_and_those_documented():
    content = WEIGHTS_FILE.read_bytes()
    assert len(content) < 1_000_000
    assert hashlib.sha256(content).hexdigest() == WEIGHTS_SHA256


def test_a_word_of_low_letters_is_read_small_although_it_measures_like_capitals():
    face = stroke_face_never_learned()
    words = ["on", "screw", "ON", "NEAR", "braces"]
    pictures, metrics = drawn([face[c] for word in words for c in word], 0.15)
    first = np.cumsum([0, *map(len, words)])
    for start, end, word in zip(first[:-1], first[1:], words, strict=True):
        if word in ("on", "screw", "braces"):
            # Measured against its x-height, as a line of mostly low letters is.
            metrics[start:end] /= np.median(metrics[start:end, 1])
    logs = READER.read_rows(pictures, metrics, first)
    readings = READER.decode(logs, first, np.zeros(len(pictures), dtype=bool))
    assert [reading.text for reading in readings] == words
