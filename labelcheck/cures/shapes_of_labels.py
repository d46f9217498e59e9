"""The boxes that a label takes up, as it stands and as it will be once it is changed."""

import numpy as np

from labelcheck.cures.sizing import Size
from labelcheck.labels.label import Label
from labelcheck.trade.shapes import Floats
from labelcheck.trade.sides import Side

STRAIGHT_DEG = 2.0
"""A label turned so little off the axes takes up about its box."""


def boxes_of(label: Label) -> Floats:
    """One box for a label along the axes, else those of its marks and of what lies between them; (k, 4)."""
    if is_straight(label) or len(label.marks) < 2:
        return np.array([label.box_mm])
    marks = np.array([mark.box_mm for mark in label.marks])
    between = (marks[1:] + marks[:-1]) / 2
    return np.vstack((marks, between))


def is_straight(label: Label) -> bool:
    """Whether a label runs along one of the axes."""
    return abs(label.turned_deg - 90 * round(label.turned_deg / 90)) <= STRAIGHT_DEG


def runs_upward(label: Label, turn_deg: int = 0) -> bool:
    """Whether a label runs more along y than along x, after a turn."""
    return round((label.turned_deg + turn_deg) / 90) % 2 == 1


def changed(label: Label, size: Size, characters: int, turn_deg: int) -> Floats:
    """The boxes of a label once it has its new size and direction, about the middle where it stands; (k, 4)."""
    x0, y0, x1, y1 = label.box_mm
    if is_straight(label):
        return _straight(label, size, characters, turn_deg)
    boxes = boxes_of(label)
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    centre = (boxes[:, :2] + boxes[:, 2:]) / 2 - middle
    half = (boxes[:, 2:] - boxes[:, :2]) / 2 * size.scale + size.growth_mm
    wider = (size.spacing_mm or 0.0) * max(characters - 1, 0) / 2
    half += wider
    centre = centre * size.scale
    ways = turn_deg if label.side is Side.TOP else -turn_deg
    for _ in range(ways // 90 % 4):
        centre = np.column_stack((-centre[:, 1], centre[:, 0]))
        half = half[:, ::-1]
    return np.hstack((middle + centre - half, middle + centre + half))


def _straight(label: Label, size: Size, characters: int, turn_deg: int) -> Floats:
    """The same for a label along the axes, which has one box."""
    x0, y0, x1, y1 = label.box_mm
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    wide, high = ((x1 - x0) / 2 * size.scale + size.growth_mm, (y1 - y0) / 2 * size.scale + size.growth_mm)
    wider = (size.spacing_mm or 0.0) * max(characters - 1, 0) / 2
    if runs_upward(label):
        high += wider
    else:
        wide += wider
    if turn_deg % 180 == 90:
        wide, high = high, wide
    return np.array([[x - wide, y - high, x + wide, y + high]])
