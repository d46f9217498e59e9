"""A page of the test board, and a browser to look at it."""

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from labelcheck.board.board import Board
from labelcheck.review.contents import Review
from labelcheck.review.page.pictures import SidePicture, side_picture
from labelcheck.review.page.whole import page_of
from labelcheck.review.picture.sheet import draw_sheet, png_of
from labelcheck.trade.sides import OUTER_SIDES
from tests.review.page.browser import ABSENT, PROGRAM, Browser, browser


@pytest.fixture
def pictures(review: Review, board: Board) -> tuple[SidePicture, ...]:
    """Both sides of the test board as the page packs them."""
    sheets = [draw_sheet(review, board, side) for side in OUTER_SIDES]
    return tuple(side_picture(sheet, png_of(sheet.image), review.findings) for sheet in sheets)


@pytest.fixture(scope="session")
def one_browser() -> Iterator[Browser]:
    """One browser for all tests; skips where there is none."""
    if PROGRAM is None:
        pytest.skip(ABSENT)
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home, browser(Path(home)) as started:
        yield started


@pytest.fixture
def seen(one_browser: Browser, tmp_path: Path, review: Review, pictures: tuple[SidePicture, ...]) -> Browser:
    """The browser with the page of the test board open."""
    path = tmp_path / "review.html"
    whole = replace(review, holding=("The bottom mask was not read.",))
    path.write_text(page_of(whole, pictures), encoding="utf-8")
    one_browser.look(1440)
    one_browser.open(path)
    return one_browser
