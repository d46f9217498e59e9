"""What a file may ask of us: every bound of the Gerber reader, each with its unit."""

MOST_BYTES = 256 * 1024 * 1024
"""Largest file read, in bytes."""

MOST_OBJECTS = 2_000_000
"""Most drawn objects in one artwork, after step-and-repeat and blocks are laid out."""

MOST_POINTS = 10_000_000
"""Most stroke ends and outline vertices in one artwork, after everything is laid out; so many take about 1 GB."""

MOST_REPEATS = 1_000_000
"""Most copies that one step-and-repeat may ask for."""

DEEPEST_NESTING = 40
"""Most blocks and step-and-repeats open at the same time."""

MOST_CONTAINERS = 20_000
"""Most blocks and step-and-repeats in one file."""

MOST_PRIMITIVES = 50_000
"""Most macro primitives worked out for one artwork (primitives x apertures made of them)."""

MOST_RINGS = 100
"""Most rings drawn of one moiré."""

MOST_CORNERS = 1_000
"""Most corners of a regular polygon; the format itself allows twelve."""

MOST_SWEPT_ARCS = 50_000
"""Most arcs drawn with apertures that are not round; each is worked out by itself, in about a millisecond."""

MOST_DIGITS = 18
"""Most digits in one number; more than any format can mean, and all that fits a machine integer."""

MOST_ATTRIBUTES = 200
"""Most attributes of one kind in force at the same time; the format itself defines about thirty."""

FARTHEST_MM = 10_000.0
"""Objects reaching farther than this from the origin are left out, with a remark."""

SAGITTA_MM = 0.0012
"""Height of an arc above its chords; vertices are moved outward by a part of it, so ink is true to 1 µm."""

MOST_CHORDS = 8_192
"""Most chords for one arc; at 10 m radius the sagitta above needs 6,413."""
