"""What stands on each label once the parts are on: how much of which character, and whose body."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from labelcheck.board.components import Component
from labelcheck.labels.label import Label
from labelcheck.press.evidence import Hiding, Loss
from labelcheck.press.moving import shortest_way_out
from labelcheck.press.whose import relation_of
from labelcheck.raster.rendering import render, render_groups
from labelcheck.raster.run_algebra import intersect
from labelcheck.raster.runs import Runs, area_by_group, boxes_by_group, concatenated, no_runs
from labelcheck.trade.limits import Limits
from labelcheck.trade.shapes import Shapes, concatenate, polygon

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

WORTH_TELLING = 0.03
"""A character of which less is hidden is not named among the hidden ones."""
ESTIMATE_SPARED_MM = 0.15
"""An estimate is this much smaller on all sides: where it merely touches a label it proves nothing."""
RELATIONS = ("another", "covering", "aid", "own")
"""How a label belongs to what hides it, the gravest first."""


@dataclass(frozen=True, slots=True, eq=False)
class _Hidden:
    """One row a mark and a body that may meet: rows of `marks` and `bodies`; areas in mm², boxes (n, 4) in mm."""

    marks: Integers
    bodies: Integers
    sure: Floats
    possible: Floats
    boxes: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Covered:
    """What bodies do to the labels of one side, and all bodies that stand on any of their ink together."""

    hiding: tuple[Hiding | None, ...]
    """For each label the body that does most harm; None where no body is known on this side."""
    shares: Floats
    """(labels,) of its ink under bodies at their largest, ink under several of them counted once."""
    as_told: Runs
    """Where those bodies stand as the files tell: estimates left out."""
    largest: Runs
    """Where they stand at their largest, estimates included."""


def hiding_on(
    ink: Runs, own_area: Floats, labels: Sequence[Label], components: Sequence[Component], limits: Limits
) -> Covered:
    """What hides each label. `ink` is grouped by mark number, `own_area` (marks,) is its area in mm².

    `components` are those of the same side. A label that nothing hides has a `Hiding` without characters.
    """
    standing = [component for component in components if component.body is not None]
    if not standing:
        nothing = no_runs(ink.pitch_mm)
        return Covered((None,) * len(labels), np.zeros(len(labels)), nothing, nothing)
    ink, own_area = _with_knocked_out(ink, own_area, labels)
    hidden = _hidden(ink, labels, standing, limits)
    outlines = [_outlines(standing[body], limits.body_allowance.value_mm) for body in np.unique(hidden.bodies)]
    as_told, largest = (
        render(_shapes_of([outline[size] for outline in outlines])[0], ink.pitch_mm) for size in range(2)
    )
    under = _area_under(ink, largest, hidden, len(own_area))
    rows_of: dict[int, list[int]] = defaultdict(list)
    for row, mark in enumerate(hidden.marks.tolist()):
        rows_of[mark].append(row)
    told: list[Hiding | None] = []
    shares = np.zeros(len(labels))
    for place, label in enumerate(labels):
        numbers = [mark.number for mark in label.marks]
        rows = [row for number in numbers for row in rows_of.get(number, ())]
        if rows:
            shares[place] = min(1.0, float(under[numbers].sum()) / max(float(own_area[numbers].sum()), 1e-9))
        told.append(_worst(label, rows, hidden, own_area, (standing, limits)))
    return Covered(tuple(told), shares, as_told, largest)


def _area_under(ink: Runs, largest: Runs, hidden: _Hidden, count: int) -> Floats:
    """Ink of each mark under any body, (count,) mm², whichever and how many they are."""
    if ink.group is None or len(hidden.marks) == 0:
        return np.zeros(count)
    met = np.zeros(max(count, int(ink.group.max(initial=-1)) + 1), dtype=np.bool_)
    met[hidden.marks] = True
    return area_by_group(intersect(ink.take(met[ink.group]), largest), count)


def _with_knocked_out(ink: Runs, own_area: Floats, labels: Sequence[Label]) -> tuple[Runs, Floats]:
    """The ink, and for characters that are left out of a filled area, which have none, their boxes."""
    hollow = [mark for label in labels for mark in label.marks if own_area[mark.number] == 0]
    if not hollow:
        return ink, own_area
    boxes = concatenate([polygon([np.asarray(shapely.box(*mark.box_mm).exterior.coords)[:-1]]) for mark in hollow])
    numbers = np.array([mark.number for mark in hollow], dtype=np.int64)
    filled = render_groups(boxes, numbers, ink.pitch_mm)
    own_area = own_area.copy()
    own_area[numbers] = area_by_group(filled, len(own_area))[numbers]
    both = concatenated([ink, filled], ink.pitch_mm, grouped=True)
    if both.group is None:
        return ink, own_area
    return both.take(np.lexsort((both.start, both.row, both.group))), own_area


def _hidden(ink: Runs, labels: Sequence[Label], standing: Sequence[Component], limits: Limits) -> _Hidden:
    """Ink under each body, mark by mark: the body as told, and as large as it may be."""
    numbers = np.array([mark.number for label in labels for mark in label.marks], dtype=np.int64)
    boxes = np.array([mark.box_mm for label in labels for mark in label.marks]).reshape(-1, 4)
    told, largest = zip(*(_outlines(one, limits.body_allowance.value_mm) for one in standing), strict=True)
    met, bodies = shapely.STRtree(list(largest)).query(shapely.box(*boxes.T), predicate="intersects")
    order = np.lexsort((bodies, numbers[met]))
    marks, bodies = numbers[met][order], bodies[order].astype(np.int64)
    used, place = np.unique(bodies, return_inverse=True)
    sure, _ = _under([told[body] for body in used], place, marks, ink)
    possible, boxes = _under([largest[body] for body in used], place, marks, ink)
    kept = possible > 0
    return _Hidden(marks[kept], bodies[kept], sure[kept], possible[kept], boxes[kept])


def _outlines(component: Component, allowance_mm: float) -> tuple[Polygon, Polygon]:
    """A body as told and at its largest; an estimate is sure of nothing, and possible only well within."""
    body = component.body
    assert body is not None, "only components with a body are asked"
    if body.estimated:
        return Polygon(), body.area.buffer(-ESTIMATE_SPARED_MM, join_style="mitre")
    return body.area, body.area.buffer(allowance_mm, join_style="mitre")


def _under(outlines: Sequence[Polygon], place: Integers, marks: Integers, ink: Runs) -> tuple[Floats, Floats]:
    """Area and box of the ink of `marks[i]` under outline `place[i]`, (n,) mm² and (n, 4) mm."""
    bodies = render_groups(*_shapes_of(outlines), ink.pitch_mm)
    pairs_of_ink = _paired(ink, marks, None)
    low, high = _rows_of(pairs_of_ink, len(marks))
    met = intersect(pairs_of_ink, _paired(bodies, place, (low, high)))
    return area_by_group(met, len(marks)), boxes_by_group(met, len(marks))


def _shapes_of(outlines: Sequence[Polygon]) -> tuple[Shapes, Integers]:
    """The outlines as filled shapes, and which outline each belongs to; empty ones have none."""
    shapes, owner = [], []
    for number, outline in enumerate(outlines):
        for part in shapely.get_parts(outline).tolist():
            if not part.is_empty:
                shapes.append(polygon([np.asarray(part.exterior.coords)[:-1, :2]]))
                owner.append(number)
    return concatenate(shapes), np.array(owner, dtype=np.int64)


def _paired(runs: Runs, groups: Integers, rows: tuple[Integers, Integers] | None) -> Runs:
    """The runs of `groups[i]` as group i, only on rows from `rows[0][i]` up to, not including, `rows[1][i]`."""
    # Group and row as one number, so that one search finds where each pair's runs begin and end.
    span = 1 << 32
    own = runs.group if runs.group is not None else np.zeros(len(runs), dtype=np.int32)
    keys = own.astype(np.int64) * span + runs.row
    low, high = (-(span >> 1), (span >> 1) - 1) if rows is None else rows
    first, last = np.searchsorted(keys, groups * span + low), np.searchsorted(keys, groups * span + high)
    counts = np.maximum(last - first, 0)
    chosen = np.repeat(first - np.concatenate(([0], np.cumsum(counts)[:-1])), counts) + np.arange(counts.sum())
    taken = runs.take(chosen)
    pair = np.repeat(np.arange(len(groups), dtype=np.int32), counts)
    return Runs(runs.pitch_mm, taken.row, taken.start, taken.end, pair)


def _rows_of(runs: Runs, groups: int) -> tuple[Integers, Integers]:
    """First row and one past the last row of each group."""
    low, high = np.full(groups, 0, dtype=np.int64), np.full(groups, 0, dtype=np.int64)
    if len(runs) and runs.group is not None:
        first = np.flatnonzero(np.diff(runs.group, prepend=-1))
        last = np.append(first[1:], len(runs)) - 1
        low[runs.group[first]], high[runs.group[first]] = runs.row[first], runs.row[last] + 1
    return low, high


NOTHING_HIDDEN = Hiding(
    loss=Loss(sure=0.0, possible=0.0, characters=(), box_mm=(0.0, 0.0, 0.0, 0.0), move_mm=0.0, towards=""),
    reference=None, basis="", estimated=False, relation="another",
)  # fmt: skip


def _worst(
    label: Label, rows: Sequence[int], hidden: _Hidden, own_area: Floats, bodies: tuple[Sequence[Component], Limits]
) -> Hiding:
    """The body that does most harm to a label; `bodies` are those that `hidden` counts, and their allowance."""
    standing, limits = bodies
    by_body: dict[int, list[int]] = defaultdict(list)
    for row in rows:
        by_body[int(hidden.bodies[row])].append(row)
    allowance = limits.body_allowance.value_mm
    found = []
    for body, own_rows in by_body.items():
        _, largest = _outlines(standing[body], allowance)
        loss = _loss(label, own_rows, hidden, own_area, largest)
        if loss is not None:
            relation = relation_of(label, standing[body], standing)
            found.append((RELATIONS.index(relation), -loss.possible, body, relation, loss))
    if not found:
        return NOTHING_HIDDEN
    _, _, body, relation, loss = min(found, key=lambda one: one[:3])
    component = standing[body]
    assert component.body is not None, "only components with a body are asked"
    return Hiding(loss, component.reference, component.body.basis, component.body.estimated, relation)


def _loss(
    label: Label, rows: Sequence[int], hidden: _Hidden, own_area: Floats, largest: Polygon
) -> Loss | None:
    """What one body, with its outline at the largest, hides of a label; None where that is not worth telling."""
    place_of = {mark.number: place for place, mark in enumerate(label.marks)}
    area = np.maximum(own_area[hidden.marks[list(rows)]], 1e-9)
    sure, possible = hidden.sure[list(rows)] / area, hidden.possible[list(rows)] / area
    by_sure = bool(sure.max() >= WORTH_TELLING)
    hit = [row for row, share in zip(rows, sure if by_sure else possible, strict=True) if share >= WORTH_TELLING]
    if not hit:
        return None
    boxes = hidden.boxes[hit]
    x0, y0, x1, y1 = (float(edge) for edge in (*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)))
    move_mm, towards = shortest_way_out(label, (x0, y0, x1, y1), np.array([largest.bounds]))
    return Loss(
        sure=min(1.0, float(sure.max())),
        possible=min(1.0, float(possible.max())),
        characters=tuple(sorted(place_of[int(hidden.marks[row])] for row in hit)),
        box_mm=(x0, y0, x1, y1),
        move_mm=move_mm,
        towards=towards,
    )
