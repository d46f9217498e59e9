"""The flow from a side's legend to its labels, on one screen."""

import numpy as np

from labelcheck.board.board import Layer
from labelcheck.labels.choosing import best_lines
from labelcheck.labels.deciding import decide
from labelcheck.labels.directions import Frame, find_frames
from labelcheck.labels.fitting import with_minus
from labelcheck.labels.found import Found
from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.ink import Ink, without_duplicates
from labelcheck.labels.label import SideLabels
from labelcheck.labels.likeness import fitting_singles, plain_marks, text_likeness
from labelcheck.labels.lines import Lines, find_lines, find_links, not_only
from labelcheck.labels.marks import WHOLE_VIEW, Marks, find_contacts, find_marks
from labelcheck.labels.measuring import Sizes, measure_lines
from labelcheck.labels.naming import given_names
from labelcheck.labels.pieces import Pieces, pieces_of
from labelcheck.labels.reading.protocol import Reader
from labelcheck.labels.recognising import read_lines
from labelcheck.labels.setting import set_lines
from labelcheck.labels.struck import STRUCK_VIEW, struck_within
from labelcheck.labels.telling import tell_labels
from labelcheck.labels.weighing import left_out, promise
from labelcheck.labels.within import holes_within, with_strokes_within
from labelcheck.trade.sides import Side


def find_labels(side: Side, legend: Layer, reader: Reader | None) -> SideLabels:
    """All labels and drawings of one side's legend; labels stay unread where there is no reader."""
    mirrored = side is Side.BOTTOM
    ink = without_duplicates(legend.shapes)
    contacts = find_contacts(ink.shapes)
    whole = find_marks(ink.shapes, contacts)
    marks = with_strokes_within(ink.shapes, whole, contacts)
    marks = marks.with_parts(struck_within(ink.shapes, whole, contacts), STRUCK_VIEW)
    ink, holes = holes_within(ink, whole)
    marks = marks.with_parts(holes, WHOLE_VIEW)
    pieces = pieces_of(ink.shapes, marks, contacts, mirrored)
    frames = find_frames(pieces, marks)
    links = [find_links(frame, marks) for frame in frames]
    lines = find_lines(frames, links, marks)
    if reader is None:
        found = _by_geometry(marks, pieces, frames, lines)
    else:
        straight, _ = plain_marks(pieces, marks)
        lines = lines.take(not_only(straight, lines))
        astray = left_out(lines, frames, links, marks)
        read = read_lines(ink.shapes, marks, frames, lines, reader, mirrored)
        promised = promise(read, marks, np.concatenate((astray, astray)))
        found = with_minus(decide(read, promised, marks, straight, reader), marks, frames, straight)
    names = given_names(found, ink, marks, legend)
    return tell_labels(side, (ink, marks), found, names, _measured(ink, marks, found, mirrored))


def _by_geometry(marks: Marks, pieces: Pieces, frames: list[Frame], lines: Lines) -> Found:
    """The best set of lines that look like text."""
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
