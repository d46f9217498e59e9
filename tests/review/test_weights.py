"""Labels that matter more, and labels that do not."""

from dataclasses import replace

import pytest

from labelcheck.judging import Analyser, Severity, in_order, notes_as_one
from labelcheck.review.contents import Review
from labelcheck.review.weights import weighed
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import StatedWeight, Weight

MORE = StatedWeight(Weight.MORE, ("R12",), None, None, None, None, "labelcheck.toml:3")


@pytest.mark.parametrize(
    ("weight", "before", "after"),
    [
        (Weight.MORE, Severity.NOTE, Severity.DOUBTFUL),
        (Weight.MORE, Severity.DOUBTFUL, Severity.UNREADABLE),
        (Weight.MORE, Severity.UNREADABLE, Severity.UNREADABLE),
        (Weight.NOT, Severity.UNREADABLE, Severity.NOTE),
        (Weight.NOT, Severity.NOTE, Severity.NOTE),
    ],
)
def test_a_finding_follows_its_label(review: Review, weight: Weight, before: Severity, after: Severity) -> None:
    labels = {state.label.id: state.label for state in review.labels}
    finding = replace(review.findings[0], severity=before)
    one, other = weighed((finding, review.findings[1]), labels, [replace(MORE, weight=weight)])
    assert (one.severity, one.matters) == (after, weight)
    assert ("labelcheck.toml:3" in one.message) == (before is not after)
    assert one.message.endswith(".")
    assert other == review.findings[1]


@pytest.mark.parametrize(
    ("change", "fits"),
    [
        ({}, True),
        ({"texts": ("C*", "r1?")}, True),
        ({"texts": ("R1",)}, False),
        ({"side": Side.BOTTOM}, False),
        ({"texts": None, "region_mm": (0.0, 15.0, 10.0, 25.0)}, True),
        ({"texts": None, "region_mm": (10.0, 0.0, 30.0, 25.0)}, False),
        ({"region_mm": (10.0, 0.0, 30.0, 25.0)}, False),
    ],
)
def test_every_condition_must_hold(review: Review, change: dict[str, object], fits: bool) -> None:
    labels = {state.label.id: state.label for state in review.labels}
    weight = replace(MORE, **change)  # type: ignore[arg-type]  # the cases name the fields
    assert (weighed(review.findings[:1], labels, [weight])[0].matters is not None) is fits


def test_that_a_label_matters_wins(review: Review) -> None:
    labels = {state.label.id: state.label for state in review.labels}
    both = [replace(MORE, weight=Weight.NOT), MORE]
    assert weighed(review.findings[:1], labels, both)[0].matters is Weight.MORE


def test_what_matters_more_comes_first_among_its_like_and_what_does_not_is_told_by_itself(review: Review) -> None:
    first, second = (replace(review.findings[0], id="", measured=value) for value in (0.5, 0.7))
    labels = {state.label.id: state.label for state in review.labels}
    other = replace(second, label=review.labels[1].label.id)
    order = in_order(weighed((other, first), labels, [replace(MORE, texts=(labels[other.label or ""].text or "",))]))
    assert order[0].label == other.label
    notes = [replace(first, severity=Severity.NOTE)] * 2
    analyser = Analyser("short-character", "?", "", None, None, "are {least} to {most} high")
    assert len(notes_as_one(analyser, notes)) == 1
    assert len(notes_as_one(analyser, [replace(note, matters=Weight.NOT) for note in notes])) == 2
