"""The question "between-two-parts": labels of which nobody can tell whose they are."""

from dataclasses import replace

import pytest

from labelcheck.board.components import Component
from labelcheck.judging import Finding, Severity
from labelcheck.labels.label import Label

from .board_made import PITCH_MM, asked, chip, header, label_at


def found(parts: list[Component], labels: list[Label]) -> tuple[Finding, ...]:
    return asked("between-two-parts", parts, labels)


# Pads from -1.2 to 1.2 mm along x, 0.45 mm off the middle along y.
PAIR = [chip("R1", (0, 0)), chip("R2", (0, 4))]


def test_a_reference_midway_between_its_part_and_one_without_a_reference() -> None:
    (finding,) = found(PAIR, [label_at("R1", 0, 2)])
    assert finding.severity is Severity.NOTE
    assert finding.message == (
        '"R1" stands as near to R1 as to R2, 1.05 mm from each, and that one has no reference nearer by; '
        "nobody can tell which of the two it names."
    )
    assert finding.advice == "Move it nearer to R1, or farther from R2."
    assert finding.measured == pytest.approx(0.0)


def test_two_references_side_by_side_between_two_parts_are_told_once() -> None:
    (finding,) = found(PAIR, [label_at("R1", -1.2, 2), label_at("R2", 1.2, 2)])
    assert '"R2" may be either one\'s too' in finding.message


@pytest.mark.parametrize("off_mm", [-0.2, 0.2])
def test_a_little_nearer_to_its_own_it_names_that_and_to_the_other_it_may_be_either(off_mm: float) -> None:
    told = found(PAIR, [label_at("R1", 0, 2 + off_mm)])
    assert len(told) == (1 if off_mm > 0 else 0)


@pytest.mark.parametrize(("farther_mm", "told"), [(0.09, 1), (0.11, 0)])
def test_the_bound_from_both_sides(farther_mm: float, told: int) -> None:
    parts = [chip("R1", (0, 0)), chip("R2", (0, 4 + farther_mm))]
    assert len(found(parts, [label_at("R1", 0, 2)])) == told


def test_order_along_the_parts_decides() -> None:
    # Both stand midway between the parts, the one above the other, as the parts do.
    parts = [chip("R1", (0, 0)), chip("R2", (0, 5))]
    assert found(parts, [label_at("R1", -1, 2.45), label_at("R2", -1, 2.55)]) == ()


def test_a_reference_that_stands_clearly_at_the_other_part_decides() -> None:
    assert found(PAIR, [label_at("R1", 0, 2), label_at("R2", 0, 5.2)]) == ()


def test_in_a_row_the_last_part_decides_for_all() -> None:
    parts = [chip(f"R{number}", (0, 4 * number)) for number in range(1, 6)]
    assert found(parts, [label_at(f"R{number}", 0, 4 * number + 2) for number in range(1, 6)]) == ()
    # Without the reference of the last part all may be one part along: told of the last reference, once.
    (finding,) = found(parts, [label_at(f"R{number}", 0, 4 * number + 2) for number in range(1, 5)])
    assert finding.message.startswith('"R4" stands as near to R4 as to R5')


def test_a_wide_label_over_a_small_part_belongs_to_that_in_the_middle() -> None:
    parts = [chip(f"C{number}", (3.2 * number, 0)) for number in range(1, 4)]
    assert found(parts, [label_at("C2 LOGIC", 6.4, 1.5)]) == ()


@pytest.mark.parametrize("parts", [
    [chip("R1", (0, 0)), chip("C2", (0, 4))],
    [chip("R1", (0, 0)), chip("R2", (0, 4)), chip("R2", (30, 4))],
    [replace(one, side="bottom") if one.reference == "R2" else one for one in PAIR],
], ids=["of another class", "names that stand for several parts", "on the other side"])  # fmt: skip
def test_what_leads_nobody_astray(parts: list[Component]) -> None:
    assert found(parts, [label_at("R1", 0, 2)]) == ()


def test_a_list_of_references_beside_a_group_of_parts_is_read_by_its_order() -> None:
    parts = [chip("R1", (0, 0)), chip("R2", (0, 7))]
    assert found(parts, [label_at("R1", 0, 3.5)]) == ()


@pytest.mark.parametrize("text", [None, "R2", "R2A"])
def test_a_label_that_may_be_the_other_parts_but_was_not_read_surely_decides(text: str | None) -> None:
    assert found(PAIR, [label_at("R1", 0, 2), label_at(text, 0, 5.2, confidence=0.5)]) == ()


def test_what_stands_clearly_nearer_to_another_part_is_told_by_that_question_alone() -> None:
    labels = [label_at("R1", 0, 2.9)]
    assert len(asked("nearer-to-another", PAIR, labels)) == 1
    assert found(PAIR, labels) == ()


def facing(texts: tuple[str | None, ...], y: float = 2.5) -> list[Label]:
    return [label_at(text, PITCH_MM * place, y) for place, text in enumerate(texts) if text is not None]


HEADERS = [header("J1", ("GND", "SDA", "LAMP")), header("J2", ("RELAY", "+12V", "/coil"), at=(0.0, 5.0))]


def test_names_midway_between_two_connectors_are_one_finding() -> None:
    (finding,) = found(HEADERS, facing(("GND", "SDA", "LAMP")))
    assert finding.severity is Severity.DOUBTFUL
    assert finding.message == (
        '"GND" stands as near to a pin of J2 as to pin 1 of J1, whose net it says, like "SDA" and "LAMP"; '
        "whoever wires by the legend may take the wrong one of the two."
    )
    assert finding.advice == "Move the row nearer to J1, or draw a line between it and J2."


def test_names_of_either_row_alone_and_nets_alike_are_no_fault() -> None:
    assert found(HEADERS, facing(("GND", "SDA", "LAMP"), y=2.4)) == ()
    both = [*facing(("GND", "SDA", "LAMP")), *facing(("RELAY", "12V", "COIL"), y=7.0)]
    assert found(HEADERS, both) == ()
    alike = [header("J1", ("GND", "SDA", "LAMP")), header("J2", ("GND", "SDA", "LAMP"), at=(0.0, 5.0))]
    assert found(alike, facing(("GND", "SDA", "LAMP"))) == ()


def test_a_name_that_stands_at_one_row_alone_decides_for_the_others() -> None:
    long = header("J1", ("GND", "SDA", "LAMP", "RAIL"))
    assert found([long, HEADERS[1]], facing(("GND", "SDA", "LAMP", "RAIL"))) == ()
    assert len(found([long, HEADERS[1]], facing(("GND", "SDA", "LAMP")))) == 1
