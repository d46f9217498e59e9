"""Drawing on the canvas: smooth, in bounds, and in the colours asked for."""

import numpy as np
import pytest

from labelcheck.board.board import Appearance
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import INK, PAPER, SEVERITY_STYLES, TABLE, materials_of
from labelcheck.review.picture.lettering import face
from labelcheck.review.picture.palette import palette_of


@pytest.fixture
def canvas() -> Canvas:
    return Canvas(200, 120, palette_of(materials_of(Appearance(None, None, None))), PAPER)


def darkness(canvas: Canvas) -> np.ndarray:
    """How far each pixel has gone from paper to ink, 0 to 1."""
    colours = canvas.palette.colours[canvas.pixels].astype(float)
    return (255 - colours[..., 0]) / (255 - INK[0])


@pytest.mark.parametrize("end", [(150, 20), (20, 100), (150, 100), (150, 61), (51, 20), (20, 20)])
@pytest.mark.parametrize("thickness", [3, 7])
def test_a_line_has_the_area_of_its_length_times_its_thickness(
    canvas: Canvas, end: tuple[int, int], thickness: int
) -> None:
    start = (50, 60)
    canvas.line(start, end, thickness, INK)
    length = np.hypot(end[0] - start[0], end[1] - start[1])
    assert darkness(canvas).sum() == pytest.approx(length * thickness, rel=0.06, abs=2 * thickness)


def test_a_line_is_the_same_both_ways(canvas: Canvas) -> None:
    other = Canvas(200, 120, canvas.palette, PAPER)
    canvas.line((10, 20), (180, 90), 3, INK)
    other.line((180, 90), (10, 20), 3, INK)
    assert (canvas.pixels == other.pixels).all()


def test_nothing_is_drawn_beyond_the_rim(canvas: Canvas) -> None:
    before = canvas.pixels.shape
    canvas.line((-50, -50), (300, 300), 5, INK)
    canvas.fill((-10, -10, 5, 5), INK)
    canvas.fill((190, 110, 500, 500), INK)
    canvas.fill((300, 300, 400, 400), INK)
    canvas.write((180, 110), "beyond", face(27), (INK, PAPER))
    canvas.write((-40, -10), "beyond", face(27), (INK, PAPER))
    canvas.blend(np.full((50, 50), 255, dtype=np.uint8), -25, 100, INK)
    canvas.place(np.zeros((50, 50), dtype=np.uint8), 180, -30)
    canvas.place(np.zeros((5, 5), dtype=np.uint8), 1000, 1000)
    assert canvas.pixels.shape == before
    assert darkness(canvas)[0, 0] == 1.0


def test_text_lands_where_it_is_asked_for(canvas: Canvas) -> None:
    canvas.write((30, 40), "HHH", face(27), (INK, PAPER))
    rows, columns = np.nonzero(darkness(canvas) > 0.5)
    capital = face(27).letter("H").cover.shape[0]
    assert columns.min() in range(30, 36)
    assert rows.max() + 1 - rows.min() == capital
    assert rows.max() + 1 == 40 + face(27).ascent


def test_a_blend_mixes_with_what_is_below(canvas: Canvas) -> None:
    canvas.fill((0, 0, 200, 60), TABLE)
    cover = np.full((120, 10), 128, dtype=np.uint8)
    canvas.blend(cover, 0, 0, INK)
    seen = canvas.palette.colours[canvas.pixels].astype(int)
    for row, ground in ((30, TABLE), (90, PAPER)):
        wanted = (np.array(ground) + np.array(INK)) / 2
        assert np.abs(seen[row, 5] - wanted).max() < 24
        assert tuple(seen[row, 50]) == ground


def test_the_picture_has_the_colours(canvas: Canvas) -> None:
    red = SEVERITY_STYLES["unreadable"].fill  # type: ignore[index]  # a StrEnum finds its own value
    canvas.fill((10, 10, 20, 20), red)
    picture = canvas.image()
    assert picture.mode == "P"
    assert picture.convert("RGB").getpixel((15, 15)) == red
    assert picture.convert("RGB").getpixel((50, 50)) == PAPER
