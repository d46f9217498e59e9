"""The question "nearer-to-another": references that a reader takes for those of other parts."""

import pytest

from labelcheck.judging import Severity

from .board_made import asked, chip, label_at


def test_references_at_their_own_parts_are_no_finding() -> None:
    parts = [chip("R1", (0, 0)), chip("R2", (6, 0))]
    assert asked("nearer-to-another", parts, [label_at("R1", 0, 1.2), label_at("R2", 6, 1.2)]) == ()


def test_two_references_changed_over_are_told_once() -> None:
    parts = [chip("R1", (0, 0)), chip("R2", (6, 0))]
    (finding,) = asked("nearer-to-another", parts, [label_at("R2", 0, 1.2), label_at("R1", 6, 1.2)])
    assert finding.severity is Severity.DOUBTFUL
    assert finding.advice == "Change the two over."
    assert "the other way round" in finding.message


def test_one_that_strayed_to_an_unnamed_part_is_told_with_the_place_of_its_own() -> None:
    parts = [chip("C1", (0, 0)), chip("C2", (5, 0))]
    (finding,) = asked("nearer-to-another", parts, [label_at("C1", 5, 1.2)])
    assert finding.advice == "Move it to its own part, at 0.0, 0.0 mm."


def test_a_part_with_a_nearer_reference_of_its_own_leads_nobody_astray() -> None:
    parts = [chip("C1", (0, 0)), chip("C2", (5, 0))]
    assert asked("nearer-to-another", parts, [label_at("C1", 4, 2.2), label_at("C2", 5, 1.0)]) == ()


@pytest.mark.parametrize(("own_y", "told"), [(1.2, 0), (1.25, 0), (1.35, 1)])
def test_the_other_parts_own_reference_as_near_leads_back(own_y: float, told: int) -> None:
    parts = [chip("C1", (0, 0)), chip("C2", (8, 0))]
    labels = [label_at("C1", 7, 1.2), label_at("C2", 9, own_y)]
    assert len(asked("nearer-to-another", parts, labels)) == told


def test_parts_of_another_kind_and_panels_are_left_alone() -> None:
    assert asked("nearer-to-another", [chip("C1", (0, 0)), chip("R1", (5, 0))], [label_at("C1", 5, 1.2)]) == ()
    panel = [chip("C1", (0, 0)), chip("C1", (20, 0)), chip("C2", (5, 0))]
    assert asked("nearer-to-another", panel, [label_at("C1", 5, 1.2)]) == ()


@pytest.mark.parametrize(("x", "told"), [(6, 0), (9, 1)])
def test_far_astray_it_misleads_even_beside_the_other_parts_own(x: float, told: int) -> None:
    """One above the part, one as near below it: whose is whose? Its own part has none."""
    parts = [chip("C1", (0, 0)), chip("C2", (x, 0))]
    labels = [label_at("C1", x, -1.2), label_at("C2", x, 1.2)]
    assert len(asked("nearer-to-another", parts, labels)) == told
