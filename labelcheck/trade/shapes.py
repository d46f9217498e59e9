"""Drawn shapes as columns: what artwork and drill files become, and what is rasterised and grouped.

An *object* is what one drawing command made: a stroke (straight or arc), a flash, a contour of a region.
Objects lie in drawing order; a clear object removes what was drawn before it. An object is the union of
its *bars* (round-ended, a disc where both ends coincide) and of its *rings* (closed polygons, even-odd
among the rings of one object).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]


class Kind(IntEnum):
    """How an object was drawn."""

    STROKE = 0
    FLASH = 1
    REGION = 2


@dataclass(frozen=True, slots=True, eq=False)
class Shapes:
    """Drawn objects as columns; lengths in millimetres, x right, y up, seen from the top.

    Objects, shape (n,): `kind` (`Kind`), `dark`, `line` (line in its file, from 1), `aperture` (row in the
    artwork's apertures, -1 for regions), `attributes` (row in the artwork's attribute sets; row 0 is empty).
    Bars, shape (b,), sorted by object: `bar_object`, `x0`, `y0`, `x1`, `y1`, `width`.
    Rings, shape (r,), sorted by object: `ring_object`, `ring_start` (r + 1,) into `vx`, `vy`; not closed by a
    repeated vertex.
    """

    kind: NDArray[np.int64]
    dark: Flags
    line: Integers
    aperture: Integers
    attributes: Integers
    bar_object: Integers
    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    width: Floats
    ring_object: Integers
    ring_start: Integers
    vx: Floats
    vy: Floats

    def __len__(self) -> int:
        return len(self.kind)

    def boxes(self) -> Floats:
        """Box of each object as (n, 4): x0, y0, x1, y1; inf/-inf for an object without any extent."""
        boxes = np.empty((len(self), 4))
        boxes[:, :2], boxes[:, 2:] = np.inf, -np.inf
        first = _firsts(self.bar_object)
        if len(first):
            own, half = self.bar_object[first], self.width / 2
            one_each = len(first) == len(self.bar_object)
            rows = slice(None) if len(first) == len(self) else own
            for column, ends in ((0, (self.x0, self.x1)), (1, (self.y0, self.y1))):
                low, high = np.minimum(*ends) - half, np.maximum(*ends) + half
                boxes[rows, column] = low if one_each else np.minimum.reduceat(low, first)
                boxes[rows, column + 2] = high if one_each else np.maximum.reduceat(high, first)
        owner = np.repeat(self.ring_object, np.diff(self.ring_start))
        first = _firsts(owner)
        if len(first):
            own = owner[first]
            for column, vertices in ((0, self.vx), (1, self.vy)):
                boxes[own, column] = np.minimum(boxes[own, column], np.minimum.reduceat(vertices, first))
                boxes[own, column + 2] = np.maximum(boxes[own, column + 2], np.maximum.reduceat(vertices, first))
        return boxes

    def take(self, objects: NDArray[np.bool_] | Integers) -> "Shapes":
        """The chosen objects only: a mask of shape (n,), or sorted object numbers; drawing order is kept."""
        chosen = np.asarray(objects)
        if chosen.dtype != np.bool_:
            mask = np.zeros(len(self), dtype=np.bool_)
            mask[chosen] = True
            chosen = mask
        renumbered = np.cumsum(chosen) - 1
        bars = chosen[self.bar_object]
        rings = chosen[self.ring_object]
        sizes = np.diff(self.ring_start)
        vertices = np.repeat(rings, sizes)
        return Shapes(
            kind=self.kind[chosen],
            dark=self.dark[chosen],
            line=self.line[chosen],
            aperture=self.aperture[chosen],
            attributes=self.attributes[chosen],
            bar_object=renumbered[self.bar_object[bars]],
            x0=self.x0[bars],
            y0=self.y0[bars],
            x1=self.x1[bars],
            y1=self.y1[bars],
            width=self.width[bars],
            ring_object=renumbered[self.ring_object[rings]],
            ring_start=np.concatenate(([0], np.cumsum(sizes[rings]))).astype(np.int64),
            vx=self.vx[vertices],
            vy=self.vy[vertices],
        )


def _firsts(owner: Integers) -> Integers:
    """Where in a sorted column each run of equal numbers begins."""
    return np.flatnonzero(np.diff(owner, prepend=-1))


def empty_shapes() -> Shapes:
    """No objects at all."""
    none, nothing = np.zeros(0, dtype=np.int64), np.zeros(0)
    return Shapes(
        kind=none, dark=np.zeros(0, dtype=np.bool_), line=none, aperture=none, attributes=none,
        bar_object=none, x0=nothing, y0=nothing, x1=nothing, y1=nothing, width=nothing,
        ring_object=none, ring_start=np.zeros(1, dtype=np.int64), vx=nothing, vy=nothing,
    )


def concatenate(parts: Iterable[Shapes]) -> Shapes:
    """All objects of all parts, in that order; aperture and attribute rows are kept as they are."""
    pieces: Sequence[Shapes] = list(parts)
    if not pieces:
        return empty_shapes()
    if len(pieces) == 1:
        return pieces[0]
    first_object = np.cumsum([0, *(len(piece) for piece in pieces)])
    first_vertex = np.cumsum([0, *(len(piece.vx) for piece in pieces)])

    def joined(name: str) -> NDArray[np.generic]:
        return np.concatenate([getattr(piece, name) for piece in pieces])

    columns = {
        name: joined(name)
        for name in ("kind", "dark", "line", "aperture", "attributes", "x0", "y0", "x1", "y1", "width", "vx", "vy")
    }
    return Shapes(
        bar_object=np.concatenate([p.bar_object + s for p, s in zip(pieces, first_object, strict=False)]),
        ring_object=np.concatenate([p.ring_object + s for p, s in zip(pieces, first_object, strict=False)]),
        ring_start=np.concatenate([[0], *(p.ring_start[1:] + s for p, s in zip(pieces, first_vertex, strict=False))]),
        **columns,  # type: ignore[arg-type]  # names and dtypes are those of the fields
    )


def bars(x0: Floats, y0: Floats, x1: Floats, y1: Floats, width: Floats | float, dark: bool = True) -> Shapes:
    """One stroke object a row, straight and round-ended; arrays of shape (n,), millimetres."""
    start = np.asarray(x0, dtype=np.float64)
    count = len(start)
    none = np.zeros(0, dtype=np.int64)
    zeros = np.zeros(count, dtype=np.int64)
    return Shapes(
        kind=zeros + Kind.STROKE, dark=np.full(count, dark), line=zeros, aperture=zeros, attributes=zeros,
        bar_object=np.arange(count), x0=start, y0=np.asarray(y0, dtype=np.float64),
        x1=np.asarray(x1, dtype=np.float64), y1=np.asarray(y1, dtype=np.float64),
        width=np.broadcast_to(np.asarray(width, dtype=np.float64), (count,)).copy(),
        ring_object=none, ring_start=np.zeros(1, dtype=np.int64), vx=np.zeros(0), vy=np.zeros(0),
    )


def polygon(rings: Sequence[Floats], dark: bool = True) -> Shapes:
    """One region object made of rings, each of shape (k, 2) in millimetres, even-odd among them."""
    one = np.zeros(1, dtype=np.int64)
    none, nothing = np.zeros(0, dtype=np.int64), np.zeros(0)
    sizes = [len(ring) for ring in rings]
    points = np.concatenate([np.asarray(ring, dtype=np.float64) for ring in rings])
    return Shapes(
        kind=one + Kind.REGION, dark=np.array([dark]), line=one, aperture=one - 1, attributes=one,
        bar_object=none, x0=nothing, y0=nothing, x1=nothing, y1=nothing, width=nothing,
        ring_object=np.zeros(len(rings), dtype=np.int64),
        ring_start=np.concatenate(([0], np.cumsum(sizes))).astype(np.int64),
        vx=points[:, 0].copy(), vy=points[:, 1].copy(),
    )
