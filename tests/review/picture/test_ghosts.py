"""The dashed outline of where a cure puts a label."""

from dataclasses import replace

import numpy as np

from labelcheck.board.board import Board
from labelcheck.cures.cure import Cure
from labelcheck.labels.label import Label
from labelcheck.review.contents import Review
from labelcheck.review.picture.board_view import parts_of
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import PAPER, materials_of
from labelcheck.review.picture.ghosts import box_with_ghost, draw_ghost, ghost_of, ghost_told
from labelcheck.review.picture.insets import TILE_HEIGHT, Inset, Looks, draw_inset, inset_view
from labelcheck.review.picture.palette import palette_of
from labelcheck.trade.sides import Side

LOOKS = Looks("mm", 20.0, False)


def moved(label: Label, x: float, y: float) -> Cure:
    x0, y0, x1, y1 = label.box_mm
    return Cure(label.id, shift_mm=(x, y), box_mm=(x0 + x, y0 + y, x1 + x, y1 + y))


def test_only_what_stands_elsewhere_or_is_larger_has_a_ghost(labels: tuple[Label, ...]) -> None:
    label = labels[0]
    assert ghost_of(label, None) is None
    assert ghost_of(label, Cure(label.id, mirrored=True, turn_deg=180, box_mm=label.box_mm)) is None
    assert ghost_of(label, Cure(label.id, height_mm=1.2, box_mm=None)) is None
    assert ghost_of(label, moved(label, 0.4, 0.0)) == moved(label, 0.4, 0.0).box_mm


def test_a_window_opens_for_a_near_ghost_and_not_for_a_far_one(labels: tuple[Label, ...]) -> None:
    label = labels[0]
    x0, y0, x1, y1 = label.box_mm
    assert box_with_ghost(label, moved(label, 0.4, 0.0)) == (x0, y0, x1 + 0.4, y1)
    assert box_with_ghost(label, moved(label, 9.0, 0.0)) == label.box_mm


def test_the_ghost_is_drawn_and_said(board: Board, review: Review, labels: tuple[Label, ...]) -> None:
    finding = review.findings[0]
    (label,) = (label for label in labels if label.id == finding.label)
    parts = parts_of(board, Side.TOP)
    pictures = []
    for cure in (None, moved(label, 0.3, 0.3)):
        canvas = Canvas(480, TILE_HEIGHT, palette_of(materials_of(board.appearance)), PAPER)
        draw_inset(canvas, (0, 0, 480, TILE_HEIGHT), Inset("1", finding, label, cure), parts, LOOKS)
        pictures.append(np.asarray(canvas.image().convert("RGB")))
    assert (pictures[0] != pictures[1]).any()
    assert ghost_told(moved(label, 0.3, -0.25), label, "mm") == "Dashed: 0.3 mm right and 0.25 mm down"
    assert ghost_told(moved(label, 2.54, 0.0), replace(label, side=Side.BOTTOM), "inch") == "Dashed: 0.1000 in left"


def test_a_ghost_outside_of_the_window_is_not_drawn(
    board: Board, review: Review, labels: tuple[Label, ...]
) -> None:
    finding = review.findings[0]
    (label,) = (label for label in labels if label.id == finding.label)
    view = inset_view(Inset("1", finding, label), 480, LOOKS)
    canvas = Canvas(480, TILE_HEIGHT, palette_of(materials_of(board.appearance)), PAPER)
    x0, y0, x1, y1 = label.box_mm
    assert not draw_ghost(canvas, (0, 0), (x0 + 50, y0, x1 + 50, y1), view)
    assert draw_ghost(canvas, (0, 0), (x0, y0, x1, y1), view)
