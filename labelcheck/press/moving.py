"""How far, and which way, a label must move to get clear of what takes its ink."""

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.label import Box, Label
from labelcheck.trade.sides import Side

TOUCHES_MM = 0.05
"""Lost ink this near to a border of its label lies at that border."""


def shortest_way_out(label: Label, lost: Box, single_boxes: NDArray[np.float64] | None) -> tuple[float, str]:
    """Least move of the whole label, in mm, and its direction as a person sees it on the label's side.

    `lost` is the box of the lost ink, `single_boxes` (n, 4) those of the openings or holes that may have taken it:
    all of those that meet the lost ink are to be cleared at once. Without them the ink lies past an edge, and the
    way leads back from there. What else stands in that way is not looked at.
    """
    x0, y0, x1, y1 = label.box_mm
    if single_boxes is None:
        ways = _ways_back(label.box_mm, lost)
    else:
        meets = (
            (single_boxes[:, 0] < lost[2])
            & (single_boxes[:, 2] > lost[0])
            & (single_boxes[:, 1] < lost[3])
            & (single_boxes[:, 3] > lost[1])
        )
        hit = single_boxes[meets] if meets.any() else np.array([lost])
        left, low = hit[:, :2].min(axis=0)
        right, high = hit[:, 2:].max(axis=0)
        ways = {"up": high - y0, "down": y1 - low, "left": x1 - left, "right": right - x0}
    towards = min(ways, key=lambda way: ways[way])
    return float(ways[towards]), _as_seen(towards, label.side)


def _ways_back(label: Box, lost: Box) -> dict[str, float]:
    """Ways away from each border of the label at which ink is lost; all four where none is."""
    x0, y0, x1, y1 = label
    ways = {}
    if lost[2] > x1 - TOUCHES_MM:
        ways["left"] = x1 - lost[0]
    if lost[0] < x0 + TOUCHES_MM:
        ways["right"] = lost[2] - x0
    if lost[3] > y1 - TOUCHES_MM:
        ways["down"] = y1 - lost[1]
    if lost[1] < y0 + TOUCHES_MM:
        ways["up"] = lost[3] - y0
    return ways or {"up": lost[3] - y0, "down": y1 - lost[1], "left": x1 - lost[0], "right": lost[2] - x0}


def _as_seen(towards: str, side: Side) -> str:
    """The bottom is seen mirrored: what is left from the top is right there."""
    mirrored = {"left": "right", "right": "left"}
    return mirrored.get(towards, towards) if side is Side.BOTTOM else towards
