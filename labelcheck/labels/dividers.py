"""Rules between words: the lines of a table, the edge of a part. Nobody reads across them."""

from dataclasses import replace

import numpy as np

from labelcheck.labels.directions import Frame
from labelcheck.labels.glyphs import turn_upright
from labelcheck.labels.joining import boxes_within
from labelcheck.labels.lines import Links
from labelcheck.labels.pieces import Pieces

LEAST_MM = 0.8
"""A shorter rule parts no text that anybody could read."""
SQUARE_ON = 0.1
"""Sideways run of a rule, as a share of its length."""
LEAST_HEIGHTS = 1.5
"""A rule is so much longer than the text beside it is high; an I or a bracket is not."""
LEAST_GAP = 0.2
"""Gap in heights below which there is no room for one."""
IN_FROM_ENDS = 0.1
"""How far a rule may end short of the top or base of the text, in heights."""


def without_divided(links: Links, frame: Frame, pieces: Pieces) -> Links:
    """The links of a frame, less those between marks with a rule between them."""
    angle = np.array(frame.turned_deg)
    long = np.flatnonzero(np.hypot(pieces.x1 - pieces.x0, pieces.y1 - pieces.y0) >= LEAST_MM)
    x0, y0 = turn_upright(pieces.x0[long], pieces.y0[long], angle, False)
    x1, y1 = turn_upright(pieces.x1[long], pieces.y1[long], angle, False)
    across = np.abs(x1 - x0) <= SQUARE_ON * np.abs(y1 - y0)
    apart = np.flatnonzero(links.gap >= LEAST_GAP)
    if not across.any() or len(apart) == 0:
        return links
    rules = np.column_stack((
        np.minimum(x0, x1), np.minimum(y0, y1), np.maximum(x0, x1), np.maximum(y0, y1),
    ))[across]
    a, b = frame.box[links.first[apart]], frame.box[links.second[apart]]
    left, right = np.minimum(a[:, 2], b[:, 2]), np.maximum(a[:, 0], b[:, 0])
    base, top = np.minimum(a[:, 1], b[:, 1]), np.maximum(a[:, 3], b[:, 3])
    between = np.column_stack((left, base, right, top))
    link, rule = boxes_within(between, rules)
    slack = IN_FROM_ENDS * (top - base)[link]
    whole = (rules[rule, 1] <= base[link] + slack) & (rules[rule, 3] >= top[link] - slack)
    whole &= rules[rule, 3] - rules[rule, 1] >= LEAST_HEIGHTS * (top - base)[link]
    whole &= (rules[rule, 0] >= left[link]) & (rules[rule, 2] <= right[link])
    kept = np.ones(len(links.gap), dtype=np.bool_)
    kept[apart[link[whole]]] = False
    return replace(links, **{
        name: getattr(links, name)[kept] for name in ("first", "second", "gap", "kind", "consecutive")
    })
