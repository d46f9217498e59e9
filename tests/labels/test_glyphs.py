"""Glyph pictures against exact areas from shapely, and against themselves when turned, mirrored or cut."""

import numpy as np
import pytest
from shapely import LineString, Point, union_all

from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.pictures import draw_glyphs, picture_scale, stroke_widths
from labelcheck.trade.shapes import Shapes, bars, concatenate, polygon

from .alphabet import LETTERS, Lettering, draw_text

SQUARE = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], dtype=float)


def pictures_of(parts: list[Shapes], turned_deg: float = 0.0, mirrored: bool = False):
    """Glyphs and pictures of one glyph a part."""
    glyph = np.repeat(np.arange(len(parts)), [len(part) for part in parts])
    turned = np.full(len(parts), turned_deg)
    glyphs = lay_out(concatenate(parts), np.arange(len(glyph)), glyph, turned, mirrored)
    return glyphs, draw_glyphs(glyphs)


def areas(glyphs, pictures):
    """Dark area of each picture in square millimetres."""
    return pictures.sum(axis=(1, 2)) / picture_scale(glyphs) ** 2


def test_ink_area_of_every_letter_is_that_of_the_union_of_its_strokes():
    # shapely (GEOS) is the outside reference: discs of 64 segments a quarter.
    parts = [draw_text(letter, lettering=Lettering(1.2, 0.13)) for letter in LETTERS]
    glyphs, pictures = pictures_of(parts)
    for letter, part, area in zip(LETTERS, parts, areas(glyphs, pictures), strict=True):
        strokes = [
            (Point(x0, y0) if (x0, y0) == (x1, y1) else LineString([(x0, y0), (x1, y1)])).buffer(0.065, 64)
            for x0, y0, x1, y1 in zip(part.x0, part.y0, part.x1, part.y1, strict=True)
        ]
        assert area == pytest.approx(union_all(strokes).area, rel=0.04), letter  # rows are sampled


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("angle", [0.0, 17.0, 90.0, 211.5])
def test_a_turned_or_mirrored_letter_gives_the_same_picture(angle, mirrored):
    style = Lettering(0.9, 0.12)
    _, upright = pictures_of([draw_text(letter, lettering=style) for letter in "R5g%"])
    turned = [draw_text(letter, (4.0, -7.0), style, angle, mirrored) for letter in "R5g%"]
    _, pictures = pictures_of(turned, angle, mirrored)
    assert np.abs(pictures - upright).mean() < 0.004


def test_ink_fills_the_picture_but_for_the_margin():
    _, pictures = pictures_of([draw_text("H"), draw_text("-")])
    rows, columns = np.nonzero(pictures[0].sum(axis=1))[0], np.nonzero(pictures[1].sum(axis=0))[0]
    assert (rows[0], rows[-1]) == (1, 30)
    assert (columns[0], columns[-1]) == (1, 22)
    assert pictures[:, 0].sum() == pictures[:, :, 0].sum() == 0


def test_a_clear_counter_is_cut_out_and_what_comes_after_it_stays():
    dark, clear = polygon([SQUARE * 4]), polygon([SQUARE * 2 + 1], dark=False)
    island = polygon([SQUARE * 1 + 1.5])
    glyphs, pictures = pictures_of([concatenate([dark, clear, island])])
    assert areas(glyphs, pictures)[0] == pytest.approx(16 - 4 + 1, rel=0.01)
    assert glyphs.box[0].tolist() == [0, 0, 4, 4]


def test_rings_of_one_region_are_even_odd_however_they_are_wound():
    alike = polygon([SQUARE * 4, SQUARE * 2 + 1])
    against = polygon([SQUARE * 4, (SQUARE * 2 + 1)[::-1]])
    glyphs, pictures = pictures_of([alike, against])
    assert areas(glyphs, pictures) == pytest.approx([12, 12], rel=0.01)


def test_stroke_width_is_the_pen_and_for_filled_ink_near_the_width_of_the_bar():
    filled = polygon([SQUARE * (0.2, 2.0)])
    glyphs, pictures = pictures_of([draw_text("E", lettering=Lettering(1.0, 0.17)), filled])
    pen, bar = stroke_widths(glyphs, pictures)
    assert pen == pytest.approx(0.17)
    assert bar == pytest.approx(0.2, rel=0.15)


def test_no_ink_gives_an_empty_picture():
    glyphs, pictures = pictures_of([bars(np.zeros(1), np.zeros(1), np.ones(1), np.ones(1), 0.1, dark=False)])
    assert pictures.shape == (1, 32, 24)
    assert not pictures.any()
    assert glyphs.box.tolist() == [[0, 0, 0, 0]]
