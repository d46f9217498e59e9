"""Both states of a board side by side: each side as a whole with numbers, then every changed place enlarged."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from PIL import Image

from labelcheck.board.board import Board
from labelcheck.judging import SEVERITIES, Severity
from labelcheck.labels.label import Box
from labelcheck.review.changes import Changes, Fault
from labelcheck.review.comparison import got_worse, headline, label_changes, no_longer_accepted
from labelcheck.review.picture.badges import badge_size, draw_badge
from labelcheck.review.picture.board_view import SideParts, View, board_box, draw_view, parts_of
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import GREY, INK, PAPER, RELEASED, SEVERITY_STYLES, TABLE, Colour, materials_of
from labelcheck.review.picture.insets import mirrored_on
from labelcheck.review.picture.lettering import face, shortened, wrapped
from labelcheck.review.picture.palette import palette_of
from labelcheck.review.seen import LabelSeen
from labelcheck.review.wording import in_unit, listed, printable
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.units import Unit

MOST_PLACES = 12
"""Enlarged places; what is beyond carries a frame on the whole board only."""
_EDGE, _GAP, _TITLE = 40, 24, 120
_HALF = 960
"""Width in pixels of one board, and of one card."""
_TALLEST_BOARD = 640
_TILE = (_HALF - _GAP) // 2, 300
_CARD_TEXT = 66
_CARD = _CARD_TEXT + _TILE[1] + 34
_LEAST_WINDOW_MM, _MOST_WINDOW_MM = 6.0, 40.0
_ROOM = 1.8
"""How much more than what changed a window shows."""
_FAR = 0.6
"""Places that lie farther apart than this share of a window are shown each in the middle of its own."""
_MOST_PIXELS_PER_MM = 120.0
_NUMBERED = 60

_Pixels = tuple[int, int, int, int]
"""Left, top, right, bottom."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where something changed; a box is None where the thing is not there."""

    said: str
    side: Side
    severity: Severity
    """What it looks like: a new fault as it is, everything else as a note."""
    old_box: Box | None
    new_box: Box | None
    fixed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """One of the two boards: a word for it, its sides, its box, and how far it lies from the new one."""

    word: str
    parts: dict[Side, SideParts]
    box: Box
    shift: tuple[float, float]


def changed_places(changes: Changes) -> tuple[Place, ...]:
    """Every changed place once, what got worse first: faults, then labels that no fault has told of."""
    told: set[str] = set()
    places = []
    for place, label in _fault_places(changes):
        if label is None or label.id not in told:
            places.append(place)
        if label is not None:
            told.update(label.ids)
    for change in label_changes(changes.labels):
        if told.isdisjoint(change.pair.new.ids):
            words = f"{change.pair.new.called()} {listed(change.how)}"
            # A label that went to the other side is shown where it is now.
            same = change.pair.old.side == change.pair.new.side
            old_box = change.pair.old.box_mm if same else None
            places.append(_note(words, change.pair.new.side, old_box, change.pair.new.box_mm))
    places += [_note(f"New label {one.called()}", one.side, None, one.box_mm) for one in changes.labels.added
               if one.id not in told]
    places += [_note(f"{one.called()} is gone", one.side, one.box_mm, None) for one in changes.labels.removed]
    return tuple(places)


def draw_comparison(
    boards: tuple[Board, Board], names: tuple[str, str], changes: Changes, unit: Unit = "mm"
) -> Image.Image:
    """The whole picture: old on the left, new on the right."""
    places = changed_places(changes)
    sides = [side for side in OUTER_SIDES if any(place.side is side for place in places)] or [Side.TOP]
    states = tuple(
        _State(word, {side: parts_of(board, side) for side in OUTER_SIDES}, board_box(board), shift)
        for word, board, shift in zip(("before", "now"), boards, (changes.labels.shift_mm, (0.0, 0.0)), strict=True)
    )
    heights = [_board_height(states) for _ in sides]
    cards = places[:MOST_PLACES]
    top_of_cards = _TITLE + sum(height + 60 for height in heights)
    rows = math.ceil(len(cards) / 2)
    canvas = Canvas(
        2 * _EDGE + 2 * _HALF + _GAP, top_of_cards + rows * (_CARD + _GAP) + 30,
        palette_of(materials_of(boards[1].appearance)), PAPER,
    )
    _draw_title(canvas, names, headline(changes), (len(places), len(cards)))
    top = _TITLE
    for side, height in zip(sides, heights, strict=True):
        _draw_whole(canvas, top, height, states, side, places)
        top += height + 60
    for number, place in enumerate(cards):
        corner = (_EDGE + number % 2 * (_HALF + _GAP), top_of_cards + number // 2 * (_CARD + _GAP))
        _draw_card(canvas, corner, number + 1, place, places, states, unit)
    return canvas.image()


def _fault_places(changes: Changes) -> Iterator[tuple[Place, LabelSeen | None]]:
    before = {id_: pair.old for pair in changes.labels.pairs for id_ in pair.new.ids}
    for fault in changes.new:
        # The label may have stood elsewhere before: both of its places are shown.
        old = None if fault.label is None else before.get(fault.label.id)
        place = _fault_place("New", fault, _severity(fault))
        here = old is not None and fault.label is not None and old.side == fault.label.side
        yield (replace(place, old_box=old.box_mm) if here and old is not None else place), fault.label
    for one in changes.still:
        if got_worse(one) or no_longer_accepted(one):
            word = "Got worse" if got_worse(one) else "No longer accepted"
            yield _fault_place(word, one.new, _severity(one.new)), one.new.label
    moved = {id_: pair.new for pair in changes.labels.pairs for id_ in pair.old.ids}
    for fault in changes.fixed:
        label = None if fault.label is None else moved.get(fault.label.id)
        if fault.label is not None and label is not None:
            said = f"Fixed: {fault.finding.message}"
            yield (
                Place(said, Side(label.side), Severity.NOTE, fault.label.box_mm, label.box_mm, fixed=True), label
            )


def _fault_place(word: str, fault: Fault, severity: Severity) -> Place:
    x, y = fault.finding.at_mm
    box = fault.label.box_mm if fault.label is not None else (x - 1.0, y - 1.0, x + 1.0, y + 1.0)
    return Place(f"{word}: {fault.finding.message}", Side(fault.finding.side), severity, None, box)


def _note(said: str, side: str, old_box: Box | None, new_box: Box | None) -> Place:
    return Place(said[0].upper() + said[1:], Side(side), Severity.NOTE, old_box, new_box)


def _severity(fault: Fault) -> Severity:
    known = [severity for severity in SEVERITIES if str(severity) == fault.finding.severity]
    return known[0] if known else Severity.NOTE


def _draw_title(canvas: Canvas, names: tuple[str, str], said: str, counts: tuple[int, int]) -> None:
    """Whether it got worse, then how many places changed and how many of them are enlarged."""
    large, plain = face(40), face(28)
    width = canvas.width - 2 * _EDGE
    canvas.write((_EDGE, 16), shortened(said, large, width - 40), large, (INK, PAPER), bold=True)
    count, shown = counts
    words = "One changed place" if count == 1 else f"{count} changed places" if count else "Nothing changed"
    more = f"; the first {shown} are enlarged below" if count > shown else ""
    said = f"{words}{more}. Left: {printable(names[0])}. Right: {printable(names[1])}."
    canvas.write((_EDGE, 72), shortened(said, plain, width), plain, (INK, PAPER))


def _board_height(states: Sequence[_State]) -> int:
    """Pixels of the taller board when both are drawn at one scale."""
    scale = _scale(states)
    return max(math.ceil((state.box[3] - state.box[1]) * scale) for state in states) + 16


def _scale(states: Sequence[_State]) -> float:
    """Pixels a millimetre at which both boards fit into their halves."""
    width = max(max(state.box[2] - state.box[0], 1e-3) for state in states)
    height = max(max(state.box[3] - state.box[1], 1e-3) for state in states)
    return min((_HALF - 16) / width, (_TALLEST_BOARD - 16) / height, _MOST_PIXELS_PER_MM)


def _draw_whole(
    canvas: Canvas, top: int, height: int, states: Sequence[_State], side: Side, places: Sequence[Place]
) -> None:
    """Both states of one side with a frame and a number at every changed place."""
    letters = face(26)
    scale = _scale(states)
    for column, state in enumerate(states):
        left = _EDGE + column * (_HALF + _GAP)
        seen = "top" if side is Side.TOP else "bottom, seen from below"
        canvas.write((left, top), f"{state.word}: {seen}", letters, (GREY, PAPER))
        area = (left, top + 38, left + _HALF, top + 38 + height)
        canvas.fill(area, TABLE)
        view = View(state.box, scale, mirrored_on(side))
        at = (left + (_HALF - view.width) // 2, top + 38 + (height - view.height) // 2)
        canvas.place(draw_view(state.parts[side], view, canvas.palette), *at)
        frames = []
        for number, place in reversed(list(enumerate(places[:_NUMBERED], start=1))):
            box = place.old_box if column == 0 else place.new_box
            if place.side is side and box is not None:
                frames.append((number, place, _frame(canvas, at, view, box, _colour(place), area)))
        taken: list[_Pixels] = [frame for _, _, frame in frames]
        for number, place, frame in reversed(frames):
            if number <= MOST_PLACES:
                spot = _free_spot(badge_size(str(number)), frame, area, taken)
                draw_badge(canvas, *spot[:2], str(number), place.severity)
                taken.append(spot)


def _free_spot(size: tuple[int, int], frame: _Pixels, area: _Pixels, taken: Sequence[_Pixels]) -> _Pixels:
    """Where a number stands beside what it is about: above it if nothing is there, else where it covers least."""
    width, height = size
    rights, lows = (frame[0], frame[2] - width), (frame[1] - height - 4, frame[3] + 4)
    level = (frame[1] + frame[3] - height) // 2
    corners = [
        (rights[0], lows[0]), (rights[1], lows[0]), (rights[0], lows[1]), (rights[1], lows[1]),
        (frame[2] + 4, level), (frame[0] - width - 4, level),
        (frame[2] + 4, lows[0]), (frame[0] - width - 4, lows[0]), (frame[2] + 4, lows[1]),
        (frame[0] - width - 4, lows[1]),
    ]
    spots = []
    for x, y in corners:
        left = min(max(x, area[0] + 4), area[2] - width - 4)
        top = min(max(y, area[1] + 4), area[3] - height - 4)
        spots.append((left, top, left + width, top + height))
    return min(spots, key=lambda spot: sum(_common(spot, other) for other in taken))


def _common(one: _Pixels, other: _Pixels) -> int:
    """Pixels that two rectangles share."""
    width, height = min(one[2], other[2]) - max(one[0], other[0]), min(one[3], other[3]) - max(one[1], other[1])
    return max(width, 0) * max(height, 0)


def _draw_card(
    canvas: Canvas, corner: tuple[int, int], number: int, place: Place, places: Sequence[Place],
    states: Sequence[_State], unit: Unit,
) -> None:
    """One place in words, and beneath it both states of the same window."""
    left, top = corner
    letters = face(24)
    width, _ = badge_size(str(number))
    draw_badge(canvas, left + 3, top + 6, str(number), place.severity)
    said = printable(in_unit(place.said, unit))
    for row, line in enumerate(wrapped(said, letters, _HALF - width - 20, 2)):
        canvas.write((left + width + 16, top + row * letters.line_height), line, letters, (INK, PAPER))
    for column, (state, window) in enumerate(zip(states, _windows(place, states[0].shift), strict=True)):
        scale = min(_TILE[0] / (window[2] - window[0]), _MOST_PIXELS_PER_MM)
        view = View(window, scale, mirrored_on(place.side), fine=True)
        at = (left + column * (_TILE[0] + _GAP), top + _CARD_TEXT)
        area = (*at, at[0] + _TILE[0], at[1] + _TILE[1])
        canvas.place(draw_view(state.parts[place.side], view, canvas.palette), *at)
        for other in places:
            box = other.old_box if column == 0 else other.new_box
            if other.side is place.side and box is not None and _meets(box, window):
                _frame(canvas, at, view, box, _colour(other), area)
        canvas.write((at[0], area[3] + 2), state.word, face(22), (GREY, PAPER))


def _windows(place: Place, shift: tuple[float, float]) -> tuple[Box, Box]:
    """What is shown of the old and of the new board: the same part of it, else each the middle of its own."""
    x, y = shift
    old = None if place.old_box is None else _by(place.old_box, shift)
    new = place.new_box if place.new_box is not None else old
    assert new is not None  # a place is where something was or is
    old = new if old is None else old
    width = max((box[2] - box[0]) * _ROOM for box in (old, new))
    height = max((box[3] - box[1]) * _ROOM for box in (old, new))
    wide = min(max(width, height * _TILE[0] / _TILE[1], _LEAST_WINDOW_MM), _MOST_WINDOW_MM)
    tall = wide * _TILE[1] / _TILE[0]
    between = _middle((min(old[0], new[0]), min(old[1], new[1]), max(old[2], new[2]), max(old[3], new[3])))
    apart = math.dist(_middle(old), _middle(new)) > _FAR * tall
    before, now = (_middle(old), _middle(new)) if apart else (between, between)
    around = [(cx - wide / 2, cy - tall / 2, cx + wide / 2, cy + tall / 2) for cx, cy in (before, now)]
    return _by(around[0], (-x, -y)), around[1]


def _frame(
    canvas: Canvas, at: tuple[int, int], view: View, box: Box, colour: Colour, area: tuple[int, int, int, int]
) -> tuple[int, int, int, int]:
    """A frame around a box of the board, no farther than the area it is drawn on; where it was drawn."""
    left, top, right, bottom = (round(edge) for edge in view.box(box))
    frame = (
        max(at[0] + left - 6, area[0] + 4), max(at[1] + top - 6, area[1] + 4),
        min(at[0] + right + 6, area[2] - 4), min(at[1] + bottom + 6, area[3] - 4),
    )
    if frame[0] < frame[2] and frame[1] < frame[3]:
        for grown, thickness, ink in ((2, 7, PAPER), (0, 3, colour)):
            canvas.frame((frame[0] - grown, frame[1] - grown, frame[2] + grown, frame[3] + grown), thickness, ink)
    return frame


def _colour(place: Place) -> Colour:
    return RELEASED if place.fixed else SEVERITY_STYLES[place.severity].edge


def _by(box: Box, shift: tuple[float, float]) -> Box:
    return box[0] + shift[0], box[1] + shift[1], box[2] + shift[0], box[3] + shift[1]


def _middle(box: Box) -> tuple[float, float]:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def _meets(box: Box, window: Box) -> bool:
    return box[0] < window[2] and box[2] > window[0] and box[1] < window[3] and box[3] > window[1]
