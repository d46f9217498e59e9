"""Both states side by side: every changed place is there once, and what is seen is the board."""

from dataclasses import replace

import numpy as np

from labelcheck.board.board import Board
from labelcheck.judging import Severity
from labelcheck.review.changes import changes_between
from labelcheck.review.comparison_picture import MOST_PLACES, _common, _free_spot, changed_places, draw_comparison
from labelcheck.review.contents import Review
from labelcheck.review.record import record_of
from labelcheck.review.seen import seen_in


def between(old: Review, new: Review):
    return changes_between(seen_in(record_of(old)), seen_in(record_of(new)))


def test_worst_first_and_each_label_once(review: Review) -> None:
    fewer = replace(review, labels=review.labels[:2] + review.labels[3:], findings=review.findings[1:])
    twice = replace(review, findings=(*review.findings, replace(review.findings[0], id="F4", analyser="thin-stroke")))
    places = changed_places(between(fewer, twice))
    assert [(place.said.split(":")[0], place.severity) for place in places] == [
        ("New", Severity.UNREADABLE), ('New label "TRACK-1"', Severity.NOTE),
    ]


def test_what_is_gone_and_what_is_fixed_have_their_places(review: Review) -> None:
    fewer = replace(review, labels=review.labels[:2] + review.labels[3:], findings=review.findings[1:])
    fixed, gone = changed_places(between(review, fewer))
    assert fixed.fixed and fixed.said.startswith("Fixed: ")
    assert gone.new_box is None and gone.old_box is not None and gone.said == '"TRACK-1" is gone'


def test_a_picture_with_both_states(review: Review, board: Board) -> None:
    changes = between(replace(review, findings=()), review)
    picture = draw_comparison((board, board), ("rev-a", "rev-b"), changes)
    again = draw_comparison((board, board), ("rev-a", "rev-b"), changes)
    assert picture.tobytes() == again.tobytes()
    assert max(picture.size) <= 4000
    pixels = np.asarray(picture.convert("RGB")).astype(int)
    green = (pixels[..., 1] > pixels[..., 0] + 30) & (pixels[..., 1] > pixels[..., 2] + 20)
    half = pixels.shape[1] // 2
    # The same board stands in both halves, so that both hold as much of its mask, but for frames and numbers.
    assert abs(green[:, :half].sum() - green[:, half:].sum()) < 0.2 * green.sum()


def test_nothing_changed_and_very_much_changed(review: Review, board: Board, many) -> None:
    draw_comparison((board, board), ("a", "b"), between(review, review))
    labels, findings = many(100)
    changes = between(replace(review, labels=(), findings=()), replace(review, labels=labels, findings=findings))
    assert len(changed_places(changes)) == 100 > MOST_PLACES
    assert max(draw_comparison((board, board), ("a", "b"), changes).size) <= 4200


def test_numbers_beside_one_another_do_not_cover_one_another() -> None:
    area = (0, 0, 900, 600)
    taken = [(x, 300, x + 30, 320) for x in range(300, 420, 40)]
    spots = []
    for frame in list(taken):
        spots.append(_free_spot((40, 40), frame, area, [*taken, *spots]))
    for place, spot in enumerate(spots):
        assert all(_common(spot, other) == 0 for other in [*taken, *spots[:place]])
        assert area[0] <= spot[0] and spot[2] <= area[2] and area[1] <= spot[1] and spot[3] <= area[3]
