"""Names of signals: spellings that mean the same, and names that contradict (common practice, no source)."""

import pytest

from labelcheck.press.signal_names import contradicts, plain, spellings, words_of


@pytest.mark.parametrize(("written", "meant"), [
    ("3.3V", "3V3"), ("+3V3", "3V3"), ("+3.3V", "3V3"), ("5V0", "5V"), ("+5V", "5V"), ("-12V", "-12V"), ("0V", "GND"),
    ("VSS", "GND"), ("TXD", "TX"), ("~{RESET}", "RST"), ("/uart/RXD", "RX"), ("sclk", "SCK"), ("Net-(J1-Pad3)", ""),
    ("unconnected-(J2-Pad3)", ""), ("N/C", ""), ("Pin_4", ""), ("7", ""),
])  # fmt: skip
def test_spellings_of_one_name(written: str, meant: str) -> None:
    assert plain(written) == meant


def test_a_long_net_may_be_called_by_its_last_word() -> None:
    assert spellings("/UART0_TXD") == {"UART0_TXD", "TX"}
    assert spellings("SENSE_1") == {"SENSE_1"}


def test_a_label_says_each_of_its_words() -> None:
    assert words_of("BK - GND") >= {"BK", "GND"}


@pytest.mark.parametrize(("said", "name", "so"), [
    ("GND", "5V", True), ("3V3", "5V", True), ("VCC", "5V", False), ("VIN", "12V", False), ("SDA", "SCL", True),
    ("GND", "GNDA", False), ("TX", "TX", False), ("OUT", "LAMP", True),
    ("+", "-", True), ("V+", "V-", True), ("-", "12V", True), ("+", "12V", False), ("-", "-12V", False),
    ("+", "VCC", False),
    ("NO", "NC", True), ("VCC", "-12V", False),
])  # fmt: skip
def test_what_contradicts(said: str, name: str, so: bool) -> None:
    assert contradicts(said, name) is so
