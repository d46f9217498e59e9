"""Legends that draw so much, or so much over itself, that nobody could read them and taking them apart never ends."""

import numpy as np

from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.shapes import Shapes

OBJECTS_AT_MOST = 400_000
"""Drawn objects of one legend; a panel of 400 x 300 mm with 6400 labels draws about 130,000."""

CONTACTS_AT_MOST = 4_000_000
"""Pairs of strokes that lie on one another; text has one or two a stroke, an area painted with dots about six."""

SAMPLED = 256
"""Strokes of which the neighbours are counted to judge the number of all pairs."""


def refuse_crowd(file: str, shapes: Shapes) -> None:
    """Raise `UnreadableFile` about the file of a legend that is beyond the bounds above."""
    objects = len(shapes)
    if objects > OBJECTS_AT_MOST:
        problem = f"The legend draws {objects:,} objects, more than {OBJECTS_AT_MOST:,}."
        raise UnreadableFile(file, None, problem, "Export a single board instead of the panel.")
    contacts = contacts_expected(shapes)
    if contacts > CONTACTS_AT_MOST:
        problem = f"Its strokes lie on one another about {contacts:,} times, more than {CONTACTS_AT_MOST:,}."
        cure = "Draw filled areas as regions, or with fewer strokes, and export the legend again."
        raise UnreadableFile(file, None, problem, cure)


def contacts_expected(shapes: Shapes) -> int:
    """About how many pairs of bars have boxes that overlap; an exact bound where that is small, else a sample."""
    half = shapes.width / 2
    x0, x1 = np.minimum(shapes.x0, shapes.x1) - half, np.maximum(shapes.x0, shapes.x1) + half
    # Pairs that overlap in x: for each, those that begin before it ends, less those that end before it begins.
    begun = np.searchsorted(np.sort(x0), x1, side="right")
    ended = np.searchsorted(np.sort(x1), x0, side="left")
    pairs = int((begun - ended - 1).sum()) // 2
    if pairs <= CONTACTS_AT_MOST:
        return pairs
    y0, y1 = np.minimum(shapes.y0, shapes.y1) - half, np.maximum(shapes.y0, shapes.y1) + half
    some = np.linspace(0, len(x0) - 1, SAMPLED).astype(np.int64)
    found = sum(
        np.count_nonzero((x0 <= x1[one]) & (x1 >= x0[one]) & (y0 <= y1[one]) & (y1 >= y0[one])) - 1 for one in some
    )
    return int(found / SAMPLED * len(x0) / 2)
