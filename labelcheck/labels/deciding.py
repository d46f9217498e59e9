"""Reading lines out, and no more of them than could matter.

To read a line out, character by character with the grammar of legends, costs more than all else. So the best set is
first chosen by the promise of the lines and read out; then only those lines that could beat what it came to: where
a line was read as well as it promised, nothing that shares its glyphs needs to be read.
"""

import numpy as np

from labelcheck.labels.choosing import best_lines
from labelcheck.labels.fitting import fits
from labelcheck.labels.found import Found
from labelcheck.labels.glyphs import spread
from labelcheck.labels.marks import Marks
from labelcheck.labels.reading.protocol import Reader, Reading
from labelcheck.labels.recognising import ReadLines
from labelcheck.labels.weighing import kinds_joined
from labelcheck.trade.shapes import Flags, Floats, Integers

USUAL_GRAMMAR, MOST_GRAMMAR, SHORT, SHORT_GRAMMAR = 0.5, 1.3, 3, 0.85
"""What the grammar adds to the evidence of a glyph, usually and at most; at most in a text as short as that."""
LEAST_PROOF, LEAST_HOPE, LEAST_EACH = 0.5, 1.0, 0.5
"""A glyph alone, and each one beyond the third, must hope for so much: less is circles, corners, bars."""
STRONG, STRONG_ENOUGH = 5.0, 2
"""Evidence of a glyph that hardly any drawing looks like, and how many of them make a label whatever is about it …"""
PROVEN, SURE, WELL_PROVEN = 5.5, 0.8, 11.0
"""… as does evidence in sum, in several unlike glyphs surely read together (TX, HV), or so much of it."""


class ReadingOut:
    """Reads lines out, the same glyphs in the same setting only once: a board says GND and 1 in many places."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._known: dict[bytes, Reading] = {}

    def texts(self, read: ReadLines, rows: Integers) -> tuple[Reading, ...]:
        """The texts of some lines."""
        setting = read.setting
        sizes = np.diff(setting.glyph_first)[rows]
        glyph = spread(setting.glyph_first[:-1][rows], sizes)
        first = np.concatenate(([0], np.cumsum(sizes))).astype(np.int64)
        told = (read.same[read.row[glyph]] << 1 | setting.spaced[glyph]).tobytes()
        keys = [told[8 * a : 8 * b] for a, b in zip(first[:-1].tolist(), first[1:].tolist(), strict=True)]
        fresh: dict[bytes, int] = {}
        for place, key in enumerate(keys):
            if key not in self._known:
                fresh.setdefault(key, place)
        chosen = np.array(list(fresh.values()), dtype=np.int64)
        some = glyph[spread(first[:-1][chosen], sizes[chosen])]
        first = np.concatenate(([0], np.cumsum(sizes[chosen]))).astype(np.int64)
        readings = self._reader.decode(read.log_probabilities[read.row[some]], first, setting.spaced[some])
        self._known.update(zip(fresh, readings, strict=True))
        return tuple(self._known[key] for key in keys)


def decide(read: ReadLines, promised: tuple[Floats, Floats], marks: Marks, straight: Flags, out: ReadingOut) -> Found:
    """The best set of labels; `promised` as from `promise`."""
    hope, terms = promised
    glyphs = np.diff(read.setting.glyph_first)
    hope = hope - _least(glyphs)
    first = np.flatnonzero(best_lines(hope + USUAL_GRAMMAR * glyphs, read.lines, marks))
    readings = out.texts(read, first)
    worth = _worth(readings, terms[first])
    most = hope + np.where(glyphs <= SHORT, SHORT_GRAMMAR, MOST_GRAMMAR) * glyphs
    rivals = _rivals(read, most, first, worth, len(marks))
    more = out.texts(read, rivals)
    rows = np.concatenate((first, rivals))
    order = np.argsort(rows, kind="stable")
    told = (*readings, *more)
    found = Found(
        read.lines.take(rows[order]), read.setting.take(rows[order]), read.turned_deg[rows[order]] % 360.0,
        tuple(told[at] for at in order.tolist()),
    )
    worth = np.concatenate((worth, _worth(more, terms[rivals])))[order]
    sure = best_lines(worth, found.lines, marks)
    line = np.repeat(np.arange(len(hope)), glyphs)
    strong = np.bincount(line, read.evidence >= STRONG, len(hope))[rows[order]]
    proof = np.bincount(line, read.evidence, len(hope))[rows[order]]
    confidence = np.array([told[at].confidence for at in order.tolist()])
    proven = (proof >= PROVEN) & ((confidence >= SURE) | (proof >= WELL_PROVEN))
    varied = np.array([len(set(told[at].text)) > 1 for at in order.tolist()], dtype=np.bool_)
    telling = (strong >= STRONG_ENOUGH) | (varied & proven)
    fitting = fits(found, (telling, sure), marks, straight)
    worth = np.where(fitting, worth, -np.inf)
    return found.take(best_lines(worth, found.lines, marks))


def _worth(readings: tuple[Reading, ...], terms: Floats) -> Floats:
    return np.array([reading.score + kinds_joined(reading.text) for reading in readings]) + terms


def _rivals(read: ReadLines, hope: Floats, chosen: Integers, worth: Floats, marks: int) -> Integers:
    """Lines, other than the chosen ones, that hope for more than their glyphs are worth in the chosen ones.

    The worth of a chosen line is shared among its glyphs by their evidence.
    """
    setting, lines = read.setting, read.lines
    glyphs = np.diff(setting.glyph_first)
    line = np.repeat(np.arange(len(lines)), glyphs)
    proof = np.maximum(read.evidence, LEAST_PROOF)
    value = np.zeros(len(lines))
    value[chosen] = np.maximum(worth, 0.0) / np.bincount(line, proof, len(lines))[chosen]
    share = np.zeros(marks)
    np.maximum.at(share, lines.mark, (value[line] * proof)[setting.glyph])
    best = np.zeros(len(setting.glyph_box))
    np.maximum.at(best, setting.glyph, share[lines.mark])
    held = np.bincount(line, best, len(lines))
    rival = hope > np.maximum(held - _least(glyphs), 0.0)
    rival[chosen] = False
    return np.flatnonzero(rival)


def _least(glyphs: Integers) -> Floats:
    return np.where(glyphs == 1, LEAST_HOPE, LEAST_EACH * np.maximum(glyphs - 3, 0))
