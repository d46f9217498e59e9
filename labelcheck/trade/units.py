"""Lengths are millimetres everywhere inside; inches are only read and shown."""

from typing import Literal

MM_PER_INCH = 25.4

Unit = Literal["mm", "inch"]
"""The unit that a person asked to see lengths in."""


def format_length(length_mm: float, unit: Unit = "mm") -> str:
    """Write a length for a person: `0.71 mm`, or `0.028 in` where inches were asked for."""
    if unit == "inch":
        return f"{length_mm / MM_PER_INCH:.4f} in"
    return f"{length_mm:.2f} mm"
