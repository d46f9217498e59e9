"""One side of the board as a drawing at 1:1, as a person sees it: the bottom is mirrored."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely

from labelcheck.board.board import Board
from labelcheck.board.components import Body
from labelcheck.formats.pdf.document import Form
from labelcheck.formats.pdf.drawing import BLACK, WHITE, Colour, Drawing
from labelcheck.review.picture.board_view import board_box
from labelcheck.review.true_size.edges import Edges, edges_of
from labelcheck.review.wording import printable, some_of
from labelcheck.trade.shapes import Flags, Floats, Shapes
from labelcheck.trade.sides import OUTER_SIDES, Side

Box = tuple[float, float, float, float]
_AROUND_MM = 1.5
"""Paper left around board and bodies."""
_OVERHANG_MM = 40.0
"""How far a body may reach past the board and still be drawn whole; further out it is cut off."""
_INK_BESIDE_MM = 5.0
"""The same for ink across or beside the edge; what lies further off is a note for the fabricator."""
_NAMED = 8
"""Parts named in a sentence; more are counted."""
NO_SIZE = "nothing tells their size"
"""Why a part is not drawn; a limits file can tell it."""


@dataclass(frozen=True, slots=True)
class Line:
    """How a line of the sheet is drawn, and what it stands for."""

    means: str
    width_mm: float
    colour: Colour
    dashes_mm: tuple[float, ...] = ()


EDGE_LINE = Line("edge of the board", 0.2, BLACK)
OPENING_LINE = Line("pads (openings of the mask)", 0.1, (0.45, 0.45, 0.45))
HOLE_LINE = Line("holes", 0.1, (0.8, 0.1, 0.1))
BODY_LINE = Line("parts at their largest", 0.2, (0.0, 0.25, 0.8))
ESTIMATE_LINE = Line("parts, size estimated", 0.2, (0.0, 0.25, 0.8), (1.0, 0.8))
LINES = (EDGE_LINE, OPENING_LINE, HOLE_LINE, BODY_LINE, ESTIMATE_LINE)


@dataclass(frozen=True, slots=True)
class SideDrawing:
    """One side, ready to be put on pages."""

    side: Side
    width_mm: float
    height_mm: float
    form: Form
    """From (0, 0) at the lower left corner, as seen."""
    told: tuple[str, ...]
    """Sentences: what is not on it, and why."""


@dataclass(frozen=True, slots=True)
class _Seen:
    """From millimetres of the board to millimetres of the drawing."""

    box_mm: Box
    mirrored: bool

    def x(self, x_mm: Floats) -> Floats:
        return self.box_mm[2] - x_mm if self.mirrored else x_mm - self.box_mm[0]

    def y(self, y_mm: Floats) -> Floats:
        return y_mm - self.box_mm[1]

    def points(self, points_mm: Floats) -> Floats:
        return np.column_stack((self.x(points_mm[:, 0]), self.y(points_mm[:, 1])))


def drawn_box(board: Board) -> Box:
    """What both drawings show: the board, bodies and ink that stand across its edge, and a little around."""
    box = board_box(board)
    whole = shapely.box(*box)
    bodies = [one.body.area for one in board.components if one.body is not None]
    standing = [area for area in bodies if area.intersects(whole)]
    reached = [_reached(np.array([area.bounds for area in standing]).reshape(-1, 4), box, _OVERHANG_MM)]
    for side in OUTER_SIDES:
        legend = board.on(side).legend
        if legend is not None:
            reached.append(_reached(legend.shapes.boxes()[legend.shapes.dark], box, _INK_BESIDE_MM))
    corners = np.array(reached)
    (x0, y0), (x1, y1) = corners[:, :2].min(axis=0).tolist(), corners[:, 2:].max(axis=0).tolist()
    return x0 - _AROUND_MM, y0 - _AROUND_MM, x1 + _AROUND_MM, y1 + _AROUND_MM


def _reached(boxes: Floats, box: Box, reach_mm: float) -> Box:
    """A box made larger for what (n, 4) lies on or beside it, by so much on each side at most."""
    x0, y0, x1, y1 = box
    near = (boxes[:, :2] < (x1 + reach_mm, y1 + reach_mm)).all(axis=1)
    near &= (boxes[:, 2:] > (x0 - reach_mm, y0 - reach_mm)).all(axis=1)
    lows = boxes[near, :2].min(axis=0, initial=np.inf).tolist()
    highs = boxes[near, 2:].max(axis=0, initial=-np.inf).tolist()
    return (
        min(x0, max(lows[0], x0 - reach_mm)), min(y0, max(lows[1], y0 - reach_mm)),
        max(x1, min(highs[0], x1 + reach_mm)), max(y1, min(highs[1], y1 + reach_mm)),
    )


def draw_sides(board: Board) -> tuple[SideDrawing, ...]:
    """Top and bottom."""
    holes = None if board.holes is None else edges_of(board.holes.shapes)
    return tuple(_draw_side(board, side, holes) for side in OUTER_SIDES)


def _draw_side(board: Board, side: Side, holes: Edges | None) -> SideDrawing:
    """Legend filled, everything else in outline; the legend lies below, so that no line is hidden by it."""
    box = drawn_box(board)
    seen = _Seen(box, mirrored=side is Side.BOTTOM)
    on_side = board.on(side)
    drawing = Drawing()
    if on_side.legend is not None:
        _draw_ink(drawing, on_side.legend.shapes, seen)
    if on_side.openings is not None:
        _draw_edges(drawing, edges_of(on_side.openings.shapes), OPENING_LINE, seen)
    if holes is not None:
        _draw_edges(drawing, holes, HOLE_LINE, seen)
    if board.outline is not None:
        edges = [shapely.get_coordinates(ring)[:-1] for ring in shapely.get_rings(board.outline.area.geoms)]
        _draw_edges(drawing, Edges(np.zeros((0, 3)), tuple(edges)), EDGE_LINE, seen)
    bodies = [one.body for one in board.components if one.side is side and one.body is not None]
    for line, estimated in ((ESTIMATE_LINE, True), (BODY_LINE, False)):
        _draw_bodies(drawing, [body for body in bodies if body.estimated is estimated], line, seen)
    width, height = box[2] - box[0], box[3] - box[1]
    form = Form((0.0, 0.0, width, height), drawing.content)
    return SideDrawing(side, width, height, form, tuple(_told(board, side, box)))


def _draw_ink(drawing: Drawing, shapes: Shapes, seen: _Seen) -> None:
    """The legend as drawn: in drawing order, clear objects in the colour of the paper."""
    turns = np.flatnonzero(np.diff(shapes.dark)) + 1
    for run in np.split(np.arange(len(shapes)), turns):
        if len(run):
            part = shapes.take(run)
            _draw_run(drawing, part, BLACK if part.dark[0] else WHITE, seen)


def _draw_run(drawing: Drawing, part: Shapes, colour: Colour, seen: _Seen) -> None:
    """Objects of one colour, whose order makes no difference."""
    drawing.ink(colour)
    inked = part.width > 0
    dots = inked & (part.x0 == part.x1) & (part.y0 == part.y1)
    drawing.discs(np.column_stack((seen.x(part.x0[dots]), seen.y(part.y0[dots]), part.width[dots] / 2)))
    strokes = inked & ~dots
    ends = np.column_stack((seen.x(part.x0), seen.y(part.y0), seen.x(part.x1), seen.y(part.y1)))
    for width in np.unique(part.width[strokes]).tolist():
        drawing.pen(width, colour)
        drawing.lines(ends[strokes & (part.width == width)])
    points = seen.points(np.column_stack((part.vx, part.vy)))
    rings = np.split(points, part.ring_start[1:-1])
    for block in np.split(np.arange(len(part.ring_object)), np.flatnonzero(np.diff(part.ring_object)) + 1):
        drawing.area(rings[ring] for ring in block.tolist())


def _draw_edges(drawing: Drawing, edges: Edges, line: Line, seen: _Seen) -> None:
    drawing.pen(line.width_mm, line.colour, line.dashes_mm)
    circles = edges.circles
    drawing.circles(np.column_stack((seen.x(circles[:, 0]), seen.y(circles[:, 1]), circles[:, 2])))
    drawing.contours(seen.points(ring) for ring in edges.rings)


def _draw_bodies(drawing: Drawing, bodies: Iterable[Body], line: Line, seen: _Seen) -> None:
    rings = [np.asarray(body.area.exterior.coords)[:-1, :2] for body in bodies]
    _draw_edges(drawing, Edges(np.zeros((0, 3)), tuple(rings)), line, seen)


def _told(board: Board, side: Side, box: Box) -> Iterable[str]:
    on_side = board.on(side)
    if on_side.legend is None:
        yield "No legend of this side."
    elif _outside(on_side.legend.shapes, box).any():
        yield "Ink further off the board is not drawn."
    if on_side.openings is None:
        yield "No mask of this side: pads are not drawn."
    if board.holes is None:
        yield "No drill file: holes are not drawn."
    if board.outline is None:
        yield "The edge of the board is not known."
    without = [one for one in board.components if one.side is side and one.body is None]
    if not board.components:
        yield "The files tell of no parts."
    elif without:
        names = sorted(printable(one.reference) for one in without if one.reference is not None)
        names += ["a part without a name"] * (len(without) - len(names))
        yield f"Not drawn, for {NO_SIZE}: {some_of(names, _NAMED)}."


def _outside(shapes: Shapes, box: Box) -> Flags:
    """Which dark objects (n,) reach out of what is drawn."""
    boxes = shapes.boxes()
    beyond = (boxes[:, 0] < box[0]) | (boxes[:, 1] < box[1]) | (boxes[:, 2] > box[2]) | (boxes[:, 3] > box[3])
    return np.asarray(beyond & shapes.dark & np.isfinite(boxes[:, 0]))
