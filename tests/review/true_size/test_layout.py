"""Pages: everything is on one, nothing outside of what printers print, neighbours overlap."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.formats.pdf.document import Form
from labelcheck.review.true_size.layout import OVERLAP_MM, PAPERS, PlannedPage, plan
from labelcheck.review.true_size.side_drawing import SideDrawing
from labelcheck.trade.errors import UnreadableSet
from labelcheck.trade.sides import OUTER_SIDES, Side

PRINTED_FROM_MM = 8.0
"""From the edge of the paper; common practice, no source: desk printers leave up to a quarter of an inch blank."""


def drawings(width: float, height: float) -> list[SideDrawing]:
    return [SideDrawing(side, width, height, Form((0, 0, width, height), b""), ()) for side in OUTER_SIDES]


def pages(width: float, height: float, paper: str = "a4") -> tuple[PlannedPage, ...]:
    return plan(drawings(width, height), PAPERS[paper])


def test_the_papers_are_the_standard_ones() -> None:
    assert (PAPERS["a4"].width_mm, PAPERS["a4"].height_mm) == (210, 297)  # ISO 216
    assert PAPERS["letter"].width_mm == pytest.approx(215.9)  # ANSI/ASME Y14.1: 8.5 x 11 in
    assert PAPERS["letter"].height_mm == pytest.approx(279.4)


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize(
    ("width", "height", "count", "lying"),
    [
        (30, 20, 1, False),
        (100, 70, 1, False),  # one below the other
        (80, 150, 1, False),  # side by side
        (110, 120, 1, True),  # side by side on lying paper
        (170, 170, 2, False),
        (230, 110, 2, True),
        (400, 300, 12, False),
    ],
)
def test_as_few_pages_as_will_do(width: float, height: float, count: int, lying: bool, paper: str) -> None:
    planned = pages(width, height, paper)
    assert len(planned) == count
    assert {page.width_mm > page.height_mm for page in planned} == {lying}


@settings(derandomize=True, max_examples=80, deadline=None)
@given(st.floats(1.0, 900.0), st.floats(1.0, 900.0), st.sampled_from(list(PAPERS)))
def test_every_place_is_on_a_page_and_every_page_within_its_paper(width: float, height: float, paper: str) -> None:
    planned = pages(width, height, paper)
    for side in (Side.TOP, Side.BOTTOM):
        pieces = [piece for page in planned for piece in page.pieces if piece.drawing.side is side]
        columns = sorted({(piece.window_mm[0], piece.window_mm[2]) for piece in pieces})
        rows = sorted({(piece.window_mm[1], piece.window_mm[3]) for piece in pieces})
        assert len(pieces) == len(columns) * len(rows) == pieces[0].columns * pieces[0].rows
        for spans, size in ((columns, width), (rows, height)):
            assert spans[0][0] == pytest.approx(0.0, abs=1e-9)
            assert sum(spans[-1]) == pytest.approx(size)
            for (start, length), (following, _) in pairwise(spans):
                assert start + length - following == pytest.approx(OVERLAP_MM)
    for page in planned:
        for piece in page.pieces:
            (x, y), (_, _, wide, high) = piece.at_mm, piece.window_mm
            assert x >= PRINTED_FROM_MM and x + wide <= page.width_mm - PRINTED_FROM_MM
            assert y >= PRINTED_FROM_MM and y + high <= page.height_mm - PRINTED_FROM_MM


def test_a_board_of_metres_is_an_error_with_its_size() -> None:
    with pytest.raises(UnreadableSet, match=r"2540 x 1270 mm .* unit"):
        pages(2540.0, 1270.0)
