"""Enlarged windows of the worst labels, drawn anew from their shapes, with what was measured and what is asked."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from labelcheck.cures.cure import Cure
from labelcheck.judging import Finding
from labelcheck.labels.label import Box, Label
from labelcheck.review.grouping import FindingGroup
from labelcheck.review.picture.assembled import (
    draw_mounted,
    draw_profile,
    name_mounted,
    profile_of,
    write_strips,
)
from labelcheck.review.picture.badges import badge_size, draw_badge
from labelcheck.review.picture.board_view import SideParts, View, draw_view
from labelcheck.review.picture.bodies import cover_with_bodies, fill_bodies
from labelcheck.review.picture.canvas import Canvas, Pixels
from labelcheck.review.picture.colours import GREY, INK, PAPER, RULE, SEVERITY_STYLES
from labelcheck.review.picture.ghosts import box_with_ghost, draw_ghost, ghost_of, ghost_told
from labelcheck.review.picture.lettering import face, shortened, wrapped
from labelcheck.review.picture.prints import Press, draw_pair, name_pair, places_of_pair, sizes_of_pair
from labelcheck.review.wording import amount, in_unit, printable, without_name
from labelcheck.trade.sides import Side
from labelcheck.trade.units import Unit

LEAST_TILE_WIDTH, TILE_HEIGHT = 500, 500
_TITLE_HEIGHT = 52
_PICTURE_HEIGHT = 300
_PADDING = 12
_MOST_PIXELS_PER_MM = 240.0
_ROOM = 1.5
"""How much more than the label an inset shows, each way …"""
_HALF_ROOM = 1.2
"""… and one that has half of a tile."""
_ENLARGED, _LEAST_ENLARGED = 2.5, 1.25
_LARGE_PIXELS_PER_MM = 60.0
_FAR_PIXELS_PER_MM = 45.0
"""A long label is cut rather than shown at less than 2.5 times the board, or less than this where that is large."""
_WHOLE = 0.8
"""Where what is wrong takes this share of the label, the label is what is wrong."""
_BAR_LEFT = 265
_LINE_PITCH = 24
_HEIGHT_ANALYSERS = frozenset({"short-character"})
_BODY_ANALYSERS = frozenset({"under-body", "behind-body"})
"""Their insets show what stands there."""
_WORDED_ANALYSERS = frozenset({"over-copper-edge"})
"""What they measure is no length of the label, so that no bar of it tells anything."""


@dataclass(frozen=True, slots=True)
class Inset:
    """One label to be enlarged, and the finding that it illustrates."""

    number: str
    finding: Finding
    label: Label
    cure: Cure | None = None
    """What is advised for the label, shown as its dashed outline."""
    beside: tuple[Cure, ...] = ()
    """Those of the labels that change together with it."""


def choose_insets(groups: Sequence[FindingGroup], labels: Mapping[str, Label], most: int) -> tuple[Inset, ...]:
    """The worst finding of each group, worst first, no label twice; findings about a whole side have no inset."""
    chosen: dict[str, Inset] = {}
    for group in groups:
        label = labels.get(group.worst.label or "")
        if label is None or label.id in chosen or len(chosen) == most:
            continue
        if all(math.isfinite(edge) for edge in (*label.box_mm, *group.worst.box_mm)):
            chosen[label.id] = Inset(group.number, group.worst, label)
    return tuple(chosen.values())


def draw_inset(canvas: Canvas, tile: Pixels, inset: Inset, parts: SideParts, looks: "Looks") -> None:
    """A tile: number and name, the enlarged label with its measure, and what it means in words."""
    left, top, right, _ = tile
    canvas.fill(tile, PAPER)
    canvas.frame(tile, 2, RULE)
    _draw_title(canvas, tile, inset)
    picture_top = top + _TITLE_HEIGHT
    shift = None if looks.press is None else looks.press.shift_of(inset.finding, inset.label)
    if looks.press is not None and shift is not None:
        _draw_printed(canvas, tile, inset, parts, (looks, looks.press, shift))
        return
    if looks.press is not None and inset.finding.analyser in _BODY_ANALYSERS:
        _draw_assembled(canvas, tile, inset, parts, (looks, looks.press))
        return
    view = inset_view(inset, right - left - 2 * _PADDING, looks)
    canvas.place(draw_view(parts, view, canvas.palette), left + _PADDING, picture_top)
    if inset.finding.analyser in _BODY_ANALYSERS:
        fill_bodies(canvas, (left + _PADDING, picture_top), parts.bodies, view)
    _draw_measure(canvas, (left + _PADDING, picture_top), inset, view)
    _draw_caption(canvas, tile, inset, view, looks, _draw_ghost(canvas, (left + _PADDING, picture_top), inset, view))


def _draw_ghost(canvas: Canvas, at: tuple[int, int], inset: Inset, view: View) -> bool:
    """Where the cure puts the label; False where that is nowhere else or not to be seen."""
    ghost = ghost_of(inset.label, inset.cure)
    if ghost is None:
        return False
    for other in inset.beside:
        if other.box_mm is not None:
            draw_ghost(canvas, at, other.box_mm, view)
    return draw_ghost(canvas, at, ghost, view)


@dataclass(frozen=True, slots=True)
class Looks:
    """What all insets of a picture share."""

    unit: Unit
    board_pixels_per_mm: float
    mirrored: bool
    press: Press | None = None
    """What shows a label as printed; None where that cannot be shown."""


def _draw_printed(
    canvas: Canvas, tile: Pixels, inset: Inset, parts: SideParts, printed: tuple[Looks, Press, tuple[float, float]]
) -> None:
    """The label as drawn and as printed, each with its frame around what is wrong, and the words below.

    They stand side by side or one above the other, whichever shows them larger.
    """
    looks, press, shift = printed
    left, top, right, _ = tile
    views = [
        (inset_view(inset, size[0], looks, size[1]), stacked)
        for stacked, size in enumerate(sizes_of_pair(right - left - 2 * _PADDING, _PICTURE_HEIGHT))
    ]
    view, stacked = max(views, key=lambda one: one[0].pixels_per_mm)
    places = places_of_pair((left + _PADDING, top + _TITLE_HEIGHT), view, bool(stacked))
    draw_pair(canvas, places, view, parts, (press, inset.label, shift))
    for at in places:
        _draw_measure(canvas, at, inset, view)
    ghostly = _draw_ghost(canvas, places[0], inset, view)
    name_pair(canvas, places, inset.label, (press, shift), (looks.unit, view.width))
    _draw_caption(canvas, tile, inset, view, looks, ghostly)


def _draw_assembled(
    canvas: Canvas, tile: Pixels, inset: Inset, parts: SideParts, with_parts: tuple[Looks, Press]
) -> None:
    """The label without and with the parts on, or from above and from the side where they stand before it."""
    looks, press = with_parts
    left, top, right, _ = tile
    width, height = sizes_of_pair(right - left - 2 * _PADDING, _PICTURE_HEIGHT)[0]
    view = inset_view(inset, width, looks, height)
    places = places_of_pair((left + _PADDING, top + _TITLE_HEIGHT), view, stacked=False)
    draw_mounted(canvas, places, view, parts)
    if inset.finding.analyser == "behind-body":
        (x, y), beside = places[1], places[0]
        cover_with_bodies(canvas, beside, parts.bodies, view)
        profile = profile_of(inset.label, parts.bodies)
        angle = press.limits.viewing_angle_deg
        draw_profile(canvas, (x, y, x + view.width, y + view.height), profile, angle)
        write_strips(canvas, places, ("from above", f"from the side, at {angle:g}\N{DEGREE SIGN}"), view.width)
    else:
        for at in places:
            _draw_measure(canvas, at, inset, view)
        name_mounted(canvas, places, inset.label, press.assembled.get(inset.label.id), view.width)
    ghostly = _draw_ghost(canvas, places[0], inset, view)
    _draw_caption(canvas, tile, inset, view, looks, ghostly)


def inset_view(inset: Inset, width: int, looks: Looks, part_height: int | None = None) -> View:
    """The window around the label at the largest fitting scale, around what is wrong where the label is long.

    Where there is room for a part of a tile only, of such a height, the label is shown smaller rather than cut.
    """
    box, half = box_with_ghost(inset.label, inset.cure), part_height is not None
    height, room = (_PICTURE_HEIGHT, _ROOM) if part_height is None else (part_height, _HALF_ROOM)
    scale = _fitting_scale(box, (width, height), room)
    board = looks.board_pixels_per_mm
    least = max(0.0 if half else min(_ENLARGED * board, _LARGE_PIXELS_PER_MM), _LEAST_ENLARGED * board)
    if scale < least:
        box = inset.finding.box_mm
        scale = max(_fitting_scale(box, (width, height), _ROOM), least)
    scale = min(scale, _MOST_PIXELS_PER_MM)
    if inset.finding.analyser in _BODY_ANALYSERS:
        # Of a large body the rim should be seen, too.
        scale = min(scale, max(_LEAST_ENLARGED * board, _FAR_PIXELS_PER_MM))
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    half_width, half_height = width / scale / 2, height / scale / 2
    return View((x - half_width, y - half_height, x + half_width, y + half_height), scale, looks.mirrored, fine=True)


def _fitting_scale(box: Box, size: tuple[int, int], room: float) -> float:
    return min(size[0] / max((box[2] - box[0]) * room, 0.1), size[1] / max((box[3] - box[1]) * room, 0.1))


def _draw_title(canvas: Canvas, tile: Pixels, inset: Inset) -> None:
    left, top, right, _ = tile
    draw_badge(canvas, left + _PADDING, top + 6, inset.number, inset.finding.severity)
    width, _ = badge_size(inset.number)
    letters = face(28)
    x = left + _PADDING + width + 14
    name = shortened(printable(inset.label.called()), letters, right - _PADDING - x)
    canvas.write((x, top + 9), name, letters, (INK, PAPER), bold=True)


def _draw_measure(canvas: Canvas, at: tuple[int, int], inset: Inset, view: View) -> None:
    """A dimension line beside a height, else a frame around the part that is wrong."""
    finding, label = inset.finding, inset.label
    style = SEVERITY_STYLES[finding.severity]
    if finding.analyser in _HEIGHT_ANALYSERS and finding.measured is not None and finding.limit is not None:
        _draw_height(canvas, at, inset, view)
        return
    wrong, whole = view.box(finding.box_mm), view.box(label.box_mm)
    if (wrong[2] - wrong[0]) * (wrong[3] - wrong[1]) > _WHOLE * (whole[2] - whole[0]) * (whole[3] - whole[1]):
        return
    left, top, right, bottom = (round(edge) for edge in wrong)
    frame = (max(left - 6, 0), max(top - 6, 0), min(right + 6, view.width), min(bottom + 6, view.height))
    x, y = at
    for inner, thickness, colour in ((2, 7, PAPER), (0, 3, style.edge)):
        canvas.frame((x + frame[0] - inner, y + frame[1] - inner, x + frame[2] + inner, y + frame[3] + inner),
                     thickness, colour)


def _draw_height(canvas: Canvas, at: tuple[int, int], inset: Inset, view: View) -> None:
    """The measured height as a line with ends, and beside it the height that is asked for."""
    finding, label = inset.finding, inset.label
    left, _, _, bottom = view.box(label.box_mm)
    upright = label.turned_deg % 180 < 45 or label.turned_deg % 180 > 135
    edges = SEVERITY_STYLES[finding.severity].edge
    lengths = ((finding.measured or 0.0, edges), (finding.limit or 0.0, INK))
    for place, (length_mm, colour) in enumerate(lengths, start=1):
        length = length_mm * view.pixels_per_mm
        # The outer line keeps its distance from the inner one even where a label reaches the rim.
        across, from_rim = _LINE_PITCH * place, 12 + _LINE_PITCH * (len(lengths) - place)
        if upright:
            x = at[0] + max(left - across, from_rim)
            low = at[1] + min(bottom, view.height - 12)
            ends = ((x, low), (x, low - length))
            ticks = [((x - 8, y), (x + 8, y)) for y in (low, low - length)]
        else:
            y = at[1] + min(bottom + across, view.height - from_rim)
            start = at[0] + max(left, 12)
            ends = ((start, y), (start + length, y))
            ticks = [((x, y - 8), (x, y + 8)) for x in (start, start + length)]
        for thickness, ink in ((9, PAPER), (4, colour)):
            for start_point, end_point in (ends, *ticks):
                canvas.line(start_point, end_point, thickness, ink)


def _draw_caption(
    canvas: Canvas, tile: Pixels, inset: Inset, view: View, looks: Looks, ghostly: bool
) -> None:
    """Measured and asked for, each with a bar of that length at the scale of the inset; the scale itself.

    Where there is a ghost, what it stands for is told as well.
    """
    finding = inset.finding
    style = SEVERITY_STYLES[finding.severity]
    told_in_words = finding.analyser in _WORDED_ANALYSERS
    letters = face(24)
    x, right = tile[0] + _PADDING, tile[2] - _PADDING
    y = tile[1] + _TITLE_HEIGHT + _PICTURE_HEIGHT + 8
    if finding.unit == "mm" and not told_in_words and finding.measured is not None and finding.limit is not None:
        for said, value, colour in (("measured", finding.measured, style.edge), ("limit", finding.limit, INK)):
            canvas.write((x, y), f"{said} {amount(value, 'mm', looks.unit)}", letters, (INK, PAPER))
            if finding.analyser not in _HEIGHT_ANALYSERS:
                bar = max(round(value * view.pixels_per_mm), 2)
                canvas.fill((x + _BAR_LEFT, y + 8, min(x + _BAR_LEFT + bar, right), y + 24), colour)
            y += letters.line_height + 2
    else:
        message = printable(in_unit(without_name(finding.message, inset.label.called()), looks.unit))
        for line in wrapped(message, letters, right - x, 2 if ghostly else 3):
            canvas.write((x, y), line, letters, (INK, PAPER))
            y += letters.line_height
    if ghostly and inset.cure is not None:
        told = shortened(ghost_told(inset.cure, inset.label, looks.unit), letters, right - x)
        canvas.write((x, y), told, letters, (INK, PAPER))
    _draw_scale(canvas, (x, tile[3] - 36), view, looks)


def _draw_scale(canvas: Canvas, at: tuple[int, int], view: View, looks: Looks) -> None:
    """A bar of a round length, and how much larger than the board everything is."""
    x, y = at
    scale_mm = _scale_length(view, looks.unit)
    length = round(scale_mm * view.pixels_per_mm)
    canvas.fill((x, y + 12, x + length, y + 16), GREY)
    for end in (x, x + length - 3):
        canvas.fill((end, y + 6, end + 3, y + 22), GREY)
    enlarged = view.pixels_per_mm / looks.board_pixels_per_mm
    words = f"{_scale_words(scale_mm, looks.unit)}   {enlarged:.1f} times the board"
    canvas.write((x + length + 14, y), words, face(22), (GREY, PAPER))


def _scale_length(view: View, unit: Unit) -> float:
    """A round length whose bar is neither a dot nor too long."""
    rounds = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0) if unit == "mm" else (0.127, 0.254, 0.508, 1.27, 2.54, 5.08)
    fitting = [length for length in rounds if length * view.pixels_per_mm <= 150]
    return fitting[-1] if fitting else rounds[0]


def _scale_words(length_mm: float, unit: Unit) -> str:
    return f"{length_mm:g} mm" if unit == "mm" else f"{length_mm / 25.4:g} in"


def mirrored_on(side: Side) -> bool:
    """The bottom is looked at from below."""
    return side is Side.BOTTOM
