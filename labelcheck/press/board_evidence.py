"""What is known of a board as a whole, for questions that are asked once a board or once a side."""

from dataclasses import dataclass

from labelcheck.board.board import Appearance
from labelcheck.board.components import Component
from labelcheck.labels.label import Box
from labelcheck.press.evidence import Evidence
from labelcheck.press.pin_rows import PinRow
from labelcheck.trade.sides import Side


@dataclass(frozen=True, slots=True, eq=False)
class BoardEvidence:
    """All labels of a board, and what it looks like."""

    labels: tuple[Evidence, ...]
    """Top first; none that lies off the board."""
    legends: tuple[Side, ...]
    """The sides that have a legend with ink."""
    appearance: Appearance
    box_mm: Box
    """The box of the board, or of its labels where the outline is not known."""
    components: tuple[Component, ...] = ()
    pin_rows: tuple[PinRow, ...] = ()
    """The rows of pins on both sides, with the labels along them."""
    unmarked: tuple[tuple[Side, tuple[str, ...]], ...] = ()
    """For each side with a legend the parts that fit both ways round, with nothing to tell which is right."""

    def on(self, side: Side) -> tuple[Evidence, ...]:
        """The labels of one side."""
        return tuple(one for one in self.labels if one.label.side is side)
