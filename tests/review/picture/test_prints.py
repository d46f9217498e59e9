"""Labels as drawn beside as printed: true to the print model, on both sides, only where printing changes them."""

from dataclasses import replace

import numpy as np
import pytest

from labelcheck.board.board import Board
from labelcheck.judging import Finding
from labelcheck.labels.label import Label
from labelcheck.press.evidence import WHOLE, Misread, Printed
from labelcheck.review.contents import Review
from labelcheck.review.picture.board_view import View, parts_of
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import LOST, PAPER, materials_of
from labelcheck.review.picture.insets import TILE_HEIGHT, Inset, Looks, draw_inset
from labelcheck.review.picture.palette import palette_of
from labelcheck.review.picture.prints import Press, draw_pair, places_of_pair, sizes_of_pair
from labelcheck.trade.limits import limits_for
from labelcheck.trade.shapes import polygon
from labelcheck.trade.sides import Side
from tests.review.conftest import layer

LIMITS = limits_for()
CLIPPED = replace(WHOLE, least_left=0.5, left=0.8, misread=(Misread(0, (0,), "C", None, 0.0, 0.5),))


def press_on(board: Board, **printed: Printed) -> Press:
    return Press(board, LIMITS, printed, materials_of(board.appearance).ink)


def with_opening(board: Board, label: Label) -> Board:
    """The left half of a label's box bare of mask."""
    x0, y0, x1, y1 = label.box_mm
    middle = (x0 + x1) / 2
    bare = layer("mask", polygon([np.array([(x0, y0), (middle, y0), (middle, y1), (x0, y1)])]))
    on_side = replace(board.on(label.side), openings=bare)
    return replace(board, top=on_side) if label.side is Side.TOP else replace(board, bottom=on_side)


def of_side(labels: tuple[Label, ...], side: Side) -> Label:
    return next(label for label in labels if label.side is side)


def finding_of(review: Review, label: Label, analyser: str = "in-opening") -> Finding:
    return replace(review.findings[0], analyser=analyser, label=label.id, unit="fraction", box_mm=label.box_mm)


@pytest.mark.parametrize("side", [Side.TOP, Side.BOTTOM])
@pytest.mark.parametrize("stacked", [False, True])
def test_the_second_picture_has_only_what_is_left(
    board: Board, labels: tuple[Label, ...], side: Side, stacked: bool
) -> None:
    label = of_side(labels, side)
    x0, y0, x1, y1 = label.box_mm
    bare = with_opening(board, label)
    view = View((x0 - 0.5, y0 - 0.5, x1 + 0.5, y1 + 0.5), 40.0, side is Side.BOTTOM, fine=True)
    canvas = Canvas(900, 600, palette_of(materials_of(board.appearance)), PAPER)
    places = places_of_pair((10, 10), view, stacked)
    press = press_on(bare)
    draw_pair(canvas, places, view, parts_of(bare, side), (press, label, (0.0, 0.0)))
    drawn, printed = (canvas.pixels[y : y + view.height, x : x + view.width] for x, y in places)
    ink, lost = canvas.index(press.ink), canvas.index(LOST)
    # The opened half is on the left as seen from the top, on the right as the bottom is seen.
    half = np.arange(view.width) < view.width / 2 if side is Side.TOP else np.arange(view.width) > view.width / 2
    clip = round(0.2 * view.pixels_per_mm)
    opened = half.copy()
    opened[view.width // 2 - clip : view.width // 2 + clip] = False
    away = ~half
    away[view.width // 2 - clip : view.width // 2 + clip] = False
    assert (drawn == lost)[:, opened].any() and not (drawn == lost)[:, away].any()
    assert not (printed == lost).any()
    assert not (printed == ink)[:, opened].any()
    assert (printed == ink)[:, away].sum() > (drawn == ink)[:, away].sum() > 0, "ink spreads"


def test_both_arrangements_fill_the_place() -> None:
    (width, height), (wide, low) = sizes_of_pair(476, 300)
    assert 2 * width <= 476 < 2 * width + 12 and height < 300
    assert wide == 476 and 2 * low < 300


@pytest.mark.parametrize(
    ("analyser", "state", "shown"),
    [
        ("in-opening", CLIPPED, (0.0, 0.0)), ("in-opening", WHOLE, None), ("short-character", CLIPPED, None),
        ("closed-gap", replace(WHOLE, joined=(0,)), (0.0, 0.0)), ("closed-gap", WHOLE, None),
        ("across-hole", replace(WHOLE, shift_mm=(0.1, 0.0), least_left_when_shifted=0.5), (0.1, 0.0)),
        ("across-hole", replace(WHOLE, shift_mm=(0.1, 0.0), least_left_when_shifted=0.99), None),
    ],
)
def test_only_a_print_that_shows_the_fault_is_shown(
    board: Board, review: Review, labels: tuple[Label, ...], analyser, state, shown
) -> None:
    label = labels[0]
    press = press_on(board, **{label.id: state})
    assert press.shift_of(finding_of(review, label, analyser), label) == shown


def test_the_tile_of_a_label_that_loses_ink_shows_both(
    board: Board, review: Review, labels: tuple[Label, ...]
) -> None:
    label = of_side(labels, Side.TOP)
    bare = with_opening(board, label)
    palette = palette_of(materials_of(board.appearance))
    inset = Inset("1", finding_of(review, label), label)
    tiles = []
    for press in (press_on(bare, **{label.id: CLIPPED}), None):
        canvas = Canvas(500, TILE_HEIGHT, palette, PAPER)
        draw_inset(canvas, (0, 0, 500, TILE_HEIGHT), inset, parts_of(bare, Side.TOP), Looks("mm", 20.0, False, press))
        tiles.append(canvas)
    pair, single = tiles
    lost = pair.index(LOST)
    assert (pair.pixels == lost).any()
    left, right = (pair.pixels[82:352] == lost)[:, :249], (pair.pixels[82:352] == lost)[:, 251:]
    upper, lower = (pair.pixels == lost)[82:198], (pair.pixels == lost)[230:352]
    assert not right.any() or not lower.any(), "lost ink is shown in the first of the two only"
    assert left.any() and upper.any()
    assert not (single.pixels == pair.pixels).all()
