"""Legends that hold ink and no label: silence about them must not look like a clean board."""

from collections.abc import Iterable

from labelcheck.board.board import Board
from labelcheck.labels.label import Label
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import OUTER_SIDES


def silent_legends(board: Board, labels: Iterable[Label]) -> tuple[tuple[Remark, ...], tuple[str, ...]]:
    """A remark on each legend that holds ink and no label, and a reason to hold where no label is anywhere."""
    speaking = {label.side for label in labels}
    legends = {side: board.on(side).legend for side in OUTER_SIDES}
    inked = {side: legend for side, legend in legends.items() if legend is not None and len(legend.shapes)}
    told = "The {} legend holds ink, but no label was found in it. Look at the picture."
    remarks = tuple(
        Remark(legend.files[0], None, told.format(side)) for side, legend in inked.items() if side not in speaking
    )
    reason = "No label was found in any legend, so nothing was checked. Look at the picture, and at the files."
    return remarks, (reason,) if inked and not speaking else ()
