"""Boards made by hand, for tests of what a label loses and what crosses it."""

from collections.abc import Sequence

import numpy as np
import pytest
from shapely.geometry import MultiPolygon, box
from shapely.geometry.base import BaseGeometry

from labelcheck.board.board import Appearance, Board, BoardSide, Holes, Layer, Outline
from labelcheck.labels.label import Label, Mark, SideLabels
from labelcheck.trade.shapes import Shapes, bars, concatenate, empty_shapes
from labelcheck.trade.sides import Side


def layer_of(shapes: Shapes) -> Layer:
    """A layer with nothing but shapes."""
    return Layer(files=("made by hand",), shapes=shapes, apertures=(), attribute_sets=((),))


def strokes(*lines: tuple[float, float, float, float], pen_mm: float = 0.2) -> Shapes:
    """Straight strokes: x0, y0, x1, y1."""
    table = np.array(lines, dtype=np.float64).reshape(-1, 4)
    return bars(*table.T, pen_mm)


def discs(*circles: tuple[float, float, float]) -> Shapes:
    """Discs: x, y, diameter."""
    table = np.array(circles, dtype=np.float64).reshape(-1, 3)
    return bars(table[:, 0], table[:, 1], table[:, 0], table[:, 1], table[:, 2])


def a_board(
    legend: Shapes,
    openings: Shapes | None = None,
    holes: Holes | None = None,
    area: BaseGeometry | None = None,
) -> Board:
    """A board of 40 x 30 mm unless an area is given, with all of it on the top."""
    laminate = box(0, 0, 40, 30) if area is None else area
    parts = MultiPolygon([laminate]) if laminate.geom_type == "Polygon" else laminate
    top = BoardSide(
        Side.TOP, layer_of(legend), layer_of(empty_shapes() if openings is None else openings), None, None
    )
    bottom = BoardSide(Side.BOTTOM, None, None, None, None)
    return Board(
        outline=Outline(parts, "profile"),
        holes=Holes(empty_shapes(), ()) if holes is None else holes,
        top=top,
        bottom=bottom,
        appearance=Appearance(None, None, None),
        remarks=(),
        holding=(),
    )


def a_label(number: str, marks: Sequence[Mark]) -> Label:
    """A label of marks."""
    boxes = np.array([mark.box_mm for mark in marks])
    x0, y0 = boxes[:, :2].min(axis=0)
    x1, y1 = boxes[:, 2:].max(axis=0)
    return Label(
        id=number, side=Side.TOP, text=None, text_confidence=0.0, text_known_by=None, kind="unread",
        box_mm=(float(x0), float(y0), float(x1), float(y1)), turned_deg=0.0, drawn_as="strokes", marks=tuple(marks),
        character_height_mm=float(y1 - y0), stroke_least_mm=0.2, stroke_typical_mm=0.2, gap_mm=None,
    )


@pytest.fixture
def two_posts() -> tuple[Shapes, SideLabels]:
    """One label of two upright strokes, 2 mm high, at x = 10 and x = 12, y from 10 to 12; pen 0.2 mm."""
    shapes = strokes((10, 10, 10, 12), (12, 10, 12, 12))
    marks = [
        Mark(0, (0,), (9.9, 9.9, 10.1, 12.1), 0.2, None),
        Mark(1, (1,), (11.9, 9.9, 12.1, 12.1), 0.2, None),
    ]
    return shapes, SideLabels((a_label("T1", marks),), ())


def with_drawing(shapes: Shapes, found: SideLabels, drawing: Shapes) -> tuple[Shapes, SideLabels]:
    """The same with one more mark that is no label, made of all objects of the drawing."""
    first = len(shapes)
    number = 1 + max(mark.number for label in found.labels for mark in label.marks)
    boxes = drawing.boxes()
    mark = Mark(
        number, tuple(range(first, first + len(drawing))),
        tuple(float(edge) for edge in (*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0))), None, None,
    )
    return concatenate([shapes, drawing]), SideLabels(found.labels, (*found.drawings, mark))
