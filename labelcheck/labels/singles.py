"""Single characters: labels where they are lettered like the labels about them, drawings where they are not.

A circle reads as O, a corner of a frame as L, a bar as I: what stands alone must have the pen and the height of
lines that were read, and the more drawings look like it, the more exactly.
"""

import numpy as np

from labelcheck.labels.found import Found
from labelcheck.labels.marks import SAME_PEN_MM, Marks
from labelcheck.trade.shapes import Flags, Integers

SIGN_HEIGHTS = (0.35, 1.3)
"""Height of `+` and the like, in heights of a line with the same pen."""
ALIKE = 0.12
"""Difference of heights that lines and a single letter or digit may have."""
ALIKE_SIMPLE = 0.03
SIMPLE = frozenset("OoLlTVUCcDJSHXIi01<>^v()[]/|rnu=~'\"°.,:_-*QeE")
"""Characters that parts of drawings are taken for."""
MINUS_REACH_MM = 20.0
"""A minus is one where a plus of its width and pen stands within this distance."""


def believable(found: Found, marks: Marks, straight: Flags) -> Flags:
    """Which of the found lines to keep: all of several characters, and the single ones that fit them."""
    size = np.diff(found.setting.glyph_first)
    texts = [reading.text if reading is not None else "" for reading in found.readings]
    sure = np.array([reading is not None and reading.confidence >= 0.6 for reading in found.readings], dtype=np.bool_)
    kept = size > 1
    words = np.flatnonzero(kept & sure)
    lead = found.lines.mark[found.lines.first[:-1]]
    height, pen = found.setting.height, np.nan_to_num(marks.pen_mm[lead])
    for line in np.flatnonzero(size == 1).tolist():
        alike = words[np.abs(pen[words] - pen[line]) <= SAME_PEN_MM]
        share = height[line] / height[alike]
        text = texts[line]
        if text in ("", "?"):
            continue
        if text in "+*#":
            kept[line] = bool(((share >= SIGN_HEIGHTS[0]) & (share <= SIGN_HEIGHTS[1])).any())
        elif text in SIMPLE or straight[lead[line]]:
            kept[line] = not straight[lead[line]] and bool((np.abs(share - 1) <= ALIKE_SIMPLE).any())
        else:
            kept[line] = bool((np.abs(share - 1) <= ALIKE).any())
    _keep_minus(kept, found, marks, texts, size)
    return kept


def _keep_minus(kept: Flags, found: Found, marks: Marks, texts: list[str], size: Integers) -> None:
    """Keep each lone bar that is the minus to a plus near by."""
    lead = found.lines.mark[found.lines.first[:-1]]
    pen = np.nan_to_num(marks.pen_mm[lead])
    box = marks.box[lead]
    extent = np.max(box[:, 2:] - box[:, :2], axis=1)
    middle = (box[:, :2] + box[:, 2:]) / 2
    plus = np.flatnonzero(kept & (np.array(texts, dtype=object) == "+"))
    for line in np.flatnonzero(~kept & (size == 1)).tolist():
        if texts[line] != "-":
            continue
        near = np.hypot(*(middle[plus] - middle[line]).T) <= MINUS_REACH_MM
        near &= np.abs(extent[plus] / extent[line] - 1) <= ALIKE
        near &= np.abs(pen[plus] - pen[line]) <= SAME_PEN_MM
        kept[line] = bool(near.any())
