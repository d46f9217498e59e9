"""Ink that openings, holes, the edge and bodies take, against exact vector geometry (shapely) on random boards."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.affinity import rotate
from shapely.geometry import Point, Polygon, box

from labelcheck.board.board import Board, Holes
from labelcheck.board.components import Body, Component
from labelcheck.labels.finding import find_labels
from labelcheck.labels.label import Label
from labelcheck.press.evidence import Evidence
from labelcheck.press.scene import evidence_on
from labelcheck.trade.limits import limits_for
from labelcheck.trade.shapes import Shapes, concatenate
from labelcheck.trade.sides import Side
from tests.labels.alphabet import Lettering, draw_text
from tests.press.press_boards import a_board, discs

LIMITS = limits_for()
ALLOWED = 0.02
"""Of a label's ink, at a pitch of 10 µm: a pixel along the rim of strokes 0.15 mm wide."""


def words(chance: np.random.Generator) -> Shapes:
    """A dozen labels on a board of 40 x 30 mm, the last of them run past its right edge."""
    parts = []
    for number in range(12):
        at = (1.5 + 13 * (number % 3), 3 + 7 * (number // 3))
        parts.append(draw_text(f"J{chance.integers(10, 99)}", at, Lettering(1.2, 0.15)))
    return concatenate([*parts, draw_text("R72", (37.2, 27.5), Lettering(1.2, 0.15))])


def exact_ink(label: Label, shapes: Shapes) -> shapely.Geometry:
    rows = np.isin(shapes.bar_object, [row for mark in label.marks for row in mark.objects])
    ends = np.column_stack((shapes.x0, shapes.y0, shapes.x1 + 1e-9, shapes.y1))[rows].reshape(-1, 2, 2)
    return shapely.union_all(shapely.buffer(shapely.linestrings(ends), shapes.width[rows] / 2, quad_segs=32))


def found_on(board: Board) -> tuple[Evidence, ...]:
    legend = board.top.legend
    assert legend is not None
    return evidence_on(board, Side.TOP, find_labels(Side.TOP, legend, None), LIMITS)


@pytest.mark.parametrize("seed", range(6))
def test_openings_holes_and_the_edge(seed: int) -> None:
    chance = np.random.default_rng(seed)
    shapes = words(chance)
    pads = discs(*chance.uniform((0, 0, 0.5), (40, 30, 2.0), (60, 3)).tolist())
    drills = discs(*[(*place, 0.6) for place in chance.uniform((0, 0), (40, 30), (40, 2)).tolist()])
    board = a_board(shapes, openings=pads, holes=Holes(drills, (False,) * len(drills)), area=box(0, 0, 40, 30))
    opened = [
        Point(x, y).buffer(width / 2 + LIMITS.clip.value_mm, quad_segs=32)
        for x, y, width in zip(pads.x0, pads.y0, pads.width, strict=True)
    ]
    drilled = [Point(x, y).buffer(0.3, quad_segs=32) for x, y in zip(drills.x0, drills.y0, strict=True)]
    taken = shapely.union_all([*opened, *drilled])
    touched = 0
    for one in found_on(board):
        ink = exact_ink(one.label, shapes)
        left = ink.difference(taken).intersection(box(0, 0, 40, 30)).area / ink.area
        assert one.printed_fraction == pytest.approx(left, abs=ALLOWED), one.label.box_mm
        touched += left < 0.97
    assert touched >= 3


@pytest.mark.parametrize("seed", range(4))
def test_clearances_of_holes_and_the_edge(seed: int) -> None:
    """What the character that loses most may lose: within the clearance of holes, and of the routed edge."""
    chance = np.random.default_rng(50 + seed)
    shapes = words(chance)
    drills = discs(*[(*place, 0.6) for place in chance.uniform((0, 0), (40, 30), (250, 2)).tolist()])
    laminate = box(0, 0, 40, 30)
    board = a_board(shapes, holes=Holes(drills, (False,) * len(drills)), area=laminate)
    near_holes = shapely.union_all([
        Point(x, y).buffer(0.3 + LIMITS.hole_clearance.value_mm, quad_segs=32)
        for x, y in zip(drills.x0, drills.y0, strict=True)
    ])
    safe = laminate.buffer(-LIMITS.outline_clearance.value_mm, join_style="mitre")
    touched = [0, 0]
    for one in found_on(board):
        marks = [exact_ink(replace(one.label, marks=(mark,)), shapes) for mark in one.label.marks]
        for at, (loss, lost) in enumerate((
            (one.hole, [ink.intersection(near_holes).intersection(laminate) for ink in marks]),
            (one.outline, [ink.difference(safe) for ink in marks]),
        )):
            most = max(part.area / ink.area for part, ink in zip(lost, marks, strict=True))
            assert loss is not None
            if most > 2 * ALLOWED:
                assert loss.possible == pytest.approx(most, abs=2 * ALLOWED), one.label.box_mm
                touched[at] += 1
            else:
                assert loss.possible <= 3 * ALLOWED
    assert min(touched) >= 1


@pytest.mark.parametrize("seed", range(4))
def test_bodies(seed: int) -> None:
    chance = np.random.default_rng(100 + seed)
    shapes = words(chance)
    areas: list[Polygon] = []
    hidden: shapely.Geometry = Polygon()
    for x, y, wide, high, angle in chance.uniform((0, 0, 0.8, 0.8, 0), (36, 26, 4, 4, 90), (60, 5)).tolist():
        area = rotate(box(x, y, x + wide, y + high), angle)
        grown = area.buffer(LIMITS.body_allowance.value_mm, quad_segs=32)
        if not grown.intersects(hidden):  # parts do not stand in one another
            areas.append(area)
            hidden = hidden.union(grown)
    parts = tuple(_part(f"U{number}", area) for number, area in enumerate(areas))
    touched = 0
    for one in found_on(replace(a_board(shapes), components=parts)):
        ink = exact_ink(one.label, shapes)
        assert one.hidden_fraction == pytest.approx(ink.intersection(hidden).area / ink.area, abs=ALLOWED)
        touched += one.hidden_fraction > 0.03
    assert touched >= 2


def _part(reference: str, area: Polygon) -> Component:
    body = Body(area, None, "component layer", False, "its component layer")
    return Component(reference, Side.TOP, None, None, (area.centroid.x, area.centroid.y), 0.0, (), body)


def test_clearance_to_the_nearest_opening() -> None:
    """Pads 0.03 mm nearer and farther than the clip: only the nearer takes ink (shapely tells which)."""
    shapes = draw_text("H", (10, 10), Lettering(1.2, 0.15))
    ends = [(shapes.x0[0], shapes.y0[0]), (shapes.x1[0], shapes.y1[0])]
    post = shapely.LineString(ends).buffer(0.075, quad_segs=64)
    legend = concatenate([shapes, draw_text("HH", (11.2, 10), Lettering(1.2, 0.15))])
    middle = (post.bounds[1] + post.bounds[3]) / 2
    for beyond_mm, expected in ((0.03, False), (-0.03, True)):
        x = post.bounds[0] - LIMITS.clip.value_mm - beyond_mm - 0.5
        assert (post.distance(Point(x, middle)) - 0.5 < LIMITS.clip.value_mm) is expected
        (one,) = found_on(a_board(legend, discs((x, middle, 1.0))))
        assert (one.printed_fraction < 1.0) is expected
