"""One window of a side as drawn and as printed, for a picture: worked out anew, kept nowhere."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.board.board import Board
from labelcheck.press.obstacles import obstacles_on
from labelcheck.press.printing_ink import moved, through_the_process
from labelcheck.raster.rendering import render
from labelcheck.raster.run_algebra import intersect, subtract
from labelcheck.raster.runs import Box, no_runs
from labelcheck.raster.windows import Window, to_bitmap, window_around
from labelcheck.trade.limits import Limits
from labelcheck.trade.sides import Side

AROUND_MM = 0.3
"""Ink this far outside of a window may still spread, or be shifted, into it."""


@dataclass(frozen=True, slots=True, eq=False)
class PrintedWindow:
    """Ink of a window of the raster, bool (rows, columns), row 0 = lowest y."""

    window: Window
    drawn: NDArray[np.bool_]
    printed: NDArray[np.bool_]


def window_as_printed(
    board: Board, side: Side, box_mm: Box, limits: Limits, shift_mm: tuple[float, float] = (0.0, 0.0)
) -> PrintedWindow:
    """All legend ink in a box, as drawn and as it comes out when the legend lies shifted by so much."""
    pitch = limits.pitch_mm
    window = window_around(box_mm, 0.0, pitch)
    legend = board.on(side).legend
    x0, y0, x1, y1 = box_mm
    wider = (x0 - AROUND_MM, y0 - AROUND_MM, x1 + AROUND_MM, y1 + AROUND_MM)
    ink = no_runs(pitch) if legend is None else render(legend.shapes, pitch, wider)
    obstacles = obstacles_on(board, side, wider, limits)
    left = ink if obstacles.openings is None else subtract(ink, obstacles.openings)
    columns, rows = (round(step / pitch) for step in shift_mm)
    lying = moved(left, columns, rows)
    if obstacles.holes is not None:
        lying = subtract(lying, obstacles.holes)
    if obstacles.board_area is not None:
        lying = intersect(lying, obstacles.board_area)
    # Slivers are dropped from what lies on the board, the printer's grid belongs to the legend that is shifted.
    printed = moved(through_the_process(moved(lying, -columns, -rows), limits), columns, rows)
    if obstacles.holes is not None:
        printed = subtract(printed, obstacles.holes)
    if obstacles.board_area is not None:
        printed = intersect(printed, obstacles.board_area)
    return PrintedWindow(window, to_bitmap(ink, window), to_bitmap(printed, window))
