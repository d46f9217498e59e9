"""Union, intersection, difference of runs, and which groups' inks overlap.

Where `a` is grouped and `b` is not, `b` counts for every group of `a`, and the result keeps `a`'s groups. Where
both are grouped, each group meets its namesake only.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.intervals import Intervals, expand, join, merge
from labelcheck.raster.runs import Floats, NumberLine, Runs, no_runs

Integers = NDArray[np.int64]

PAIRS_AT_ONCE = 2_000_000
"""Pairs of overlapping runs listed at a time."""


def union(a: Runs, b: Runs) -> Runs:
    """What lies in `a` or in `b`."""
    grouped = a.group is not None
    if a.group is not None and b.group is None:
        b = for_each_group(b, np.unique(a.group))
    if len(a) == 0 or len(b) == 0:
        return b if len(a) == 0 else a
    line = NumberLine.over(a, b)
    (a_start, a_end), (b_start, b_end) = line.intervals(a), line.intervals(b)
    both = merge(np.concatenate((a_start, b_start)), np.concatenate((a_end, b_end)))
    return line.runs(both, a.pitch_mm, grouped)


def intersect(a: Runs, b: Runs) -> Runs:
    """What lies in `a` and in `b`."""
    line, of_a, own, of_b = _on_one_line(a, b)
    first, _, counts = join(own, of_b)
    run, copy = expand(counts)
    other = first[run] + copy
    start, end = np.maximum(own[0][run], of_b[0][other]), np.minimum(own[1][run], of_b[1][other])
    return _pieces(line, a, of_a, run, own, (start, end))


def subtract(a: Runs, b: Runs) -> Runs:
    """What lies in `a` and not in `b`."""
    line, of_a, own, of_b = _on_one_line(a, b)
    first, _, counts = join(own, of_b)
    run, copy = expand(counts + 1)
    if len(of_b[0]) == 0:
        return a
    after = first[run] + copy
    last = len(of_b[0]) - 1
    start = np.where(copy == 0, own[0][run], of_b[1][np.clip(after - 1, 0, last)])
    end = np.where(copy == counts[run], own[1][run], of_b[0][np.minimum(after, last)])
    start = np.maximum(start, own[0][run])
    kept = start < end
    return _pieces(line, a, of_a, run[kept], own, (start[kept], end[kept]))


def for_each_group(runs: Runs, groups: NDArray[np.integer]) -> Runs:
    """The same ungrouped runs once for every group; `groups` sorted."""
    copies = len(groups)
    return Runs(
        runs.pitch_mm, np.tile(runs.row, copies), np.tile(runs.start, copies), np.tile(runs.end, copies),
        np.repeat(groups, len(runs)).astype(np.int32),
    )


def overlaps_between_groups(runs: Runs) -> tuple[Integers, Integers, Floats, Floats]:
    """Pairs of groups whose inks overlap: lower group, higher group, area in mm², box of the overlap.

    Shapes (p,), (p,), (p,), (p, 4) mm; sorted by the pair. The work is in proportion to the pairs of runs that do
    overlap, however many runs a row has.
    """
    if runs.group is None:
        raise ValueError("overlaps_between_groups needs grouped runs")
    group = runs.group
    groups = int(group.max(initial=0)) + 1
    keys, pixels, boxes = [], [], []
    for earlier, later, start, end, row in _overlapping_runs(runs):
        pair = np.minimum(group[earlier], group[later]).astype(np.int64) * groups
        pair += np.maximum(group[earlier], group[later])
        order = np.argsort(pair, kind="stable")
        pair, start, end, row = pair[order], start[order], end[order], row[order]
        first = np.flatnonzero(np.diff(pair, prepend=-1))
        keys.append(pair[first])
        pixels.append(np.add.reduceat(end - start, first))
        boxes.append(_pair_boxes(start, row, end, row + 1, first))
    if not keys:
        none = np.zeros(0, dtype=np.int64)
        return none, none, np.zeros(0), np.zeros((0, 4))
    pair, edges = np.concatenate(keys), np.concatenate(boxes)
    order = np.argsort(pair, kind="stable")
    pair, edges = pair[order], edges[order]
    first = np.flatnonzero(np.diff(pair, prepend=-1))
    area = np.add.reduceat(np.concatenate(pixels)[order], first) * float(runs.pitch_mm**2)
    box = _pair_boxes(edges[:, 0], edges[:, 1], edges[:, 2], edges[:, 3], first) * np.float64(runs.pitch_mm)
    return pair[first] // groups, pair[first] % groups, area, box


def _pair_boxes(
    x0: Integers, y0: Integers, x1: Integers, y1: Integers, first: NDArray[np.intp]
) -> Integers:
    low = [np.minimum.reduceat(edge, first) for edge in (x0, y0)]
    high = [np.maximum.reduceat(edge, first) for edge in (x1, y1)]
    return np.stack([*low, *high], axis=1).astype(np.int64)


def _overlapping_runs(
    runs: Runs,
) -> Iterator[tuple[NDArray[np.intp], NDArray[np.intp], Integers, Integers, Integers]]:
    """Pairs of overlapping runs of different groups, a bearable number at a time: both, start, end, row."""
    ungrouped = replace(runs, group=None)
    line = NumberLine.over(ungrouped)
    start, end = line.intervals(ungrouped)
    order = np.argsort(start, kind="stable")
    start, end = start[order], end[order]
    partners = np.searchsorted(start, end, side="left") - np.arange(len(start)) - 1
    total = np.cumsum(partners)
    first = 0
    while first < len(start):
        done = int(total[first - 1]) if first else 0
        if done == int(total[-1]):
            return
        last = max(first + 1, int(np.searchsorted(total, done + PAIRS_AT_ONCE, side="right")))
        run, copy = expand(partners[first:last])
        run += first
        partner = run + copy + 1
        left = start[partner]
        base = (left >> line.shift << line.shift) - line.first_column
        if len(run):
            yield (
                order[run], order[partner], left - base, np.minimum(end[run], end[partner]) - base,
                (left >> line.shift) + line.first_row,
            )
        first = last


def _on_one_line(a: Runs, b: Runs) -> tuple[NumberLine, Runs, Intervals, Intervals]:
    """Both on one number line; without groups where `b` has none and so meets every group of `a`."""
    of_a = a if b.group is not None else replace(a, group=None)
    line = NumberLine.over(of_a, b)
    return line, of_a, line.intervals(of_a), line.intervals(b)


def _pieces(
    line: NumberLine, a: Runs, of_a: Runs, run: NDArray[np.intp], own: Intervals, pieces: Intervals
) -> Runs:
    """Pieces of the runs of `a`, given by their places; `run` says which run each is a piece of."""
    if len(run) == 0:
        return no_runs(a.pitch_mm, a.group is not None)
    base = own[0][run] - of_a.start[run]
    return Runs(
        a.pitch_mm, a.row[run],
        (pieces[0] - base).astype(np.int32), (pieces[1] - base).astype(np.int32),
        None if a.group is None else a.group[run],
    )
