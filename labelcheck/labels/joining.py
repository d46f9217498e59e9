"""Which shapes are near one another, and what hangs together: the ground that marks and lines are built on."""

import numpy as np
import shapely

from labelcheck.trade.shapes import Flags, Floats, Integers


def near_pairs(boxes: Floats, reach: Floats | float) -> tuple[Integers, Integers]:
    """Pairs a < b of boxes (n, 4) that overlap when every box is grown by its reach, sorted."""
    grown = _rectangles(boxes + np.multiply.outer(np.broadcast_to(reach, len(boxes)), (-1.0, -1.0, 1.0, 1.0)))
    first, second = shapely.STRtree(grown).query(grown)
    return _sorted_pairs(first, second, first < second)


def boxes_within(boxes: Floats, others: Floats) -> tuple[Integers, Integers]:
    """Pairs (row of `boxes`, row of `others`) that overlap or touch, sorted."""
    first, second = shapely.STRtree(_rectangles(others)).query(_rectangles(boxes))
    return _sorted_pairs(first, second, np.ones(len(first), dtype=np.bool_))


def _rectangles(boxes: Floats) -> np.ndarray:
    return shapely.box(boxes[:, 0], boxes[:, 1], boxes[:, 2], boxes[:, 3])


def _sorted_pairs(first: Integers, second: Integers, kept: Flags) -> tuple[Integers, Integers]:
    first, second = first[kept], second[kept]
    order = np.lexsort((second, first))
    return first[order], second[order]


def components(count: int, first: Integers, second: Integers) -> Integers:
    """The smallest member of the component that each of `count` things belongs to, given linked pairs."""
    label = np.arange(count)
    while len(first):
        least = np.minimum(label[first], label[second])
        np.minimum.at(label, label[first], least)
        np.minimum.at(label, label[second], least)
        while True:
            shorter = label[label]
            if np.array_equal(shorter, label):
                break
            label = shorter
        open_links = label[first] != label[second]
        first, second = first[open_links], second[open_links]
    return label


def numbered(label: Integers) -> tuple[Integers, int]:
    """Component labels as numbers from 0 in order of label, and how many there are."""
    values, number = np.unique(label, return_inverse=True)
    return number.astype(np.int64), len(values)


def segment_distances(a: Floats, b: Floats) -> Floats:
    """Distances between segments, rows of (x0, y0, x1, y1), one pair a row."""
    apart = np.full(len(a), np.inf)
    for one, other in ((a, b), (b, a)):
        for x, y in ((one[:, 0], one[:, 1]), (one[:, 2], one[:, 3])):
            apart = np.minimum(apart, _point_to_segment(x, y, other))
    return np.where(_cross_each_other(a, b), 0.0, apart)


def _point_to_segment(x: Floats, y: Floats, segment: Floats) -> Floats:
    dx, dy = segment[:, 2] - segment[:, 0], segment[:, 3] - segment[:, 1]
    square = dx * dx + dy * dy
    along = (x - segment[:, 0]) * dx + (y - segment[:, 1]) * dy
    share = np.clip(np.divide(along, square, out=np.zeros_like(along), where=square > 0), 0.0, 1.0)
    return np.hypot(x - segment[:, 0] - share * dx, y - segment[:, 1] - share * dy)


def _cross_each_other(a: Floats, b: Floats) -> Flags:
    def side(segment: Floats, x: Floats, y: Floats) -> Floats:
        dx, dy = segment[:, 2] - segment[:, 0], segment[:, 3] - segment[:, 1]
        return dx * (y - segment[:, 1]) - dy * (x - segment[:, 0])

    apart_b = side(a, b[:, 0], b[:, 1]) * side(a, b[:, 2], b[:, 3]) < 0
    apart_a = side(b, a[:, 0], a[:, 1]) * side(b, a[:, 2], a[:, 3]) < 0
    return apart_a & apart_b
