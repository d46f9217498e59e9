"""Ink to marks: ink that belongs together, usually one character, else a part of a drawing."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import shapely

from labelcheck.labels.glyphs import spread
from labelcheck.labels.ink import scattered_numbers
from labelcheck.labels.joining import components, near_pairs, numbered, segment_distances
from labelcheck.trade.shapes import Flags, Floats, Integers, Kind, Shapes

JOIN_RADII = 0.6
"""Strokes of one pen join where their centre lines come this near, in pen radii: letters that merely touch have
their centre lines a whole pen apart, strokes of one letter meet."""
TOUCH_WIDTHS = 1.03
"""Scan lines and dots that paint an area lie up to a pen apart."""
OFFSET_WIDTHS = 0.15
"""Nearer than this they are one line drawn twice."""
PAINTED_SHARE = 0.5
"""A mark is painted where this share of its strokes lies beside another one."""
DOT_PENS = 2.5
SAME_PEN_MM = 0.002
ORDER_REACH = 60
"""Strokes of one letter follow one another within this many objects of the file."""
ORDER_SHARE = 0.98
"""A pen whose contacts lie less often than this within `ORDER_REACH` was sorted again: its order says nothing."""


WHOLE_VIEW, COARSE_VIEW, FINE_VIEW = 0, 1, 2


class Drawn(IntEnum):
    """How a mark is drawn."""

    STROKES = 0
    REGIONS = 1
    FLASHES = 2
    KNOCKED_OUT = 3


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """Marks as columns, in order of their first object.

    `member` objects sorted by mark and object, `first` (m + 1,) where each mark's start; `pen_mm` (m,) the one pen
    of its dark objects, nan where filled or several; `painted` (m,) whether scan lines or dots side by side paint it,
    so that the pen is not its stroke; `drawn` (m,) `Drawn`; `box` (m, 4) of its dark ink. `parent` (m,) is -1, or
    for a possible character within a larger mark (its strokes, or a hole of its ink) the number of that mark. `views`
    (m,) has a bit for each way of taking marks apart in which the mark is seen; bit 0 is for marks taken whole.
    """

    member: Integers
    first: Integers
    pen_mm: Floats
    painted: Flags
    drawn: Integers
    box: Floats
    parent: Integers
    views: Integers

    def __len__(self) -> int:
        return len(self.first) - 1

    def objects(self, mark: int) -> Integers:
        """Objects of one mark, in drawing order."""
        return self.member[self.first[mark] : self.first[mark + 1]]

    def members(self, marks: Integers) -> tuple[Integers, Integers]:
        """Objects of several marks, one after the other, and which of them each belongs to."""
        count = self.first[marks + 1] - self.first[marks]
        return self.member[spread(self.first[marks], count)], np.repeat(np.arange(len(marks)), count)

    def with_parts(self, parts: "Marks", view: int) -> "Marks":
        """These marks and after them parts of them, seen in one more view; a part that is known is seen in both."""
        key, known = _object_sums(parts), _object_sums(self)
        order = np.argsort(known, kind="stable")
        place = np.minimum(np.searchsorted(known, key, sorter=order), max(len(known) - 1, 0))
        same = known[order[place]] == key if len(known) else np.zeros(len(key), dtype=np.bool_)
        views = self.views.copy()
        again = order[place[same]]
        views[again] |= np.where(self.parent[again] >= 0, 1 << view, 0)
        fresh = np.flatnonzero(~same)
        member, _ = parts.members(fresh)
        sizes = np.diff(parts.first)[fresh]
        pen_mm, painted, drawn, box, parent = (
            np.concatenate((getattr(self, name), getattr(parts, name)[fresh]))
            for name in ("pen_mm", "painted", "drawn", "box", "parent")
        )
        return Marks(
            np.concatenate((self.member, member)), np.concatenate((self.first, self.first[-1] + np.cumsum(sizes))),
            pen_mm, painted, drawn, box, parent, np.concatenate((views, np.full(len(fresh), 1 << view))),
        )


def _object_sums(marks: Marks) -> Integers:
    """A number for each mark that is equal for equal sets of objects."""
    scatter = scattered_numbers(int(marks.member.max(initial=0)) + 1)
    return np.add.reduceat(scatter[marks.member], marks.first[:-1]) if len(marks) else np.zeros(0, dtype=np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Contacts:
    """Pairs of objects whose bars, of one pen, lie near each other; shape (c,).

    `joined` where their centre lines meet, `painting` where they lie side by side as scan lines do.
    """

    first: Integers
    second: Integers
    joined: Flags
    painting: Flags


def find_marks(shapes: Shapes, contacts: Contacts) -> Marks:
    """Join the dark objects that belong together and give each clear object to the mark that it cuts into."""
    boxes = shapes.boxes()
    dark = shapes.dark & np.isfinite(boxes[:, 0])
    kept = (contacts.joined & _order_local(shapes, contacts)) | contacts.painting
    links = [(contacts.first[kept], contacts.second[kept]), *_ring_contacts(shapes, boxes, dark)]
    label = components(len(shapes), *(np.concatenate(side) for side in zip(*links, strict=True)))
    beside = np.zeros(len(shapes), dtype=np.bool_)
    beside[contacts.first[contacts.painting]] = beside[contacts.second[contacts.painting]] = True
    number = np.full(len(shapes), -1)
    number[dark], count = numbered(label[dark])
    mark_box = _group_boxes(boxes[dark], number[dark], count)
    _give_counters(shapes, boxes, number, mark_box)
    return mark_columns(shapes, number, mark_box, beside)


def _group_boxes(boxes: Floats, group: Integers, count: int) -> Floats:
    total = np.empty((count, 4))
    total[:, :2], total[:, 2:] = np.inf, -np.inf
    np.minimum.at(total, (group[:, None], np.array([0, 1])), boxes[:, :2])
    np.maximum.at(total, (group[:, None], np.array([2, 3])), boxes[:, 2:])
    return total


def find_contacts(shapes: Shapes) -> Contacts:
    """Contacts between the bars of dark stroked or flashed objects."""
    bars = np.flatnonzero(shapes.dark[shapes.bar_object] & (shapes.width > 0))
    segment = np.column_stack((shapes.x0, shapes.y0, shapes.x1, shapes.y1))[bars]
    owner, width = shapes.bar_object[bars], shapes.width[bars]
    low = np.minimum(segment[:, :2], segment[:, 2:])
    high = np.maximum(segment[:, :2], segment[:, 2:])
    a, b = near_pairs(np.hstack((low, high)), width * TOUCH_WIDTHS / 2)
    alike = (np.abs(width[a] - width[b]) <= SAME_PEN_MM) & (owner[a] != owner[b])
    a, b = a[alike], b[alike]
    apart = segment_distances(segment[a], segment[b]) / width[a]
    joined, painting = apart <= JOIN_RADII / 2, _painting(segment, a, b, apart)
    near = joined | painting
    return Contacts(owner[a][near], owner[b][near], joined[near], painting[near])


def _order_local(shapes: Shapes, contacts: Contacts) -> Flags:
    """Which contacts are to be believed by their order in the file; all of a pen that was sorted again."""
    widest = np.zeros(len(shapes))
    np.maximum.at(widest, shapes.bar_object, shapes.width)
    _, pen = np.unique(np.round(widest[contacts.first] / SAME_PEN_MM), return_inverse=True)
    near = np.abs(contacts.first - contacts.second) <= ORDER_REACH
    joined = np.bincount(pen, contacts.joined)
    kept = np.bincount(pen, contacts.joined & near)
    return near | (kept < ORDER_SHARE * joined)[pen] if len(near) else near


def _painting(segment: Floats, a: Integers, b: Integers, apart: Floats) -> Flags:
    """Pairs of neighbouring scan lines, or of dots, that paint an area together."""
    dx, dy = segment[:, 2] - segment[:, 0], segment[:, 3] - segment[:, 1]
    length = np.hypot(dx, dy)
    dots = (length[a] == 0) & (length[b] == 0)
    with np.errstate(invalid="ignore", divide="ignore"):
        sine = np.abs(dx[a] * dy[b] - dy[a] * dx[b]) / (length[a] * length[b])
        unit_x, unit_y = dx[a] / length[a], dy[a] / length[a]
    along = [
        (segment[b, x] - segment[a, 0]) * unit_x + (segment[b, x + 1] - segment[a, 1]) * unit_y for x in (0, 2)
    ]
    shared = np.minimum(np.maximum(*along), length[a]) - np.maximum(np.minimum(*along), 0.0)
    beside = (sine < 0.02) & (shared > 0)
    return (apart >= OFFSET_WIDTHS) & (apart <= TOUCH_WIDTHS) & (dots | beside)


def _ring_contacts(shapes: Shapes, boxes: Floats, dark: Flags) -> list[tuple[Integers, Integers]]:
    """Pairs of filled objects that overlap or touch, and of filled objects with the strokes along their edge."""
    filled = np.unique(shapes.ring_object[dark[shapes.ring_object]])
    if len(filled) == 0:
        return []
    areas = filled_areas(shapes, filled)
    a, b = near_pairs(boxes[filled], 0.001)
    touching = shapely.dwithin(areas[a], areas[b], 0.001)
    return [(filled[a[touching]], filled[b[touching]]), _outlined(shapes, boxes, filled, areas)]


def filled_areas(shapes: Shapes, objects: Integers) -> np.ndarray:
    """The rings of each object as a polygon: the largest as its hull, the others as its holes; object array."""
    chosen = np.isin(shapes.ring_object, objects)
    size = np.diff(shapes.ring_start)[chosen]
    vertex = spread(shapes.ring_start[:-1][chosen], size)
    owner = np.searchsorted(objects, shapes.ring_object[chosen])
    points = np.column_stack((shapes.vx[vertex], shapes.vy[vertex]))
    number = np.repeat(np.arange(len(size)), size)
    # A ring needs three corners; a contour with fewer covers nothing.
    whole = (size >= 3)[number]
    rings = np.full(len(size), None, dtype=object)
    rings[size >= 3] = shapely.linearrings(points[whole], indices=numbered(number[whole])[0])
    areas = np.full(len(objects), shapely.Polygon(), dtype=object)
    single = np.bincount(owner, size >= 3, len(objects)) == 1
    lone = single[owner] & (size >= 3)
    areas[owner[lone]] = shapely.polygons(rings[lone])
    for which in np.flatnonzero(np.bincount(owner, size >= 3, len(objects)) > 1).tolist():
        parts = shapely.polygons(rings[(owner == which) & (size >= 3)])
        total = parts[0]
        for part in parts[1:]:
            total = shapely.symmetric_difference(shapely.make_valid(total), shapely.make_valid(part))
        areas[which] = total
    return areas


def _outlined(shapes: Shapes, boxes: Floats, filled: Integers, areas: np.ndarray) -> tuple[Integers, Integers]:
    """Filled objects with the strokes that run along their edge."""
    none = np.zeros(0, dtype=np.int64)
    strokes = np.flatnonzero((shapes.kind == Kind.STROKE) & shapes.dark)
    if len(strokes) == 0:
        return none, none
    tree = shapely.STRtree(shapely.box(*boxes[filled].T))
    bars = np.flatnonzero(np.isin(shapes.bar_object, strokes))
    middle_x, middle_y = (shapes.x0 + shapes.x1)[bars] / 2, (shapes.y0 + shapes.y1)[bars] / 2
    bar, area = tree.query(shapely.points(middle_x, middle_y))
    edge = shapely.boundary(areas[area])
    near = np.ones(len(bar), dtype=np.bool_)
    reach = 0.15 * shapes.width[bars[bar]] + 0.001
    for x, y in (
        (middle_x[bar], middle_y[bar]),
        (shapes.x0[bars[bar]], shapes.y0[bars[bar]]),
        (shapes.x1[bars[bar]], shapes.y1[bars[bar]]),
    ):
        near[near] = shapely.dwithin(shapely.points(x[near], y[near]), edge[near], reach[near])
    return shapes.bar_object[bars[bar[near]]], filled[area[near]]


def _give_counters(shapes: Shapes, boxes: Floats, number: Integers, mark_box: Floats) -> None:
    """Put each clear object that lies within the box of a mark drawn before it into that mark, the smallest such."""
    clear = np.flatnonzero(~shapes.dark & np.isfinite(boxes[:, 0]))
    if len(clear) == 0 or len(mark_box) == 0:
        return
    slack = 0.002
    tree = shapely.STRtree(shapely.box(*mark_box.T))
    middle = shapely.points((boxes[clear, 0] + boxes[clear, 2]) / 2, (boxes[clear, 1] + boxes[clear, 3]) / 2)
    which, mark = tree.query(middle)
    inside = (boxes[clear[which], :2] >= mark_box[mark, :2] - slack).all(axis=1)
    inside &= (boxes[clear[which], 2:] <= mark_box[mark, 2:] + slack).all(axis=1)
    started = np.full(len(mark_box), len(shapes))
    np.minimum.at(started, number[number >= 0], np.flatnonzero(number >= 0))
    inside &= started[mark] < clear[which]
    which, mark = which[inside], mark[inside]
    area = np.prod(mark_box[mark, 2:] - mark_box[mark, :2], axis=1)
    order = np.lexsort((mark, -area, which))
    number[clear[which[order]]] = mark[order]  # the last one written, the smallest, stays


def mark_columns(shapes: Shapes, number: Integers, mark_box: Floats, beside: Flags) -> Marks:
    """Marks in order of their first object."""
    count = len(mark_box)
    member = np.flatnonzero(number >= 0)
    member = member[np.argsort(number[member], kind="stable")]
    first = np.searchsorted(number[member], np.arange(count + 1))
    bars = shapes.dark[shapes.bar_object] & (number[shapes.bar_object] >= 0)
    owner, width = number[shapes.bar_object[bars]], shapes.width[bars]
    least, most = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(least, owner, width)
    np.maximum.at(most, owner, width)
    rings = number[shapes.ring_object[shapes.dark[shapes.ring_object]]]
    has_rings = np.bincount(rings[rings >= 0], minlength=count) > 0
    of_dark = (number >= 0) & shapes.dark
    total = np.bincount(number[of_dark], minlength=count)
    painted = np.bincount(number[of_dark], beside[of_dark], count) >= PAINTED_SHARE * total
    # A dot drawn as a tiny square lies beside itself too: it is no wider than its pen makes it.
    painted &= np.max(mark_box[:, 2:] - mark_box[:, :2], axis=1) > DOT_PENS * most
    one_pen = (most - least <= SAME_PEN_MM) & ~has_rings
    with np.errstate(invalid="ignore"):
        pen = np.where(one_pen, (least + most) / 2, np.nan)
    flashes = np.bincount(number[of_dark], shapes.kind[of_dark] == Kind.FLASH, count)
    drawn = np.where(flashes > total / 2, Drawn.FLASHES, np.where(has_rings, Drawn.REGIONS, Drawn.STROKES))
    whole = np.full(count, -1)
    views = np.full(count, 1 << WHOLE_VIEW)
    return Marks(member, first, pen, painted, drawn.astype(np.int64), mark_box, whole, views)
