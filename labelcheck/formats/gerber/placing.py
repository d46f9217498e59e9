"""Copies of shapes: chosen, turned, scaled and moved, all at once. Flashes, blocks and repeats are made with it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.templates import Template
from labelcheck.trade.shapes import Kind, Shapes

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Placement:
    """How copies are placed: x' = a x + b y + dx, y' = c x + d y + dy; columns of shape (n,)."""

    a: Floats
    b: Floats
    c: Floats
    d: Floats
    dx: Floats
    dy: Floats

    def take(self, rows: Integers) -> "Placement":
        """The chosen rows, repeats allowed."""
        return Placement(self.a[rows], self.b[rows], self.c[rows], self.d[rows], self.dx[rows], self.dy[rows])

    def scale(self) -> Floats:
        """Factor for lengths that have no direction, such as a pen's width."""
        return np.sqrt(np.abs(self.a * self.d - self.b * self.c))


def moved(dx: Floats, dy: Floats) -> Placement:
    """Placement that only moves."""
    one, none = np.ones(len(dx)), np.zeros(len(dx))
    return Placement(one, none, none, one, dx, dy)


def spans(starts: Integers, counts: Integers) -> Integers:
    """Numbers `start, start + 1, … start + count - 1` of each span, one span after another."""
    ends = np.cumsum(counts)
    total = int(ends[-1]) if len(ends) else 0
    return np.arange(total, dtype=np.int64) + np.repeat(starts - (ends - counts), counts)


def grouped(group: Integers, count: int) -> list[Integers]:
    """Places of each group's members, in order, for groups numbered from 0 to `count`."""
    order = np.argsort(group, kind="stable")
    return np.split(order, np.searchsorted(group[order], np.arange(1, count))) if count > 0 else []


def copies(shapes: Shapes, objects: Integers) -> Shapes:
    """The objects with these numbers, in this order, repeats allowed."""
    count = len(shapes)
    bar_range = np.searchsorted(shapes.bar_object, np.arange(count + 1))
    ring_range = np.searchsorted(shapes.ring_object, np.arange(count + 1))
    bar_counts = np.diff(bar_range)[objects]
    ring_counts = np.diff(ring_range)[objects]
    bars = spans(bar_range[objects], bar_counts)
    rings = spans(ring_range[objects], ring_counts)
    sizes = np.diff(shapes.ring_start)[rings]
    vertices = spans(shapes.ring_start[rings], sizes)
    order = np.arange(len(objects))
    return Shapes(
        kind=shapes.kind[objects],
        dark=shapes.dark[objects],
        line=shapes.line[objects],
        aperture=shapes.aperture[objects],
        attributes=shapes.attributes[objects],
        bar_object=np.repeat(order, bar_counts),
        x0=shapes.x0[bars], y0=shapes.y0[bars], x1=shapes.x1[bars], y1=shapes.y1[bars],
        width=shapes.width[bars],
        ring_object=np.repeat(order, ring_counts),
        ring_start=np.concatenate(([0], np.cumsum(sizes))).astype(np.int64),
        vx=shapes.vx[vertices], vy=shapes.vy[vertices],
    )


def placed(shapes: Shapes, placement: Placement) -> Shapes:
    """Every object moved as its row of the placement says."""
    at_bars = placement.take(shapes.bar_object)
    at_vertices = placement.take(np.repeat(shapes.ring_object, np.diff(shapes.ring_start)))
    return replace(
        shapes,
        x0=at_bars.a * shapes.x0 + at_bars.b * shapes.y0 + at_bars.dx,
        y0=at_bars.c * shapes.x0 + at_bars.d * shapes.y0 + at_bars.dy,
        x1=at_bars.a * shapes.x1 + at_bars.b * shapes.y1 + at_bars.dx,
        y1=at_bars.c * shapes.x1 + at_bars.d * shapes.y1 + at_bars.dy,
        width=shapes.width * at_bars.scale(),
        vx=at_vertices.a * shapes.vx + at_vertices.b * shapes.vy + at_vertices.dx,
        vy=at_vertices.c * shapes.vx + at_vertices.d * shapes.vy + at_vertices.dy,
    )


def shapes_of(templates: Sequence[Template]) -> Shapes:
    """One dark flash object a template, about the origin."""
    count = len(templates)
    bars = np.array([bar for template in templates for bar in template.bars], dtype=np.float64).reshape(-1, 5)
    rings = [ring for template in templates for ring in template.rings]
    points = np.concatenate([np.zeros((0, 2)), *rings])
    zeros = np.zeros(count, dtype=np.int64)
    owner = np.arange(count)
    return Shapes(
        kind=zeros + Kind.FLASH, dark=np.ones(count, dtype=np.bool_), line=zeros, aperture=zeros, attributes=zeros,
        bar_object=np.repeat(owner, np.array([len(t.bars) for t in templates], dtype=np.int64)),
        x0=bars[:, 0], y0=bars[:, 1], x1=bars[:, 2], y1=bars[:, 3], width=bars[:, 4],
        ring_object=np.repeat(owner, np.array([len(t.rings) for t in templates], dtype=np.int64)),
        ring_start=np.cumsum([0, *(len(ring) for ring in rings)], dtype=np.int64),
        vx=points[:, 0].copy(), vy=points[:, 1].copy(),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Bars:
    """Bars of some objects, sorted by object."""

    owner: Integers
    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    width: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Rings:
    """Rings of some objects, sorted by object; `size` vertices each."""

    owner: Integers
    size: Integers
    x: Floats
    y: Floats


def joined_bars(parts: Sequence[Bars]) -> Bars:
    """All bars sorted by object."""
    parts = [part for part in parts if len(part.owner)]
    if not parts:
        nothing = np.zeros(0)
        return Bars(np.zeros(0, dtype=np.int64), nothing, nothing, nothing, nothing, nothing)
    if len(parts) == 1:
        return parts[0]
    owner = np.concatenate([part.owner for part in parts])
    order = np.argsort(owner, kind="stable")
    names = ("x0", "y0", "x1", "y1", "width")
    return Bars(owner[order], *(np.concatenate([getattr(part, name) for part in parts])[order] for name in names))


def joined_rings(parts: Sequence[Rings]) -> Rings:
    """All rings sorted by object."""
    parts = [part for part in parts if len(part.owner)]
    if not parts:
        none, nothing = np.zeros(0, dtype=np.int64), np.zeros(0)
        return Rings(none, none, nothing, nothing)
    if len(parts) == 1:
        return parts[0]
    owner = np.concatenate([part.owner for part in parts])
    size = np.concatenate([part.size for part in parts])
    order = np.argsort(owner, kind="stable")
    vertices = spans((np.cumsum(size) - size)[order], size[order])
    x = np.concatenate([part.x for part in parts])[vertices]
    y = np.concatenate([part.y for part in parts])[vertices]
    return Rings(owner[order], size[order], x, y)
