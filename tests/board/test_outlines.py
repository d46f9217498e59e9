"""Contours and outlines out of drawn lines; expected areas by hand, or by shapely as the reference."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from labelcheck.board.contours import GAP_MM, centre_lines, find_contours, region_area
from labelcheck.board.outlines import find_outline
from labelcheck.trade.shapes import Floats, Shapes, bars, concatenate, polygon

PADS: Floats = np.array([(x, y) for x in (5.0, 15.0, 25.0) for y in (5.0, 15.0)])
NOTHING: Floats = np.zeros((0, 2))


def strokes(*points: tuple[float, float], pen: float = 0.1) -> Shapes:
    """A path as one stroke object a piece."""
    ends = np.array(points, dtype=np.float64)
    return bars(ends[:-1, 0], ends[:-1, 1], ends[1:, 0], ends[1:, 1], pen)


def loop(x0: float, y0: float, x1: float, y1: float, pen: float = 0.1) -> Shapes:
    return strokes((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0), pen=pen)


BOARD = loop(0, 0, 30, 20)


def area_of(shapes: Shapes, evidence: Floats = PADS) -> float:
    found = find_outline(shapes, evidence)
    assert found is not None
    return float(found.area.area)


def test_a_rectangle_along_the_middle_of_its_pen() -> None:
    found = find_outline(loop(0, 0, 30, 20, pen=0.5), PADS)
    assert found is not None and found.area.bounds == (0, 0, 30, 20) and found.notes == ()


def test_pens_without_width_draw_an_outline_too() -> None:
    assert area_of(loop(0, 0, 30, 20, pen=0.0)) == pytest.approx(600)


def test_pieces_in_any_order_and_direction() -> None:
    pieces = [
        strokes((30, 20), (30, 0)),
        strokes((0, 0), (0, 20)),
        strokes((30, 0), (0, 0)),
        strokes((0, 20), (30, 20)),
    ]
    assert area_of(concatenate(pieces)) == pytest.approx(600)


def test_lines_that_overshoot_the_corners() -> None:
    pieces = [
        strokes((-1, 0), (31, 0)),
        strokes((30, -1), (30, 21)),
        strokes((31, 20), (-1, 20)),
        strokes((0, 21), (0, -1)),
    ]
    assert area_of(concatenate(pieces)) == pytest.approx(600)


@pytest.mark.parametrize(("gap", "noted"), [(0.001, False), (0.01, False), (0.1, True), (GAP_MM * 0.9, True)])
def test_gaps_are_closed_up_to_the_tolerance(gap: float, noted: bool) -> None:
    found = find_outline(strokes((0, 0), (30, 0), (30, 20), (0, 20), (0, gap)), PADS)
    assert found is not None and found.area.area == pytest.approx(600, rel=1e-3)
    assert bool(found.notes) is noted


def test_wider_gaps_are_not_closed() -> None:
    assert find_outline(strokes((0, 0), (30, 0), (30, 20), (0, 20), (0, 2 * GAP_MM)), PADS) is None


def test_arcs_as_chords() -> None:
    """A disc of 12 mm about (15, 10), 400 chords: area within 0.02 % of pi r squared."""
    turn = np.linspace(0, 2 * math.pi, 401)
    disc = strokes(*zip(15 + 12 * np.cos(turn), 10 + 12 * np.sin(turn), strict=True))
    pads = np.array([(15.0, 10.0), (10.0, 8.0), (20.0, 12.0)])
    assert area_of(disc, pads) == pytest.approx(math.pi * 144, rel=2e-4)


def test_cut_outs_and_islands() -> None:
    cut = [loop(10, 8, 12, 12), loop(18, 9, 19, 11)]
    found = find_outline(concatenate([BOARD, *cut]), PADS)
    assert found is not None and found.area.area == pytest.approx(600 - 8 - 2)
    assert len(found.area.geoms) == 1 and len(found.area.geoms[0].interiors) == 2


def test_a_closed_line_around_pads_is_a_drawing_not_a_cut_out() -> None:
    found = find_outline(concatenate([BOARD, loop(3, 3, 27, 17)]), PADS)
    assert found is not None and found.area.area == pytest.approx(600) and "drawings" in found.notes[0]


def test_a_hole_whose_opening_lies_in_its_middle_is_a_cut_out() -> None:
    """Masks open around large unplated holes: a pad in the middle proves nothing against a cut-out."""
    pads = np.concatenate([PADS, [(20.0, 10.0)]])
    assert area_of(concatenate([BOARD, loop(18, 8, 22, 12)]), pads) == pytest.approx(600 - 16)


def test_two_boards_in_a_panel() -> None:
    pads = np.concatenate([PADS, PADS + np.array((40.0, 0.0))])
    found = find_outline(concatenate([BOARD, loop(40, 0, 70, 20)]), pads)
    assert found is not None and len(found.area.geoms) == 2 and found.area.area == pytest.approx(1200)


def test_a_frame_around_the_board_is_not_its_edge() -> None:
    sheet = concatenate([loop(-50, -50, 200, 150), loop(100, -40, 190, -10), BOARD, loop(10, 8, 12, 12)])
    found = find_outline(sheet, PADS)
    assert found is not None and found.area.area == pytest.approx(600 - 8)
    assert any("frame" in note for note in found.notes)


def test_a_title_block_beside_the_board_is_left_out() -> None:
    found = find_outline(concatenate([BOARD, loop(40, 0, 60, 10)]), PADS)
    assert found is not None and found.area.area == pytest.approx(600) and "left out" in found.notes[0]


def test_scoring_lines_do_not_divide_the_board() -> None:
    assert area_of(concatenate([BOARD, strokes((10, -2), (10, 22)), strokes((20, -2), (20, 22))])) == pytest.approx(
        600
    )


def test_neighbours_that_share_an_edge_are_one() -> None:
    assert area_of(concatenate([BOARD, loop(0, 20, 30, 22)])) == pytest.approx(660)


def test_lettering_is_no_cut_out() -> None:
    """D, O, and A beside T, I and L: closed and open letters of 2 mm, drawn with another pen."""
    letters = [
        loop(10, 9, 11, 11, pen=0.2),
        loop(12, 9, 13, 11, pen=0.2),
        strokes((14, 9), (15, 11), (16, 9), pen=0.2),
        strokes((17, 9), (17, 11), pen=0.2),
        strokes((18, 11), (18, 9), (19, 9), pen=0.2),
        strokes((20, 9), (20, 11), pen=0.2),
    ]
    assert area_of(concatenate([BOARD, *letters])) == pytest.approx(600)


def test_dimension_lines_outside_change_nothing() -> None:
    lines = [
        strokes((0, -3), (30, -3)),
        strokes((0, -1), (0, -4)),
        strokes((30, -1), (30, -4)),
        strokes((0.0, -3), (1, -2.7)),
    ]
    assert area_of(concatenate([BOARD, *lines])) == pytest.approx(600)


def test_a_filled_profile() -> None:
    ring = np.array([(0, 0), (30, 0), (30, 20), (0, 20)], dtype=float)
    cut = np.array([(10, 8), (12, 8), (12, 12), (10, 12)], dtype=float)
    assert area_of(concatenate([polygon([ring]), polygon([cut], dark=False)])) == pytest.approx(592)
    assert area_of(polygon([ring, cut])) == pytest.approx(592)


def test_an_edge_drawn_as_a_band() -> None:
    """The stroke of a 0.4 mm pen turned into a region: its middle is the edge."""
    outer = np.array(box(-0.2, -0.2, 30.2, 20.2).exterior.coords)[:-1]
    inner = np.array(box(0.2, 0.2, 29.8, 19.8).exterior.coords)[:-1]
    found = find_outline(polygon([outer, inner]), PADS)
    assert found is not None and found.area.area == pytest.approx(600, rel=2e-3) and "band" in found.notes[0]


def test_strokes_swept_by_a_square_pen() -> None:
    """Each side as the rectangle that a 0.4 mm square sweeps; the corners overlap."""
    sides = [
        box(-0.2, -0.2, 30.2, 0.2),
        box(29.8, -0.2, 30.2, 20.2),
        box(-0.2, 19.8, 30.2, 20.2),
        box(-0.2, -0.2, 0.2, 20.2),
    ]
    swept = []
    for side in sides:
        shape = polygon([np.array(side.exterior.coords)[:-1]])
        shape.kind[:] = 0
        swept.append(shape)
    assert area_of(concatenate(swept)) == pytest.approx(600, rel=1e-3)


@pytest.mark.parametrize(
    "shapes", [strokes((0, 0), (30, 0), (30, 20)), strokes((1, 1), (1, 1)), loop(0, 0, 0.5, 0.5), concatenate([])]
)
def test_what_closes_nothing(shapes: Shapes) -> None:
    assert find_outline(shapes, PADS) is None


def test_damaged_coordinates_are_left_out() -> None:
    far = strokes((0, 0), (1e9, 1e9))
    assert area_of(concatenate([BOARD, far])) == pytest.approx(600)
    assert len(centre_lines(strokes((0, 0), (math.nan, 1), (math.inf, 2)))) == 0


def test_without_evidence_the_outermost_contour_counts() -> None:
    assert area_of(concatenate([BOARD, loop(10, 8, 12, 12)]), NOTHING) == pytest.approx(592)


@pytest.mark.parametrize("count", [4_000, 20_001])
def test_tangles_are_not_searched(count: int) -> None:
    many = np.random.default_rng(1).uniform(0, 100, (count, 4))
    assert find_contours(many).closed == ()


def test_a_tangled_region_is_not_searched() -> None:
    points = np.random.default_rng(1).uniform(0, 100, (4_000, 2))
    assert region_area(polygon([points])).is_empty


def test_regions_in_drawing_order() -> None:
    ring = np.array([(0, 0), (10, 0), (10, 10), (0, 10)], dtype=float)
    again = concatenate([polygon([ring]), polygon([ring], dark=False), polygon([ring * 0.5])])
    assert region_area(again).area == pytest.approx(25)


@settings(derandomize=True, max_examples=25, deadline=None)
@given(
    st.integers(3, 12),
    st.floats(0, 360),
    st.floats(5, 80),
    st.lists(st.booleans(), min_size=12, max_size=12),
    st.randoms(),
)
def test_any_polygon_in_any_order(
    corners: int, turned: float, radius: float, flips: list[bool], random: object
) -> None:
    """A regular polygon, its sides shuffled and turned about: the area is the polygon's (shapely)."""
    angles = np.radians(turned) + np.linspace(0, 2 * math.pi, corners + 1)[:-1]
    points = np.column_stack((np.cos(angles), np.sin(angles))) * radius
    sides = [(tuple(points[i]), tuple(points[(i + 1) % corners])) for i in range(corners)]
    random.shuffle(sides)  # type: ignore[attr-defined]  # hypothesis gives a random.Random
    pieces = [strokes(b, a) if flip else strokes(a, b) for (a, b), flip in zip(sides, flips, strict=False)]
    found = find_outline(concatenate(pieces), np.zeros((1, 2)))
    assert found is not None and found.area.area == pytest.approx(Polygon(points).area, rel=1e-3)
