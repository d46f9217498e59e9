"""The sheet of a whole board: its scale measured in the file and on the rendered page, and what is on it."""

import io
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from labelcheck.board.building import build_board
from labelcheck.board.opening import open_sets
from labelcheck.review.cautions import SHORT_CAUTION
from labelcheck.review.true_size.layout import PAPERS
from labelcheck.review.true_size.sheet import TrueSizeSheet, true_size_sheet
from labelcheck.review.true_size.side_drawing import BODY_LINE, EDGE_LINE, ESTIMATE_LINE, HOLE_LINE, OPENING_LINE
from tests.pdf_seen import Drawn, SeenPage, pages_of
from tests.sets_made import a_set, artwork, flashes, write

REAL = Path(__file__).resolve().parents[4] / "shared" / "real-boards"
DEMO = Path(__file__).resolve().parents[3] / "boards"
DOTS_PER_INCH = 600


def sheet_of(path: Path, paper: str = "a4") -> TrueSizeSheet:
    fab_set = open_sets(path)[0]
    return true_size_sheet(fab_set, build_board(fab_set).board, PAPERS[paper])


def board_of(folder: Path, width: float, height: float, **other: str) -> Path:
    """A set with an outline of this size, one stroke of legend on each side, a pad and a hole."""
    edges = [(0, 0, width, 0), (width, 0, width, height), (width, height, 0, height), (0, height, 0, 0)]
    files = a_set(
        artwork("Legend,Top", 0.2, [(5, 6, 9, 6)]),
        profile=artwork("Profile,NP", 0.1, edges),
        legend_bottom=artwork("Legend,Bot", 0.3, [(5, 8, 12, 8)]),
        mask_bottom=flashes("Soldermask,Bot", 1.6, [(20, 10)]),
        **other,
    )
    return write(folder, files)


def box_of(drawn: list[Drawn]) -> tuple[float, float, float, float]:
    x, y = zip(*(point for one in drawn for path in one.paths for point in path), strict=True)
    return min(x), min(y), max(x), max(y)


def straight(page: SeenPage, colour: tuple[float, ...] = (0.0, 0.0, 0.0)) -> Iterator[tuple[float, float]]:
    """Width and height of each stroked line of two points."""
    for one in page.stroked(colour):
        for path in one.paths:
            if len(path) == 2:
                yield abs(path[1][0] - path[0][0]), abs(path[1][1] - path[0][1])


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("size", [(30, 20), (160, 90), (400, 300)])
def test_every_page_has_lines_of_100_mm_and_4_in(size: tuple[int, int], paper: str, tmp_path: Path) -> None:
    for page in pages_of(sheet_of(board_of(tmp_path / "set", *size), paper).pdf):
        lines = list(straight(page))
        for expected in ((100.0, 0.0), (101.6, 0.0), (0.0, 100.0)):
            assert any(line == pytest.approx(expected, abs=1e-3) for line in lines), expected
        texts = " ".join(text for text, _, _ in page.texts)
        assert {"100 mm", "4 in", "set"} <= {text for text, _, _ in page.texts}
        assert "Print at 100 %" in texts and 'not "fit to page"' in texts
        assert SHORT_CAUTION in texts
        assert open_sets(tmp_path / "set")[0].fingerprint in texts


def test_both_sides_lie_in_the_file_as_large_as_they_are_and_the_bottom_is_mirrored(tmp_path: Path) -> None:
    page = pages_of(sheet_of(board_of(tmp_path / "set", 160, 90)).pdf)[0]
    edges = [[one] for one in page.stroked(EDGE_LINE.colour) if one.windows and one.pen_mm == pytest.approx(0.2)]
    outlines = [box for box in map(box_of, edges) if box[3] - box[1] > 1]
    assert len(outlines) == 2
    for left, bottom, right, top in outlines:
        assert (right - left, top - bottom) == (pytest.approx(160, abs=2e-3), pytest.approx(90, abs=2e-3))
    top_board, bottom_board = sorted(outlines, key=lambda box: -box[1])
    on_top = next(one for one in page.drawn if one.windows and one.paths[0][0][1] == pytest.approx(top_board[1] + 6))
    below = next(one for one in page.stroked() if one.windows and one.pen_mm == pytest.approx(0.3))
    assert box_of([on_top])[0] - top_board[0] == pytest.approx(5, abs=2e-3)
    # Seen from below, what is 5 to 12 mm from the left is so far from the right.
    assert bottom_board[2] - box_of([below])[2] == pytest.approx(5, abs=2e-3)
    assert bottom_board[2] - box_of([below])[0] == pytest.approx(12, abs=2e-3)
    for line, width in ((OPENING_LINE, 1.6), (HOLE_LINE, 0.8)):
        rounds = [path for one in page.stroked(line.colour) for path in one.paths if len(path) == 6]
        assert [max(x for x, _ in path) - min(x for x, _ in path) for path in rounds] == pytest.approx([width] * 2)


def rendered(pdf: bytes, page: int = 1) -> np.ndarray:
    """One page as ink (height, width), dark True."""
    tool = shutil.which("pdftoppm")
    if tool is None:
        pytest.skip("no tool that renders PDF; apt-get install poppler-utils")
    command = [tool, "-r", str(DOTS_PER_INCH), "-gray", "-f", str(page), "-l", str(page), "-"]
    made = subprocess.run(command, input=pdf, capture_output=True, check=True, timeout=60)
    assert made.stderr == b""
    with Image.open(io.BytesIO(made.stdout)) as picture:
        return np.asarray(picture) < 128


def longest_runs(ink: np.ndarray, at_least_mm: float) -> list[tuple[float, float]]:
    """Of each row of ink longer than asked: how long, and how far down, millimetres; rows of one line are one."""
    per_mm = DOTS_PER_INCH / 25.4
    found: list[tuple[int, float]] = []
    for row in np.flatnonzero(ink.sum(axis=1) > at_least_mm * per_mm).tolist():
        turns = np.flatnonzero(np.diff(np.concatenate(([False], ink[row], [False]))))
        length = int((turns[1::2] - turns[::2]).max())
        if length < at_least_mm * per_mm:
            continue
        if found and row - found[-1][0] <= 2:
            found[-1] = (row, max(found[-1][1], length))
        else:
            found.append((row, length))
    return [(length / per_mm, row / per_mm) for row, length in found]


@pytest.mark.parametrize("paper", list(PAPERS))
def test_the_rendered_page_measures_what_it_says(paper: str, tmp_path: Path) -> None:
    ink = rendered(sheet_of(board_of(tmp_path / "set", 160, 90), paper).pdf)
    standard = PAPERS[paper]
    assert ink.shape == (
        pytest.approx(standard.height_mm / 25.4 * DOTS_PER_INCH, abs=1),
        pytest.approx(standard.width_mm / 25.4 * DOTS_PER_INCH, abs=1),
    )
    across, upright = longest_runs(ink, 80.0), longest_runs(ink.T, 80.0)
    # A line is longer by the width of its pen: round ends, or the ticks across it.
    edge_pen, ruler_pen = 0.2, 0.15
    outline = [length for length, _ in across[:4]]
    assert outline == pytest.approx([160 + edge_pen] * 4, abs=0.1)
    assert [length for length, _ in across[4:]] == pytest.approx([100 + ruler_pen, 101.6 + ruler_pen], abs=0.1)
    # Upright: the line to measure, then the left and right edge, where both sides lie below one another.
    assert [length for length, _ in upright] == pytest.approx([100 + ruler_pen, *[90 + edge_pen] * 2], abs=0.1)
    left, right = upright[1][1], upright[2][1]
    assert right - left == pytest.approx(160, abs=0.1)
    assert across[1][1] - across[0][1] == pytest.approx(90, abs=0.1)


def test_a_board_over_several_pages_joins_at_the_seams(tmp_path: Path) -> None:
    pages = pages_of(sheet_of(board_of(tmp_path / "set", 400, 300)).pdf)
    assert len(pages) == 12
    names: dict[str, int] = {}
    for page in pages:
        for text in {text for text, _, _ in page.texts if text.isdigit()}:
            names[text] = names.get(text, 0) + 1
    # 2 rows x 3 columns: 4 upright seams and 3 lying ones, each on two pages of each side.
    assert names == {str(number): 4 for number in range(1, 8)}
    # A cross lies at the same place of the board on both pages.
    places: dict[str, list[tuple[float, float]]] = {}
    for page in pages[:6]:
        outline = box_of([one for one in page.stroked(EDGE_LINE.colour) if one.windows and len(one.paths[0]) > 2])
        for text, x, y in page.texts:
            if text.isdigit():
                places.setdefault(text, []).append((round(x - outline[0], 2), round(y - outline[1], 2)))
    assert all(len(found) == 4 and len(set(found)) == 2 for found in places.values())


def test_bodies_are_drawn_and_estimates_are_dashed() -> None:
    page = pages_of(sheet_of(DEMO / "track-detector").pdf)[0]
    bodies = [one for one in page.stroked(BODY_LINE.colour) if one.windows]
    board = build_board(open_sets(DEMO / "track-detector")[0]).board
    sure = [one.body.area for one in board.components if one.body is not None and not one.body.estimated]
    drawn = [path for one in bodies if not one.dashed for path in one.paths]
    assert len(drawn) == len(sure) > 10
    sizes = sorted(round(max(x for x, _ in path) - min(x for x, _ in path), 2) for path in drawn)
    assert sizes == pytest.approx(sorted(area.bounds[2] - area.bounds[0] for area in sure), abs=0.011)
    assert ESTIMATE_LINE.dashes_mm != ()


def test_the_same_set_gives_the_same_bytes(tmp_path: Path) -> None:
    path = board_of(tmp_path / "set", 30, 20)
    assert sheet_of(path).pdf == sheet_of(path).pdf


def test_what_is_not_on_it_is_told(tmp_path: Path) -> None:
    files = a_set(plated=None, mask_top=None)
    told = sheet_of(write(tmp_path / "set", files)).told
    sentences = " ".join(sentence for _, sentence in told)
    for words in ("No drill file", "No mask of this side", "No legend of this side", "no parts"):
        assert words in sentences


def test_ink_far_off_the_board_makes_the_sheet_no_larger_and_is_told(tmp_path: Path) -> None:
    legend = artwork("Legend,Top", 0.2, [(5, 6, 9, 6), (900, 6, 905, 6)])
    sheet = sheet_of(write(tmp_path / "set", a_set(legend)))
    assert sheet.pages == 1
    assert any("further off the board" in sentence for _, sentence in sheet.told)


@pytest.mark.parametrize("name", ["ip-bridge", "isa-sound", "mouse-breakout"])
def test_open_boards_come_out_at_their_size(name: str) -> None:
    if not (REAL / name).is_dir():
        pytest.skip("the open fab sets do not lie beside the project")
    fab_set = open_sets(REAL / name)[0]
    board = build_board(fab_set).board
    pages = pages_of(true_size_sheet(fab_set, board, PAPERS["a4"]).pdf)
    x0, y0, x1, y1 = board.outline.area.bounds
    for page in pages:
        edges = [[one] for one in page.stroked(EDGE_LINE.colour) if one.windows and one.pen_mm == pytest.approx(0.2)]
        boxes = [box for box in map(box_of, edges) if box[2] - box[0] == pytest.approx(x1 - x0, abs=2e-3)]
        assert boxes and any(box[3] - box[1] == pytest.approx(y1 - y0, abs=2e-3) for box in boxes)
