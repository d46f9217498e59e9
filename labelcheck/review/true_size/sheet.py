"""The true-size sheet of one board as a PDF."""

from collections.abc import Sequence
from dataclasses import dataclass

from labelcheck.board.board import Board
from labelcheck.board.fab_set import FabSet
from labelcheck.formats.pdf.document import Page, pdf_of
from labelcheck.formats.pdf.drawing import Drawing
from labelcheck.review.true_size.frame import draw_frame
from labelcheck.review.true_size.layout import Paper, PlannedPage, plan
from labelcheck.review.true_size.seams import draw_seams
from labelcheck.review.true_size.side_drawing import SideDrawing, draw_sides
from labelcheck.trade.errors import UnreadableSet
from labelcheck.trade.sides import OUTER_SIDES, Side


@dataclass(frozen=True, slots=True)
class TrueSizeSheet:
    """What was made, and what there is to say about it."""

    pdf: bytes
    pages: int
    told: tuple[tuple[Side, str], ...]
    """Sentences about what is not on it."""


def true_size_sheet(fab_set: FabSet, board: Board, paper: Paper) -> TrueSizeSheet:
    """Both sides at 1:1; the same board gives the same bytes. Raises `UnreadableSet` where nothing can be drawn."""
    if board.outline is None and all(_is_empty(board, side) for side in OUTER_SIDES):
        raise UnreadableSet(
            f"{fab_set.name}: There is neither an edge of the board nor legend, mask or parts to draw. "
            "Name the folder or zip with the layers of the board."
        )
    drawings = draw_sides(board)
    planned = plan(drawings, paper)
    pages = [_page(fab_set, planned, number) for number in range(len(planned))]
    forms = {_form_name(drawing): drawing.form for drawing in drawings}
    told = tuple((drawing.side, sentence) for drawing in drawings for sentence in drawing.told)
    return TrueSizeSheet(pdf_of(pages, forms, f"{fab_set.name}: true-size sheet"), len(pages), told)


def _is_empty(board: Board, side: Side) -> bool:
    on_side = board.on(side)
    return on_side.legend is None and on_side.openings is None and not board.components


def _form_name(drawing: SideDrawing) -> str:
    return drawing.side.value.capitalize()


def _page(fab_set: FabSet, planned: Sequence[PlannedPage], number: int) -> Page:
    page = planned[number]
    drawing = Drawing()
    for piece in page.pieces:
        x, y, width, height = piece.window_mm
        drawing.saved()
        drawing.window(*piece.at_mm, width, height)
        drawing.moved(piece.at_mm[0] - x, piece.at_mm[1] - y)
        drawing.form(_form_name(piece.drawing))
        drawing.restored()
        draw_seams(drawing, piece)
    draw_frame(drawing, page, (fab_set.name, fab_set.fingerprint), (number + 1, len(planned)))
    return Page(page.width_mm, page.height_mm, drawing.content)
