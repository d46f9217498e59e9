"""Cures of labels that stand by the wrong part, or behind tall ones: each applied, and checked again."""

from dataclasses import replace
from pathlib import Path

import pytest

from labelcheck.board.opening import open_sets
from labelcheck.checking import check_set
from labelcheck.cures.cure import Cure
from labelcheck.review.contents import Review
from labelcheck.trade.limits import Limits
from labelcheck.trade.stated import StatedBody
from tests.cures.holding import Told, cures_that_hold
from tests.cures.test_curing import LIMITS, NOW
from tests.sets_made import HEAD, a_set, artwork, at, flashes, word, write

Places = dict[str, tuple[float, float]]


def copper(parts: Places) -> str:
    """Two pads of 1 mm for each part, 2 mm apart along x, that say whose they are."""
    drawn = "".join(
        f"%TO.C,{name}*%\n%TO.P,{name},{pin}*%\nX{at(x + dx)}Y{at(y)}D03*\n%TD*%\n"
        for name, (x, y) in parts.items() for pin, dx in ((1, -1.0), (2, 1.0))
    )
    return f"%TF.FileFunction,Copper,L1,Top*%\n{HEAD}%ADD10C,1.0*%\nD10*\n{drawn}M02*\n"


def tried(folder: Path, parts: Places, lines: list, limits: Limits = LIMITS) -> tuple[Review, list[Told]]:
    """The review of a board with these parts and this legend, and its cures, applied and checked again."""
    pads = [(x + dx, y) for x, y in parts.values() for dx in (-1.0, 1.0)]
    files = a_set(
        artwork("Legend,Top", 0.18, lines), copper_top=copper(parts), mask_top=flashes("Soldermask,Top", 1.1, pads),
        plated=None,
    )
    (fab_set,) = open_sets(write(folder / "s", files))
    checked = check_set(fab_set, limits, NOW)
    return checked.review, cures_that_hold(fab_set, checked, lambda changed: check_set(changed, limits, NOW))


def the_cure(review: Review, text: str) -> Cure:
    (label,) = [state.label for state in review.labels if state.label.text == text]
    cure = review.cure_of(label.id)
    assert cure is not None
    return cure


def test_two_references_at_one_anothers_parts_are_changed_over(tmp_path) -> None:
    parts = {"R72": (6.0, 8.0), "R27": (16.0, 8.0)}
    review, told = tried(tmp_path, parts, [*word(14.0, 9.4, 1.3, "R72"), *word(4.0, 9.4, 1.3, "R27")])
    (finding,) = [one for one in review.findings if one.analyser == "nearer-to-another"]
    assert the_cure(review, "R72").shift_mm == pytest.approx((-10.0, 0.0), abs=0.02)
    assert the_cure(review, "R27").shift_mm == pytest.approx((10.0, 0.0), abs=0.02)
    assert finding.advice is not None and finding.advice.startswith("Change it over with ")
    assert [one.failure for one in told] == [None, None]


def test_one_by_another_part_moves_to_its_own(tmp_path) -> None:
    parts = {"R72": (6.0, 8.0), "R27": (12.0, 8.0)}
    review, told = tried(tmp_path, parts, word(10.0, 9.4, 1.3, "R72"))
    (finding,) = [one for one in review.findings if one.analyser == "nearer-to-another"]
    cure = the_cure(review, "R72")
    assert finding.advice is not None and finding.advice.startswith("Move it ")
    # Its pads reach to x = 7.5, those of the other part begin at 10.5: it ends up clearly nearer to its own.
    assert cure.moved and cure.box_mm is not None and cure.box_mm[2] < 10.5
    assert [one.failure for one in told] == [None]


def test_where_its_own_part_has_no_room_left_the_place_of_the_part_is_told(tmp_path) -> None:
    parts = {"R72": (6.0, 8.0), "R27": (12.0, 8.0)}
    crossed = [(x, y0, x, y1) for x in (2, 3, 4, 5, 6, 7, 8, 9) for y0, y1 in ((1.0, 7.2), (8.8, 19.0))]
    review, _ = tried(tmp_path, parts, [*word(10.0, 9.4, 1.3, "R72"), *crossed])
    advice = {one.analyser: one.advice for one in review.findings}["nearer-to-another"]
    assert advice == "Move it to its own part, at 6.0, 8.0 mm."


TALL = replace(LIMITS, bodies=tuple(
    StatedBody(name, None, 8.0, 4.0, 9.0, (0.0, 0.0), None, "data sheet") for name in ("K1", "K2")
))
"""30 degrees off the normal a part of 9 mm hides 5.2 mm behind it."""


def test_between_tall_parts_it_is_turned_to_be_read_from_where_nothing_hides_it(tmp_path) -> None:
    parts = {"K1": (7.0, 4.5), "K2": (7.0, 13.5)}
    review, told = tried(tmp_path, parts, word(7.5, 8.3, 1.3, "R72"), TALL)
    (finding,) = [one for one in review.findings if one.analyser == "behind-body"]
    assert finding.advice == "Turn it a quarter turn to the left."
    assert [one.failure for one in told] == [None]


def test_out_from_between_tall_parts_where_a_turned_one_does_not_fit(tmp_path) -> None:
    parts = {"K1": (7.0, 5.25), "K2": (7.0, 12.75)}
    review, told = tried(tmp_path, parts, word(7.5, 8.3, 1.3, "R72"), TALL)
    (finding,) = [one for one in review.findings if one.analyser == "behind-body"]
    cure = the_cure(review, "R72")
    assert finding.advice is not None and finding.advice.startswith("Move it ")
    # Past the bodies, which end at x = 11.
    assert cure.box_mm is not None and cure.box_mm[0] >= 11.0 and cure.shift_mm[1] == 0.0
    assert [one.failure for one in told] == [None]


def test_a_label_moved_for_another_fault_does_not_come_between_tall_parts(tmp_path) -> None:
    # Struck through by a line where it stands, with the shadows to the left of that.
    parts = {"K1": (7.0, 4.5), "K2": (7.0, 13.5)}
    lines = [*word(11.5, 8.3, 1.3, "R72"), (13.0, 1.0, 13.0, 19.0)]
    review, told = tried(tmp_path, parts, lines, TALL)
    cure = the_cure(review, "R72")
    assert cure.box_mm is not None and cure.box_mm[0] > 13.0
    assert [one.failure for one in told] == [None]
