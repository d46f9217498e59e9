"""Training of the built-in reader: at the edge, imported by nobody at run time."""
