"""How wide text in Helvetica is: a font that every reader of PDF has, so that none is packed into a file."""

ENCODING = "cp1252"
"""What PDF calls WinAnsiEncoding (ISO 32000-1, annex D.2)."""

_PRINTABLE = (
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
    333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
    556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
)  # fmt: skip
"""Thousandths of the font size, from the space to `~`: the published metrics of the font, from memory; the tests hold
them against a free font made to the same widths."""
_OTHER = 600
"""Accented letters and signs: more than nearly all of them need, so that no line runs out of its place."""
_BOLD_SHARE = 1.2
"""No letter of the bold face is wider by more: `t`, 333 for 278."""


def text_bytes(text: str) -> bytes:
    """The text in the encoding of the font; a sign that it does not have becomes a question mark."""
    return text.encode(ENCODING, "replace")


def text_width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """How far a text reaches at a font size."""
    thousandths = sum(_PRINTABLE[code - 32] if 32 <= code < 127 else _OTHER for code in text_bytes(text))
    return thousandths / 1000 * size_mm * (_BOLD_SHARE if bold else 1.0)


def wrapped(text: str, size_mm: float, width_mm: float) -> list[str]:
    """The text in lines that are no wider, broken at spaces; a word wider than a line is broken where it must."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if text_width_mm(longer, size_mm) <= width_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        while text_width_mm(word, size_mm) > width_mm and len(word) > 1:
            fitting = shortened(word, size_mm, width_mm)
            lines.append(fitting)
            word = word[len(fitting) :]
        line = word
    return [*lines, line] if line else lines


def shortened(text: str, size_mm: float, width_mm: float, bold: bool = False) -> str:
    """As many of its first characters as fit, one at least."""
    while len(text) > 1 and text_width_mm(text, size_mm, bold) > width_mm:
        text = text[:-1]
    return text
