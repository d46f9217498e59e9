"""Netlists are told apart by their records; the J13 line is a published sample."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.netlist import NetPoint, looks_like_netlist, read_netlist
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.sides import Side

SAMPLE = (
    b"P  CODE 00\nP  UNITS CUST 0\nP  DIM   N\n"
    b"317+3.3V            J13   -2    D0400PA00X+043550Y+006480\n"
    b"327GND              C4    -2          A01X+008852Y-012953X0394Y0571R090S2\n999\n"
)


def test_netlist() -> None:
    assert looks_like_netlist(SAMPLE)
    assert looks_like_netlist(SAMPLE.replace(b"\n", b"\r\n"))
    assert looks_like_netlist(SAMPLE[SAMPLE.index(b"317") :])


def test_other_files_are_none() -> None:
    for data in (
        b"",
        b"P\n",
        b"Ref,Val\n317,3\n",
        b"M48\nINCH\nT1C0.8\n%\nX1Y1\n",
        b"G04 x*\nX0Y0D03*\n",
        bytes(range(256)),
    ):
        assert not looks_like_netlist(data)


def read(*records: str, units: str = "P  UNITS CUST 0") -> tuple[NetPoint, ...]:
    return read_netlist("n.ipc", "\n".join(["P  CODE 00", units, *records, "999", ""]).encode()).points


def test_the_published_sample_line() -> None:
    """+3.3V at J13-2: hole 0.0400 inch, plated, both sides, X 4.3550 and Y 0.6480 inch (a published sample)."""
    netlist = read_netlist("n.ipc", SAMPLE)
    first, second = netlist.points
    assert (first.net, first.reference, first.pin, first.plated, first.side) == ("+3.3V", "J13", "2", True, Side.BOTH)
    assert (first.x_mm, first.y_mm) == pytest.approx((4.3550 * 25.4, 0.6480 * 25.4))
    assert first.hole_mm == pytest.approx(1.016) and first.width_mm is None and not first.is_via
    assert (second.reference, second.side, second.rotation_deg, second.plated) == ("C4", Side.TOP, 90.0, None)
    assert (second.width_mm, second.height_mm) == pytest.approx((0.0394 * 25.4, 0.0571 * 25.4))
    assert netlist.whole and netlist.remarks == ()


def test_vias_and_bottom_pads() -> None:
    via, pad = read(
        "317GND              VIA        MD0118PA00X+011622Y-011299X0236Y0000R000S3",
        "327N/C              U3    -14         A02X-000100Y+000200X0400Y0000R180S1",
    )
    assert via.is_via and via.reference is None and via.net == "GND" and via.width_mm == pytest.approx(0.0236 * 25.4)
    assert pad.side is Side.BOTTOM and pad.net is None and pad.pin == "14" and pad.height_mm is None
    assert pad.x_mm == pytest.approx(-0.254) and pad.rotation_deg == 180.0


def test_metric_counts() -> None:
    (pad,) = read(
        "327GRE              R3    -2          A02X+006400Y+003200X0950Y0900R000S0", units="P  UNITS CUST 1"
    )
    assert (pad.x_mm, pad.y_mm, pad.width_mm, pad.height_mm) == pytest.approx((6.4, 3.2, 0.95, 0.9))


def test_long_net_names_are_resolved() -> None:
    pad, other = read(
        "P  NNAME1 A_NET_NAME_TOO_LONG_FOR_ITS_COLUMNS",
        "327NNAME1           R3    -2          A02X+006400Y+003200",
        "327GND              R3    -1          A01X+006400Y+003200",
    )
    assert pad.net == "A_NET_NAME_TOO_LONG_FOR_ITS_COLUMNS" and other.net == "GND"


def test_what_is_not_understood_is_told() -> None:
    netlist = read_netlist(
        "n.ipc", SAMPLE.replace(b"A01X+008852", b"A01Q+008852").replace(b"999\n", b"").replace(b"CUST 0", b"CUST 7")
    )
    assert len(netlist.points) == 1 and not netlist.whole
    assert [remark.line for remark in netlist.remarks] == [2, 5, None]


def test_no_netlist() -> None:
    with pytest.raises(UnreadableFile):
        read_netlist("n.ipc", b"hello")


@settings(derandomize=True, max_examples=100, deadline=None)
@given(st.integers(0, 200), st.binary(max_size=5), st.integers(0, 60))
def test_damage(at: int, junk: bytes, cut: int) -> None:
    try:
        netlist = read_netlist("n.ipc", SAMPLE[:at] + junk + SAMPLE[at + cut :])
    except UnreadableFile:
        return
    assert all(np.isfinite((point.x_mm, point.y_mm)).all() for point in netlist.points)
