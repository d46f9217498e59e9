"""Narrow clear spaces of glyphs and lines as columns."""

from dataclasses import dataclass

import numpy as np

from labelcheck.labels.label import NarrowKind
from labelcheck.trade.shapes import Flags, Floats, Integers

KINDS: tuple[NarrowKind, ...] = ("counter", "mouth", "pieces", "neighbours")
COUNTER, MOUTH, PIECES, NEIGHBOURS = range(4)


@dataclass(frozen=True, slots=True, eq=False)
class Gaps:
    """Clear spaces, in no order: the glyph (k,), of neighbours the later one, the kind (k,) and the width (k,).

    `behind` (k,) is the widest disc in what a mouth leads to, else the width; `box` (k, 4) that of the clear space
    in the frame of the glyph.
    """

    glyph: Integers
    kind: Integers
    width: Floats
    behind: Floats
    box: Floats

    def __len__(self) -> int:
        return len(self.glyph)

    def take(self, chosen: Flags | Integers) -> "Gaps":
        """The chosen ones only."""
        return Gaps(
            self.glyph[chosen], self.kind[chosen], self.width[chosen], self.behind[chosen], self.box[chosen]
        )

    def least(self, count: int) -> Floats:
        """The narrowest of each of so many glyphs; inf for none."""
        found = np.full(count, np.inf)
        np.minimum.at(found, self.glyph, self.width)
        return found


def together(some: list[Gaps]) -> Gaps:
    """Several sets of gaps as one."""
    return Gaps(*(
        np.concatenate([getattr(one, name) for one in some]) for name in ("glyph", "kind", "width", "behind", "box")
    ))


def round_gaps(kind: int, glyph: Integers, width: Floats, middle: Floats) -> Gaps:
    """Gaps whose place is a disc of their width around its middle (k, 2)."""
    half = width[:, None] / 2
    return Gaps(glyph, np.full(len(glyph), kind), width, width, np.hstack((middle - half, middle + half)))
