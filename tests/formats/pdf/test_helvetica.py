"""How wide text is, held against a free font that is made to the same widths."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont

from labelcheck.formats.pdf.helvetica import shortened, text_bytes, text_width_mm, wrapped

FREE = [
    Path(f"/usr/share/fonts/truetype/{folder}/LiberationSans-{face}.ttf")
    for folder in ("liberation", "liberation2")
    for face in ("Regular", "Bold")
]
"""Liberation Sans has the widths of Arial, which has those of Helvetica; Debian's fonts-liberation."""


def widths(face: str) -> dict[str, float]:
    path = next((path for path in FREE if path.stem.endswith(face) and path.exists()), None)
    if path is None:
        pytest.skip("fonts-liberation is not installed")
    font = ImageFont.truetype(str(path), 2048, layout_engine=ImageFont.Layout.BASIC)
    return {chr(code): font.getlength(chr(code)) / 2048 for code in range(32, 127)}


def test_every_printable_sign_is_as_wide_as_in_the_free_font() -> None:
    wrong = {
        sign: (text_width_mm(sign, 1.0), width)
        for sign, width in widths("Regular").items()
        if abs(text_width_mm(sign, 1.0) - width) > 0.0011
    }
    assert wrong == {}


@pytest.mark.parametrize("text", ["turnout-driver", "Signal head 4, rev B", "TRACK DETECTOR", "jitter_2026-11"])
def test_bold_words_are_no_wider_than_said(text: str) -> None:
    bold = widths("Bold")
    assert sum(bold[sign] for sign in text) <= text_width_mm(text, 1.0, bold=True) + 1e-9


def test_a_sign_that_the_font_does_not_have_becomes_a_question_mark() -> None:
    assert text_bytes("µ€Ω線") == b"\xb5\x80??"


@settings(derandomize=True, max_examples=60, deadline=None)
@given(st.text(st.sampled_from("abW i.Ω-"), max_size=80), st.floats(3.0, 60.0))
def test_lines_are_no_wider_than_asked_and_lose_no_sign(text: str, width_mm: float) -> None:
    lines = wrapped(text, 2.5, width_mm)
    assert "".join(lines).replace(" ", "") == "".join(text.split())
    assert all(text_width_mm(line, 2.5) <= width_mm for line in lines if len(line) > 1)


def test_shortened_keeps_what_fits() -> None:
    assert shortened("signal", 3.0, 100.0) == "signal"
    assert shortened("signal", 3.0, text_width_mm("sig", 3.0)) == "sig"
    assert shortened("signal", 3.0, 0.0) == "s"
