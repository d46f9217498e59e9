"""The bodies of the parts over a picture: thin outlines on the board, panes in windows that are about them."""

from collections.abc import Sequence

import numpy as np
import shapely

from labelcheck.board.components import Body
from labelcheck.raster.coverage import STRIPS, coverage_by_columns
from labelcheck.review.picture.board_view import View
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import GREY, INK, Colour
from labelcheck.trade.errors import RasterTooLarge
from labelcheck.trade.shapes import Shapes, bars, concatenate, polygon

BODIES_TOLD = "thin dark outlines: where parts will stand; fainter: estimated"
_LINE_PIXELS = 2.0
_SURE, _ESTIMATED = 0.8, 0.4
"""How strongly an outline shows over the board."""
_SOLID = 0.6
"""How strongly a body covers what it hides: enough to see that it stands there, and what lies below."""


def outline_bodies(canvas: Canvas, at: tuple[int, int], bodies: Sequence[Body], view: View) -> None:
    """A thin dark line around each body in view; estimates are fainter."""
    for estimated, strength in ((False, _SURE), (True, _ESTIMATED)):
        lines = _edges([body for body in bodies if body.estimated is estimated], _LINE_PIXELS / view.pixels_per_mm)
        _lay(canvas, at, lines, view, strength)


def cover_with_bodies(canvas: Canvas, at: tuple[int, int], bodies: Sequence[Body], view: View) -> None:
    """Each body in view as it will stand there: nothing is seen through it."""
    _lay(canvas, at, _areas(bodies, view), view, 1.0, GREY)
    near = [body for body in bodies if body.area.intersects(shapely.box(*view.box_mm))]
    _lay(canvas, at, _edges(near, _LINE_PIXELS / view.pixels_per_mm), view, 1.0)


def fill_bodies(canvas: Canvas, at: tuple[int, int], bodies: Sequence[Body], view: View) -> None:
    """Each body in view as a dark pane."""
    _lay(canvas, at, _areas(bodies, view), view, _SOLID)


def _areas(bodies: Sequence[Body], view: View) -> Shapes:
    """Each body that reaches into a view, filled."""
    near = [body.area for body in bodies if body.area.intersects(shapely.box(*view.box_mm))]
    return concatenate([polygon([np.asarray(area.exterior.coords)[:-1, :2]]) for area in near])


def _edges(bodies: Sequence[Body], width_mm: float) -> Shapes:
    """Every side of every outline as a bar."""
    rings = [np.asarray(body.area.exterior.coords)[:, :2] for body in bodies]
    if not rings:
        return concatenate([])
    start, end = np.concatenate([ring[:-1] for ring in rings]), np.concatenate([ring[1:] for ring in rings])
    return bars(start[:, 0], start[:, 1], end[:, 0], end[:, 1], width_mm)


def _lay(
    canvas: Canvas, at: tuple[int, int], shapes: Shapes, view: View, strength: float, colour: Colour = INK
) -> None:
    if len(shapes) == 0:
        return
    try:
        columns = coverage_by_columns([(shapes, STRIPS)], view.box_mm, view.pixels_per_mm)
    except RasterTooLarge:
        # The picture is worth more than the outlines over it.
        return
    left, top = at
    for first, (parts,) in columns:
        y, x = np.nonzero(parts)
        # 64 parts are 255, all there is.
        cover = parts[y, x].astype(np.int32)
        share = (((cover << 2) - (cover >> 6)) * np.float32(strength)).astype(np.int32)
        x = view.width - 1 - (x + first) if view.mirrored else x + first
        canvas.blend_points((y + top, x + left), share, colour)
