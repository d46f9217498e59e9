"""A label without and with the parts on, and from the side where tall parts stand between it and its reader."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from labelcheck.board.components import Body
from labelcheck.labels.label import Label
from labelcheck.review.picture.board_view import SideParts, View, draw_view
from labelcheck.review.picture.bodies import cover_with_bodies, outline_bodies
from labelcheck.review.picture.canvas import Canvas, Pixels
from labelcheck.review.picture.colours import GREY, INK, LOST, PAPER, RULE
from labelcheck.review.picture.lettering import face, shortened
from labelcheck.review.picture.prints import STRIP, Places
from labelcheck.review.wording import printable
from labelcheck.trade.sides import Side

SEEN_MM = 4.0
"""So much of a body is shown from the side, at the most."""
NEAR_MM = 25.0
"""Bodies farther from a label are not shown from the side."""
BOARD_MM = 0.8
"""Board below the parts, from the side."""
_DASH = 9


@dataclass(frozen=True, slots=True)
class Profile:
    """A cut through a label the way that its reader looks: millimetres from its middle, the reader's side first.

    `standing` holds from, to and height of each body; `half_mm` is half of the label.
    """

    standing: tuple[tuple[float, float, float], ...]
    half_mm: float


def draw_mounted(canvas: Canvas, places: Places, view: View, parts: SideParts) -> None:
    """The same view twice: with outlines where parts will stand, and with the parts on."""
    board = draw_view(parts, view, canvas.palette)
    for at in places:
        canvas.place(board, *at)
    outline_bodies(canvas, places[0], parts.bodies, view)
    cover_with_bodies(canvas, places[1], parts.bodies, view)


def name_mounted(canvas: Canvas, places: Places, label: Label, reads: str | None, width: int) -> None:
    """Write above each of the two what it is, and what is read with the parts on."""
    told = "with parts"
    if reads == "":
        told += ": not seen"
    elif reads is not None and reads != label.text and reads.strip("? "):
        told += f": {reads}"
    write_strips(canvas, places, ("without parts", told), width)


def write_strips(canvas: Canvas, places: Places, words: tuple[str, str], width: int) -> None:
    """A line above each of two pictures."""
    letters = face(22)
    for (x, y), told in zip(places, words, strict=True):
        canvas.write((x, y - STRIP), shortened(printable(told), letters, width), letters, (INK, PAPER))


def profile_of(label: Label, bodies: Sequence[Body]) -> Profile:
    """The bodies of known height before and behind a label, along the way that it reads upwards."""
    x0, y0, x1, y1 = label.box_mm
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    angle = math.radians(label.turned_deg)
    up_x, up_y = -math.sin(angle) * (-1.0 if label.side is Side.BOTTOM else 1.0), math.cos(angle)
    cut = shapely.linestrings([(x - up_x * NEAR_MM, y - up_y * NEAR_MM), (x + up_x * NEAR_MM, y + up_y * NEAR_MM)])
    standing = []
    for body in bodies:
        if body.height_mm is None or not body.area.intersects(cut):
            continue
        points = shapely.get_coordinates(body.area.intersection(cut))
        along = (points[:, 0] - x) * up_x + (points[:, 1] - y) * up_y
        standing.append((float(along.min()), float(along.max()), body.height_mm))
    half = (abs(up_x) * (x1 - x0) + abs(up_y) * (y1 - y0)) / 2
    return Profile(tuple(sorted(standing)), half)


def draw_profile(canvas: Canvas, place: Pixels, profile: Profile, angle_deg: float) -> None:
    """The cut to scale: board, label, bodies, and the lines along which an eye off the normal looks for the label."""
    left, top, right, bottom = place
    canvas.fill(place, PAPER)
    canvas.frame(place, 1, RULE)
    before = max([end for start, end, _ in profile.standing if end <= 0], default=-profile.half_mm)
    behind = min([start for start, _, _ in profile.standing if start >= 0], default=profile.half_mm)
    low, high = before - SEEN_MM, behind + SEEN_MM
    tallest = max([height for _, _, height in profile.standing], default=1.0)
    scale = min((right - left) / (high - low), (bottom - top) / (1.15 * tallest + BOARD_MM))
    ground = bottom - round(BOARD_MM * scale)
    middle = (left + right) / 2 - (low + high) / 2 * scale

    def across(along_mm: float) -> int:
        return min(max(round(middle + along_mm * scale), left), right)

    canvas.fill((left, ground, right, bottom), RULE)
    for start, end, height in profile.standing:
        if end <= low or start >= high:
            continue
        body = (across(start), ground - round(height * scale), across(end), ground)
        canvas.fill(body, GREY)
        canvas.frame(body, 2, INK)
    label = (across(-profile.half_mm), ground - 5, across(profile.half_mm), ground + 5)
    canvas.fill(label, INK)
    for sign in (-1.0, 1.0):
        _draw_sight(canvas, place, (float(across(0.0)), float(ground - 6)), sign * math.radians(angle_deg))


def _draw_sight(canvas: Canvas, place: Pixels, start: tuple[float, float], angle: float) -> None:
    """A dashed line from a point upwards, off the normal by an angle, to the rim of the place."""
    left, top, right, _ = place
    up = start[1] - top - 2
    aside = min(up * math.tan(abs(angle)), (start[0] - left if angle < 0 else right - start[0]) - 2)
    length = aside / max(math.sin(abs(angle)), 1e-6)
    step = np.array([math.copysign(math.sin(abs(angle)), angle), -math.cos(angle)])
    for dash in range(0, int(length) - _DASH, 2 * _DASH):
        begin, end = np.array(start) + step * dash, np.array(start) + step * (dash + _DASH)
        canvas.line((float(begin[0]), float(begin[1])), (float(end[0]), float(end[1])), 4, LOST)
