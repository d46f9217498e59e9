"""Labels that one check tells as several and another one as a whole: `G` and `3V` beside `G 3V`.

Where a label ends is judgement of the reader, and a small change nearby can turn it: what stands side by side in one
check may be one label in the other. All distances are judgement of this project, no source.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from labelcheck.labels.label import Box
from labelcheck.review.seen import LabelSeen

MOST_PARTS = 4
APART_AT_MOST = 2.5
"""Heights that neighbours on one line may be apart: wider than any blank, narrower than the next pin's name."""
OVERLAP_AT_MOST = 0.3
"""Heights by which the boxes of neighbours may lie in one another."""
ON_ONE_LINE = 0.5
"""Share of the lower one's height that two neighbours have in common."""
HEIGHTS_WITHIN = 1.6
"""Lower case without a tall letter beside a capital is this much lower, with rounding."""
WITHIN = 0.5
"""Share of a part's box that must lie in the box of the whole."""
SAME_BOX = 0.6
"""Common area of two boxes as a share of what both take: one part may have moved a little meanwhile."""

Group = tuple[int, ...]
"""Rows of labels."""


def one_of(parts: Sequence[LabelSeen]) -> LabelSeen:
    """Neighbours as one label, called by all their names; its text is theirs, None where one is unread."""
    parts = _in_reading_order(parts)
    longest = max(parts, key=lambda part: _longer(part.box_mm))
    heights = [part.character_height_mm for part in parts if part.character_height_mm is not None]
    texts = [part.text for part in parts if part.text is not None]
    return replace(
        longest,
        id=parts[0].id,
        text=" ".join(texts) if len(texts) == len(parts) else None,
        box_mm=_around(part.box_mm for part in parts),
        character_height_mm=max(heights, default=None),
        parts=tuple(parts),
    )


def letters(text: str | None) -> str | None:
    """A text without its blanks: where they stand is the reader's judgement."""
    return None if text is None else "".join(text.split())


def lying_in(whole: Box, boxes: np.ndarray) -> list[int]:
    """Rows of the boxes, shape (n, 4), that could be parts of a whole, where together they take its place.

    An empty list where fewer than two do, or where they take another place.
    """
    if len(boxes) < 2:
        return []
    across = np.minimum(boxes[:, 2], whole[2]) - np.maximum(boxes[:, 0], whole[0])
    along = np.minimum(boxes[:, 3], whole[3]) - np.maximum(boxes[:, 1], whole[1])
    areas = (boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1])
    inside = np.maximum(across, 0) * np.maximum(along, 0) >= WITHIN * np.maximum(areas, 1e-9)
    rows = [int(row) for row in np.flatnonzero(inside)]
    if len(rows) < 2 or same_box(whole, _around(tuple(boxes[row]) for row in rows)) < SAME_BOX:
        return []
    # Where one of them alone takes the place, it is the label, and what lies in it belongs to something else.
    alone = max(same_box(whole, tuple(boxes[row])) for row in rows)
    return [] if alone >= same_box(whole, _around(tuple(boxes[row]) for row in rows)) else rows


def same_box(one: Box, other: Box) -> float:
    """Common area as a share of the area that both take together."""
    width = min(one[2], other[2]) - max(one[0], other[0])
    height = min(one[3], other[3]) - max(one[1], other[1])
    common = max(width, 0.0) * max(height, 0.0)
    both = sum((box[2] - box[0]) * (box[3] - box[1]) for box in (one, other)) - common
    return common / both if both > 0 else 0.0


def neighbours_on_a_line(labels: Sequence[LabelSeen], rows: Sequence[int]) -> Iterator[Group]:
    """Groups of two to `MOST_PARTS` labels of one side that follow one another, along x or along y."""
    for side in sorted({labels[row].side for row in rows}):
        ours = [row for row in rows if labels[row].side == side]
        boxes = np.array([labels[row].box_mm for row in ours])
        for axis in (0, 1):
            following = _following(boxes, axis)
            for first in range(len(ours)):
                chain = [first]
                while len(chain) < MOST_PARTS and (after := following[chain[-1]]) is not None:
                    chain.append(after)
                    yield tuple(ours[place] for place in chain)


def _following(boxes: np.ndarray, axis: int) -> list[int | None]:
    """For each box the nearest one that goes on along an axis, None where there is none."""
    found: list[int | None] = []
    start, end = boxes[:, axis], boxes[:, axis + 2]
    low, high = boxes[:, 1 - axis], boxes[:, 3 - axis]
    heights = np.maximum(high - low, 1e-6)
    for row in range(len(boxes)):
        larger, lower = np.maximum(heights, heights[row]), np.minimum(heights, heights[row])
        gap = (start - end[row]) / larger
        common = np.minimum(high, high[row]) - np.maximum(low, low[row])
        goes_on = (gap >= -OVERLAP_AT_MOST) & (gap <= APART_AT_MOST) & (start > start[row])
        goes_on &= (common >= ON_ONE_LINE * lower) & (larger <= HEIGHTS_WITHIN * lower)
        near = np.flatnonzero(goes_on)
        found.append(int(near[np.argmin(gap[near])]) if near.size else None)
    return found


def _in_reading_order(parts: Sequence[LabelSeen]) -> list[LabelSeen]:
    """As they are read on their own side; the direction is that of the longest one that was read."""
    read = [part for part in parts if part.text is not None] or list(parts)
    turn = np.radians(max(read, key=lambda part: _longer(part.box_mm)).turned_deg)
    right = 1.0 if parts[0].side == "top" else -1.0
    across, up = float(np.cos(turn)) * right, float(np.sin(turn))

    def along(part: LabelSeen) -> float:
        x, y = part.middle_mm
        return round(x * across + y * up, 6)

    return sorted(parts, key=lambda part: (along(part), part.box_mm))


def _longer(box: Box) -> float:
    return max(box[2] - box[0], box[3] - box[1])


def _around(boxes: Iterable[tuple[float, ...]]) -> Box:
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return (float(min(x0)), float(min(y0)), float(max(x1)), float(max(y1)))
