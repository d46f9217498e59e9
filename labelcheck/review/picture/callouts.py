"""Numbered call-outs: a frame around what is wrong, badges in a free place near by, a line between the two."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from labelcheck.judging import SEVERITIES, Finding, Severity
from labelcheck.labels.label import Box
from labelcheck.review.grouping import FindingGroup
from labelcheck.review.picture.badges import badge_size, draw_badge
from labelcheck.review.picture.board_view import View
from labelcheck.review.picture.canvas import Canvas, Pixels
from labelcheck.review.picture.colours import PAPER, SEVERITY_STYLES
from labelcheck.review.picture.placing import find_places, nearest_on

PixelBox = tuple[float, float, float, float]
"""Left, top, right, bottom."""

_FRAME_GAP = 5
"""Pixels between what is wrong and its frame, so that the frame hides nothing of it."""
_THICK, _THIN = 4, 2
"""Of frames with a number, and of others."""
_HALO = 2
_LEAST_FRAME = 18
_BETWEEN = 3
"""Pixels between the badges of one call-out."""
_MOST_NUMBERS = 5
"""In one call-out; a label with more faults has its worst ones numbered."""
_ALIKE = 0.7
"""Boxes that share this much of their joint area need one frame only."""


@dataclass(frozen=True, slots=True)
class Frame:
    """One finding's place on the picture."""

    severity: Severity
    box: PixelBox
    """What is wrong, in pixels."""


@dataclass(frozen=True, slots=True)
class Callout:
    """What is wrong with one label: the numbers to be looked up in the key, and where it is wrong."""

    numbers: tuple[tuple[str, Severity], ...]
    """Worst first; none where frames alone mark it."""
    frames: tuple[Frame, ...]
    """Worst first, and the first is the one that the line leads to."""

    @property
    def size(self) -> tuple[int, int] | None:
        """Width and height of its badges side by side, None without numbers."""
        if not self.numbers:
            return None
        widths = [badge_size(number)[0] for number, _ in self.numbers]
        return sum(widths) + _BETWEEN * (len(widths) - 1), badge_size("")[1]


@dataclass(frozen=True, slots=True)
class Placement:
    """Turns boxes of the board into pixels of the sheet; what lies beyond the region is shown at its rim."""

    left: int
    top: int
    view: View
    region: Pixels

    def holds(self, box_mm: Box) -> bool:
        """Whether the box has a place at all."""
        return bool(np.isfinite(box_mm).all())

    def box(self, box_mm: Box) -> PixelBox:
        """Left, top, right, bottom on the sheet."""
        x0, y0, x1, y1 = self.view.box(box_mm)
        left, top, right, bottom = self.region
        return (
            min(max(self.left + x0, left), right), min(max(self.top + y0, top), bottom),
            min(max(self.left + x1, left), right), min(max(self.top + y1, top), bottom),
        )


def callouts_of(
    groups: Sequence[FindingGroup], numbered: Sequence[FindingGroup], most: int, place: Placement
) -> tuple[Callout, ...]:
    """One call-out for each label with findings on a side, the worst first.

    `numbered` are the groups that the key tells of; each one's worst findings carry its number, first one of every
    group, then a second one, up to `most` in all. Findings about a whole side have no place and no call-out.
    """
    wanted = sorted(
        (turn, rank) for rank, group in enumerate(numbered) for turn in range(len(group.findings))
    )[:most]
    chosen = set(wanted)
    of_label: dict[str, list[tuple[Finding, str | None]]] = {}
    for rank, group in enumerate(groups):
        for turn, finding in enumerate(group.findings):
            if finding.label is not None and place.holds(finding.box_mm):
                number = group.number if (turn, rank) in chosen else None
                of_label.setdefault(finding.label, []).append((finding, number))
    return tuple(_callout(findings, place) for findings in of_label.values())


def _callout(findings: Sequence[tuple[Finding, str | None]], place: Placement) -> Callout:
    ranked = sorted(findings, key=lambda entry: SEVERITIES.index(entry[0].severity))
    numbers = tuple((number, finding.severity) for finding, number in ranked if number is not None)
    frames: list[Frame] = []
    for finding, _ in ranked:
        box = place.box(finding.box_mm)
        if not any(_shared(box, frame.box) > _ALIKE for frame in frames):
            frames.append(Frame(finding.severity, box))
    return Callout(numbers[:_MOST_NUMBERS], tuple(frames))


def _shared(a: PixelBox, b: PixelBox) -> float:
    """What two boxes share, as a fraction of what they cover together."""
    across = max(min(a[2], b[2]) - max(a[0], b[0]), 0.0)
    down = max(min(a[3], b[3]) - max(a[1], b[1]), 0.0)
    both = across * down
    either = (a[2] - a[0]) * (a[3] - a[1]) + (b[2] - b[0]) * (b[3] - b[1]) - both
    return both / either if either > 0 else float(a == b)


def frame_pixels(box: PixelBox) -> Pixels:
    """A frame's outer edge: clear of what is wrong, and never so small that one cannot see it."""
    left, top, right, bottom = box
    middle_x, middle_y = (left + right) / 2, (top + bottom) / 2
    half_width = max((right - left) / 2 + _FRAME_GAP, _LEAST_FRAME / 2) + _THICK
    half_height = max((bottom - top) / 2 + _FRAME_GAP, _LEAST_FRAME / 2) + _THICK
    return (round(middle_x - half_width), round(middle_y - half_height),
            round(middle_x + half_width), round(middle_y + half_height))


def draw_callouts(canvas: Canvas, callouts: Sequence[Callout], labels: Sequence[Box], place: Placement) -> None:
    """Find a place for every badge, and draw: frames first, the worst uppermost, then lines, then badges.

    `labels` are the boxes of all labels of the side, which badges should not hide.
    """
    main = [frame_pixels(callout.frames[0].box) for callout in callouts]
    covered = [frame_pixels(place.box(box)) for box in labels if place.holds(box)]
    places = find_places(main, [callout.size for callout in callouts], place.region, covered)
    for callout in reversed(callouts):
        for frame in reversed(callout.frames):
            _draw_frame(canvas, frame, thin=frame is not callout.frames[0] or not callout.numbers)
    for callout, frame_box, corner in zip(callouts, main, places, strict=True):
        if corner is not None and callout.size is not None:
            _draw_line(canvas, callout, frame_box, (*corner, *callout.size))
    for callout, corner in reversed(list(zip(callouts, places, strict=True))):
        if corner is not None:
            left, top = corner
            for number, severity in callout.numbers:
                draw_badge(canvas, left, top, number, severity)
                left += badge_size(number)[0] + _BETWEEN


def _draw_line(canvas: Canvas, callout: Callout, frame: Pixels, badges: tuple[int, int, int, int]) -> None:
    left, top, width, height = badges
    middle = np.array([left + width / 2, top + height / 2])
    end = nearest_on(np.array(frame, dtype=np.float64), middle)
    # A line from the middle of a long row of badges would run along below them.
    start = np.clip(end, [left + height / 2, middle[1]], [left + width - height / 2, middle[1]])
    edge = SEVERITY_STYLES[callout.frames[0].severity].edge
    for thickness, colour in ((_THICK + 2 * _HALO, PAPER), (_THICK - 1, edge)):
        canvas.line((start[0], start[1]), (end[0], end[1]), thickness, colour)


def _draw_frame(canvas: Canvas, frame: Frame, thin: bool) -> None:
    """A whole frame, dashes, or corners, each on a light ground."""
    style = SEVERITY_STYLES[frame.severity]
    thick, halo = (_THIN, 1) if thin else (_THICK, _HALO)
    pieces = _frame_pieces(frame_pixels(frame.box), style.frame, thick)
    for grown, colour in ((halo, PAPER), (0, style.edge)):
        for x0, y0, x1, y1 in pieces:
            canvas.fill((x0 - grown, y0 - grown, x1 + grown, y1 + grown), colour)


def _frame_pieces(frame: Pixels, kind: str, thick: int) -> list[Pixels]:
    """The bars that a frame is made of."""
    left, top, right, bottom = frame
    pieces: list[Pixels] = []
    for x0, x1 in _dashes(left, right, kind):
        pieces += [(x0, top, x1, top + thick), (x0, bottom - thick, x1, bottom)]
    for y0, y1 in _dashes(top, bottom, kind):
        pieces += [(left, y0, left + thick, y1), (right - thick, y0, right, y1)]
    return pieces


def _dashes(start: int, end: int, kind: str) -> list[tuple[int, int]]:
    """Where one side of a frame is drawn; corners are always whole, so that the frame stays a frame."""
    length = end - start
    if kind == "whole" or length < 4 * _THICK:
        return [(start, end)]
    corner = min(max(length // 4, 2 * _THICK), 16)
    if kind == "corners":
        return [(start, start + corner), (end - corner, end)]
    # Dashes of even length between equal gaps, beginning and ending with a dash.
    count = max(round((length - corner) / (corner + 12)), 1)
    pitch = (length - corner) / count
    return [(round(start + place * pitch), round(start + place * pitch) + corner) for place in range(count + 1)]
