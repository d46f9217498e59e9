"""A legend's objects as ink to look for characters in: exact duplicates gone, a record of where each came from."""

from dataclasses import dataclass

import numpy as np

from labelcheck.labels.glyphs import spread
from labelcheck.trade.shapes import Integers, Shapes

QUANTUM_PER_MM = 1e5
"""Coordinates equal to 10 nm are equal: one file writes the same point the same way, arcs differ by rounding."""


@dataclass(frozen=True, slots=True, eq=False)
class Ink:
    """Objects without exact duplicates; `row` (n,) is the legend's row of each, `twins` all rows of each object."""

    shapes: Shapes
    row: Integers
    twin_row: Integers
    """All rows of the legend, sorted by the object that they equal …"""
    twin_first: Integers
    """… and where each object's rows start, shape (n + 1,)."""

    def rows_of(self, member: Integers, first: Integers) -> list[tuple[int, ...]]:
        """All rows of the legend that draw each group of objects, duplicates too, sorted.

        `member` objects of all groups, `first` (n + 1,) where each group starts.
        """
        count = self.twin_first[member + 1] - self.twin_first[member]
        rows = self.twin_row[spread(self.twin_first[member], count)]
        group = np.repeat(np.repeat(np.arange(len(first) - 1), np.diff(first)), count)
        order = np.lexsort((rows, group))
        ends = np.searchsorted(group, np.arange(len(first)))
        told = rows[order].tolist()
        return [tuple(told[a:b]) for a, b in zip(ends[:-1].tolist(), ends[1:].tolist(), strict=True)]


def without_duplicates(shapes: Shapes) -> Ink:
    """Draw everything once: text drawn twice, strokes drawn forth and back.

    Where clear objects are about, the last of equal objects counts, for a clear one may have removed the first.
    """
    keys = _object_keys(shapes)
    count = len(shapes)
    order = np.argsort(keys, kind="stable")
    fresh = np.concatenate(([True], np.diff(keys[order]) != 0)) if count else np.zeros(0, dtype=np.bool_)
    group = np.cumsum(fresh) - 1
    starts = np.flatnonzero(fresh)
    kept = order[starts] if shapes.dark.all() else order[np.append(starts[1:], count) - 1] if count else order
    rank = np.argsort(np.argsort(kept, kind="stable"), kind="stable")
    sizes = np.diff(np.append(starts, count))
    by_object = np.argsort(rank[group], kind="stable")
    sizes_by_object = np.zeros(len(kept), dtype=np.int64)
    sizes_by_object[rank] = sizes
    return Ink(
        shapes=shapes.take(np.sort(kept)),
        row=np.sort(kept),
        twin_row=order[by_object],
        twin_first=np.concatenate(([0], np.cumsum(sizes_by_object))).astype(np.int64),
    )


def _object_keys(shapes: Shapes) -> np.ndarray:
    """A 64-bit number for each object that is equal for equal geometry and polarity, whichever way it was drawn."""

    def whole(length: np.ndarray) -> np.ndarray:
        return np.round(length * QUANTUM_PER_MM).astype(np.int64).view(np.uint64)

    swapped = (shapes.x1 < shapes.x0) | ((shapes.x1 == shapes.x0) & (shapes.y1 < shapes.y0))
    ends = [
        np.where(swapped, second, first)
        for first, second in (
            (shapes.x0, shapes.x1), (shapes.y0, shapes.y1), (shapes.x1, shapes.x0), (shapes.y1, shapes.y0),
        )
    ]
    keys = np.where(shapes.dark, np.uint64(1), np.uint64(2))
    np.add.at(keys, shapes.bar_object, scattered([whole(column) for column in (*ends, shapes.width)]))
    owner = np.repeat(shapes.ring_object, np.diff(shapes.ring_start))
    np.add.at(keys, owner, scattered([whole(shapes.vx), whole(shapes.vy)]))
    return keys


def scattered(columns: list[np.ndarray]) -> np.ndarray:
    """One well scattered 64-bit number a row (the finaliser of splitmix64, from memory, after each column)."""
    total = np.zeros(len(columns[0]), dtype=np.uint64)
    for column in columns:
        total = total + column + np.uint64(0x9E3779B97F4A7C15)
        total = (total ^ (total >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        total = (total ^ (total >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        total = total ^ (total >> np.uint64(31))
    return total


def scattered_numbers(count: int) -> Integers:
    """So many numbers, shape (count,), of which no two sets have the same sum but by one chance in 10^18."""
    return scattered([np.arange(count, dtype=np.uint64)]).view(np.int64)
