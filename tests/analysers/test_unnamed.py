"""The questions "unnamed-part" and "unnamed-pin": lists of what a board that names its parts and pins left out."""

from dataclasses import replace

from labelcheck.judging import Severity

from .board_made import asked, chip, header, label_at, names_along

PARTS = [chip(f"R{number}", (8.0 * number, 0.0)) for number in range(1, 7)]
NETS = ("GND", "+5V", "SDA", "SCL", "LAMP")


def test_a_part_without_reference_is_a_note_once_a_side() -> None:
    labels = [label_at(f"R{number}", 8.0 * number, 1.5) for number in range(1, 6)]
    (finding,) = asked("unnamed-part", PARTS, labels)
    assert finding.severity is Severity.NOTE
    assert finding.message == "1 part on the top has no reference: R6; the other parts of this side have theirs."


def test_a_board_that_names_few_parts_is_left_alone() -> None:
    assert asked("unnamed-part", PARTS, [label_at("R1", 8.0, 1.5), label_at("R2", 16.0, 1.5)]) == ()


def test_an_unread_label_beside_the_part_may_be_its_name() -> None:
    labels = [label_at(f"R{number}", 8.0 * number, 1.5) for number in range(1, 6)]
    assert asked("unnamed-part", PARTS, [*labels, label_at(None, 48.0, 1.5)]) == ()


def test_a_reference_with_a_value_behind_it_is_a_name() -> None:
    labels = [label_at(f"R{number}", 8.0 * number, 1.5) for number in range(1, 6)]
    for text in ("R6 10k", "R6T2A"):
        assert asked("unnamed-part", PARTS, [*labels, label_at(text, 48.0, 1.5)]) == ()
    assert len(asked("unnamed-part", PARTS, [*labels, label_at("R61", 48.0, 1.5)])) == 1


def test_fiducials_and_holes_need_no_name() -> None:
    labels = [label_at(f"R{number}", 8.0 * number, 1.5) for number in range(1, 7)]
    assert asked("unnamed-part", [*PARTS, chip("FID1", (70, 0)), chip("H1", (80, 0))], labels) == ()


def test_a_pin_without_label_among_named_ones_is_a_note() -> None:
    (finding,) = asked("unnamed-pin", [header("J1", NETS)], names_along(("GND", "5V", "SDA", None, "LAMP")))
    assert finding.severity is Severity.NOTE
    assert "J1 pin 4 (SCL)" in finding.message


def test_unconnected_pins_numbers_and_rows_without_names_are_left_alone() -> None:
    assert asked("unnamed-pin", [header("J1", (*NETS[:4], "N/C"))], names_along(("GND", "5V", "SDA", "SCL"))) == ()
    assert asked("unnamed-pin", [header("J1", NETS)], names_along(("1", None, None, None, "5"))) == ()
    assert asked("unnamed-pin", [header("J1", NETS)], names_along(("GND", None, None, None, None))) == ()


def test_a_neighbour_of_the_same_net_names_both() -> None:
    nets = ("GND", "GND", "+5V", "SDA", "SCL")
    assert asked("unnamed-pin", [header("J1", nets)], names_along(("GND", None, "5V", "SDA", "SCL"))) == ()


def test_text_upside_down_may_be_the_reference_the_other_way_up() -> None:
    parts = [chip(f"L{number}", (8.0 * number, 0.0)) for number in range(1, 7)]
    labels = [label_at(f"L{number}", 8.0 * number, 1.5) for number in range(1, 6)]
    beside = label_at("97", 48.0, 1.5)
    assert len(asked("unnamed-part", parts, [*labels, beside])) == 1
    assert asked("unnamed-part", parts, [*labels, replace(beside, turned_deg=180.0)]) == ()
