"""Where the cure of a label puts it: a dashed outline in its enlarged window."""

from collections.abc import Iterator

from labelcheck.cures.cure import Cure
from labelcheck.cures.wording import way
from labelcheck.labels.label import Box, Label
from labelcheck.review.picture.board_view import View
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import INK, PAPER
from labelcheck.review.wording import in_unit
from labelcheck.trade.units import Unit

_WIDER = 2.6
"""A window is opened so many times as wide to show where a label goes, and no wider."""
_DASH, _CLEAR = 12.0, 8.0
"""Pixels that are drawn, and left out."""
Point = tuple[float, float]


def ghost_of(label: Label, cure: Cure | None) -> Box | None:
    """The box of a label once cured, where that is another than now."""
    if cure is None or cure.box_mm is None or not (cure.moved or cure.resized or cure.turn_deg % 180):
        return None
    return cure.box_mm


def box_with_ghost(label: Label, cure: Cure | None) -> Box:
    """What a window is to show: the label, and its ghost unless that is far away."""
    box, ghost = label.box_mm, ghost_of(label, cure)
    if ghost is None:
        return box
    both = (min(box[0], ghost[0]), min(box[1], ghost[1]), max(box[2], ghost[2]), max(box[3], ghost[3]))
    wide = max(both[2] - both[0], both[3] - both[1]) <= _WIDER * max(box[2] - box[0], box[3] - box[1])
    return both if wide else box


def draw_ghost(canvas: Canvas, at: tuple[int, int], ghost: Box, view: View) -> bool:
    """The dashed outline within a view that stands at `at`; False where none of it would be seen."""
    left, top, right, bottom = view.box(ghost)
    corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
    inner = (3.0, 3.0, view.width - 4.0, view.height - 4.0)
    dashes = [
        dash for start, end in zip(corners, corners[1:] + corners[:1], strict=True)
        for dash in _dashes(start, end) if all(_within(point, inner) for point in dash)
    ]
    for thickness, colour in ((6.0, PAPER), (2.5, INK)):
        for start, end in dashes:
            canvas.line((at[0] + start[0], at[1] + start[1]), (at[0] + end[0], at[1] + end[1]), thickness, colour)
    return bool(dashes)


def ghost_told(cure: Cure, label: Label, unit: Unit) -> str:
    """What the dashed outline stands for."""
    if cure.moved:
        return in_unit(f"Dashed: {way(cure.shift_mm, label.side)}", unit)
    return "Dashed: as advised"


def _dashes(start: Point, end: Point) -> Iterator[tuple[Point, Point]]:
    length = abs(end[0] - start[0]) + abs(end[1] - start[1])
    if length < 1:
        return
    step_x, step_y = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    place = 0.0
    while place < length:
        until = min(place + _DASH, length)
        yield (
            (start[0] + place * step_x, start[1] + place * step_y),
            (start[0] + until * step_x, start[1] + until * step_y),
        )
        place += _DASH + _CLEAR


def _within(point: Point, box: tuple[float, float, float, float]) -> bool:
    return box[0] <= point[0] <= box[2] and box[1] <= point[1] <= box[3]
