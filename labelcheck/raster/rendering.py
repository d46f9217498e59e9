"""Shapes become runs, in drawing order, dark and clear; no bitmap is ever made."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.intervals import Intervals, merge
from labelcheck.raster.lattice import Grid, Integers, Lattice, lattice_over, object_boxes, refuse_nonsense, seen
from labelcheck.raster.polarity import dark_places
from labelcheck.raster.runs import Box, Runs, concatenated
from labelcheck.raster.scanning import Scene, intervals_of, lay
from labelcheck.trade.shapes import Shapes

ROWS_AT_ONCE = 400_000
"""Rows of shapes sorted together: few enough to stay in the processor's cache, and to need little memory."""
SHORTEST_BAND = 128
"""Lines; bands are cut no shorter than that to have 32-bit places in them."""


def render(shapes: Shapes, pitch_mm: float, box_mm: Box | None = None) -> Runs:
    """The ink of all objects in drawing order; only pixels with their centres in `box_mm` where that is given.

    Raises RasterTooLarge for coordinates or numbers of rows beyond all reason.
    """
    if box_mm is not None:
        refuse_nonsense(shapes)
        # A window holds few of the objects of a layer: only those are laid out.
        shapes = shapes.take(seen(object_boxes(shapes), box_mm))
    scene = scene_of(shapes, np.zeros(len(shapes), dtype=np.int64), 1, Grid(pitch_mm, pitch_mm), box_mm)
    parts = [_runs(scene.lattice, low, ink, pitch_mm, False) for low, _, ink in ink_in_bands(scene, shapes)]
    return concatenated(parts, pitch_mm)


def render_bands(shapes: Shapes, pitch_mm: float, rows_per_band: int) -> Iterator[Runs]:
    """The same ink as `render`, upwards in bands of so many rows; bands may be empty."""
    scene = scene_of(shapes, np.zeros(len(shapes), dtype=np.int64), 1, Grid(pitch_mm, pitch_mm), None)
    for low in range(0, scene.lattice.lines, rows_per_band):
        high = min(low + rows_per_band, scene.lattice.lines)
        yield _runs(scene.lattice, low, ink_between(scene, shapes, low, high), pitch_mm, False)


def render_groups(shapes: Shapes, group_of_object: NDArray[np.integer], pitch_mm: float) -> Runs:
    """Each group of objects rendered on its own; `group_of_object` (n_objects,), -1 leaves an object out."""
    group = np.asarray(group_of_object, dtype=np.int64)
    scene = scene_of(shapes, group, int(group.max(initial=-1)) + 1, Grid(pitch_mm, pitch_mm), None)
    parts = [_runs(scene.lattice, low, ink, pitch_mm, True) for low, _, ink in ink_in_bands(scene, shapes)]
    return concatenated(parts, pitch_mm, grouped=True)


def scene_of(shapes: Shapes, group: Integers, groups: int, grid: Grid, clip: Box | None) -> Scene:
    """Shapes on the smallest lattice that holds them.

    Raises RasterTooLarge for coordinates that are no numbers, kilometres away, or need rows beyond all reason.
    """
    refuse_nonsense(shapes)
    boxes = object_boxes(shapes)
    kept = seen(boxes, clip) & (group >= 0)
    lattice = lattice_over(boxes[kept], group[kept], groups, grid, clip)
    return lay(shapes, np.where(kept, group, -1), paint_levels(shapes), grid, lattice, clip is not None)


def paint_levels(shapes: Shapes) -> Integers:
    """A number for each object that rises with every change of polarity: even where dark, odd where clear."""
    if len(shapes) == 0:
        return np.zeros(0, dtype=np.int64)
    clear = (~shapes.dark).astype(np.int64)
    return np.cumsum(np.diff(clear, prepend=0) != 0)


def ink_in_bands(scene: Scene, shapes: Shapes) -> Iterator[tuple[int, int, Intervals]]:
    """Line, one past last line, and ink as merged places counted from that line; bands of bearable size."""
    low = 0
    for high in _band_ends(scene):
        yield low, high, ink_between(scene, shapes, low, high)
        low = high


def ink_between(scene: Scene, shapes: Shapes, low: int, high: int) -> Intervals:
    """Ink on lines `low` up to, not including, `high`, as merged places counted from line `low`."""
    any_clear = not bool(shapes.dark.all())
    level, start, end = intervals_of(scene, low, high, any_clear)
    return dark_places(level, start, end) if any_clear else merge(start, end)


def _band_ends(scene: Scene) -> list[int]:
    """Where to cut the lines into bands that sort well: about so many rows of shapes each, and 32-bit places."""
    low = np.concatenate([table.low for table in (scene.bars, scene.edges)])
    high = np.concatenate([table.high for table in (scene.bars, scene.edges)])
    if len(low) == 0:
        return []
    line, change = np.unique(np.concatenate((low, high)), return_inverse=True)
    active = np.cumsum(np.bincount(change, weights=np.repeat((1.0, -1.0), len(low))))
    rows = np.concatenate(([0.0], np.cumsum(active[:-1] * np.diff(line))))
    ends = np.interp(np.arange(ROWS_AT_ONCE, int(rows[-1]), ROWS_AT_ONCE), rows, line).astype(np.int64)
    longest = 2**31 >> scene.lattice.shift
    if longest >= SHORTEST_BAND:
        ends = np.union1d(ends, np.arange(longest, scene.lattice.lines, longest))
    return [int(end) for end in np.union1d(ends, [scene.lattice.lines]) if end > 0]


def _runs(lattice: Lattice, low: int, ink: Intervals, pitch_mm: float, grouped: bool) -> Runs:
    """Places counted from line `low` as runs."""
    start, end = ink
    line = start >> lattice.shift
    base = line << lattice.shift
    line = line.astype(np.int64) + low
    if not grouped:
        row, base = line + int(lattice.first_row[0]), base - int(lattice.first_column[0])
        return Runs(pitch_mm, row.astype(np.int32), (start - base).astype(np.int32), (end - base).astype(np.int32))
    group = np.searchsorted(lattice.first_line, line, side="right") - 1
    row = line + (lattice.first_row - lattice.first_line[:-1])[group]
    base = base - lattice.first_column[group]
    return Runs(
        pitch_mm, row.astype(np.int32), (start - base).astype(np.int32), (end - base).astype(np.int32),
        group.astype(np.int32),
    )
