"""Findings and remarks that say the same are told once, and none is lost."""

from collections.abc import Callable
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.judging import SEVERITIES, Finding
from labelcheck.labels.label import Label
from labelcheck.review.contents import Review
from labelcheck.review.grouping import group_findings, group_remarks, sentence_form
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import OUTER_SIDES, Side


def test_sixty_references_of_one_height_are_one_group(many: Callable) -> None:
    states, findings = many(60)
    (group,) = group_findings(findings, {state.label.id: state.label for state in states})
    assert len(group.findings) == 60
    assert group.names[:2] == ('"R1"', '"R2"')
    assert group.number == "1"
    assert group.least_and_most() == (0.71, 0.74)


def test_severity_side_limit_and_wording_separate(review: Review, labels: tuple[Label, ...]) -> None:
    first = review.findings[0]
    others = [replace(first, id="F2", side=Side.BOTTOM), replace(first, id="F3", limit=0.9),
              replace(first, id="F4", message=f"{labels[0].called()} cannot be told from its neighbour.")]
    assert len(group_findings([first, *others], {labels[0].id: labels[0]})) == 4


def test_a_label_that_is_not_there_is_told_by_its_id(review: Review) -> None:
    (group,) = group_findings([replace(review.findings[0], label="T99")], {})
    assert group.names == ("T99",)
    (about_side,) = group_findings([replace(review.findings[0], label=None)], {})
    assert about_side.called() == ("F1",)


def test_sentences_differ_in_names_and_numbers_only() -> None:
    one = sentence_form('"R1" loses "A", "B" and "C", 38 % of its ink', '"R1"')
    assert one == sentence_form('"SIGNAL 2" loses "Z", 5.5 % of its ink', '"SIGNAL 2"')
    assert one != sentence_form('"R1" keeps "A", 38 % of its ink', '"R1"')


@settings(derandomize=True, max_examples=60)
@given(st.lists(st.tuples(st.sampled_from(SEVERITIES), st.sampled_from(OUTER_SIDES), st.sampled_from("ab"),
                          st.sampled_from(["is low", "is thin", "is 0.3 mm wide"])), max_size=40))
def test_no_finding_is_lost(kinds: list[tuple]) -> None:
    findings = [
        Finding(f"F{n}", analyser, severity, None, side, (0.0, 0.0), (0.0, 0.0, 1.0, 1.0), None, None, "mm", message,
                None, "")
        for n, (severity, side, analyser, message) in enumerate(kinds, 1)
    ]
    groups = group_findings(findings, {})
    assert sorted(f.id for group in groups for f in group.findings) == sorted(f.id for f in findings)
    ranks = [SEVERITIES.index(group.severity) for group in groups]
    assert ranks == sorted(ranks)


def test_no_remark_is_lost() -> None:
    remarks = [Remark("a.gbr", n, f"Aperture D{n} is missing.") for n in range(10, 20)]
    remarks.append(Remark("", None, "No drill."))
    groups = group_remarks(remarks)
    assert [len(group.remarks) for group in groups] == [10, 1]
    assert [remark for group in groups for remark in group.remarks] == remarks
