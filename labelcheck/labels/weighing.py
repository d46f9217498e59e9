"""What a line is worth as a label: what its glyphs read as, and how it is set.

Worth is a sum of natural logarithms: the reader's score of the text; for every join whether the file's order and
the gap speak for one label; how well it stands on one base line; and what marks say that are left out among its
glyphs or at its ends.
"""

import re

import numpy as np

from labelcheck.labels.directions import Frame
from labelcheck.labels.lines import Lines, Links, cut_short, passed_over
from labelcheck.labels.marks import Marks
from labelcheck.labels.reading.grammar import kind_of
from labelcheck.labels.recognising import ReadLines
from labelcheck.labels.setting import Setting
from labelcheck.trade.shapes import Flags, Floats, Integers

CONSECUTIVE = 4
"""Glyphs of one text follow one another within this many objects of the file."""
ORDER_KNOWN = 0.9
"""Where so many close neighbours follow one another in the file, its order is a witness."""
OUT_OF_ORDER = -4.0
"""For glyphs that stand together but not in the file."""
WORDS_OUT_OF_ORDER = -5.0
WORD_JOIN, WORD_JOIN_SLOPE, WORD_JOIN_GAP = 2.5, 8.0, 1.1
"""Worth of joining words at a gap of this many heights, and how much less a height more of gap makes it."""
REFERENCES_JOINED, CHAINED, REFERENCE_AND_WORD = -5.0, -8.0, -1.0
"""References side by side are a label each, and so are numbers of pins."""
BACKWARDS, FROM_BEHIND = -2.5, -1.0
"""For glyphs that follow one another in the file the other way than on the rest of the side; and from their end to
their beginning where no side tells which way is usual."""
ONE_WAY, CLEARLY = 0.9, 6.0
"""Lines whose evidence tells one way up from the other by so much agree in this share on the way of the file."""
IN_ORDER = 2.0
"""For glyphs side by side that follow one another in the file."""
TIGHT_GAP = 0.35
"""Neighbours within this gap in heights tell whether the file has an order."""
PIN_PITCH_MM = 2.54
PITCH_SLACK_MM = 0.07
PIN_NAME = 3
"""Short words at the pitch of pins are the names of pins, a label each."""
PINS_JOINED = -5.0
UNEVEN = 40.0
"""For each glyph, in heights by which glyphs miss the base line: a frame turned a little wrong reads as well."""
DRIFT = 10.0
"""For base and top that climb or fall together by a height: lower case after capitals does, by a third of it."""
RAISED, RAISED_GLYPH = 0.2, -7.0
"""For each glyph that stands so many heights above the rest at its base and at its top: it is of another line."""
TAKEN_APART = 0.3
"""For each mark that was taken out of another one: the whole is likelier."""
UPRIGHT, UNUSUAL = (0.0, 0.1, 0.3, 0.2), 0.5
"""Text is upright, or read from the right, rather than otherwise: for signs that look the same either way."""
LABEL = 2.0
"""Two labels are less likely than one that explains the same marks."""
SPLIT_OFF, COMPANY, CLOSE_COMPANY = 4.0, 0.75, 0.3
"""For a single character that has another one of its height and pen within this gap in heights, or any within the
lesser gap that follows it in the file."""
CUT_SHORT = -5.0
"""For each mark beyond the ends of a line that stands as close and alike as the glyphs within."""
LONE_LETTER = -1.0
"""For a letter or digit alone, which is as often the rest of a label; signs stand alone."""
CHAIN = re.compile(r"([A-Z]{1,2})[1-9]\d{0,3}(?:\1[1-9]\d{0,3})+")
CHAIN_LINK = re.compile(r"[A-Z]{1,2}[1-9]\d{0,3}")
"""References of one class that stand close enough to be read as one word."""
PASSED_OVER = -6.0
"""For each mark of the line's pen that stands among its glyphs without being one."""


def promise(read: ReadLines, marks: Marks, astray: Floats) -> tuple[Floats, Floats]:
    """What each line may be worth by the evidence of its glyphs, -inf where it is no line; and what of that is not.

    `astray` (n,) is what marks left out take from each line, see `left_out`.
    """
    setting, lines = read.setting, read.lines
    count = len(lines)
    glyphs = np.diff(setting.glyph_first)
    line = np.repeat(np.arange(count), glyphs)
    evidence = np.bincount(line, read.evidence, count).astype(np.float64)
    terms = _joins(read, marks, line, evidence) + astray - np.where(glyphs > 1, LABEL, 0.0)
    terms += RAISED_GLYPH * _raised(setting, line, count)
    terms -= UNEVEN * setting.uneven * glyphs + DRIFT * setting.drift + _unusual(read.turned_deg)
    parts = np.bincount(np.repeat(np.arange(count), np.diff(lines.first)), marks.parent[lines.mark] >= 0, count)
    terms -= TAKEN_APART * parts
    return np.where(setting.collides, -np.inf, evidence + terms), terms


def _raised(setting: Setting, line: Integers, count: int) -> Floats:
    """How many glyphs of each line, as high as its capitals, stand as a whole above the others."""
    base, height, box = setting.base[line], setting.height[line], setting.glyph_box
    raised = (box[:, 1] - base > RAISED * height) & (box[:, 3] - base > (1 + RAISED) * height)
    return np.bincount(line, raised, count).astype(np.float64)


def left_out(lines: Lines, frames: list[Frame], links: list[Links], marks: Marks) -> Floats:
    """What marks among the glyphs of each line and at its ends, but no part of it, take from its worth."""
    taken = PASSED_OVER * passed_over(lines, frames, marks) + CUT_SHORT * cut_short(lines, frames, links, marks)
    sociable = np.zeros(len(marks), dtype=np.bool_)
    for frame, link in zip(frames, links, strict=True):
        close = link.gap <= np.where(link.kind == 0, COMPANY, np.where(link.consecutive, CLOSE_COMPANY, -1.0))
        sociable[frame.mark[link.first[close]]] = True
        sociable[frame.mark[link.second[close & (link.kind == 0)]]] = True
    single = (np.diff(lines.first) == 1) & sociable[lines.mark[lines.first[:-1]]]
    return taken - np.where(single, SPLIT_OFF, 0.0)


def _joins(read: ReadLines, marks: Marks, line: Integers, evidence: Floats) -> Floats:
    """What the joins of each line add: order in the file, and gaps between words."""
    setting, lines = read.setting, read.lines
    start, end = marks.member[marks.first[:-1]], marks.member[marks.first[1:] - 1]
    glyphs = len(setting.glyph_box)
    first, last = np.full(glyphs, np.iinfo(np.int64).max), np.zeros(glyphs, dtype=np.int64)
    np.minimum.at(first, setting.glyph, start[lines.mark])
    np.maximum.at(last, setting.glyph, end[lines.mark])
    inner = np.flatnonzero(~np.isnan(setting.gap))
    apart = np.maximum(first[inner] - last[inner - 1], first[inner - 1] - last[inner])
    following = apart <= CONSECUTIVE
    gap = setting.gap[inner] / setting.height[line[inner]]
    tight = gap < TIGHT_GAP
    known = tight.any() and following[tight].mean() >= ORDER_KNOWN
    spaced = setting.spaced[inner]
    joined = WORD_JOIN - WORD_JOIN_SLOPE * (np.maximum(gap, WORD_JOIN_GAP) - WORD_JOIN_GAP)
    value = np.where(spaced, np.where(_at_pin_pitch(setting)[inner], PINS_JOINED, joined), 0.0)
    if known:
        value = np.where(following, value, np.where(spaced, WORDS_OUT_OF_ORDER, OUT_OF_ORDER))
        value += np.where(following & ~spaced, IN_ORDER, 0.0)
        ahead = np.where(following, np.sign(first[inner] - first[inner - 1]), 0.0)
        way = _usual_way(np.bincount(line[inner], ahead, len(lines)).astype(np.float64), evidence)
        value += np.where(ahead == -way, BACKWARDS, 0.0) if way else np.where(ahead == -1, FROM_BEHIND, 0.0)
    return np.asarray(np.bincount(line[inner], value, len(lines)), dtype=np.float64)


def _usual_way(ahead: Floats, evidence: Floats) -> int:
    """Whether text runs with the file (1), against it (-1), or either way (0), told by lines that read one way only.

    `ahead` (n,) joins of each line that run with the file less those against it; turned-over lines come second.
    """
    half = len(ahead) // 2
    clearer = evidence[:half] - evidence[half:]
    votes = np.where(np.abs(clearer) >= CLEARLY, np.sign(clearer) * ahead[:half], 0.0)
    cast = np.abs(votes).sum()
    share = votes.sum() / cast if cast > 0 else 0.0
    return int(np.sign(share)) if abs(share) >= 2 * ONE_WAY - 1 else 0


def _at_pin_pitch(setting: Setting) -> Flags:
    """Glyphs that start a short word whose middle lies at the pitch of pins from that of the short word before it."""
    starts = np.flatnonzero(setting.spaced | np.isnan(setting.gap))
    size = np.diff(np.append(starts, len(setting.gap)))
    box = setting.glyph_box
    middle = (box[starts, 0] + box[starts + size - 1, 2]) / 2
    pitch = np.abs(np.diff(middle) - PIN_PITCH_MM) <= PITCH_SLACK_MM
    short = (size[1:] <= PIN_NAME) & (size[:-1] <= PIN_NAME)
    found = np.zeros(len(setting.gap), dtype=np.bool_)
    found[starts[1:][pitch & short]] = True
    return found & setting.spaced


def kinds_joined(text: str) -> float:
    """What it costs to hold several references, or several numbers, in one label; or a single letter or digit."""
    if len(text) == 1:
        return LONE_LETTER if text.isalnum() else 0.0
    words = text.split(" ")
    references = sum(kind_of(word) == "reference" for word in words)
    numbers = sum(word.isdigit() for word in words)
    chained = sum(len(CHAIN_LINK.findall(word)) - 1 for word in words if CHAIN.fullmatch(word))
    joined = REFERENCES_JOINED * (max(references - 1, 0) + max(numbers - 1, 0)) + CHAINED * chained
    return joined + (REFERENCE_AND_WORD if 0 < references < len(words) else 0.0)


def _unusual(turned_deg: Floats) -> Floats:
    """What the direction of each line takes from its worth."""
    quarter = np.round(turned_deg / 90.0).astype(np.int64) % 4
    off_axis = np.abs((turned_deg + 45.0) % 90.0 - 45.0) > 0.1
    return np.where(off_axis, UNUSUAL, np.array(UPRIGHT)[quarter])
