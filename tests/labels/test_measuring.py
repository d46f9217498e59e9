"""Stroke width and gap of glyphs against what they were drawn with, and against exact distances from geometry."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.labels.gaps import KINDS
from labelcheck.labels.glyphs import Glyphs, lay_out
from labelcheck.labels.measuring import Sizes, measure_glyphs, measure_lines
from labelcheck.labels.pockets import NARROW_MM
from labelcheck.labels.recognising import drawn_once
from labelcheck.trade.remembering import Memory
from labelcheck.trade.shapes import Shapes, bars, concatenate, polygon

from .alphabet import Lettering, draw_text


def glyphs_of(parts: list[Shapes], turned_deg: float = 0.0) -> Glyphs:
    glyph = np.repeat(np.arange(len(parts)), [len(part) for part in parts])
    return lay_out(concatenate(parts), np.arange(len(glyph)), glyph, np.full(len(parts), turned_deg))


def measure(part: Shapes, turned_deg: float = 0.0) -> Sizes:
    return measure_glyphs(glyphs_of([part], turned_deg), np.zeros(1, dtype=bool))


def filled(strokes: Shapes) -> Shapes:
    """The same ink as one region: hull and holes as rings."""
    ends = np.column_stack((strokes.x0, strokes.y0, strokes.x1 + 1e-7, strokes.y1)).reshape(-1, 2, 2)
    area = shapely.union_all(shapely.buffer(shapely.linestrings(ends), strokes.width / 2, quad_segs=12))
    rings = []
    for part in shapely.get_parts(area):
        rings += [np.array(ring.coords)[:-1] for ring in (part.exterior, *part.interiors)]
    return polygon(rings)


def lines(*ends: tuple[float, float, float, float], pen: float = 0.15) -> Shapes:
    columns = np.array(ends, dtype=float).T
    return bars(*columns, pen)


@settings(max_examples=25, derandomize=True, deadline=None)
@given(
    st.sampled_from("ABCDEFGHKLMNPRSTUXZ0123456789aegkmnsw"),
    st.floats(0.5, 2.5), st.floats(0.06, 0.16), st.floats(0, 360),
)
def test_filled_strokes_are_measured_within_ten_micrometres(letter, height, ratio, angle):
    pen = min(max(height * ratio, 0.06), 0.3)
    sizes = measure(filled(draw_text(letter, (3, 4), Lettering(height, pen), angle)), angle)
    assert sizes.typical[0] == pytest.approx(pen, abs=0.010)
    assert sizes.least[0] == pytest.approx(pen, abs=0.010)


def test_a_pen_is_exact():
    sizes = measure(draw_text("R", (3, 4), Lettering(1.1, 0.137), 33.0), 33.0)
    assert (sizes.least[0], sizes.typical[0]) == pytest.approx((0.137, 0.137), abs=1e-12)


def test_scan_lines_side_by_side_are_one_wide_stroke():
    y = np.arange(0, 0.31, 0.1)
    painted = bars(np.zeros(4), y, np.full(4, 3.0), y, 0.1)
    sizes = measure_glyphs(glyphs_of([painted]), np.ones(1, dtype=bool))
    assert sizes.typical[0] == pytest.approx(0.4, abs=0.02)


@pytest.mark.parametrize("text", [".", ":", "-", "I"])
def test_a_filled_dot_or_bar_is_as_wide_as_its_pen(text):
    sizes = measure(filled(draw_text(text, (3, 4), Lettering(1.3, 0.16), 20.0)), 20.0)
    assert (sizes.least[0], sizes.typical[0]) == pytest.approx((0.16, 0.16), abs=0.005)


# Gap: each drawn case with the distance that follows from its corners; u is the clear width between centre lines.
CASES = {
    "mouth of C": (lines(
        (1, 0.9, 0.3, 1), (0.3, 1, 0, 0.7), (0, 0.7, 0, 0.3), (0, 0.3, 0.3, 0), (0.3, 0, 1, 0.1),
    ), 0.65),
    "arms of E": (lines((0, 0, 0, 1), (0, 0, 0.6, 0), (0, 0.5, 0.4, 0.5), (0, 1, 0.6, 1)), 0.35),
    "legs of H": (lines((0, 0, 0, 1), (0.6, 0, 0.6, 1), (0, 0.5, 0.6, 0.5)), 0.45),
    "dot of i": (lines((0, 0, 0, 0.6), (0, 0.9, 0, 0.9)), 0.15),
    "bars of =": (lines((0, 0, 0.6, 0), (0, 0.4, 0.6, 0.4)), 0.25),
    "square counter": (lines((0, 0, 0.5, 0), (0.5, 0, 0.5, 0.7), (0.5, 0.7, 0, 0.7), (0, 0.7, 0, 0)), 0.35),
    # An equilateral triangle of side 1 has an inscribed circle of radius 1 / (2 sqrt 3).
    "counter of A": (lines((0, 0, 1, 0), (1, 0, 0.5, 3**0.5 / 2), (0.5, 3**0.5 / 2, 0, 0)), 3**-0.5 - 0.15),
    "crotch of V": (lines((0, 1, 0.3, 0), (0.3, 0, 0.6, 1)), np.inf),
    "corner of L": (lines((0, 1, 0, 0), (0, 0, 0.6, 0)), np.inf),
    "crossing of X": (lines((0, 0, 0.6, 1), (0, 1, 0.6, 0)), np.inf),
    "one bar": (lines((0, 0, 0, 1)), np.inf),
    "wide bend": (lines((0, 1, 0.1, 0.4), (0.1, 0.4, 0.6, 0.1), (0.6, 0.1, 1.2, 0)), np.inf),
}


@pytest.mark.parametrize("name", CASES)
def test_the_gap_is_where_spreading_ink_first_closes_clear_space(name):
    strokes, expected = CASES[name]
    assert measure(strokes).gap[0] == pytest.approx(expected, abs=0.002)
    assert measure(filled(strokes)).gap[0] == pytest.approx(expected, abs=0.006)


def test_the_gap_between_neighbours_counts_unless_they_touch():
    def pair(apart: float) -> Sizes:
        glyphs = glyphs_of([lines((0, 0, 0, 1)), lines((apart, 0, apart, 1))])
        return measure_lines(glyphs, np.zeros(2, dtype=bool), np.array([0, 2]))

    assert pair(0.25).gap[0] == pytest.approx(0.10)
    assert pair(0.12).gap[0] == np.inf


def test_the_blunt_corner_between_stroke_and_bowl_of_a_filled_6_is_no_gap():
    """Spreading ink creeps up a narrowing corner from its end on; this outline narrows to 0.024 mm before its end."""
    outline = np.array([
        (0.222, 0.768), (0.251, 0.781), (0.437, 0.821), (0.472, 0.821), (0.672, 0.776), (0.834, 0.65), (0.855, 0.617),
        (0.909, 0.442), (0.905, 0.354), (0.852, 0.198), (0.834, 0.172), (0.692, 0.058), (0.657, 0.042), (0.454, 0),
        (0.251, 0.042), (0.217, 0.058), (0.065, 0.184), (0, 0.371), (0.002, 0.623), (0.079, 0.868), (0.093, 0.895),
        (0.326, 1.095), (0.671, 1.274), (0.719, 1.278), (0.762, 1.255), (0.779, 1.228), (0.785, 1.196),
        (0.779, 1.164), (0.76, 1.137), (0.412, 0.952), (0.231, 0.795),
    ])
    assert measure(polygon([outline])).gap[0] == np.inf


def test_neighbours_of_which_only_tips_meet_keep_apart():
    """The foot of L and that of 1 join without harm; so do flat arms of E and T."""
    letters = [lines((0, 1, 0, 0), (0, 0, 0.5, 0)), lines((0.68, 0, 1.18, 0), (0.93, 0, 0.93, 1))]
    for drawn in (letters, [filled(letter) for letter in letters]):
        sizes = measure_lines(glyphs_of(drawn), np.zeros(2, dtype=bool), np.array([0, 2]))
        assert sizes.gap[0] > 0.15


def test_a_full_stop_keeps_the_gap_that_it_has():
    stop = lines((0.3, 0, 0.3, 0))
    sizes = measure_lines(glyphs_of([lines((0, 0, 0, 1)), stop]), np.zeros(2, dtype=bool), np.array([0, 2]))
    assert sizes.gap[0] == pytest.approx(0.15, abs=0.02)


def test_doubling_a_glyph_doubles_its_sizes():
    small, large = (measure(filled(draw_text("e", lettering=Lettering(h, h * 0.14)))) for h in (0.8, 1.6))
    assert large.gap[0] == pytest.approx(2 * small.gap[0], abs=0.004)
    assert large.typical[0] == pytest.approx(2 * small.typical[0], abs=0.004)


def test_a_lone_scan_line_beside_painted_letters_is_no_thin_stroke() -> None:
    # A stem of 0.2 x 1.2 mm painted by five upright scan lines of 0.04 mm, and one more line apart from them.
    x = np.array([0.02, 0.06, 0.10, 0.14, 0.18, 0.6])
    shapes = bars(x, np.full(6, 0.02), x, np.array([1.18] * 5 + [0.3]), 0.04)
    glyphs = lay_out(shapes, np.arange(6), np.array([0, 0, 0, 0, 0, 1]), np.zeros(2))
    sizes = measure_lines(glyphs, np.array([True, False]), np.array([0, 2]))
    assert sizes.least[0] == pytest.approx(0.2, abs=0.04)
    alone = measure_lines(glyphs, np.array([False, False]), np.array([0, 2]))
    assert alone.least[0] == pytest.approx(0.04, abs=0.001)


@pytest.mark.parametrize(("reach", "told"), [(0.35, False), (0.75, True)])
def test_a_corner_that_a_tail_cuts_off_is_no_gap_and_a_counter_is(reach: float, told: bool) -> None:
    # A square of 1 mm, pen 0.15, with a stroke across its lower right corner.
    corner = lines((0, 0, 1, 0), (1, 0, 1, 1), (1, 1, 0, 1), (0, 1, 0, 0), (1 - reach, 0, 1, reach))
    gap = measure_glyphs(glyphs_of([corner]), np.zeros(1, dtype=bool)).gap[0]
    assert (gap < 0.4) == told


def places_of(shapes: Shapes) -> dict[str, tuple[float, float]]:
    """Width, and width behind, of each kind of narrow place in a glyph."""
    gaps = measure_glyphs(glyphs_of([shapes]), np.zeros(1, dtype=bool)).narrow
    return {
        KINDS[kind]: (width, behind)
        for kind, width, behind in zip(gaps.kind.tolist(), gaps.width.tolist(), gaps.behind.tolist(), strict=True)
    }


@pytest.mark.parametrize("as_drawn", [lambda strokes: strokes, filled], ids=["strokes", "filled"])
def test_a_mouth_is_told_with_the_clear_space_that_it_leads_to(as_drawn) -> None:
    # A square of 0.8 mm with a slit of 0.25 mm between centre lines in its right side: 0.10 mm clear, 0.65 mm behind.
    strokes = lines((0.8, 0.525, 0.8, 0.8), (0.8, 0.8, 0, 0.8), (0, 0.8, 0, 0), (0, 0, 0.8, 0), (0.8, 0, 0.8, 0.275))
    width, behind = places_of(as_drawn(strokes))["mouth"]
    assert width == pytest.approx(0.10, abs=0.006)
    assert behind == pytest.approx(0.65, abs=0.02) or behind > NARROW_MM


def test_a_slit_that_shuts_next_to_nothing_in_is_no_mouth() -> None:
    # As the tail of a Q that curls in its bowl: its end leaves 0.03 mm to the side, and a pocket of 0.1 mm below it.
    box = lines((0, 0, 1, 0), (1, 0, 1, 1.2), (1, 1.2, 0, 1.2), (0, 1.2, 0, 0))
    tail = lines((0.18, 0.25, 0.4, 0.25), (0.4, 0.25, 0.4, 0))
    assert places_of(concatenate([box, tail])).get("mouth") is None


def test_the_dot_of_an_i_is_a_piece_and_no_mouth() -> None:
    places = places_of(lines((0, 0, 0, 0.6), (0, 0.85, 0, 0.85)))
    assert list(places) == ["pieces"]
    assert places["pieces"][0] == pytest.approx(0.10, abs=1e-6)


def test_each_glyph_of_a_kind_has_its_places_where_it_stands() -> None:
    ring = lines((0, 0, 0.3, 0), (0.3, 0, 0.3, 0.8), (0.3, 0.8, 0, 0.8), (0, 0.8, 0, 0))
    glyphs = glyphs_of([ring, replace(ring, x0=ring.x0 + 2, x1=ring.x1 + 2)])
    narrow = measure_lines(glyphs, np.zeros(2, dtype=bool), np.array([0, 2])).narrow
    counters = narrow.take(narrow.kind == KINDS.index("counter"))
    assert counters.width == pytest.approx([0.15, 0.15], abs=0.002)
    assert (counters.box[:, 0] + counters.box[:, 2]) / 2 == pytest.approx([0.15, 2.15], abs=0.01)


def test_sizes_are_the_same_to_the_last_bit_where_some_glyphs_are_remembered():
    """Among other glyphs than before, in another order, strokes and fillings mixed."""
    lettering = Lettering(1.2, 0.15)
    parts = {letter: draw_text(letter, (3 * place, 4), lettering) for place, letter in enumerate("AR8Ce:i4")}
    parts |= {f"filled {letter}": filled(part) for letter, part in parts.items()}

    def measured(names: list[str]) -> Sizes:
        return measure_lines(glyphs_of([parts[name] for name in names]), np.zeros(len(names), dtype=bool),
                             np.arange(len(names) + 1))  # fmt: skip

    rounds = [["A", "R", "8", "filled A"], ["C", "A", "filled 8", "R"], list(reversed(parts)), [], list(parts)]
    memory = Memory()
    for names in rounds:
        plain = measured(names)
        with memory.in_use():
            again = measured(names)
        for column in ("least", "typical", "gap"):
            np.testing.assert_array_equal(getattr(again, column), getattr(plain, column))
        for column in ("glyph", "kind", "width", "behind", "box"):
            np.testing.assert_array_equal(getattr(again.narrow, column), getattr(plain.narrow, column))


def test_pictures_are_the_same_to_the_last_bit_where_some_glyphs_are_remembered():
    parts = [draw_text(letter, (3 * place, 4), Lettering(1.2, 0.15)) for place, letter in enumerate("AR8Ce:i4")]
    parts += [filled(part) for part in parts]
    memory = Memory()
    for chosen in ([0, 1, 9], [9, 3, 1, 12], list(range(16))):
        glyphs = glyphs_of([parts[place] for place in chosen])
        pictures, strokes = drawn_once(glyphs)
        with memory.in_use():
            again = drawn_once(glyphs)
        np.testing.assert_array_equal(again[0], pictures)
        np.testing.assert_array_equal(again[1], strokes)
