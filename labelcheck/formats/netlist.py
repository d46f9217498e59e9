"""Netlists of the IPC-D-356 family: told apart from other files by their records."""

import re

_TEST_RECORD = re.compile(rb"^(?:017|027|3[1-7]7|307|378|379|389|099|999)")
_PARAMETER = re.compile(rb"^[PC]  ")

LINES_LOOKED_AT = 200


def looks_like_netlist(data: bytes) -> bool:
    """Whether the bytes are IPC-D-356: parameter lines, and records that begin with their three-digit code."""
    lines = [line for line in data[: 100 * LINES_LOOKED_AT].splitlines()[:LINES_LOOKED_AT] if line.strip()]
    if len(lines) > 1 and len(data) > 100 * LINES_LOOKED_AT:
        lines = lines[:-1]
    records = sum(1 for line in lines if _TEST_RECORD.match(line))
    parameters = sum(1 for line in lines if _PARAMETER.match(line))
    coordinates = sum(1 for line in lines if _TEST_RECORD.match(line) and re.search(rb"X[+-]\d{6}Y[+-]\d{6}", line))
    return bool(lines) and records + parameters >= 0.8 * len(lines) and (coordinates > 0 or parameters >= 2)
