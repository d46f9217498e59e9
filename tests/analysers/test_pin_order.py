"""The question "pin-order": what stands at a pin against what the files call it."""

import pytest

from labelcheck.judging import Severity

from .board_made import asked, header, label_at, names_along

NETS = ("GND", "+5V", "/bus/SDA", "/bus/SCL", "LAMP")
RIGHT = ("GND", "5V", "SDA", "SCL", "LAMP")


@pytest.mark.parametrize("texts", [
    RIGHT, ("0V", "+5V", "SDA", "SCL", "LAMP"), ("GND", "VCC", "DATA", "CLOCK", "OUT 1"),
    ("GND", None, "SDA", None, "LAMP"), ("-", "+", "S", "C", "L"), (None, None, "BUS", None, None),
])  # fmt: skip
def test_right_names_and_other_spellings_are_no_finding(texts) -> None:
    assert asked("pin-order", [header("J1", NETS)], names_along(texts)) == ()


def test_a_swapped_pair_is_one_finding_that_tells_both() -> None:
    (finding,) = asked("pin-order", [header("J1", NETS)], names_along(("GND", "5V", "SCL", "SDA", "LAMP")))
    assert finding.severity is Severity.UNREADABLE
    assert finding.message == (
        '"SCL" stands at pin 3 of J1, which the files call /bus/SDA, and "SDA" at pin 4, called /bus/SCL; '
        "whoever wires by the legend connects the wrong pins."
    )
    assert finding.advice == 'Change the two over: "SCL" belongs at pin 4.'


@pytest.mark.parametrize("shift", [1, -1])
def test_a_row_shifted_by_a_pin_is_one_finding(shift: int) -> None:
    nets = ("RAIL", *NETS, "COIL") if shift < 0 else (*NETS, "RAIL")
    labels = names_along(RIGHT, first=0 if shift < 0 else 1)
    (finding,) = asked("pin-order", [header("J1", nets)], labels)
    assert finding.measured == 5
    assert "Move these 5 labels along by one pin" in str(finding.advice)


@pytest.mark.parametrize(("nets", "texts"), [
    (("+", "-", "S"), ("-", "+", "S")), (("GND", "+12V"), ("+", "-")), (("COM", "NO", "NC"), ("COM", "NC", "NO")),
    (("V+", "V-", "OUT"), ("V-", "V+", "OUT")),
])  # fmt: skip
def test_poles_and_contacts_changed_over_are_told(nets, texts) -> None:
    (finding,) = asked("pin-order", [header("J1", nets)], names_along(texts))
    assert finding.severity is Severity.UNREADABLE


@pytest.mark.parametrize(("nets", "texts"), [
    (("+12V", "GND", "-12V"), ("+", "GND", "-")), (("GND", "VIN"), ("-", "+")), (("+5V", "LAMP"), ("+", "-")),
    (("COM", "NO", "NC"), ("COM", "NO", "NC")), (("NC", "SDA", "NC"), ("NC", "SDA", "NC")),
])  # fmt: skip
def test_signs_for_poles_are_right_names(nets, texts) -> None:
    assert asked("pin-order", [header("J1", nets)], names_along(texts)) == ()


def test_voltages_that_differ_contradict_and_a_supply_of_another_name_does_not() -> None:
    nets = ("GND", "+3V3", "+5V")
    (finding,) = asked("pin-order", [header("J1", nets)], names_along(("GND", "5V", "3.3V")))
    assert finding.severity is Severity.UNREADABLE
    assert asked("pin-order", [header("J1", nets)], names_along(("GND", "VCC", "VIN"))) == ()


def test_names_that_depend_on_the_end_they_are_seen_from_are_only_doubtful() -> None:
    (finding,) = asked("pin-order", [header("J1", ("GND", "TXD", "RXD"))], names_along(("GND", "RX", "TX")))
    assert finding.severity is Severity.DOUBTFUL
    assert "other end" in finding.message


def test_an_unsure_reading_contradicts_nothing() -> None:
    labels = [label_at("SCL", 2 * 2.54, 2.0, confidence=0.7), label_at("SDA", 3 * 2.54, 2.0, confidence=0.7)]
    assert asked("pin-order", [header("J1", NETS)], labels) == ()


def test_labels_between_pins_far_off_or_along_the_row_name_no_pin() -> None:
    between = names_along(("SCL", "SDA"), first=2.5)
    far = names_along((None, None, "SCL", "SDA"), y=7.0)
    title = [label_at("SCL SDA LAMP GND", 3 * 2.54, 2.0)]
    for labels in (between, far, title):
        assert asked("pin-order", [header("J1", NETS)], labels) == ()


def test_unconnected_and_unnamed_pins_are_contradicted_by_nothing() -> None:
    nets = ("N/C", "unconnected-(J1-Pad2)", "Net-(J1-Pad3)", "SCL")
    assert asked("pin-order", [header("J1", nets)], names_along(("SCL", "SCL", "SCL", None))) == ()


def test_a_lone_letter_beside_a_part_of_two_pins_is_no_finding() -> None:
    assert asked("pin-order", [header("D1", ("A", "B"))], names_along(("B", None))) == ()
    (finding,) = asked("pin-order", [header("J1", ("A", "B", "GND"))], names_along(("B", None, "GND")))
    assert finding.measured == 1
