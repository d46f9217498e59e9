"""The sides of a board."""

from enum import StrEnum


class Side(StrEnum):
    """Where a layer or label lies; coordinates of both outer sides are as seen from the top."""

    TOP = "top"
    BOTTOM = "bottom"
    INNER = "inner"
    BOTH = "both"


OUTER_SIDES = (Side.TOP, Side.BOTTOM)
