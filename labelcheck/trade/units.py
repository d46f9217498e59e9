"""Lengths are millimetres everywhere inside; inches are only read and shown."""

from typing import Literal

MM_PER_INCH = 25.4

Unit = Literal["mm", "inch"]
"""The unit that a person asked to see lengths in."""


def format_length(length_mm: float) -> str:
    """Write a length into a sentence: `0.71 mm`. A review shows sentences in inches where they are asked for."""
    return f"{length_mm:.2f} mm"
