"""What the limits file accepts, when it no longer covers, and what is told of it."""

from dataclasses import replace

import pytest

from labelcheck.judging import Finding, Severity
from labelcheck.labels.label import Label
from labelcheck.review.accepting import Outcome, acceptance_of, with_acceptances
from labelcheck.review.contents import Review, Verdict
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import Acceptance

BOX = (0.0, 0.0, 30.0, 25.0)


def outcome(findings: tuple[Finding, ...], labels: tuple[Label, ...], **changes: object) -> Outcome:
    by_id = {label.id: label for label in labels}
    made = Outcome(findings, by_id, BOX, ("short-character", "in-opening"), frozenset())
    return replace(made, **changes)  # type: ignore[arg-type]  # the tests name the fields


def accepted(finding: Finding, label: Label | None) -> Acceptance:
    made = acceptance_of(finding, label, ("turnout-driver", BOX), "seen and agreed")
    return replace(made, file="labelcheck.toml", line=7)


def moved(label: Label, finding: Finding, x: float, y: float) -> tuple[Label, Finding]:
    """The label and its finding elsewhere."""
    def by(box: tuple[float, ...]) -> tuple[float, float, float, float]:
        return (box[0] + x, box[1] + y, box[2] + x, box[3] + y)

    at = (finding.at_mm[0] + x, finding.at_mm[1] + y)
    return replace(label, box_mm=by(label.box_mm)), replace(finding, at_mm=at, box_mm=by(finding.box_mm))


def test_an_accepted_finding_stays_and_does_not_hold(review: Review) -> None:
    first = review.findings[0]
    label = review.labels[0].label
    findings, told = with_acceptances(
        outcome(review.findings, tuple(state.label for state in review.labels)), [accepted(first, label)]
    )
    assert told == ()
    assert [one.accepted is not None for one in findings] == [True, False, False]
    assert replace(findings[0], accepted=None) == first
    assert review.verdict is Verdict.HOLD
    assert replace(review, findings=findings).verdict is Verdict.RELEASE


@pytest.mark.parametrize(("x", "y", "covered"), [(0.0, 0.0, True), (2.0, -2.0, True), (2.0, 2.5, False)])
def test_a_label_may_move_a_little(review: Review, x: float, y: float, covered: bool) -> None:
    label, finding = review.labels[0].label, review.findings[0]
    there, same = moved(label, finding, x, y)
    findings, told = with_acceptances(outcome((same,), (there,)), [accepted(finding, label)])
    assert (findings[0].accepted is not None) is covered
    assert len(told) == (0 if covered else 1)
    if not covered:
        assert "the like is found 3.2 mm away now" in told[0].message


def test_an_export_with_another_origin_is_the_same_place(review: Review) -> None:
    label, finding = review.labels[0].label, review.findings[0]
    there, same = moved(label, finding, 100.0, -70.0)
    shifted = (100.0, -70.0, 130.0, -45.0)
    findings, told = with_acceptances(outcome((same,), (there,), box_mm=shifted), [accepted(finding, label)])
    assert findings[0].accepted is not None and told == ()


@pytest.mark.parametrize(
    ("change", "covered", "words"),
    [
        ({"measured": 0.70}, True, ""),
        ({"measured": 0.66}, False, "(0.71 mm then, 0.66 mm now)"),
        ({"measured": 0.78}, True, ""),
        ({"severity": Severity.DOUBTFUL}, True, ""),
        ({"side": Side.BOTTOM}, False, "no such fault is found any more"),
        ({"analyser": "thin-stroke"}, False, "no such fault is found any more"),
    ],
)
def test_what_got_worse_or_is_another_fault_is_not_covered(
    review: Review, change: dict[str, object], covered: bool, words: str
) -> None:
    label, finding = review.labels[0].label, review.findings[0]
    now = replace(finding, **change)  # type: ignore[arg-type]  # the cases name the fields
    findings, told = with_acceptances(outcome((now,), (label,)), [accepted(finding, label)])
    assert (findings[0].accepted is not None) is covered
    assert [words in remark.message for remark in told] == ([] if covered else [True])
    assert all((remark.file, remark.line) == ("labelcheck.toml", 7) for remark in told)


def test_a_worse_severity_is_told_by_its_name(review: Review) -> None:
    label = review.labels[4].label
    doubtful = replace(review.findings[1], label=label.id, side=label.side)
    now = replace(doubtful, severity=Severity.UNREADABLE)
    findings, told = with_acceptances(outcome((now,), (label,)), [accepted(doubtful, label)])
    assert findings[0].accepted is None
    assert "(doubtful then, unreadable now)" in told[0].message


def test_more_of_the_label_that_is_lost_is_worse_even_where_the_measure_is_the_same(review: Review) -> None:
    label, finding = review.labels[0].label, review.findings[0]
    x0, y0, _, y1 = label.box_mm
    part = replace(finding, analyser="in-opening", box_mm=(x0, y0, x0 + 0.4, y1), at_mm=(x0 + 0.2, (y0 + y1) / 2),
                   measured=0.4, limit=0.25, unit="fraction")
    all_of_it = replace(part, box_mm=label.box_mm, at_mm=finding.at_mm)
    findings, _ = with_acceptances(outcome((part,), (label,)), [accepted(part, label)])
    assert findings[0].accepted is not None
    findings, told = with_acceptances(outcome((all_of_it,), (label,)), [accepted(part, label)])
    assert findings[0].accepted is None
    assert "it reaches farther now" in told[0].message


def test_labels_of_one_text_are_told_apart_by_their_place(review: Review) -> None:
    label, finding = review.labels[0].label, review.findings[0]
    pairs = [
        moved(replace(label, id=f"T{n}"), replace(finding, id=f"F{n}", label=f"T{n}"), 2.54 * n, 0) for n in (1, 2, 3)
    ]
    labels, findings = tuple(pair[0] for pair in pairs), tuple(pair[1] for pair in pairs)
    marked, told = with_acceptances(outcome(findings, labels), [accepted(findings[1], labels[1])])
    assert [one.accepted is not None for one in marked] == [False, True, False]
    both = [accepted(findings[2], labels[2]), replace(accepted(findings[1], labels[1]), line=20)]
    marked, told = with_acceptances(outcome(findings, labels), both)
    assert [one.accepted and one.accepted.line for one in marked] == [None, 20, 7]
    assert told == ()
    # What was accepted at one of them and mended since does not cover its neighbour.
    marked, told = with_acceptances(outcome(findings[:1], labels), [accepted(findings[1], labels[1])])
    assert marked[0].accepted is None
    assert "the like is found 2.5 mm away now" in told[0].message


def test_an_acceptance_without_a_place_covers_every_label_of_its_text(review: Review) -> None:
    label, finding = review.labels[0].label, review.findings[0]
    there, other = moved(replace(label, id="T9"), replace(finding, id="F9", label="T9"), 20.0, 0.0)
    by_hand = replace(accepted(finding, label), at_mm=None, corner_mm=None, measured=None)
    marked, _ = with_acceptances(outcome((finding, other), (label, there)), [by_hand])
    assert all(one.accepted is not None for one in marked)


def test_an_unread_label_is_known_by_its_place_alone(review: Review) -> None:
    label, finding = replace(review.labels[0].label, text=None), review.findings[0]
    for x, covered in ((0.3, True), (0.8, False)):
        there, same = moved(label, finding, x, 0.0)
        marked, _ = with_acceptances(outcome((same,), (there,)), [accepted(finding, label)])
        assert (marked[0].accepted is not None) is covered


def test_a_finding_about_a_whole_side(review: Review) -> None:
    whole = replace(review.findings[0], label=None)
    marked, told = with_acceptances(outcome((whole,), ()), [accepted(whole, None)])
    assert marked[0].accepted is not None and told == ()
    other = replace(whole, side=Side.BOTTOM)
    marked, told = with_acceptances(outcome((other,), ()), [accepted(whole, None)])
    assert marked[0].accepted is None and len(told) == 1


def test_a_question_that_was_not_asked_tells_nothing_about_what_was_accepted(review: Review) -> None:
    label, finding = review.labels[0].label, review.findings[0]
    _, told = with_acceptances(
        outcome((), (label,), not_asked=frozenset({("short-character", Side.TOP)})), [accepted(finding, label)]
    )
    assert told == ()


def test_a_name_that_no_question_has(review: Review) -> None:
    label, finding = review.labels[0].label, review.findings[0]
    _, told = with_acceptances(outcome((), (label,)), [replace(accepted(finding, label), analyser="short-charakter")])
    assert told[0].message.endswith("but no question has that name. Did you mean short-character?")
