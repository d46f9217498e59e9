"""Lays out one side's sheet: title, board with call-outs, key, enlarged labels, small print."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from io import BytesIO

from PIL import Image

from labelcheck.board.board import Board
from labelcheck.judging import Finding
from labelcheck.labels.label import Box, Label
from labelcheck.review.cautions import SHORT_CAUTION
from labelcheck.review.contents import Review
from labelcheck.review.grouping import FindingGroup, group_findings
from labelcheck.review.picture.badges import draw_verdict
from labelcheck.review.picture.board_view import SideParts, View, board_box, draw_view, parts_of
from labelcheck.review.picture.bodies import BODIES_TOLD, outline_bodies
from labelcheck.review.picture.callouts import Placement, callouts_of, draw_callouts, frame_pixels
from labelcheck.review.picture.canvas import Canvas, Pixels
from labelcheck.review.picture.colours import GREY, INK, PAPER, TABLE, materials_of
from labelcheck.review.picture.insets import (
    LEAST_TILE_WIDTH,
    TILE_HEIGHT,
    Inset,
    Looks,
    choose_insets,
    draw_inset,
    mirrored_on,
)
from labelcheck.review.picture.key import KEY_WIDTH, Key, draw_key, entries_that_fit, key_height, key_of
from labelcheck.review.picture.lettering import face, shortened, wrapped
from labelcheck.review.picture.palette import Indices, Palette, palette_of
from labelcheck.review.picture.prints import Press
from labelcheck.review.verdict import accepted_words, origin_of, tally
from labelcheck.review.wording import printable, some_of
from labelcheck.trade.remembering import remembered
from labelcheck.trade.sides import Side
from labelcheck.trade.units import MM_PER_INCH, Unit

Image.preinit()  # what it loads to write the first picture of a process, it loads now
MOST_PIXELS = 4000
"""No side of a picture is longer; a mail program shows it, and a person can still zoom in."""
_WANTED_PIXELS_PER_MM = 20.0
_LEAST_BOARD = 1300
"""The longer side of a small board is drawn at least this long, up to the scale below."""
_MOST_PIXELS_PER_MM = 120.0
_MARGIN = 120
"""Around the board, for badges that find no room on it."""
_EDGE = 40
_HEADER, _FOOTER = 172, 64
_GAP = 24
_MOST_BOARD_WIDTH = MOST_PIXELS - 3 * _EDGE - KEY_WIDTH - 2 * _MARGIN
_MOST_BOARD_HEIGHT = 2240
_LEAST_AREA_WIDTH = 2 * LEAST_TILE_WIDTH + _GAP
"""Two enlarged labels stand side by side below the smallest board."""
_TALLEST = 3000
"""A sheet grows so tall for its key, never for it alone beyond."""
_OFF_BOARD = 0.06
"""How far beyond the board, as a share of its size, ink with a finding is still shown."""
_MOST_NUMBERS = 90
"""Of findings that carry a number on the board; beyond, a frame has to do."""
_MOST_INSETS = 12
_NARROW_ROW = 4
_NAMES_SHOWN = 5


@dataclass(frozen=True, slots=True)
class _Plan:
    """Where things go, in pixels of the sheet."""

    view: View
    board: Pixels
    """The board in view."""
    area: Pixels
    """The board with the room around it for call-outs."""
    key: Pixels
    insets: tuple[Pixels, ...]
    width: int
    height: int


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """The marked-up picture of one side, and where on it things stand."""

    side: Side
    image: Image.Image
    area: Pixels
    """The board with the room around it for call-outs."""
    board: Pixels
    view: View
    """From millimetres to pixels of `board`."""
    insets: tuple[tuple[Pixels, Inset], ...]
    """The tiles of enlarged labels, worst first."""

    def place_of(self, box_mm: Box) -> tuple[float, float, float, float]:
        """A box of the board as left, top, right, bottom in pixels of the sheet."""
        left, top, right, bottom = self.view.box(box_mm)
        return left + self.board[0], top + self.board[1], right + self.board[0], bottom + self.board[1]


def draw_side(review: Review, board: Board, side: Side, unit: Unit = "mm") -> Image.Image:
    """The picture of `draw_sheet` alone."""
    return draw_sheet(review, board, side, unit).image


def _with_cures(inset: Inset, review: Review) -> Inset:
    """An inset with what is advised for its label, and for those that change together with it."""
    cure = review.cure_of(inset.label.id)
    others = () if cure is None else tuple(one for one in cure.together if one != cure.label)
    beside = [review.cure_of(other) for other in others]
    return replace(inset, cure=cure, beside=tuple(one for one in beside if one is not None))


def draw_sheet(review: Review, board: Board, side: Side, unit: Unit = "mm") -> Sheet:
    """The marked-up picture of one side, at most 4000 pixels wide and high, with a palette of 256 colours.

    The bottom is drawn as one sees it, from below. The same review and board give the same picture.
    """
    findings = [finding for finding in review.open_findings if finding.side is side]
    accepted = [finding for finding in review.accepted_findings if finding.side is side]
    labels = {state.label.id: state.label for state in review.labels}
    # Numbers, and what is told together, are those of the summary: the groups are made of all findings alike.
    every = group_findings(review.findings, labels)
    groups = [group for group in every if group.worst.side is side and not group.accepted]
    notices = [*_notices(review, board, side), *_accepted_notice(accepted, labels)]
    key = key_of(groups, notices, unit)
    insets = tuple(_with_cures(inset, review) for inset in choose_insets(groups, labels, _MOST_INSETS))
    plan = _plan(board, side, findings, key, insets)
    palette = palette_of(materials_of(board.appearance))
    canvas = Canvas(plan.width, plan.height, palette, PAPER)
    canvas.pixels = _draw_all_but_title(
        _Told(
            side, unit, plan, palette, parts_of(board, side), tuple(groups), tuple(accepted),
            tuple(label.box_mm for label in labels.values() if label.side is side), key, insets,
            _press(review, board.only(side), insets),
        )
    )  # fmt: skip
    _draw_title(canvas, review, side, plan)
    drawn = tuple(zip(plan.insets, insets, strict=False))
    return Sheet(side, canvas.image(), plan.area, plan.board, plan.view, drawn)


@dataclass(frozen=True, slots=True, eq=False)
class _Told:
    """All that a sheet shows but its title, which tells the time of the check."""

    side: Side
    unit: Unit
    plan: _Plan
    palette: Palette
    parts: SideParts
    groups: tuple[FindingGroup, ...]
    accepted: tuple[Finding, ...]
    label_boxes: tuple[Box, ...]
    key: Key
    insets: tuple[Inset, ...]
    press: Press | None


@remembered
def _draw_all_but_title(told: _Told) -> Indices:
    """The sheet without its title: where a change does not concern a side, it is not drawn again."""
    plan, parts = told.plan, told.parts
    canvas = Canvas(plan.width, plan.height, told.palette, PAPER)
    canvas.fill(plan.area, TABLE)
    canvas.place(draw_view(parts, plan.view, told.palette), plan.board[0], plan.board[1])
    outline_bodies(canvas, plan.board[:2], parts.bodies, plan.view)
    _draw_lack(canvas, parts, told.side, plan)
    shown = entries_that_fit(told.key, plan.key[3] - plan.key[1])
    _draw_accepted(canvas, told.accepted, plan)
    _draw_callouts(canvas, told.groups, shown, told.label_boxes, plan)
    _draw_scale(canvas, plan, told.unit, bool(parts.bodies))
    draw_key(canvas, plan.key, told.key)
    looks = Looks(told.unit, plan.view.pixels_per_mm, plan.view.mirrored, told.press)
    for tile, inset in zip(plan.insets, told.insets, strict=False):
        draw_inset(canvas, tile, inset, parts, looks)
    _draw_small_print(canvas, plan)
    return canvas.pixels


def _press(review: Review, board: Board, insets: Sequence[Inset]) -> Press | None:
    """What prints the labels of insets again; None for a review that does not say what it was judged by."""
    if review.judged_by is None:
        return None
    enlarged = {inset.label.id for inset in insets}
    states = [state for state in review.labels if state.label.id in enlarged]
    printed = {state.label.id: state.printed for state in states}
    assembled = {state.label.id: state.reads_as_assembled for state in states}
    return Press(board, review.judged_by, printed, materials_of(board.appearance).ink, assembled)


def png_of(picture: Image.Image) -> bytes:
    """The picture as PNG, packed quickly rather than tightly."""
    buffer = BytesIO()
    picture.save(buffer, "PNG", compress_level=2)
    return buffer.getvalue()


def _notices(review: Review, board: Board, side: Side) -> list[str]:
    """What this side lacks, and why the whole set is held."""
    on_side = board.on(side)
    lacking = [
        (on_side.legend is None, f"No legend was read on the {side}: nothing on this side was checked."),
        (on_side.openings is None, f"The mask openings of the {side} are not known."),
        (board.outline is None, "The outline of the board is not known."),
        (board.holes is None, "No drill file was read: holes are not known."),
    ]
    return [sentence for lacks, sentence in lacking if lacks] + [f"On hold: {reason}" for reason in review.holding]


def _accepted_notice(accepted: Sequence[Finding], labels: Mapping[str, Label]) -> list[str]:
    """What was accepted on this side, in one sentence; nothing where nothing was."""
    if not accepted:
        return []
    found = [None if finding.label is None else labels.get(finding.label) for finding in accepted]
    names = dict.fromkeys("the side as a whole" if label is None else label.called() for label in found)
    named = some_of(list(names), _NAMES_SHOWN, "others")
    return [f"{accepted_words(accepted)} (thin grey frames, not counted): {named}."]


def _plan(board: Board, side: Side, findings: Sequence[Finding], key: Key, insets: Sequence[Inset]) -> _Plan:
    """Choose the scale and where everything goes."""
    box = _seen_box(board, findings)
    width_mm, height_mm = max(box[2] - box[0], 1e-3), max(box[3] - box[1], 1e-3)
    wanted = max(_WANTED_PIXELS_PER_MM, _LEAST_BOARD / max(width_mm, height_mm))
    scale = min(wanted, _MOST_PIXELS_PER_MM, _MOST_BOARD_WIDTH / width_mm, _MOST_BOARD_HEIGHT / height_mm)
    view = View(box, scale, mirrored_on(side))
    area_width = max(view.width + 2 * _MARGIN, _LEAST_AREA_WIDTH)
    area_height = view.height + 2 * _MARGIN
    area = (_EDGE, _HEADER, _EDGE + area_width, _HEADER + area_height)
    board_left, board_top = area[0] + (area_width - view.width) // 2, area[1] + _MARGIN
    places = _inset_places(area, len(insets), min(_HEADER + key_height(key), _TALLEST))
    left_bottom = places[-1][3] if places else area[3]
    bottom = max(left_bottom, min(_HEADER + key_height(key), _TALLEST))
    return _Plan(
        view=view,
        board=(board_left, board_top, board_left + view.width, board_top + view.height),
        area=area,
        key=(area[2] + _EDGE, _HEADER, area[2] + _EDGE + KEY_WIDTH, bottom),
        insets=places,
        width=area[2] + _EDGE + KEY_WIDTH + _EDGE,
        height=bottom + _FOOTER,
    )


def _inset_places(area: Pixels, count: int, key_bottom: int) -> tuple[Pixels, ...]:
    """Tiles for enlarged labels below the board: one row, two below a narrow board, more beside a key."""
    in_a_row = (area[2] - area[0] + _GAP) // (LEAST_TILE_WIDTH + _GAP)
    beside_key = (key_bottom - area[3]) // (TILE_HEIGHT + _GAP)
    in_sheet = (MOST_PIXELS - _FOOTER - area[3]) // (TILE_HEIGHT + _GAP)
    rows = min(max(beside_key, 2 if in_a_row < _NARROW_ROW else 1), in_sheet)
    pitch = (area[2] - area[0] + _GAP) // in_a_row
    tiles = []
    for place in range(min(count, rows * in_a_row)):
        left = area[0] + place % in_a_row * pitch
        top = area[3] + _GAP + place // in_a_row * (TILE_HEIGHT + _GAP)
        tiles.append((left, top, left + pitch - _GAP, top + TILE_HEIGHT))
    return tuple(tiles)


def _seen_box(board: Board, findings: Sequence[Finding]) -> tuple[float, float, float, float]:
    """The board, and a little around it where findings lie there."""
    x0, y0, x1, y1 = board_box(board)
    reach = _OFF_BOARD * max(x1 - x0, y1 - y0)
    boxes = [finding.box_mm for finding in findings if all(map(math.isfinite, finding.box_mm))]
    return (
        max(min([x0, *(box[0] for box in boxes)]), x0 - reach),
        max(min([y0, *(box[1] for box in boxes)]), y0 - reach),
        min(max([x1, *(box[2] for box in boxes)]), x1 + reach),
        min(max([y1, *(box[3] for box in boxes)]), y1 + reach),
    )


def _draw_title(canvas: Canvas, review: Review, side: Side, plan: _Plan) -> None:
    used = draw_verdict(canvas, _EDGE + 3, 34, review.verdict)
    left = _EDGE + used + 40
    room = plan.width - _EDGE - left
    seen = "top side" if side is Side.TOP else "bottom side, seen from below"
    title, plain = face(46), face(28)
    name = shortened(printable(review.set_name), title, room - title.width(f" · {seen}"))
    canvas.write((left, 18), f"{name} · {seen}", title, (INK, PAPER), bold=True)
    lacking = " Not everything could be checked." if review.holding else ""
    sentence = f"{tally(review.findings, len(review.labels))}.{lacking}"
    canvas.write((left, 80), shortened(sentence, plain, room), plain, (INK, PAPER))
    canvas.write((left, 118), shortened(printable(origin_of(review)), plain, room), plain, (GREY, PAPER))


def _draw_lack(canvas: Canvas, parts: SideParts, side: Side, plan: _Plan) -> None:
    """Words across a side without legend, so that an empty picture does not look like a clean board."""
    if parts.legend is not None and len(parts.legend.shapes):
        return
    problem = "No legend was read" if parts.legend is None else "The legend is empty"
    letters = face(40)
    words = f"{problem} on the {side}"
    width = letters.width(words)
    left, top = (plan.area[0] + plan.area[2] - width) // 2, (plan.area[1] + plan.area[3]) // 2 - 30
    canvas.fill((left - 30, top - 14, left + width + 30, top + 64), PAPER)
    canvas.frame((left - 30, top - 14, left + width + 30, top + 64), 3, INK)
    canvas.write((left, top), words, letters, (INK, PAPER), bold=True)


def _draw_callouts(
    canvas: Canvas, groups: Sequence[FindingGroup], shown: int, label_boxes: Sequence[Box], plan: _Plan
) -> None:
    """A frame for every finding, and numbers for the groups that the key has room for."""
    left, top, right, bottom = plan.area
    placement = Placement(plan.board[0], plan.board[1], plan.view, (left + 6, top + 6, right - 6, bottom - 6))
    callouts = callouts_of(groups, groups[:shown], _MOST_NUMBERS, placement)
    draw_callouts(canvas, callouts, label_boxes, placement)


def _draw_accepted(canvas: Canvas, accepted: Sequence[Finding], plan: _Plan) -> None:
    """A thin frame without a number around what was accepted."""
    placement = Placement(plan.board[0], plan.board[1], plan.view, plan.area)
    for finding in accepted:
        if finding.label is not None and placement.holds(finding.box_mm):
            left, top, right, bottom = frame_pixels(placement.box(finding.box_mm))
            canvas.frame((left, top, right, bottom), 3, PAPER)
            canvas.frame((left + 1, top + 1, right - 1, bottom - 1), 1, GREY)


def _draw_scale(canvas: Canvas, plan: _Plan, unit: Unit, with_bodies: bool) -> None:
    """A scale bar of a round length in the lower left corner of the area, and what the thin outlines are."""
    per_unit = plan.view.pixels_per_mm * (1.0 if unit == "mm" else MM_PER_INCH)
    fitting = [length for length in (0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100) if length * per_unit <= 320]
    length = fitting[-1] if fitting else 0.05
    pixels = round(length * per_unit)
    left, bottom = plan.area[0] + 24, plan.area[3] - 22
    letters = face(26)
    words = f"{length:g} {'mm' if unit == 'mm' else 'in'}"
    canvas.fill((left, bottom - 8, left + pixels, bottom), INK)
    canvas.fill((left + pixels // 2, bottom - 6, left + pixels - 2, bottom - 2), PAPER)
    used = canvas.write((left + pixels + 12, bottom - 22), words, letters, (INK, TABLE))
    if with_bodies:
        told = shortened(BODIES_TOLD, face(22), plan.area[2] - left - pixels - used - 60)
        canvas.write((left + pixels + used + 48, bottom - 18), told, face(22), (INK, TABLE))


def _draw_small_print(canvas: Canvas, plan: _Plan) -> None:
    letters = face(22)
    lines = wrapped(SHORT_CAUTION, letters, plan.width - 2 * _EDGE, 2)
    top = plan.height - _FOOTER + (_FOOTER - len(lines) * letters.line_height) // 2 - 4
    for number, line in enumerate(lines):
        canvas.write((_EDGE, top + number * letters.line_height), line, letters, (GREY, PAPER))
