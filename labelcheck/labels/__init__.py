"""Ink becomes marks, marks become labels; labels are measured and read."""
