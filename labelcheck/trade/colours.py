"""Words for the colours of solder masks and of legend ink."""

MASK_COLOURS = (
    "green", "red", "blue", "black", "white", "yellow", "purple", "orange", "brown", "grey", "pink", "transparent",
)
LEGEND_COLOURS = ("white", "black", "yellow", "green", "red", "blue", "orange", "grey")

OTHER_WORDS = {"gray": "grey", "clear": "transparent", "violet": "purple", "magenta": "purple"}
"""Words that mean one of the above."""
