"""What to change so that a label can be read: its size, its pen, its place; computed, with numbers."""
