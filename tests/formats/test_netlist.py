"""Netlists are told apart by their records; the J13 line is a published sample."""

from labelcheck.formats.netlist import looks_like_netlist

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
