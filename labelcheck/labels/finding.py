"""The flow from a side's legend to its labels, on one screen."""

from dataclasses import dataclass

import numpy as np

from labelcheck.board.board import Layer
from labelcheck.labels.apart import Apart, take_apart
from labelcheck.labels.choosing import best_lines
from labelcheck.labels.deciding import ReadingOut, decide
from labelcheck.labels.directions import Frame, along_axes, frames_along_axes, frames_aslant
from labelcheck.labels.dividers import without_divided
from labelcheck.labels.fitting import with_minus
from labelcheck.labels.found import Found
from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.ink import Ink, scattered_numbers
from labelcheck.labels.label import SideLabels
from labelcheck.labels.likeness import fitting_singles, plain_marks, text_likeness
from labelcheck.labels.lines import Lines, Links, find_lines, find_links, joined_lines, not_only
from labelcheck.labels.marks import Marks
from labelcheck.labels.measuring import Sizes, measure_lines
from labelcheck.labels.naming import given_names
from labelcheck.labels.pieces import Pieces, pieces_of
from labelcheck.labels.reading.protocol import Reader
from labelcheck.labels.recognising import Drawn, Seen, read_lines
from labelcheck.labels.setting import set_lines
from labelcheck.labels.telling import tell_labels
from labelcheck.labels.weighing import left_out, promise
from labelcheck.trade.shapes import Flags, Floats
from labelcheck.trade.sides import Side

SURE, SEVERAL = 0.9, 2
"""So surely read, and of so many glyphs, a line along the axes is settled: none of it is looked at aslant."""
OTHER_WAY_UP = -20.0
"""Taken from a line that was settled the other way up: as good as never."""


def find_labels(side: Side, legend: Layer, reader: Reader | None) -> SideLabels:
    """All labels and drawings of one side's legend; labels stay unread where there is no reader."""
    return find_among(side, legend, take_apart(legend), reader)


def find_among(
    side: Side, legend: Layer, apart: Apart, reader: Reader | None, open_marks: Flags | None = None, least: int = 1
) -> SideLabels:
    """The same, where the legend is taken apart already; only among some of its marks (m,) where they are given.

    With a reader, labels of fewer than `least` marks are not looked for.
    """
    mirrored = side is Side.BOTTOM
    ink, marks = apart.ink, apart.marks
    pieces = pieces_of(ink.shapes, marks, apart.contacts, mirrored)
    asked = np.ones(len(marks), dtype=np.bool_) if open_marks is None else open_marks
    if reader is None:
        frames = frames_along_axes(pieces, marks, asked) + frames_aslant(pieces, marks, ~asked)
        found = _by_geometry(marks, pieces, frames)
    else:
        found = _by_reading((ink, marks, pieces), reader, mirrored, asked, least)
    names = given_names(found, ink, marks, legend)
    return tell_labels(side, (ink, marks), found, names, _measured(ink, marks, found, mirrored))


def _by_reading(
    drawn: tuple[Ink, Marks, Pieces], reader: Reader, mirrored: bool, asked: Flags, least: int
) -> Found:
    """The best set of lines that read well: along the axes first, then with what that leaves in other directions."""
    ink, marks, pieces = drawn
    straight, _ = plain_marks(pieces, marks)
    out = ReadingOut(reader)

    def best(supposed: _Supposed, before: Seen | None, upside: Floats) -> tuple[Found, Seen]:
        lines, frames = supposed.lines, supposed.frames
        astray = left_out(lines, frames, supposed.links, marks)
        read = read_lines(Drawn(ink.shapes, marks, mirrored), frames, lines, reader, before)
        promised = promise(read, marks, np.concatenate((astray, astray)) + upside)
        return decide(read, promised, marks, straight, out), read.seen

    upright = _suppose(frames_along_axes(pieces, marks, asked), marks, (pieces, straight), least)
    found, seen = best(upright, None, np.zeros(2 * len(upright.lines)))
    settled = _settled(found, marks, along_axes(pieces, len(marks)))
    aslant = frames_aslant(pieces, marks, settled | ~asked)
    if not aslant:
        return with_minus(found, marks, upright.frames, straight)
    # What is settled is read again only as it was found: it vouches for the lettering of the rest.
    left = upright.lines.take(~_holding(upright.lines, settled) | _among(upright.lines, found, marks))
    other = _suppose(aslant, marks, (pieces, straight), least, first=len(upright.frames))
    supposed = _Supposed(
        upright.frames + other.frames, upright.links + other.links, joined_lines([left, other.lines])
    )
    found, _ = best(supposed, seen, _other_way_up(supposed, found, settled, marks))
    return with_minus(found, marks, supposed.frames, straight)


@dataclass(frozen=True, slots=True, eq=False)
class _Supposed:
    """Hypotheses of several directions."""

    frames: list[Frame]
    links: list[Links]
    lines: Lines


def _suppose(
    frames: list[Frame], marks: Marks, drawn: tuple[Pieces, Flags], least: int, first: int = 0
) -> _Supposed:
    """All hypotheses of at least so many marks in the frames, numbered from `first`, but for rows of bars."""
    pieces, straight = drawn
    links = [without_divided(find_links(frame, marks), frame, pieces) for frame in frames]
    lines = find_lines(frames, links, marks, first)
    lines = lines.take(np.diff(lines.first) >= least)
    return _Supposed(frames, links, lines.take(not_only(straight, lines)))


def _holding(lines: Lines, chosen: Flags) -> Flags:
    """Which lines hold any of the chosen marks."""
    owner = np.repeat(np.arange(len(lines)), np.diff(lines.first))
    return np.bincount(owner, chosen[lines.mark], len(lines)) > 0


def _among(lines: Lines, known: Found, marks: Marks) -> Flags:
    """Which lines are made of the same marks as one of the known lines."""
    scatter = scattered_numbers(len(marks))
    keys = [
        np.add.reduceat(scatter[one.mark], one.first[:-1]) if len(one) else scatter[:0]
        for one in (lines, known.lines)
    ]
    return np.isin(keys[0], keys[1])


def _other_way_up(supposed: _Supposed, known: Found, settled: Flags, marks: Marks) -> Floats:
    """What a line takes from its worth, shape (2 n,), lines and then their likes turned over, that was settled before
    the other way up: what is left tells less of how text runs with the file, so that ON would turn to NO."""
    scatter = scattered_numbers(len(marks))
    lines = supposed.lines
    keys = [
        np.add.reduceat(scatter[one.mark], one.first[:-1]) if len(one) else scatter[:0]
        for one in (known.lines, lines)
    ]
    whole = np.flatnonzero(_holding(known.lines, settled))
    way = dict(zip(keys[0][whole].tolist(), known.turned_deg[whole].tolist(), strict=True))
    turned = np.array([frame.turned_deg for frame in supposed.frames])[lines.frame]
    told = np.array([way.get(key, np.nan) for key in keys[1].tolist()])
    apart = np.abs((told - turned + 180.0) % 360.0 - 180.0)
    return np.where(np.concatenate((apart > 90.0, apart < 90.0)), OTHER_WAY_UP, 0.0)


def _settled(found: Found, marks: Marks, upright: Flags) -> Flags:
    """Marks of lines of several glyphs that read surely, with the marks that they are parts of, and those' parts.

    At least half of their marks have strokes along the axes: text a few degrees off them reads as well, but it is
    neither whole nor exactly measured in a frame along them.
    """
    confidence = np.array([0.0 if reading is None else reading.confidence for reading in found.readings])
    sure = confidence >= SURE
    sure &= np.diff(found.setting.glyph_first) >= SEVERAL
    line = np.repeat(np.arange(len(found)), np.diff(found.lines.first))
    sure &= np.bincount(line, upright[found.lines.mark], len(found)) * 2 >= np.diff(found.lines.first)
    settled = np.zeros(len(marks), dtype=np.bool_)
    settled[found.lines.mark[np.repeat(sure, np.diff(found.lines.first))]] = True
    part = marks.parent >= 0
    settled[marks.parent[part & settled]] = True
    settled[part] |= settled[marks.parent[part]]
    return settled


def _by_geometry(marks: Marks, pieces: Pieces, frames: list[Frame]) -> Found:
    """The best set of lines that look like text."""
    lines = find_lines(frames, [find_links(frame, marks) for frame in frames], marks)
    setting = set_lines(lines)
    straight, bordering = plain_marks(pieces, marks)
    score = text_likeness(lines, setting, marks, straight, bordering)
    chosen = np.flatnonzero(best_lines(score, lines, marks))
    singles = fitting_singles(lines, setting, marks, straight | bordering, chosen)
    kept = lines.take(np.isin(np.arange(len(lines)), np.append(chosen, singles)))
    turned = np.array([frame.turned_deg for frame in frames])
    return Found(kept, set_lines(kept), turned[kept.frame], (None,) * len(kept))


def _measured(ink: Ink, marks: Marks, found: Found, mirrored: bool) -> Sizes:
    """Stroke widths and gaps of the labels, glyph by glyph."""
    setting = found.setting
    objects, which = marks.members(found.lines.mark)
    glyph = setting.glyph[which]
    order = np.lexsort((objects, glyph))
    turned = np.repeat(found.turned_deg, np.diff(setting.glyph_first))
    glyphs = lay_out(ink.shapes, objects[order], glyph[order], turned, mirrored)
    painted = np.zeros(len(turned), dtype=np.bool_)
    np.logical_or.at(painted, setting.glyph, marks.painted[found.lines.mark])
    return measure_lines(glyphs, painted, setting.glyph_first)
