"""Lines that say little by themselves: labels where they are lettered like the sure labels about them.

A circle reads as O, a corner of a frame as L, a bar as I, two brackets as []. What is short, simple or hardly read
must have the pen and the height of lines that were read with confidence; the more drawings look like it, the more
exactly.
"""

import numpy as np

from labelcheck.labels.directions import Frame
from labelcheck.labels.found import Found
from labelcheck.labels.lines import Lines, joined_lines
from labelcheck.labels.marks import SAME_PEN_MM, Drawn, Marks
from labelcheck.labels.reading.grammar import kind_of
from labelcheck.labels.reading.protocol import Reading
from labelcheck.labels.setting import joined_settings, set_lines
from labelcheck.trade.shapes import Flags, Floats, Integers

CERTAIN = 0.97
"""So surely read, a line needs the height of the sure lines but not their pen."""
SIGN_HEIGHTS = (0.35, 1.3)
"""Height of `+` and the like, in heights of a line with the same pen."""
CERTAIN_TOGETHER = 0.93
"""So surely read, short texts vouch for each other."""
SURELY_NAMED = 0.98
"""So surely read, a reference needs no other label: the only one of a side, or one of its own lettering."""
ALIKE = 0.12
"""Difference of heights that a line and the sure lines it is like may have."""
ALIKE_SIMPLE, SAME_WAY_DEG = 0.03, 15.0
SIMPLE = frozenset("OoQ0lIi1LTVUCcDJSHXrnueE<>^v()[]/|=~'\"°.,:_-*!")
"""Characters that parts of drawings are taken for where they stand alone."""
CORNERS = frozenset("LCUJV7r()[]<>^v")
"""The corners about a part, and arcs, read as these in four directions; text runs in one or two."""
OUTLINE_STROKES = 12
"""The outline of a part has so many strokes at most; of more, a picture is drawn (judgement)."""
SPLINTER = 2.2
"""A mark so many times as large as its part is more than one character."""
COMPANIONS, SHORT_COMPANIONS = 3, 2
"""Different single characters that vouch for each other, and different short texts."""
SIGNS = frozenset("+*#")
MINUS_WIDTH = 0.25
MINUS_REACH_MM = 20.0
"""A minus is one where a plus of its width and pen stands within this distance."""


def fits(found: Found, told: tuple[Flags, Flags], marks: Marks, straight: Flags) -> Flags:
    """Which lines may be labels.

    `told`: the lines that tell by themselves, and those of the best set so far; both together set pens and heights.
    """
    allowed, words = told[0].copy(), told[0] & told[1]
    size = np.diff(found.setting.glyph_first)
    lead = found.lines.mark[found.lines.first[:-1]]
    pen, height = np.nan_to_num(marks.pen_mm[lead]), found.setting.height
    known = np.flatnonzero(words)
    for line in np.flatnonzero(~allowed).tolist():
        reading = found.readings[line]
        if reading is None or reading.text.strip("?") == "":
            continue
        certain = reading.confidence >= CERTAIN
        alike = known if certain else known[np.abs(pen[known] - pen[line]) <= SAME_PEN_MM]
        share = height[line] / height[alike]
        if size[line] > 1:
            # Three lamps in a row read OOO.
            plain = len(set(reading.text)) == 1 and reading.text[0] in SIMPLE
            allowed[line] = bool((np.abs(share - 1) <= (ALIKE_SIMPLE if plain else ALIKE)).any())
        elif reading.text in SIGNS:
            allowed[line] = bool(((share >= SIGN_HEIGHTS[0]) & (share <= SIGN_HEIGHTS[1])).any())
        elif not straight[lead[line]] and not _is_piece(marks, int(lead[line])):
            simple = reading.text in SIMPLE
            off = np.abs((found.turned_deg[alike] - found.turned_deg[line] + 180.0) % 360.0 - 180.0)
            same_way = (off <= SAME_WAY_DEG) | (reading.text not in CORNERS)
            allowed[line] = bool((same_way & (np.abs(share - 1) <= (ALIKE_SIMPLE if simple else ALIKE))).any())
    for line in np.flatnonzero(~allowed & told[1] & (size > 1)).tolist():
        reading = found.readings[line]
        allowed[line] = (
            reading is not None and reading.confidence >= SURELY_NAMED and kind_of(reading.text) == "reference"
        )
    return allowed | _companions(found, size, pen, told[1])


def _is_piece(marks: Marks, mark: int) -> bool:
    """Whether a mark is most of a larger one (the 7 in a 4), or one of many strokes of one (the Y in a picture).

    What runs into an outline of few strokes, as the K of a diode may, is a character.
    """
    host = int(marks.parent[mark])
    if host < 0 or marks.drawn[mark] == Drawn.KNOCKED_OUT:
        return False
    inner, outer = (marks.box[at, 2:] - marks.box[at, :2] for at in (mark, host))
    others = len(marks.objects(host)) - len(marks.objects(mark))
    return others > OUTLINE_STROKES or bool(outer.max() < SPLINTER * inner.max())


def _companions(found: Found, size: Integers, pen: Floats, chosen: Flags) -> Flags:
    """Certain lines of one lettering, no two drawings alike: large numbers of keys or channels, C1 beside J1."""
    certain = np.array([
        reading is not None and reading.confidence >= (CERTAIN if glyphs == 1 else CERTAIN_TOGETHER)
        and reading.text not in SIMPLE | SIGNS
        for reading, glyphs in zip(found.readings, size.tolist(), strict=True)
    ], dtype=np.bool_)
    together = np.zeros(len(found), dtype=np.bool_)
    height = found.setting.height
    for of_size, enough in ((size == 1, COMPANIONS), (size > 1, SHORT_COMPANIONS)):
        lines = np.flatnonzero(certain & of_size & chosen)
        texts = [reading.text for at in lines.tolist() if (reading := found.readings[at]) is not None]
        _, text = np.unique(np.array(texts, dtype=np.str_), return_inverse=True)
        # Most boards have few letterings, and what is asked for every line has the same answer for all of one.
        lettering, first, which = np.unique(
            np.round(np.column_stack((pen[lines], height[lines])), 6), axis=0, return_index=True, return_inverse=True
        )
        vouched = np.zeros(len(lettering), dtype=np.bool_)
        for number, at in enumerate(lines[first].tolist()):
            alike = np.abs(pen[lines] - pen[at]) <= SAME_PEN_MM
            alike &= np.abs(height[lines] / height[at] - 1) <= ALIKE_SIMPLE
            vouched[number] = len(set(text[alike].tolist())) >= enough
        together[lines] = vouched[which.reshape(-1)]
    return together


def with_minus(found: Found, marks: Marks, frames: list[Frame], straight: Flags) -> Found:
    """The labels, and each lone bar that is the minus to a plus among them."""
    lead = found.lines.mark[found.lines.first[:-1]]
    plus = [line for line, reading in enumerate(found.readings) if reading is not None and reading.text == "+"]
    taken = np.zeros(len(marks), dtype=np.bool_)
    taken[found.lines.mark] = True
    middle = (marks.box[:, :2] + marks.box[:, 2:]) / 2
    extent = marks.box[:, 2:] - marks.box[:, :2]
    added: list[tuple[int, int]] = []
    for line in plus:
        mark = int(lead[line])
        apart = np.hypot(*(middle - middle[mark]).T)
        alike = straight & ~taken & (apart <= MINUS_REACH_MM)
        alike &= np.abs(np.nan_to_num(marks.pen_mm) - np.nan_to_num(marks.pen_mm[mark])) <= SAME_PEN_MM
        axis = round(found.turned_deg[line] / 90.0) % 2
        alike &= np.abs(extent[:, axis] / extent[mark, axis] - 1) <= MINUS_WIDTH
        alike &= _lies_along(extent, found.turned_deg[line], marks.pen_mm)
        candidates = np.flatnonzero(alike)
        if len(candidates):
            nearest = int(candidates[np.argmin(apart[candidates])])
            taken[nearest] = True
            added.append((nearest, line))
    return _appended(found, marks, frames, added)


def _lies_along(extent: Floats, turned_deg: float, pen_mm: Floats) -> Flags:
    """Bars along a line that is turned to an axis; none at other angles."""
    thin = extent <= 1.1 * np.nan_to_num(pen_mm)[:, None]
    if abs((turned_deg + 45.0) % 90.0 - 45.0) > 1.0:
        return np.zeros(len(extent), dtype=np.bool_)
    return thin[:, 1] if round(turned_deg / 90.0) % 2 == 0 else thin[:, 0]


def _appended(found: Found, marks: Marks, frames: list[Frame], added: list[tuple[int, int]]) -> Found:
    """The labels and one more for each added mark, turned like the line that it goes with."""
    if not added:
        return found
    rows: Integers = np.array([line for _, line in added])
    mark = np.array([mark for mark, _ in added])
    frame = found.lines.frame[rows]
    box = np.stack([
        frames[f].box[np.searchsorted(frames[f].mark, m)] for f, m in zip(frame.tolist(), mark.tolist(), strict=True)
    ])
    lines = Lines(mark, box, np.arange(len(mark) + 1), frame)
    return Found(
        joined_lines([found.lines, lines]), joined_settings(found.setting, set_lines(lines)),
        np.concatenate((found.turned_deg, found.turned_deg[rows])),
        (*found.readings, *(Reading("-", found_plus.confidence, 0.0) for found_plus in _readings(found, rows))),
    )


def _readings(found: Found, rows: Integers) -> list[Reading]:
    return [reading for row in rows.tolist() if (reading := found.readings[row]) is not None]
