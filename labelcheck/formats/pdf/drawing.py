"""A content stream of PDF in the making: lengths in millimetres, x right, y up.

Operators as in ISO 32000-1, clause 8 (graphics) and clause 9 (text).
"""

from collections.abc import Iterable, Sequence

import numpy as np

from labelcheck.formats.pdf.helvetica import text_bytes, text_width_mm
from labelcheck.trade.shapes import Floats

Colour = tuple[float, float, float]
"""Red, green, blue, each from 0 to 1."""

BLACK: Colour = (0.0, 0.0, 0.0)
WHITE: Colour = (1.0, 1.0, 1.0)

_QUARTER = 0.5522847498
"""Where the handles of a quarter circle stand, as a share of its radius: 4/3 (√2 - 1)."""
_ROUND = 1


class Drawing:
    """Collects operators; `content` gives the stream. The same calls give the same bytes."""

    def __init__(self) -> None:
        self._operators: list[str] = []

    @property
    def content(self) -> bytes:
        """The stream so far."""
        return "\n".join(self._operators).encode("latin-1")

    def saved(self) -> None:
        """Keep colours, pen, place and window until `restored`."""
        self._operators.append("q")

    def restored(self) -> None:
        """Take up again what was kept."""
        self._operators.append("Q")

    def moved(self, x_mm: float, y_mm: float) -> None:
        """From here on, count from this point."""
        self._operators.append(f"1 0 0 1 {_told(x_mm)} {_told(y_mm)} cm")

    def window(self, x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> None:
        """From here on, draw only within a rectangle."""
        self._operators.append(f"{_numbers((x_mm, y_mm, width_mm, height_mm))} re W n")

    def form(self, name: str) -> None:
        """Put a drawing that the document holds under a name here."""
        self._operators.append(f"/{name} Do")

    def pen(self, width_mm: float, colour: Colour = BLACK, dashes_mm: Sequence[float] = ()) -> None:
        """The pen for lines: round-ended; `dashes_mm` are line, space, line, space…"""
        self._operators.append(
            f"{_numbers(colour)} RG {_told(width_mm)} w {_ROUND} J {_ROUND} j [{_numbers(dashes_mm)}] 0 d"
        )

    def ink(self, colour: Colour) -> None:
        """The colour that areas and text are filled with."""
        self._operators.append(f"{_numbers(colour)} rg")

    def lines(self, ends_mm: Floats) -> None:
        """Straight lines with the pen, (n, 4): x0, y0, x1, y1."""
        if len(ends_mm):
            self._operators.extend(f"{a:.3f} {b:.3f} m {c:.3f} {d:.3f} l" for a, b, c, d in ends_mm.tolist())
            self._operators.append("S")

    def contours(self, rings_mm: Iterable[Floats]) -> None:
        """Closed lines with the pen, each ring of shape (k, 2) without a repeated vertex."""
        drawn = [_ring(ring) for ring in rings_mm if len(ring)]
        if drawn:
            self._operators += [*drawn, "S"]

    def area(self, rings_mm: Iterable[Floats]) -> None:
        """A filled area, even-odd among its rings."""
        drawn = [_ring(ring) for ring in rings_mm if len(ring) > 2]
        if drawn:
            self._operators += [*drawn, "f*"]

    def circles(self, discs_mm: Floats) -> None:
        """Circles with the pen, (n, 3): x, y, radius."""
        if len(discs_mm):
            self._operators += [*(_disc(*disc) for disc in discs_mm.tolist()), "S"]

    def discs(self, discs_mm: Floats) -> None:
        """Filled discs, (n, 3): x, y, radius; where they lie on one another they stay filled."""
        if len(discs_mm):
            self._operators += [*(_disc(*disc) for disc in discs_mm.tolist()), "f"]

    def text(self, x_mm: float, y_mm: float, text: str, size_mm: float, bold: bool = False) -> None:
        """One line of text, its base line at a point; the size is that of the font."""
        self._shown(f"1 0 0 1 {_told(x_mm)} {_told(y_mm)}", text, size_mm, bold)

    def text_upward(self, x_mm: float, y_mm: float, text: str, size_mm: float) -> None:
        """The same, running upward."""
        self._shown(f"0 1 -1 0 {_told(x_mm)} {_told(y_mm)}", text, size_mm, bold=False)

    def text_amid(self, x_mm: float, y_mm: float, text: str, size_mm: float) -> None:
        """The same, with its middle above the point."""
        self.text(x_mm - text_width_mm(text, size_mm) / 2, y_mm, text, size_mm)

    def _shown(self, matrix: str, text: str, size_mm: float, bold: bool) -> None:
        # Written in hexadecimal, so that brackets and backslashes need no care.
        font = "F2" if bold else "F1"
        self._operators.append(
            f"BT /{font} {_told(size_mm)} Tf {matrix} Tm <{text_bytes(text).hex()}> Tj ET"
        )


def _told(length_mm: float) -> str:
    return f"{length_mm:.3f}"


def _numbers(values: Sequence[float]) -> str:
    return " ".join(_told(value) for value in values)


def _ring(ring_mm: Floats) -> str:
    points = [f"{x:.3f} {y:.3f}" for x, y in np.asarray(ring_mm, dtype=np.float64).tolist()]
    return f"{points[0]} m {' l '.join(points[1:])} l h" if len(points) > 1 else f"{points[0]} m h"


def _disc(x: float, y: float, radius: float) -> str:
    """Four curves, each less than 0.03 % of the radius off the circle."""
    k = _QUARTER * radius
    return (
        f"{_numbers((x + radius, y))} m "
        f"{_numbers((x + radius, y + k, x + k, y + radius, x, y + radius))} c "
        f"{_numbers((x - k, y + radius, x - radius, y + k, x - radius, y))} c "
        f"{_numbers((x - radius, y - k, x - k, y - radius, x, y - radius))} c "
        f"{_numbers((x + k, y - radius, x + radius, y - k, x + radius, y))} c h"
    )
