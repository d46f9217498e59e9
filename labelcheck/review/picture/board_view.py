"""One side of the board as it will look, as places in a palette, at any scale and for any part of it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.board.board import Board, Layer
from labelcheck.board.components import Body
from labelcheck.labels.label import Box
from labelcheck.raster.coverage import FULL, STRIPS, coverage, coverage_by_columns
from labelcheck.review.picture.palette import (
    COPPER_BITS,
    INK_BITS,
    OPENING_BITS,
    VOID_BITS,
    Coverage,
    Indices,
    Palette,
)
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.remembering import remembered
from labelcheck.trade.shapes import Shapes, empty_shapes, polygon
from labelcheck.trade.sides import OUTER_SIDES, Side

_COVERED_HOLE_MM = 0.5
"""A plated hole up to this width that stands under the mask looks like a dimple; a larger one is open."""
_UNKNOWN_BOARD_MM: Box = (0.0, 0.0, 10.0, 10.0)
"""A board of which nothing at all is known still has a picture that says so."""


@dataclass(frozen=True, slots=True)
class View:
    """A part of the board on the picture: millimetres to pixels; the bottom is seen from below, x running left."""

    box_mm: Box
    pixels_per_mm: float
    mirrored: bool
    fine: bool = False
    """Whether every layer is drawn as smoothly as the legend."""

    @property
    def width(self) -> int:
        """In pixels, as `coverage` makes it."""
        return max(round((self.box_mm[2] - self.box_mm[0]) * self.pixels_per_mm), 1)

    @property
    def height(self) -> int:
        """In pixels, as `coverage` makes it."""
        return max(round((self.box_mm[3] - self.box_mm[1]) * self.pixels_per_mm), 1)

    def point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Pixels to the right and down from the upper left corner of the view."""
        x = (x_mm - self.box_mm[0]) * self.pixels_per_mm
        return (self.width - x if self.mirrored else x, (self.box_mm[3] - y_mm) * self.pixels_per_mm)

    def box(self, box_mm: Box) -> tuple[float, float, float, float]:
        """A box of the board as left, top, right, bottom in pixels."""
        (xa, ya), (xb, yb) = self.point(box_mm[0], box_mm[1]), self.point(box_mm[2], box_mm[3])
        return min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb)


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One layer's shapes with the boxes of its objects, (n, 4), so that any window of it is found quickly."""

    shapes: Shapes
    boxes: NDArray[np.float64]

    def within(self, box_mm: Box) -> Shapes:
        """Only those objects that reach into a box."""
        x0, y0, x1, y1 = box_mm
        boxes = self.boxes
        near = (boxes[:, 0] <= x1) & (boxes[:, 2] >= x0) & (boxes[:, 1] <= y1) & (boxes[:, 3] >= y0)
        return self.shapes if near.all() else self.shapes.take(near)


@dataclass(frozen=True, slots=True, eq=False)
class SideParts:
    """What is seen of one side; None where the set has no such file or it could not be read."""

    laminate: Part | None
    open_holes: Part | None
    covered_holes: Part | None
    openings: Part | None
    copper: Part | None
    legend: Part | None
    bodies: tuple[Body, ...] = ()
    """Of the parts that will stand there, as far as the files tell."""


def board_box(board: Board) -> Box:
    """The box of the outline; without one, of everything on both sides, so that both pictures agree."""
    if board.outline is not None and not board.outline.area.is_empty:
        x0, y0, x1, y1 = board.outline.area.bounds
        return x0, y0, x1, y1
    layers = [board.on(side) for side in OUTER_SIDES]
    for chosen in ([s.openings for s in layers] + [s.copper for s in layers], [s.legend for s in layers]):
        boxes = [_extent(layer.shapes) for layer in chosen if layer is not None and len(layer.shapes)]
        known = [box for box in boxes if box is not None]
        if known:
            corners = np.array(known)
            x0, y0 = (float(value) for value in corners[:, :2].min(axis=0) - 1)
            x1, y1 = (float(value) for value in corners[:, 2:].max(axis=0) + 1)
            return x0, y0, x1, y1
    return _UNKNOWN_BOARD_MM


def parts_of(board: Board, side: Side) -> SideParts:
    """The side's layers, ready to be drawn as often as needed."""
    on_side = board.on(side)
    openings = _part_of(on_side.openings)
    holes = None if board.holes is None else _part(board.holes.shapes)
    covered = None
    if holes is not None and openings is not None:
        under_mask = _under_mask(holes, board.holes.plated if board.holes is not None else (), openings)
        covered = Part(holes.shapes.take(under_mask), holes.boxes[under_mask])
        holes = Part(holes.shapes.take(~under_mask), holes.boxes[~under_mask])
    return SideParts(
        laminate=None if board.outline is None else _part(_outline_shapes(board)),
        open_holes=holes,
        covered_holes=covered,
        openings=openings,
        copper=_part_of(on_side.copper),
        legend=_part_of(on_side.legend),
        bodies=tuple(one.body for one in board.components if one.side is side and one.body is not None),
    )


def draw_view(parts: SideParts, view: View, palette: Palette) -> Indices:
    """The part of the board in view, (height, width) places in the palette."""
    # Only what is in view is told apart, so that an enlarged label is not drawn again for a change elsewhere.
    layers = {name: None if part is None else part.within(view.box_mm) for name, part in _layers_of(parts)}
    return _draw_layers(layers, view, palette)


@remembered
def _draw_layers(layers: dict[str, Shapes | None], view: View, palette: Palette) -> Indices:
    colours = np.empty((view.height, view.width), dtype=np.uint8)
    for columns, shape, seen in _coverages(layers, view):
        colours[:, columns] = _coloured(_blend(seen, shape), _void(seen), palette)
    return np.ascontiguousarray(colours[:, ::-1]) if view.mirrored else colours


def _blend(seen: Mapping[str, Coverage], shape: tuple[int, int]) -> Coverage:
    """Copper, opening and ink of each pixel as one number."""
    copper, openings = seen.get("copper"), seen.get("openings")
    blend = np.zeros(shape, dtype=np.uint8)
    if copper is not None:
        # A covered hole shows as a dark spot in its ring.
        dimples = seen.get("covered_holes")
        bare = copper if dimples is None else np.minimum(copper, FULL - dimples)
        blend |= _steps(bare, COPPER_BITS)
    if openings is not None:
        opened = _steps(openings, OPENING_BITS)
        if copper is None:
            # Without a copper layer nobody knows what lies bare; metal is the likeliest.
            blend |= (opened > 0) * np.uint8(2**COPPER_BITS - 1)
        blend |= opened << np.uint8(COPPER_BITS)
    if "legend" in seen:
        blend |= _steps(seen["legend"], INK_BITS) << np.uint8(COPPER_BITS + OPENING_BITS)
    return blend


def _void(seen: Mapping[str, Coverage]) -> Coverage | None:
    """Where there is no board, in parts of 64: outside of its outline, and in open holes."""
    holes, laminate = seen.get("open_holes"), seen.get("laminate")
    if laminate is None:
        return holes
    outside = FULL - laminate
    return outside if holes is None else np.maximum(outside, holes)


def _coloured(blend: Coverage, void: Coverage | None, palette: Palette) -> Indices:
    """Places in the palette for blends of copper, opening and ink, and for where there is no board.

    Nearly all pixels are wholly board or wholly not, which one table of 256 entries serves; the rims of holes and
    edges are looked up by themselves.
    """
    bits = COPPER_BITS + OPENING_BITS + INK_BITS
    whole = np.concatenate([palette.blends[: 1 << bits], palette.blends[-(1 << bits) :]]).tobytes()
    if void is None:
        return np.frombuffer(blend.tobytes().translate(whole), dtype=np.uint8).reshape(blend.shape)
    gone = void >> np.uint8(6)
    colours = np.frombuffer(bytearray((blend | (gone << np.uint8(bits))).tobytes().translate(whole)), dtype=np.uint8)
    rim = np.flatnonzero((void > 0) & (gone == 0))
    steps = _steps(void.reshape(-1)[rim], VOID_BITS).astype(np.int64)
    colours[rim] = palette.blends[(steps << bits) | blend.reshape(-1)[rim]]
    return colours.reshape(blend.shape)


def _layers_of(parts: SideParts) -> list[tuple[str, Part | None]]:
    return [
        ("laminate", parts.laminate), ("open_holes", parts.open_holes), ("covered_holes", parts.covered_holes),
        ("openings", parts.openings), ("copper", parts.copper), ("legend", parts.legend),
    ]  # fmt: skip


def _coverages(
    shapes: Mapping[str, Shapes | None], view: View
) -> Iterator[tuple[slice, tuple[int, int], dict[str, Coverage]]]:
    """Each layer's coverage over the view in parts of 64, by its name; none for one that is beyond all bounds.

    Some columns after the other: which they are, their height and width, and the coverages there.
    """
    layers: dict[str, tuple[Shapes, int]] = {}
    for name, some in shapes.items():
        if some is not None:
            # Letters have to be crisp; what lies below them may be a little coarser, in half the time.
            layers[name] = some, STRIPS if name == "legend" or view.fine else STRIPS // 2
    try:
        columns = coverage_by_columns(list(layers.values()), view.box_mm, view.pixels_per_mm)
    except RasterTooLarge:
        # A picture without such a layer is better than none; the reader has remarked on it already.
        layers = {name: layer for name, layer in layers.items() if _can_be_drawn(layer, view)}
        columns = coverage_by_columns(list(layers.values()), view.box_mm, view.pixels_per_mm)
    for first, covered in columns:
        _, height, width = covered.shape
        yield slice(first, first + width), (height, width), dict(zip(layers, covered, strict=True))


def _can_be_drawn(layer: tuple[Shapes, int], view: View) -> bool:
    try:
        coverage_by_columns([layer], view.box_mm, view.pixels_per_mm)
    except RasterTooLarge:
        return False
    return True


def _steps(cover: Coverage, bits: int) -> Coverage:
    """Coverage in parts of 64 as 2**bits even steps, in bytes throughout."""
    if bits == 3:
        return (cover - (cover >> np.uint8(3)) + np.uint8(4)) >> np.uint8(3)
    return (cover * np.uint8(2**bits - 1) + np.uint8(FULL // 2)) >> np.uint8(6)


def _part_of(layer: Layer | None) -> Part | None:
    return None if layer is None else _part(layer.shapes)


def _part(shapes: Shapes) -> Part:
    boxes = shapes.boxes() if len(shapes) else np.zeros((0, 4))
    return Part(shapes, boxes)


def _outline_shapes(board: Board) -> Shapes:
    if board.outline is None or board.outline.area.is_empty:
        return empty_shapes()
    rings = [
        np.asarray(ring.coords)[:-1, :2]
        for piece in board.outline.area.geoms
        for ring in (piece.exterior, *piece.interiors)
    ]
    return polygon(rings)


def _under_mask(holes: Part, plated: Iterable[bool | None], openings: Part) -> NDArray[np.bool_]:
    """Small holes, not known to be unplated, whose middle no opening's box holds."""
    boxes = holes.boxes
    count = len(boxes)
    small = (boxes[:, 2] - boxes[:, 0] <= _COVERED_HOLE_MM) | (boxes[:, 3] - boxes[:, 1] <= _COVERED_HOLE_MM)
    known_plated = np.array([flag is not False for flag in plated], dtype=np.bool_)
    under = small & (known_plated if len(known_plated) == count else True)
    if not under.any() or len(openings.boxes) == 0:
        return under
    x, y = (boxes[:, 0] + boxes[:, 2]) / 2, (boxes[:, 1] + boxes[:, 3]) / 2
    # One pixel of 0.1 mm tells whether the mask is open over the middle of a hole.
    area = (float(x.min()) - 0.5, float(y.min()) - 0.5, float(x.max()) + 0.5, float(y.max()) + 0.5)
    scale = min(10.0, 3000 / max(area[2] - area[0], area[3] - area[1], 1.0))
    try:
        opened = coverage(openings.within(area), area, scale)
    except RasterTooLarge:
        return under
    rows = np.clip(((area[3] - y) * scale).astype(np.int64), 0, opened.shape[0] - 1)
    columns = np.clip(((x - area[0]) * scale).astype(np.int64), 0, opened.shape[1] - 1)
    return under & (opened[rows, columns] < 128)


def _extent(shapes: Shapes) -> Box | None:
    boxes = shapes.boxes()
    boxes = boxes[(boxes[:, 0] <= boxes[:, 2]) & np.isfinite(boxes).all(axis=1)]
    if len(boxes) == 0:
        return None
    x0, y0 = (float(value) for value in boxes[:, :2].min(axis=0))
    x1, y1 = (float(value) for value in boxes[:, 2:].max(axis=0))
    return x0, y0, x1, y1
