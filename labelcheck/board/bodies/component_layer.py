"""Component layers of the Gerber format: each part with its place, properties, outlines and pins.

Gerber layer format specification, sections 5.6.16 and 6.9, `.AperFunction` ComponentMain, ComponentOutline and
ComponentPin. The one-pin flash (a diamond) and the others differ in shape only.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from labelcheck.board.bodies.told import Told
from labelcheck.board.components import Pin
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.trade.shapes import Integers, Kind, Shapes
from labelcheck.trade.sides import Side

GRID_MM = 1e-4
"""Ends of outline strokes nearer than this meet."""
FARTHEST_MM = 10_000.0
"""Outlines that reach farther are damage."""

Attributes = Mapping[str, tuple[str, ...]]


def read_component_layer(artwork: Artwork, side: Side) -> tuple[Told, ...]:
    """Each part of one component layer, in drawing order; parts that a panel repeats come once a copy."""
    sets = attributes_of(artwork)
    objects_of: dict[str, list[int]] = defaultdict(list)
    for number, attributes in enumerate(sets):
        reference = _first(attributes, ".C") or _first(attributes, ".P")
        if reference:
            objects_of[reference].append(number)
    told: list[Told] = []
    for reference, numbers in objects_of.items():
        for copy in _copies(artwork.shapes, sets, numbers):
            one = _part(artwork.shapes, sets, reference, side, copy)
            if one is not None:
                told.append(one)
    return tuple(told)


def attributes_of(artwork: Artwork) -> list[Attributes]:
    """What is said of each object: by its own attributes, and by those of its aperture."""
    sets = [dict(attributes) for attributes in artwork.attribute_sets]
    of_aperture = [aperture.attributes for aperture in artwork.apertures]
    merged: dict[tuple[int, int], Attributes] = {}
    found = []
    for row, aperture in zip(artwork.shapes.attributes.tolist(), artwork.shapes.aperture.tolist(), strict=True):
        under = of_aperture[aperture] if aperture >= 0 else 0
        if (row, under) not in merged:
            merged[row, under] = sets[under] | sets[row]
        found.append(merged[row, under])
    return found


def _first(attributes: Attributes, name: str) -> str | None:
    values = attributes.get(name, ())
    return values[0] if values and values[0] else None


def _role(attributes: Attributes) -> tuple[str, str]:
    """Aperture function and what it adds: `ComponentOutline` with `Body`."""
    values = (*attributes.get(".AperFunction", ()), "", "")
    return values[0], values[1]


def _copies(shapes: Shapes, sets: Sequence[Attributes], numbers: Sequence[int]) -> Iterable[list[int]]:
    """The objects of a reference, apart for each of its middles where a panel repeats the part."""
    mains = [number for number in numbers if _role(sets[number])[0] == "ComponentMain"]
    if len(mains) < 2:
        return [list(numbers)]
    copies: list[list[int]] = []
    for number in numbers:
        # In a panel each copy begins with its middle, as the layer does.
        if number in mains or not copies:
            copies.append([])
        copies[-1].append(number)
    return copies


def _part(
    shapes: Shapes, sets: Sequence[Attributes], reference: str, side: Side, numbers: Sequence[int]
) -> Told | None:
    """One part out of its objects; None where they draw nothing of one."""
    properties: dict[str, tuple[str, ...]] = {}
    at_mm: tuple[float, float] | None = None
    pins: list[Pin] = []
    outlines: dict[str, list[int]] = defaultdict(list)
    for number in numbers:
        attributes = sets[number]
        function, kind = _role(attributes)
        if function == "ComponentMain":
            at_mm = _middle(shapes, number) or at_mm
            properties |= attributes
        elif function == "ComponentOutline":
            outlines[kind or "Body"].append(number)
        elif function == "ComponentPin" and shapes.kind[number] == Kind.FLASH:
            pin = _pin(attributes, _middle(shapes, number))
            pins += [pin] if pin is not None else []
    if at_mm is None and not outlines and not pins:
        return None
    mount = (_first(properties, ".CMnt") or "").lower()
    return Told(
        reference=reference,
        side=side,
        package=_first(properties, ".CFtp") or _first(properties, ".CPgN"),
        value=_first(properties, ".CVal"),
        at_mm=at_mm,
        rotation_deg=_number(_first(properties, ".CRot")),
        height_mm=_number(_first(properties, ".CHgt")),
        through_hole=None if not mount else mount in ("th", "pressfit"),
        outlines=tuple(
            (kind, outline)
            for kind, drawn in outlines.items()
            if (outline := _outline(shapes, np.array(drawn))) is not None
        ),
        pins=tuple(pins),
    )


def _middle(shapes: Shapes, number: int) -> tuple[float, float] | None:
    """Middle of one flash."""
    first, last = np.searchsorted(shapes.bar_object, [number, number + 1])
    if last > first:
        return float(shapes.x0[first]), float(shapes.y0[first])
    first, last = np.searchsorted(shapes.ring_object, [number, number + 1])
    if last == first:
        return None
    span = slice(int(shapes.ring_start[first]), int(shapes.ring_start[last]))
    x, y = shapes.vx[span], shapes.vy[span]
    return float(x.min() + x.max()) / 2, float(y.min() + y.max()) / 2


def _pin(attributes: Attributes, at_mm: tuple[float, float] | None) -> Pin | None:
    """`.P` names part, pin number and, as a third, what the pin does."""
    values = attributes.get(".P", ())
    if at_mm is None or len(values) < 2:
        return None
    function = values[2] if len(values) > 2 and values[2] else None
    net = _first(attributes, ".N")
    return Pin(values[1], function, net, *at_mm, None, None, False)


def _outline(shapes: Shapes, numbers: Integers) -> Polygon | None:
    """The closed outline that strokes and contours draw along their middle; an open one is closed by its hull."""
    bars = _rows(np.searchsorted(shapes.bar_object, numbers), np.searchsorted(shapes.bar_object, numbers + 1))
    ends = np.column_stack((shapes.x0[bars], shapes.y0[bars], shapes.x1[bars], shapes.y1[bars]))
    ends = np.round(ends[(np.abs(ends) < FARTHEST_MM).all(axis=1)] / GRID_MM)
    shells = list(_rings(shapes, numbers))
    if len(ends) > 2 and not shells and (ends[:, 2:] == np.roll(ends[:, :2], -1, axis=0)).all():
        # Drawn around in one go, as nearly all are.
        around = Polygon(ends[:, :2] * GRID_MM)
        if around.is_valid and around.area > 0:
            return around
    if len(ends):
        lines = shapely.linestrings((ends * GRID_MM).reshape(-1, 2, 2))
        shells += shapely.get_parts(shapely.polygonize(lines)).tolist()
    if not shells and len(ends):
        shells = [shapely.multipoints((ends * GRID_MM).reshape(-1, 2)).convex_hull]
    area = shapely.union_all([shell for shell in shells if shell.is_valid], grid_size=GRID_MM)
    area = area if isinstance(area, Polygon) else area.convex_hull
    return Polygon(area.exterior) if isinstance(area, Polygon) and area.area > 0 else None


def _rows(first: Integers, last: Integers) -> Integers:
    """All rows from each `first` up to, not including, its `last`."""
    return np.concatenate([np.arange(a, b) for a, b in zip(first.tolist(), last.tolist(), strict=True)])


def _rings(shapes: Shapes, numbers: Integers) -> Iterable[Polygon]:
    for ring in _rows(np.searchsorted(shapes.ring_object, numbers), np.searchsorted(shapes.ring_object, numbers + 1)):
        span = slice(int(shapes.ring_start[ring]), int(shapes.ring_start[ring + 1]))
        points = np.column_stack((shapes.vx[span], shapes.vy[span]))
        if len(points) > 2 and (np.abs(points) < FARTHEST_MM).all():
            yield Polygon(points).buffer(0)


def _number(text: str | None) -> float | None:
    try:
        value = float(text) if text is not None else None
    except ValueError:
        return None
    return value if value is not None and np.isfinite(value) else None
