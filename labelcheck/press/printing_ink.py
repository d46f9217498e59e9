"""What the legend process makes of ink, on row runs: slivers lost, the printer's own pixels, spread at every edge.

The steps follow one another as they do in a workshop: the fabricator drops what is too thin to print, the plotter or
the print head puts the rest on its own grid, and the wet ink spreads.
"""

import numpy as np

from labelcheck.raster.growing import grown, shrunk
from labelcheck.raster.intervals import expand, merge
from labelcheck.raster.run_algebra import intersect
from labelcheck.raster.runs import NumberLine, Runs
from labelcheck.trade.limits import Limits

CORNERS = 1.5
"""What lies within so many radii of where the thinnest line's disc fits is no sliver but a corner."""


def through_the_process(left: Runs, limits: Limits) -> Runs:
    """Ink on the board from ink in the data: `without_slivers`, `on_printer_grid` and spread, groups apart."""
    return spread(on_printer_grid(without_slivers(left, limits.thinnest_print.value_mm), limits), limits)


def spread(ink: Runs, limits: Limits) -> Runs:
    """Ink grown at every edge by what it spreads."""
    return grown(ink, limits.spread.value_mm)


def without_slivers(ink: Runs, thinnest_mm: float) -> Runs:
    """Ink but for what is thinner than the thinnest line that prints, to a pixel; corners stay.

    Exactly: the ink within 1.5 radii of the middles of all discs of the thinnest line's width that lie in the ink.
    """
    # A pixel less: a line of just that width has its middle between two pixels where it is an even number wide.
    radius_mm = (thinnest_mm - ink.pitch_mm) / 2
    if radius_mm < ink.pitch_mm / 2:
        return ink
    return intersect(ink, grown(shrunk(ink, radius_mm), CORNERS * radius_mm))


def on_printer_grid(ink: Runs, limits: Limits) -> Runs:
    """Ink as whole pixels of the printer: a pixel is printed where its middle is inked.

    The grid lies on the artwork's zero; a pixel is a whole number of raster pixels, at least one.
    """
    size = pixels_of_printer(limits)
    if size == 1 or len(ink) == 0:
        return ink
    middle = size // 2
    sampled = ink.take((ink.row - middle) % size == 0)
    start = -((middle - sampled.start) // size) * size
    end = -((middle - sampled.end) // size) * size
    inked = start < end
    line, copy = expand(np.where(inked, size, 0))
    rows = sampled.row[line] - middle + copy
    cells = Runs(
        ink.pitch_mm, rows.astype(np.int32), start[line].astype(np.int32), end[line].astype(np.int32),
        None if sampled.group is None else sampled.group[line],
    )
    on = NumberLine.over(cells)
    return on.runs(merge(*on.intervals(cells)), ink.pitch_mm, grouped=ink.group is not None)


def pixels_of_printer(limits: Limits) -> int:
    """Raster pixels to a side of the printer's pixel."""
    return max(round(limits.printed_pixel.value_mm / limits.pitch_mm), 1)


def moved(ink: Runs, columns: int, rows: int) -> Runs:
    """The same ink elsewhere, in whole raster pixels."""
    return Runs(
        ink.pitch_mm, ink.row + np.int32(rows), ink.start + np.int32(columns), ink.end + np.int32(columns), ink.group
    )
