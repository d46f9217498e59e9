"""The key beside the board: what the shapes mean, why the set is held, and one entry for each kind of fault."""

from collections.abc import Sequence
from dataclasses import dataclass

from labelcheck.judging import SEVERITIES, Severity
from labelcheck.review.grouping import FindingGroup
from labelcheck.review.picture.badges import BADGE_HEIGHT, badge_size, draw_badge
from labelcheck.review.picture.canvas import Canvas, Pixels
from labelcheck.review.picture.colours import GREY, INK, LOST, PAPER, RULE
from labelcheck.review.picture.lettering import Face, face, wrapped
from labelcheck.review.verdict import HEADINGS, spread_of
from labelcheck.review.wording import counted, in_unit, printable, some_of
from labelcheck.trade.units import Unit

KEY_WIDTH = 1040
_TEXT_PX, _SMALL_PX, _HEADING_PX = 27, 24, 30
_INDENT = 112
"""Where the words of an entry begin; its badge stands before."""
_GAP = 14
_MOST_LINES = 4
_NAMES_SHOWN = 5
_MOST_ENTRIES = 40
"""No sheet has room for more."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One kind of fault in the key."""

    number: str
    severity: Severity
    lines: tuple[str, ...]
    others: tuple[str, ...]
    """Who else has it, in smaller letters."""
    findings: int
    """How many findings it tells of."""

    @property
    def height(self) -> int:
        """In pixels, with the gap below."""
        words = len(self.lines) * face(_TEXT_PX).line_height + len(self.others) * face(_SMALL_PX).line_height
        return max(words, BADGE_HEIGHT) + _GAP


@dataclass(frozen=True, slots=True)
class Key:
    """Everything that the key may say about one side, more than there may be room for."""

    counts: tuple[int, ...]
    """Findings on this side, by severity."""
    notices: tuple[str, ...]
    """Sentences that have to be seen: why the set is held, what this side lacks."""
    entries: tuple[Entry, ...]


def key_of(groups: Sequence[FindingGroup], notices: Sequence[str], unit: Unit) -> Key:
    """The key for the groups of one side."""
    counts = tuple(
        sum(len(group.findings) for group in groups if group.severity is severity) for severity in SEVERITIES
    )
    return Key(counts, tuple(notices), tuple(_entry(group, unit) for group in groups[:_MOST_ENTRIES]))


def key_height(key: Key) -> int:
    """How many pixels all of the key takes."""
    return _head_height(key) + _entries_height(key)


def _entries_height(key: Key) -> int:
    return sum(entry.height for entry in key.entries)


def entries_that_fit(key: Key, height: int) -> int:
    """How many entries, worst first, there is room for, with the line that says how many are left out."""
    room = height - _head_height(key)
    if sum(key.counts) <= sum(entry.findings for entry in key.entries) and room >= _entries_height(key):
        return len(key.entries)
    room -= face(_TEXT_PX).line_height * 2
    count = 0
    for entry in key.entries:
        room -= entry.height
        if room < 0:
            break
        count += 1
    return count


def draw_key(canvas: Canvas, box: Pixels, key: Key) -> None:
    """Draw as much as there is room for, and say how many findings are left to the record."""
    left, top, right, bottom = box
    canvas.fill(box, PAPER)
    y = _draw_head(canvas, left, top, key)
    shown = entries_that_fit(key, bottom - top)
    for entry in key.entries[:shown]:
        _draw_entry(canvas, left, y, entry)
        y += entry.height
    beyond = sum(key.counts) - sum(entry.findings for entry in key.entries[:shown])
    if beyond:
        y += 6
        canvas.fill((left, y, right, y + 2), RULE)
        words = f"and {counted(beyond, 'more finding')} on this side, in record.json"
        canvas.write((left, y + 8), words, face(_TEXT_PX), (INK, PAPER), bold=True)


def _entry(group: FindingGroup, unit: Unit) -> Entry:
    worst = group.worst
    width = KEY_WIDTH - _INDENT
    lines = wrapped(printable(in_unit(worst.message, unit)), face(_TEXT_PX), width, _MOST_LINES)
    if worst.advice is not None:
        lines += wrapped(printable(in_unit(worst.advice, unit)), face(_TEXT_PX), width, _MOST_LINES)
    others: list[str] = []
    if worst.label is None:
        others = ["About the whole side: not marked on the board."]
    elif len(group.findings) > 1:
        spread = spread_of(group, unit)
        names = some_of(group.called()[1:], _NAMES_SHOWN, "others")
        words = f"The same on {len(group.findings) - 1} more: {names}" + (f" ({spread})" if spread else "")
        others = wrapped(printable(in_unit(words, unit)), face(_SMALL_PX), width, 2)
    return Entry(group.number, group.severity, tuple(lines), tuple(others), len(group.findings))


def _notice_lines(key: Key) -> list[list[str]]:
    return [wrapped(printable(notice), face(_TEXT_PX), KEY_WIDTH - 30, _MOST_LINES) for notice in key.notices]


def _head_height(key: Key) -> int:
    legend = 4 * (BADGE_HEIGHT + 8) + _GAP
    notices = sum(len(lines) * face(_TEXT_PX).line_height + 6 for lines in _notice_lines(key))
    return legend + notices + (2 * _GAP if key.notices else 0) + _GAP


def _draw_head(canvas: Canvas, left: int, top: int, key: Key) -> int:
    """What the shapes mean and how often each occurs here; then the notices; returns where the entries begin."""
    letters = face(_TEXT_PX)
    y = top
    for severity, count in zip(SEVERITIES, key.counts, strict=True):
        draw_badge(canvas, left + 3, y + 3, "  ", severity)
        words = f"{HEADINGS[severity]}: {counted(count, 'finding')} on this side"
        canvas.write((left + _INDENT, y + 6), words, letters, (INK, PAPER), bold=count > 0)
        y += BADGE_HEIGHT + 8
    canvas.fill((left + 3, y + 8, left + 3 + badge_size("  ")[0], y + BADGE_HEIGHT - 8), LOST)
    canvas.write((left + _INDENT, y + 4), "Ink that will not be there: over an opening, a hole, or off the board",
                 letters, (GREY, PAPER))
    y += BADGE_HEIGHT + 8 + _GAP
    if key.notices:
        y = _draw_notices(canvas, left, y, key, letters) + _GAP
    canvas.fill((left, y - 6, left + KEY_WIDTH, y - 4), RULE)
    return y + _GAP


def _draw_notices(canvas: Canvas, left: int, top: int, key: Key, letters: Face) -> int:
    y = top
    for lines in _notice_lines(key):
        canvas.fill((left + 3, y + 2, left + 11, y + len(lines) * letters.line_height - 2), INK)
        for line in lines:
            canvas.write((left + 30, y), line, letters, (INK, PAPER))
            y += letters.line_height
        y += 6
    return y + _GAP


def _draw_entry(canvas: Canvas, left: int, top: int, entry: Entry) -> None:
    draw_badge(canvas, left + 3, top + 1, entry.number, entry.severity)
    y = top
    for lines, letters, ink in ((entry.lines, face(_TEXT_PX), INK), (entry.others, face(_SMALL_PX), GREY)):
        for line in lines:
            canvas.write((left + _INDENT, y), line, letters, (ink, PAPER))
            y += letters.line_height
