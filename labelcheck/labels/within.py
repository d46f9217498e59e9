"""Possible characters within larger marks: text that touches an outline, and text knocked out of filled ink."""

from dataclasses import replace

import numpy as np
import shapely

from labelcheck.labels.areas import POLYGON, ink_areas
from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.ink import Ink
from labelcheck.labels.joining import components, numbered
from labelcheck.labels.marks import COARSE_VIEW, FINE_VIEW, Contacts, Drawn, Marks, mark_columns
from labelcheck.trade.shapes import Flags, Floats, Integers, Shapes, concatenate, polygon

LEAST_HOST_MM = 1.0
"""No larger mark holds a character and more: its lesser extent."""
CHARACTER_MM = (0.35, 4.0)
"""Extent of characters looked for among the strokes of other marks."""
CLEAR_CHARACTER_MM = (0.35, 12.0)
"""Extent of characters knocked out of filled ink: names of boards are, in large letters."""
STEPS_APART = (24, 3)
"""Strokes of one letter follow one another within so many objects of the file; an outline is drawn elsewhere. Looked
for coarsely, and within what that finds finely."""
MOST_BARS = 4000
"""A painted mark of more bars is a picture: its holes are not looked into."""
JOINING_MM = 0.002
"""Scan lines are this much thicker when it is asked what they enclose: they lie a pen apart but for rounding."""
ROUND_OFF = (0.3, 0.8)
"""Pens of painted ink by which the corners of its holes are rounded off: the slits between the ends of scan lines,
and, where strokes are wide enough to stand it, the steps of slanting edges."""
STEPS_LEFT = 0.5
"""Share of that radius by which what is left of steps is smoothed away."""
LEFT_OF_ROUNDED = 0.8
"""A hole of which less would be left, as a share of it, is too narrow for that."""
LARGEST_PART = 0.7
"""A part of a mark that is larger than this, as a share of it, is the mark but for a stroke."""
LETTER_HOLES = 2
LETTER_HOST_MM = 2.6
"""A mark no higher than this with so few holes is a letter with its counters."""


def with_strokes_within(shapes: Shapes, marks: Marks, contacts: Contacts) -> Marks:
    """The marks, and after them the possible characters among the strokes of larger ones."""
    for view, steps in zip((COARSE_VIEW, FINE_VIEW), STEPS_APART, strict=True):
        marks = marks.with_parts(_strokes_within(shapes, marks, contacts, steps), view)
    return marks


def _strokes_within(shapes: Shapes, marks: Marks, contacts: Contacts, steps: int) -> Marks:
    """Groups of strokes within pen-drawn marks that follow one another in the file, as large as a character."""
    extent = marks.box[:, 2:] - marks.box[:, :2]
    hosts = ~np.isnan(marks.pen_mm) & ~marks.painted & (extent.max(axis=1) >= 2 * CHARACTER_MM[0])
    host_of = np.full(len(shapes), -1)
    # Parts come after their hosts, so that each object is looked at in the smallest mark that holds it.
    host_of[marks.member] = np.repeat(np.where(hosts, np.arange(len(marks)), -1), np.diff(marks.first))
    inside = contacts.joined & (host_of[contacts.first] >= 0)
    inside &= np.abs(contacts.first - contacts.second) <= steps
    label = components(len(shapes), contacts.first[inside], contacts.second[inside])
    chosen = (host_of >= 0) & shapes.dark
    if not chosen.any():
        return no_parts()
    number = np.full(len(shapes), -1)
    number[chosen], count = numbered(label[chosen])
    if count == 0:
        return no_parts()
    box = boxes_of(shapes.boxes(), number, count)
    size = (box[:, 2:] - box[:, :2]).max(axis=1, initial=0.0)
    lead = np.zeros(count, dtype=np.int64)
    lead[number[chosen]] = host_of[chosen]
    possible = (size >= CHARACTER_MM[0]) & (size <= CHARACTER_MM[1])
    possible &= np.bincount(number[chosen], minlength=count) > 1
    # Two characters printed over one another make a mark hardly larger than either.
    overprinted = np.bincount(lead, possible, len(marks))[lead] >= 2
    possible &= (size <= LARGEST_PART * extent[lead].max(axis=1)) | overprinted
    renumbered = np.where(possible, np.cumsum(possible) - 1, -1)
    number = np.where(number >= 0, renumbered[number], -1)
    parts = mark_columns(shapes, number, box[possible], np.zeros(len(shapes), dtype=np.bool_))
    return replace(parts, parent=lead[possible])


def boxes_of(boxes: Floats, number: Integers, count: int) -> Floats:
    """Box of each numbered group of objects, shape (count, 4); objects numbered -1 belong to none."""
    total = np.empty((count, 4))
    total[:, :2], total[:, 2:] = np.inf, -np.inf
    kept = number >= 0
    np.minimum.at(total, (number[kept][:, None], np.array([0, 1])), boxes[kept][:, :2])
    np.maximum.at(total, (number[kept][:, None], np.array([2, 3])), boxes[kept][:, 2:])
    return total


def holes_within(ink: Ink, marks: Marks) -> tuple[Ink, Marks]:
    """The ink with the holes of filled marks added as areas, and a knocked-out mark for each that may be a character.

    An added area's rows in the legend are those of the clear objects that cut it, else those of the mark around it.
    """
    extent = marks.box[:, 2:] - marks.box[:, :2]
    clear = ~ink.shapes.dark[marks.member]
    owner = np.repeat(np.arange(len(marks)), np.diff(marks.first))
    cut = np.bincount(owner, clear, len(marks)) > 0
    filled = marks.painted | cut | np.isnan(marks.pen_mm)
    hosts = filled & (extent.min(axis=1) >= LEAST_HOST_MM) & (np.diff(marks.first) <= MOST_BARS)
    found: list[Shapes] = []
    rows: list[Integers] = []
    parents: list[int] = []
    boxes: list[Floats] = []
    islands = [np.flatnonzero(filled & _inside(marks.box, marks.box[host])) for host in np.flatnonzero(hosts)]
    drawn = np.unique(np.concatenate((np.flatnonzero(hosts), *islands)))
    areas = _areas(ink.shapes, marks, drawn)
    for host, within in zip(np.flatnonzero(hosts).tolist(), islands, strict=True):
        # Ink that stands in a hole, as the counter of a letter, is no part of the mark around it.
        holes = _holes(areas[np.searchsorted(drawn, host)], areas[np.searchsorted(drawn, within)])
        if marks.painted[host]:
            pen_mm = _pen_of(ink.shapes, marks.objects(host))
            for pens in ROUND_OFF:
                holes = _without_slits(holes, pens * pen_mm)
        sizes = shapely.bounds(holes)
        high = (sizes[:, 2:] - sizes[:, :2]).max(axis=1, initial=0.0)
        least, most = CLEAR_CHARACTER_MM
        possible = (high >= least) & (high <= min(most, 0.9 * extent[host].max()))
        if possible.sum() <= LETTER_HOLES and extent[host].min() <= LETTER_HOST_MM:
            continue
        for hole in holes[possible].tolist():
            found.append(polygon(_rings(hole)))
            boxes.append(shapely.bounds(hole))
            rows.append(_cutting(ink, marks.objects(host), boxes[-1]))
            parents.append(host)
    if not found:
        return ink, no_parts()
    first = len(ink.shapes)
    count = len(found)
    added = Ink(
        concatenate([ink.shapes, *found]), np.concatenate((ink.row, [row[0] for row in rows])),
        np.concatenate((ink.twin_row, *rows)),
        np.concatenate((ink.twin_first, ink.twin_first[-1] + np.cumsum([len(row) for row in rows]))),
    )
    return added, Marks(
        first + np.arange(count), np.arange(count + 1), np.full(count, np.nan), np.zeros(count, dtype=np.bool_),
        np.full(count, int(Drawn.KNOCKED_OUT)), np.array(boxes), np.array(parents), np.ones(count, dtype=np.int64),
    )


def no_parts() -> Marks:
    """No marks at all."""
    none = np.zeros(0, dtype=np.int64)
    return Marks(
        none, np.zeros(1, dtype=np.int64), np.zeros(0), np.zeros(0, dtype=np.bool_),
        none, np.zeros((0, 4)), none, none,
    )


def _inside(boxes: Floats, around: Floats) -> Flags:
    """Which boxes lie within another."""
    return np.asarray((boxes[:, :2] > around[:2]).all(axis=1) & (boxes[:, 2:] < around[2:]).all(axis=1))


def _areas(shapes: Shapes, marks: Marks, chosen: Integers) -> np.ndarray:
    """The ink of each of the chosen marks."""
    objects, owner = marks.members(chosen)
    glyphs = lay_out(shapes, objects, owner, np.zeros(len(chosen)))
    joined = np.where(marks.painted[chosen], JOINING_MM, 0.0)
    glyphs = replace(glyphs, radius=glyphs.radius + joined[glyphs.bar_glyph])
    return ink_areas(glyphs, np.full(len(chosen), 4))


def _holes(area: shapely.Geometry, islands: np.ndarray) -> np.ndarray:
    """The clear spaces enclosed by an area, each less the ink that stands in it, as polygons."""
    if len(islands) == 0 and not shapely.get_num_interior_rings(shapely.get_parts(area)).any():
        return np.zeros(0, dtype=object)
    around = shapely.box(*shapely.bounds(area))
    area = shapely.union_all([area, *islands])
    spaces = shapely.get_parts(shapely.difference(shapely.buffer(around, 1.0), area))
    spaces = spaces[shapely.get_type_id(spaces) == POLYGON]
    return spaces[shapely.contains_properly(around, spaces)] if len(spaces) else spaces


def _pen_of(shapes: Shapes, objects: Integers) -> float:
    """Median width of the bars of some objects, 0 where they have none."""
    widths = shapes.width[np.isin(shapes.bar_object, objects)]
    return float(np.median(widths)) if len(widths) else 0.0


def _without_slits(holes: np.ndarray, radius_mm: float) -> np.ndarray:
    """The holes without what reaches in between the ends of scan lines; one that is a slit as a whole stays."""
    opened = shapely.buffer(shapely.buffer(holes, -radius_mm, quad_segs=2), radius_mm, quad_segs=2)
    opened = shapely.simplify(opened, STEPS_LEFT * radius_mm)
    whole = shapely.get_type_id(opened) == POLYGON
    whole &= shapely.area(opened) >= LEFT_OF_ROUNDED * shapely.area(holes)
    return np.where(whole, opened, holes)


def _rings(area: shapely.Polygon) -> list[Floats]:
    return [np.asarray(ring.coords)[:-1, :2] for ring in (area.exterior, *area.interiors)]


def _cutting(ink: Ink, objects: Integers, box: Floats) -> Integers:
    """Rows of the legend of the clear objects within a box, else of all the objects."""
    boxes = ink.shapes.take(objects).boxes()
    clear = ~ink.shapes.dark[objects]
    within = clear & (boxes[:, :2] >= box[:2] - 0.01).all(axis=1) & (boxes[:, 2:] <= box[2:] + 0.01).all(axis=1)
    chosen = objects[within] if within.any() else objects
    return np.sort(np.concatenate([ink.twin_row[ink.twin_first[o] : ink.twin_first[o + 1]] for o in chosen.tolist()]))
