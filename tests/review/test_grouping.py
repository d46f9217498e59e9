"""Findings and remarks that say the same are told once, and none is lost."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.judging import SEVERITIES, Finding, Severity
from labelcheck.labels.label import Label
from labelcheck.review.contents import Review
from labelcheck.review.grouping import group_findings, group_remarks, numbered_as_told, sentence_form
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
    others = [replace(first, side=Side.BOTTOM), replace(first, limit=0.9), replace(first, severity=Severity.NOTE),
              replace(first, message=f"{labels[0].called()} cannot be told from its neighbour.")]
    findings = [replace(one, id=f"F{kind}-{n}") for n in range(5) for kind, one in enumerate([first, *others])]
    groups = group_findings(findings, {labels[0].id: labels[0]})
    assert [len(group.findings) for group in groups] == [5] * 5
    assert groups[-1].severity is Severity.NOTE


def test_what_comes_of_a_loss_does_not_separate(review: Review) -> None:
    first = replace(review.findings[0], analyser="in-opening", unit="fraction", label=None)
    told = [
        replace(first, id=f"F{n}", limit=limit, message=message)
        for n, (limit, message) in enumerate([
            (0.25, 'The label loses up to 81 % of "B" and "_" at a mask opening; printed, "_" cannot be read.'),
            (0.10, 'The label loses 45 % of "C" at a mask opening; a character that loses over 10 % can be misread.'),
            (0.25, "The label loses 40 % of its ink at a mask opening; printed, it reads \"R?\"."),
            (0.10, "The label loses up to 30 % of all 4 characters at a mask opening; it cannot be read."),
        ])
    ]
    (group,) = group_findings(told, {})
    assert len(group.findings) == 4
    elsewhere = replace(first, id="F9", message='The label loses 45 % of "C" in a hole; it reads "R?".')
    assert len(group_findings([*told, elsewhere], {})) == 2


def test_what_many_share_is_not_behind_a_crowd_of_lone_findings(review: Review) -> None:
    first = review.findings[0]
    lone = [replace(first, id=f"L{n}", analyser=f"a{n}") for n in range(20)]
    shared = [replace(first, id=f"S{n}") for n in range(30)]
    milder = [replace(first, id="M", severity=Severity.NOTE)]
    groups = group_findings([*lone, *shared, *milder], {})
    assert [len(group.findings) for group in groups] == [1] * 6 + [30] + [1] * 15
    assert groups[-1].worst.id == "M"
    assert [len(group.findings) for group in group_findings([*shared, *lone], {})] == [30] + [1] * 20


@pytest.mark.parametrize(("count", "groups"), [(3, [1, 1, 1]), (4, [4])])
def test_few_of_one_kind_are_told_one_by_one(many: Callable, count: int, groups: list[int]) -> None:
    states, findings = many(count)
    found = group_findings(findings, {state.label.id: state.label for state in states})
    assert [len(group.findings) for group in found] == groups


def test_a_sentence_may_begin_with_a_name_in_capitals(many: Callable) -> None:
    states, findings = many(5)
    nameless = {state.label.id: replace(state.label, text=None) for state in states}
    told = [replace(one, message=nameless[one.label or ""].called().capitalize() + " is low.") for one in findings]
    (group,) = group_findings(told, nameless)
    assert group.names[0].startswith("the unread label at ")


def test_a_label_that_is_not_there_is_told_by_its_id(review: Review) -> None:
    (group,) = group_findings([replace(review.findings[0], label="T99")], {})
    assert group.names == ("T99",)
    (about_side,) = group_findings([replace(review.findings[0], label=None)], {})
    assert about_side.called() == ("F1",)


def test_sentences_differ_in_names_and_numbers_only() -> None:
    one = sentence_form('"R1" loses "A", "B" and "C", 38 % of its ink', '"R1"')
    assert one == sentence_form('"SIGNAL 2" loses "Z", 5.5 % of its ink', '"SIGNAL 2"')
    assert one == sentence_form('"R2" loses all 4 characters, 60 % of its ink', '"R2"')
    assert one == sentence_form('"R20" loses 2 of its 3 characters, 6 % of its ink', '"R20"')
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
    numbered = numbered_as_told(findings, {})
    assert Counter(replace(f, id="") for f in numbered) == Counter(replace(f, id="") for f in findings)
    told = [f.id for group in group_findings(numbered, {}) for f in group.findings]
    assert told == [f"F{n}" for n in range(1, len(findings) + 1)]


def test_no_remark_is_lost() -> None:
    remarks = [Remark("a.gbr", n, f"Aperture D{n} is missing.") for n in range(10, 20)]
    remarks.append(Remark("", None, "No drill."))
    groups = group_remarks(remarks)
    assert [len(group.remarks) for group in groups] == [10, 1]
    assert [remark for group in groups for remark in group.remarks] == remarks


def test_how_many_characters_are_hit_makes_no_other_fault() -> None:
    told = [f"{name} loses 40 % of {which} at a mask opening." for name, which in
            (('"R"', "it"), ('"Q1"', "both characters"), ('"R12"', "all 3 characters"), ('"C44"', '"4" and "4"'))]
    assert len({sentence_form(sentence) for sentence in told}) == 1
