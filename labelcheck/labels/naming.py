"""Names that the file gives: the component that a label's strokes belong to, where the reading bears it out.

Strokes of a reference may carry `.C` with that reference (Gerber layer format, object attributes). A group can hold
other text too, and outlines carry it as well: so the name counts only for a label whose reading is that name, but
for characters that look alike or could not be read.
"""

import numpy as np

from labelcheck.board.board import Layer
from labelcheck.labels.found import Found
from labelcheck.labels.ink import Ink
from labelcheck.labels.marks import Marks
from labelcheck.labels.reading.protocol import Reading

ALIKE = ("0OoDQ", "1Il|i", "5Ss", "2Zz", "8B", "6G", "cC", "vV", "wW", "xX", "uU", "kK", "pP", "_-")
"""Characters that faces draw alike."""
MOST_UNREAD = 0.25
"""Share of a name's characters that may be unread."""


def given_names(found: Found, ink: Ink, marks: Marks, legend: Layer) -> list[str | None]:
    """For each label the name that all its objects carry, where its reading bears that out."""
    components = _components(legend)
    if not any(components):
        return [None] * len(found)
    carried = np.array([components[row] for row in legend.shapes.attributes[ink.row].tolist()], dtype=object)
    names: list[str | None] = []
    for line, reading in enumerate(found.readings):
        row = found.lines.mark[found.lines.first[line] : found.lines.first[line + 1]]
        objects, _ = marks.members(row)
        values = set(carried[objects].tolist())
        name = values.pop() if len(values) == 1 else None
        names.append(name if name and reading is not None and _bears_out(reading, name) else None)
    return names


def _components(legend: Layer) -> list[str]:
    """The component of each row of attributes, empty where it has none."""
    return [next((values[0] for name, values in row if name == ".C" and values), "") for row in legend.attribute_sets]


def _bears_out(reading: Reading, name: str) -> bool:
    """Whether a text is a name but for characters that look alike and a few that could not be read."""
    text = reading.text.replace(" ", "")
    if len(text) != len(name):
        return False
    if any(not _looks_like(read, meant) for read, meant in zip(text, name, strict=True)):
        return False
    return text.count("?") <= MOST_UNREAD * len(name)


def _looks_like(read: str, meant: str) -> bool:
    return read in (meant, "?") or any(read in group and meant in group for group in ALIKE)
