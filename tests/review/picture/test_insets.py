"""Enlarged labels: the worst of each kind, true to scale, with what was measured."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from labelcheck.board.board import Board
from labelcheck.judging import Severity
from labelcheck.labels.label import Label
from labelcheck.review.contents import Review
from labelcheck.review.grouping import group_findings
from labelcheck.review.picture.board_view import parts_of
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import INK, PAPER, SEVERITY_STYLES, materials_of
from labelcheck.review.picture.insets import (
    TILE_HEIGHT,
    Inset,
    Looks,
    choose_insets,
    draw_inset,
    inset_view,
)
from labelcheck.review.picture.palette import palette_of
from labelcheck.trade.sides import Side

LOOKS = Looks("mm", 20.0, False)
WIDTH = 480


def inset_of(review: Review, labels: tuple[Label, ...], place: int = 0) -> Inset:
    finding = review.findings[place]
    (label,) = (label for label in labels if label.id == finding.label)
    return Inset(finding.id[1:], finding, label)


def test_the_worst_of_each_group_and_no_label_twice(many: Callable, review: Review) -> None:
    states, findings = many(8)
    again = replace(findings[0], id="F20", analyser="thin-stroke")
    side_wide = replace(findings[1], id="F21", label=None, analyser="other")
    labels = {state.label.id: state.label for state in states}
    chosen = choose_insets(group_findings([*findings, again, side_wide], labels), labels, 5)
    assert [inset.number for inset in chosen] == ["1"]
    apart = [replace(finding, limit=0.8 + number / 100) for number, finding in enumerate(findings)]
    assert len(choose_insets(group_findings(apart, labels), labels, 5)) == 5


def test_a_box_that_is_no_box_has_no_inset(review: Review, labels: tuple[Label, ...]) -> None:
    finding = replace(review.findings[0], box_mm=(float("nan"), 0.0, 1.0, 1.0))
    known = {label.id: label for label in labels}
    assert choose_insets(group_findings([finding], known), known, 5) == ()


def test_the_window_holds_the_label_and_enlarges_it(review: Review, labels: tuple[Label, ...]) -> None:
    for place in range(len(review.findings)):
        inset = inset_of(review, labels, place)
        view = inset_view(inset, WIDTH, LOOKS)
        left, top, right, bottom = view.box(inset.label.box_mm)
        assert left >= 0
        assert top >= 0
        assert right <= view.width
        assert bottom <= view.height
        assert view.pixels_per_mm >= 2.5 * LOOKS.board_pixels_per_mm


def test_a_long_label_is_cut_around_what_is_wrong(review: Review, labels: tuple[Label, ...]) -> None:
    inset = inset_of(review, labels)
    label = replace(inset.label, box_mm=(0.0, 0.0, 60.0, 1.0))
    finding = replace(inset.finding, box_mm=(50.0, 0.0, 51.0, 1.0))
    view = inset_view(Inset("1", finding, label), WIDTH, LOOKS)
    assert view.pixels_per_mm >= 2.5 * LOOKS.board_pixels_per_mm
    left, _, right, _ = view.box(finding.box_mm)
    assert 0 <= left <= right <= view.width


@pytest.mark.parametrize("turned", [0.0, 90.0, 180.0, 270.0])
def test_the_dimension_lines_are_true_to_scale(
    review: Review, labels: tuple[Label, ...], board: Board, turned: float
) -> None:
    inset = inset_of(review, labels)
    inset = replace(inset, label=replace(inset.label, turned_deg=turned))
    canvas = Canvas(WIDTH + 24, TILE_HEIGHT, palette_of(materials_of(board.appearance)), PAPER)
    draw_inset(canvas, (0, 0, WIDTH + 24, TILE_HEIGHT), inset, parts_of(board, Side.TOP), LOOKS)
    view = inset_view(inset, WIDTH, LOOKS)
    picture = canvas.pixels[52:352, 12 : 12 + WIDTH]
    for colour, length_mm in ((SEVERITY_STYLES[Severity.UNREADABLE].edge, 0.71), (INK, 0.80)):
        mask = picture == canvas.index(colour)
        along = mask.sum(axis=0 if turned % 180 == 0 else 1)
        assert along.max() == pytest.approx(length_mm * view.pixels_per_mm, abs=6)


def test_a_lost_part_is_framed(review: Review, labels: tuple[Label, ...], board: Board) -> None:
    inset = inset_of(review, labels)
    x0, y0, _, y1 = inset.label.box_mm
    lost = replace(inset.finding, analyser="in-opening", unit="fraction", measured=0.4, limit=0.25,
                   box_mm=(x0, y0, x0 + 0.5, y1))
    canvas = Canvas(WIDTH + 24, TILE_HEIGHT, palette_of(materials_of(board.appearance)), PAPER)
    parts = parts_of(board, Side.TOP)
    draw_inset(canvas, (0, 0, WIDTH + 24, TILE_HEIGHT), replace(inset, finding=lost), parts, LOOKS)
    view = inset_view(inset, WIDTH, LOOKS)
    left, top, right, bottom = view.box(lost.box_mm)
    rows, columns = np.nonzero(canvas.pixels[52:352, 12:492] == canvas.index(SEVERITY_STYLES[lost.severity].edge))
    assert columns.min() == pytest.approx(left - 6, abs=2)
    assert columns.max() == pytest.approx(right + 6, abs=2)
    assert rows.min() == pytest.approx(top - 6, abs=2)
    assert rows.max() == pytest.approx(bottom + 6, abs=2)
