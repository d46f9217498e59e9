"""Shapes become runs, in drawing order, dark and clear; no bitmap is ever made."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from labelcheck.raster.intervals import Intervals, merge
from labelcheck.raster.lattice import Grid, Integers, Lattice, lattice_over, object_boxes, seen
from labelcheck.raster.polarity import dark_places
from labelcheck.raster.runs import Box, Runs, concatenated
from labelcheck.raster.scanning import Scene, intervals_of, lay
from labelcheck.trade.shapes import Shapes

ROWS_AT_ONCE = 1_500_000
"""Rows of shapes sorted together; bounds the memory that rendering needs beyond its result."""


def render(shapes: Shapes, pitch_mm: float, box_mm: Box | None = None) -> Runs:
    """The ink of all objects in drawing order; only pixels with their centres in `box_mm` where that is given.

    Raises RasterTooLarge for coordinates or numbers of rows beyond all reason.
    """
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
    """Shapes on the smallest lattice that holds them."""
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
    """Where to cut the lines so that each band holds about as many rows of shapes as are sorted together."""
    lines = scene.lattice.lines
    if scene.bars.rows() + scene.edges.rows() <= ROWS_AT_ONCE:
        return [lines] if lines else []
    change = np.zeros(lines + 1, dtype=np.int64)
    for table in (scene.bars, scene.edges):
        change += np.bincount(table.low, minlength=lines + 1) - np.bincount(table.high, minlength=lines + 1)
    band = np.cumsum(np.cumsum(change))[:-1] // ROWS_AT_ONCE
    return [*np.flatnonzero(np.diff(band)) + 1, lines]


def _runs(lattice: Lattice, low: int, ink: Intervals, pitch_mm: float, grouped: bool) -> Runs:
    """Places counted from line `low` as runs."""
    start, end = ink
    line = start >> lattice.shift
    base = line << lattice.shift
    line = line + low
    group: NDArray[np.int32] | None = None
    row, column = int(lattice.first_row[0]) if len(lattice.first_row) else 0, 0
    if grouped:
        owner = np.searchsorted(lattice.first_line, line, side="right") - 1
        group = owner.astype(np.int32)
        shift = (lattice.first_row - lattice.first_line[:-1])[owner]
        return Runs(
            pitch_mm, (line + shift).astype(np.int32),
            (start - base + lattice.first_column[owner]).astype(np.int32),
            (end - base + lattice.first_column[owner]).astype(np.int32), group,
        )
    column = int(lattice.first_column[0])
    return Runs(
        pitch_mm, (line + row).astype(np.int32),
        (start - base + column).astype(np.int32), (end - base + column).astype(np.int32),
    )
