"""Two states of a board in words, and what counts as worse."""

from dataclasses import replace

import pytest

from labelcheck.judging import Severity
from labelcheck.review.changes import Changes, changes_between
from labelcheck.review.comparison import comparison_line, comparison_told, label_changes, worse
from labelcheck.review.contents import NotApplied, Review
from labelcheck.review.record import record_of
from labelcheck.review.seen import Seen, seen_in
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import Acceptance


def seen(review: Review) -> Seen:
    return seen_in(record_of(review))


def between(old: Review, new: Review) -> Changes:
    return changes_between(seen(old), seen(new))


def told(old: Review, new: Review) -> str:
    return comparison_told(seen(old), seen(new), between(old, new), "mm")


def with_label(review: Review, place: int, **changes: object) -> Review:
    states = list(review.labels)
    states[place] = replace(states[place], label=replace(states[place].label, **changes))
    return replace(review, labels=tuple(states))


def shifted(review: Review, x: float, y: float) -> Review:
    """The same board with another origin."""
    def moved(box):
        return (box[0] + x, box[1] + y, box[2] + x, box[3] + y)

    return replace(
        review, box_mm=moved(review.box_mm),
        labels=tuple(replace(s, label=replace(s.label, box_mm=moved(s.label.box_mm))) for s in review.labels),
        findings=tuple(
            replace(f, box_mm=moved(f.box_mm), at_mm=(f.at_mm[0] + x, f.at_mm[1] + y)) for f in review.findings
        ),
    )


def test_nothing_differs(review: Review) -> None:
    text = told(review, review)
    assert text.startswith("SAME: no label and no finding differs")
    assert '3 findings as before (1 unreadable, 1 doubtful and 1 note): "R12", "D4" and "C3".' in text
    assert worse(between(review, review)) == ()


def test_a_board_with_another_origin_has_not_changed(review: Review) -> None:
    text = told(review, shifted(review, 100.0, -62.5))
    assert text.startswith("SAME")
    assert "The whole board lies +100.00, -62.50 mm from where it lay" in text
    assert "Labels" not in text


def test_a_new_finding_is_worse_and_a_fixed_one_better(review: Review) -> None:
    clean = replace(review, findings=review.findings[1:])
    assert worse(between(clean, review)) == ("1 finding is new",)
    assert told(clean, review).startswith("WORSE: 1 finding is new")
    assert told(review, clean).startswith("BETTER: 1 finding is fixed, and nothing got worse")


def test_notes_and_accepted_findings_make_nothing_worse(review: Review) -> None:
    none = replace(review, findings=())
    assert worse(between(none, replace(review, findings=review.findings[2:]))) == ()
    acceptance = Acceptance(
        analyser="short-character", severity="unreadable", side=Side.TOP, text="R12", whole_side=False,
        at_mm=None, corner_mm=None, size_mm=None, measured=0.71, because="nobody reads it", board=None,
        file="labelcheck.toml", line=3,
    )
    accepted = replace(review, findings=(replace(review.findings[0], accepted=acceptance),))
    assert worse(between(none, accepted)) == ()
    assert worse(between(accepted, review)) == ("1 finding is new", "1 finding is no longer accepted")
    text = " ".join(told(accepted, review).split())
    assert "No longer accepted F1 " in text and "Got worse" not in text
    assert "belongs to the set of its name" not in text
    renamed = " ".join(told(accepted, replace(review, set_name="turnout-rev-b")).split())
    assert f'belongs to the set of its name, "{review.set_name}". Where "turnout-rev-b" is the same board' in renamed


def test_a_fault_that_got_worse_says_what_it_was(review: Review) -> None:
    milder = replace(review, findings=(
        replace(review.findings[0], severity=Severity.DOUBTFUL, measured=0.9), *review.findings[1:]))
    text = told(milder, review)
    assert text.startswith("WORSE: 1 finding got worse")
    assert "Before, it was told as doubtful." in " ".join(text.split())
    assert "Got better, not gone" in told(review, milder) and "WORSE: 1" not in told(review, milder)


def test_a_count_that_changed_is_told_without_a_unit(review: Review) -> None:
    now, before = (
        replace(review, findings=(replace(review.findings[0], unit="count", limit=1.0, measured=count),))
        for count in (3.0, 2.0)
    )
    assert "It was 2." in told(before, now) and "count" not in told(before, now)


def test_what_could_not_be_looked_at_again_is_worse(review: Review) -> None:
    blind = replace(review, findings=review.findings[1:],
                    not_applied=(NotApplied("short-character", Side.TOP, "the legend is not known"),))
    assert "1 finding could not be looked for again" in worse(between(review, blind))
    held = replace(review, holding=("The bottom mask was not read.",))
    assert worse(between(review, held)) == ("there is 1 new reason to hold the board",)


def test_labels_new_gone_moved_renamed_and_resized(review: Review) -> None:
    label = review.labels[2].label  # TRACK-1, of which no finding tells
    x0, y0, x1, y1 = label.box_mm
    moved = with_label(review, 2, box_mm=(x0 + 1.2, y0 - 0.3, x1 + 1.2, y1 - 0.3))
    assert '"TRACK-1" on the top moved 1.20 mm right and 0.30 mm down.' in told(review, moved)
    assert '"TRACK-2" on the top was "TRACK-1".' in told(review, with_label(review, 2, text="TRACK-2"))
    other = with_label(review, 2, character_height_mm=1.6, stroke_typical_mm=0.2)
    (change,) = label_changes(between(review, other).labels)
    assert change.how == (
        "has a character height of 1.60 mm instead of 1.80 mm", "has a stroke of 0.20 mm instead of 0.15 mm",
    )
    assert "turned by 90°" in told(review, with_label(review, 2, turned_deg=270.0))
    fewer = replace(review, labels=review.labels[:2] + review.labels[3:])
    assert '1 label gone on the top: "TRACK-1".' in told(review, fewer)
    assert '1 label new on the top: "TRACK-1".' in told(fewer, review)


def test_right_on_the_bottom_is_what_one_sees_from_below(review: Review) -> None:
    place = next(i for i, state in enumerate(review.labels) if state.label.text == "SF-2")
    x0, y0, x1, y1 = review.labels[place].label.box_mm
    moved = with_label(review, place, box_mm=(x0 + 2, y0, x1 + 2, y1))
    assert '"SF-2" on the bottom moved 2.00 mm left.' in told(review, moved)


@pytest.mark.parametrize("height", [1.795, 1.81])
def test_noise_of_measuring_is_no_change(review: Review, height: float) -> None:
    assert label_changes(between(review, with_label(review, 2, character_height_mm=height)).labels) == ()


def test_one_line(review: Review) -> None:
    line = comparison_line(seen(review), seen(review), between(review, review))
    assert line == "turnout-driver -> turnout-driver: SAME: no label and no finding differs"
