"""A label as drawn beside the same label as printed, both worked out anew for the picture."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from PIL import Image

from labelcheck.board.board import Board
from labelcheck.judging import Finding
from labelcheck.labels.label import Label
from labelcheck.press.evidence import Printed
from labelcheck.press.printing_window import window_as_printed
from labelcheck.raster.windows import Flags
from labelcheck.review.picture.board_view import SideParts, View, draw_view
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import INK, LOST, PAPER, Colour
from labelcheck.review.picture.lettering import face, shortened
from labelcheck.review.picture.palette import Coverage
from labelcheck.review.wording import in_unit, printable
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import Unit, format_length

STRIP = 30
"""Pixels above each of the two, for what it is."""
BETWEEN = 8
PRINT_ANALYSERS = frozenset({"in-opening", "across-hole", "past-outline", "not-read-as-printed", "closed-gap"})
"""Their insets show what printing changes, where it changes something."""
WORTH_SHOWING = 0.97
"""A label of which every character keeps more than this looks the same as printed."""


@dataclass(frozen=True, slots=True, eq=False)
class Press:
    """All that the picture needs to print a label of one side again."""

    board: Board
    limits: Limits
    printed: Mapping[str, Printed]
    """What is left of each label, by id."""
    ink: Colour
    assembled: Mapping[str, str | None] = field(default_factory=dict)
    """What is read of each label with the parts on, by id."""

    def shift_of(self, finding: Finding, label: Label) -> tuple[float, float] | None:
        """How the legend lies off in the print to be shown; None where printing shows nothing of this finding."""
        state = self.printed.get(label.id)
        if state is None or finding.analyser not in PRINT_ANALYSERS:
            return None
        if state.misread or state.least_left < WORTH_SHOWING or state.closed or state.joined or state.broken:
            return (0.0, 0.0)
        return state.shift_mm if state.least_left_when_shifted < WORTH_SHOWING else None


Places = tuple[tuple[int, int], tuple[int, int]]
"""Upper left corners of the two pictures, below their strips."""


def sizes_of_pair(width: int, height: int) -> tuple[tuple[int, int], tuple[int, int]]:
    """Width and height of each of the two pictures in a place of that size: side by side, one above the other."""
    return ((width - BETWEEN) // 2, height - STRIP), (width, (height - BETWEEN) // 2 - STRIP)


def places_of_pair(at: tuple[int, int], view: View, stacked: bool) -> Places:
    """Where the two pictures of a view go in a place that begins at `at`."""
    left, top = at
    if stacked:
        return (left, top + STRIP), (left, top + STRIP + view.height + BETWEEN + STRIP)
    return (left, top + STRIP), (left + view.width + BETWEEN, top + STRIP)


def draw_pair(
    canvas: Canvas, places: Places, view: View, parts: SideParts, printed: tuple[Press, Label, tuple[float, float]]
) -> None:
    """Both pictures of a view, the ink that is lost marked in the first."""
    press, label, shift = printed
    ground = draw_view(replace(parts, legend=None), view, canvas.palette)
    window = window_as_printed(press.board, label.side, view.box_mm, press.limits, shift)
    lost = window.drawn & ~window.printed if shift == (0.0, 0.0) else np.zeros_like(window.drawn)
    for (x, y), inks in zip(places, (((window.drawn, press.ink), (lost, LOST)), ((window.printed, press.ink),)),
                            strict=True):
        canvas.place(ground, x, y)
        for ink, colour in inks:
            canvas.blend(_cover(ink, view), x, y, colour)


def name_pair(
    canvas: Canvas, places: Places, label: Label,
    printed: tuple[Press, tuple[float, float]], looks: tuple[Unit, int],
) -> None:
    """Write above each of the two what it is; `looks` is the unit for lengths, and how wide each picture is."""
    press, shift = printed
    unit, width = looks
    state = press.printed[label.id]
    told = "as printed"
    if shift != (0.0, 0.0):
        told += f", {in_unit(format_length(press.limits.registration.value_mm), unit)} off"
    read = state.reads_as(label.text)
    if read is not None and read != label.text and read.strip("? "):
        told += f": {read}"
    for (x, y), words in zip(places, ("as drawn (pink is lost)" if shift == (0.0, 0.0) else "as drawn", told),
                             strict=True):
        letters = face(22)
        canvas.write((x, y - STRIP), shortened(printable(words), letters, width), letters, (INK, PAPER))


def _cover(ink: Flags, view: View) -> Coverage:
    """Ink of the raster as coverage (h, w) 0 to 255 of the view, smooth where it is enlarged."""
    rows, columns = ink.shape
    if rows == 0 or columns == 0:
        return np.zeros((view.height, view.width), dtype=np.uint8)
    picture = Image.fromarray(np.ascontiguousarray(ink[::-1]).astype(np.uint8) * 255)
    drawn = np.asarray(picture.resize((view.width, view.height), Image.Resampling.BILINEAR))
    return np.ascontiguousarray(drawn[:, ::-1]) if view.mirrored else drawn
