"""Text is set like Pillow sets it, and no word gets lost in wrapping."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw, ImageFont

from labelcheck.review.picture.lettering import face, shortened, wrapped

SENTENCE = '"R12" is 0.71 mm high; 0.80 mm is the least for a photo-imaged legend.'


@pytest.mark.parametrize("size", [22, 27, 46])
def test_a_line_looks_as_pillow_draws_it(size: int) -> None:
    letters = face(size)
    ours = letters.cover(SENTENCE)
    font = ImageFont.load_default(size)
    assert abs(letters.width(SENTENCE) - font.getlength(SENTENCE)) < 2
    reference = Image.new("L", (ours.shape[1], ours.shape[0]))
    ImageDraw.Draw(reference).text((0, 0), SENTENCE, fill=255, font=font)
    # Each letter stands on a whole pixel here; Pillow sets them so as well, but for kerning.
    assert np.abs(ours.astype(int) - np.asarray(reference)).mean() < 6


def test_bold_is_heavier() -> None:
    letters = face(27)
    assert letters.cover("HOLD", bold=True).sum() > 1.1 * letters.cover("HOLD").sum()


@pytest.mark.parametrize(("text", "spelt"), [
    ("Größe", "Grosse"), ("4 × 5 µm ≥ 2 Ω", "4 x 5 um >= 2 Ohm"), ("12–18 V", "12-18 V"), ("90° · ±1…", "90° · ±1…"),
])
def test_signs_that_the_face_lacks_are_spelt(text: str, spelt: str) -> None:
    assert face(27).spelt(text) == spelt


def test_what_cannot_be_spelt_is_still_seen() -> None:
    assert face(27).cover("站").any()
    assert face(27).spelt("a站b") == "a站b"


@settings(derandomize=True, max_examples=80)
@given(st.text(alphabet="abcWi. µ", max_size=120), st.integers(40, 400))
def test_wrapping_keeps_every_letter_and_the_width(text: str, width: int) -> None:
    letters = face(24)
    lines = wrapped(text, letters, width)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(letters.width(line) <= width + 1 or len(line) == 1 for line in lines)


def test_too_much_text_ends_in_an_ellipsis() -> None:
    letters = face(24)
    lines = wrapped(SENTENCE * 3, letters, 300, most_lines=2)
    assert len(lines) == 2
    assert lines[1].endswith("…")
    assert letters.width(lines[1]) <= 301
    assert shortened("short", letters, 300) == "short"
