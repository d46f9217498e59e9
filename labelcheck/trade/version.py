"""Which labelcheck this is; the same number stands in pyproject.toml, and a test compares the two."""

VERSION = "0.1.0"

MADE_BY = f"labelcheck {VERSION}"
"""How the program names itself in what it writes."""
