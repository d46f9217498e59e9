"""Knocked-out labels as printed: against exact vector erosion (shapely), and read back in every process."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon, box

from labelcheck.analysers import all_analysers
from labelcheck.board.board import Holes
from labelcheck.judging import judge, one_fault_one_finding
from labelcheck.labels.finding import find_labels
from labelcheck.labels.label import Label
from labelcheck.labels.reading.reader import BuiltInReader, built_in_reader
from labelcheck.press.evidence import Evidence
from labelcheck.press.obstacles import obstacles_on
from labelcheck.press.printing_clear import RIM_MM, at_risk, clear_field, clear_ink, clear_printed, knocked_out
from labelcheck.press.scene import evidence_on
from labelcheck.raster.runs import area_by_group
from labelcheck.trade.limits import Limits, Process, limits_for
from labelcheck.trade.shapes import Shapes, concatenate, polygon
from labelcheck.trade.sides import Side
from tests.labels.alphabet import Lettering, draw_text
from tests.labels.lettering import drawn, ink_of, letters_of, plate_around
from tests.press.press_boards import a_board, discs
from tests.press.test_hiding import a_part

LIMITS = limits_for()
READER: BuiltInReader = built_in_reader()
WAYS = ("knocked out by clear strokes", "knocked out by rings", "knocked out by cut-ins")
SIZE = 1.5


def text_in_a_field(
    way: str = WAYS[0], pen_mm: float = 0.2, angle_deg: float = 0.0, text: str = "TRACK 48"
) -> Shapes:
    return drawn(way, text, (10, 10), Lettering(SIZE, pen_mm), angle_deg)


def looked_at(shapes: Shapes, limits: Limits = LIMITS, **board: object) -> Evidence:
    made = a_board(shapes, **{name: value for name, value in board.items() if name != "components"})  # type: ignore[arg-type]  # the tests name the fields
    made = replace(made, components=board.get("components", ()))
    found = find_labels(Side.TOP, made.top.legend, READER)
    (one,) = evidence_on(made, Side.TOP, found, limits, READER)
    assert one.label.drawn_as == "knocked out"
    return one


def reads(one: Evidence) -> str | None:
    return one.printed.reads_as(one.label.text)


@pytest.mark.parametrize("process", list(Process))
@pytest.mark.parametrize("angle_deg", [0, 30, 90])
def test_wide_clear_strokes_stay_readable(process: Process, angle_deg: float) -> None:
    one = looked_at(text_in_a_field(angle_deg=angle_deg), limits_for(process))
    assert one.label.text == "TRACK 48" and reads(one) == "TRACK 48"
    assert one.printed.broken == () and one.printed.closed == ()


@pytest.mark.parametrize("way", WAYS[:2])
def test_strokes_that_the_ink_runs_into_close(way: str) -> None:
    """Narrower than twice the spread: shapely erodes them to crumbs where strokes meet, and nothing is read."""
    pen_mm = 2 * LIMITS.spread.value_mm - 0.005
    exact = ink_of(draw_text("TRACK 48", (10, 10), Lettering(SIZE, pen_mm)))
    assert exact.buffer(-LIMITS.spread.value_mm).area < 0.01 * exact.area
    one = looked_at(text_in_a_field(way, pen_mm))
    assert one.label.text == "TRACK 48"
    assert one.printed.left < 0.5 and len(one.printed.broken) > 2
    read = reads(one)
    assert read is not None and "TRACK" not in read and "48" not in read
    assert one.printed_fraction == one.printed.left


@pytest.mark.parametrize("pen_mm", [0.1, 0.15, 0.2])
@pytest.mark.parametrize("angle_deg", [0, 30])
def test_clear_space_shrinks_as_exact_erosion_says(pen_mm: float, angle_deg: float) -> None:
    shapes = text_in_a_field(pen_mm=pen_mm, angle_deg=angle_deg)
    board = a_board(shapes)
    labels = find_labels(Side.TOP, board.top.legend, READER).labels
    obstacles = obstacles_on(board, Side.TOP, (0, 0, 40, 30), LIMITS)
    ink = clear_ink(clear_field(shapes, labels, LIMITS), obstacles, LIMITS)
    exact = ink_of(draw_text("TRACK 48", (10, 10), Lettering(SIZE, pen_mm), angle_deg), steps=32)
    count = len(ink.kept)
    rim = exact.length * LIMITS.pitch_mm / 4
    assert area_by_group(ink.drawn, count).sum() == pytest.approx(exact.area, abs=rim)
    eroded = exact.buffer(-LIMITS.spread.value_mm)
    assert area_by_group(ink.printed, count).sum() == pytest.approx(eroded.area, abs=rim)


def letters_and_plate(angle_deg: float = 0.0) -> tuple[list[Polygon], Polygon]:
    """`TRACK 48` and the ink around it as exact areas."""
    strokes = draw_text("TRACK 48", (10, 10), Lettering(SIZE, 0.2), angle_deg)
    text = ink_of(strokes, steps=32)
    return letters_of(strokes), plate_around(strokes).difference(text)


def rim_of(letter: Polygon, plate: Polygon) -> shapely.Geometry:
    return letter.buffer(RIM_MM).intersection(plate)


@pytest.mark.parametrize("angle_deg", [0, 30])
def test_rims_are_exact_offsets(angle_deg: float) -> None:
    shapes = text_in_a_field(angle_deg=angle_deg)
    labels = find_labels(Side.TOP, a_board(shapes).top.legend, READER).labels
    field = clear_field(shapes, labels, LIMITS)
    areas = area_by_group(field.rims, field.count)[[mark.number for mark in labels[0].marks]]
    letters, plate = letters_and_plate(angle_deg)
    exact = [rim_of(letter, plate).area for letter in letters]
    assert sorted(areas) == pytest.approx(sorted(exact), rel=0.03)


CUTS = [(12.6, 9.6), (12.6, 10.6), (14.0, 11.3), (18.9, 11.0)]


@pytest.mark.parametrize("at", CUTS)
@pytest.mark.parametrize("kind", ["opening", "hole"])
def test_what_obstacles_take_is_the_exact_share_of_a_rim(kind: str, at: tuple[float, float]) -> None:
    disc = discs((*at, 1.0))
    margin = LIMITS.clip.value_mm if kind == "opening" else 0.0
    exact_disc = shapely.Point(at).buffer(0.5 + margin, quad_segs=64)
    letters, plate = letters_and_plate()
    rims = [rim_of(letter, plate) for letter in letters]
    shares = [rim.intersection(exact_disc).area / rim.area for rim in rims]
    one = looked_at(text_in_a_field(), **{f"{kind}s": disc if kind == "opening" else Holes(disc, (False,))})
    loss = one.opening if kind == "opening" else one.hole
    assert loss is not None and loss.sure == pytest.approx(max(shares), abs=0.02)
    assert loss.characters == tuple(place for place, share in enumerate(shares) if share >= 0.03)
    # Moved as it is advised, with its field, it loses nothing.
    dx, dy = {"up": (0, 1), "down": (0, -1), "left": (-1, 0), "right": (1, 0)}[loss.towards]
    step = loss.move_mm + 0.01
    away = discs((at[0] - dx * step, at[1] - dy * step, 1.0))
    moved = looked_at(text_in_a_field(), **{f"{kind}s": away if kind == "opening" else Holes(away, (False,))})
    after = moved.opening if kind == "opening" else moved.hole
    assert after is not None and after.possible == 0.0


def test_what_lies_past_the_edge_is_not_seen() -> None:
    letters, plate = letters_and_plate()
    edge = letters[-1].bounds[2] - 0.3
    one = looked_at(text_in_a_field(), area=box(0, 0, edge, 30))
    rim = rim_of(letters[-1], plate)
    assert one.outline is not None
    assert one.outline.sure == pytest.approx(rim.difference(box(0, 0, edge, 30)).area / rim.area, abs=0.02)
    kept = letters[-1].intersection(box(0, 0, edge, 30)).area / letters[-1].area
    assert one.printed.least_left == pytest.approx(kept, abs=0.04)


@pytest.mark.parametrize(("dx", "dy"), [(0, -1), (0, 1), (1, 0)])
def test_a_shift_towards_a_hole_is_the_worst(dx: int, dy: int) -> None:
    (x0, y0, x1, y1) = letters_and_plate()[0][-1].bounds
    apart = 0.5 + RIM_MM - 0.02
    at = ((x0 + x1) / 2, (y0 + y1) / 2)
    reach = ((x1 - x0) / 2 + apart, (y1 - y0) / 2 + apart)
    hole = Holes(discs((at[0] + dx * reach[0], at[1] + dy * reach[1], 1.0)), (False,))
    one = looked_at(text_in_a_field(), holes=hole)
    assert one.printed.shift_mm is not None
    sx, sy = one.printed.shift_mm
    assert sx * dx + sy * dy == pytest.approx(LIMITS.registration.value_mm, abs=LIMITS.pitch_mm)
    assert one.printed.left_when_shifted < one.printed.left


def test_a_shift_that_takes_the_field_of_a_character_is_read_back() -> None:
    """The hole spares the 4 where the legend lies right; a coarse registration lets it take the ink in its middle."""
    letter = letters_and_plate()[0][5]
    middle = letter.bounds[0] + 0.35, letter.bounds[1] - 0.95
    coarse = replace(LIMITS, registration=replace(LIMITS.registration, value_mm=1.0))
    one = looked_at(text_in_a_field(), coarse, holes=Holes(discs((*middle, 1.4)), (False,)))
    assert reads(one) != "TRACK 48"
    assert one.printed.misread == () and [wrong.drawn for wrong in one.printed.misread_when_shifted] == ["4"]


def test_an_obstacle_is_told_once_in_the_words_of_a_field() -> None:
    mark = looked_at(text_in_a_field()).label.marks[2]
    x, y = (mark.box_mm[0] + mark.box_mm[2]) / 2, mark.box_mm[1] + 0.4
    one = looked_at(text_in_a_field(), openings=discs((x, y, 1.0)))
    judged = [judge(analyser, one, LIMITS) for analyser in all_analysers()]
    (told,) = one_fault_one_finding(all_analysers(), [found for found in judged if found is not None])
    assert (told.analyser, told.severity) == ("in-opening", "unreadable")
    assert 'of the ink around "A" at a mask opening; printed, "A" may not be read.' in told.message
    assert told.advice is not None and told.advice.startswith("Move it with the filled area around it 1.15 mm up")


def test_narrow_clear_strokes_are_told_as_such() -> None:
    one = looked_at(text_in_a_field(pen_mm=0.08))
    judged = [judge(analyser, one, LIMITS) for analyser in all_analysers()]
    (told,) = one_fault_one_finding(all_analysers(), [found for found in judged if found is not None])
    assert (told.analyser, told.severity) == ("thin-stroke", "unreadable")
    assert "has strokes 0.08 mm wide, left clear in ink that spreads into them; 0.10 mm is the least" in told.message
    assert told.advice == "Leave strokes of 0.15 mm or wider clear."


def test_a_neighbour_that_leans_into_the_box_is_none_of_a_character() -> None:
    shapes = text_in_a_field(angle_deg=30, text="WAVE 48")
    board = a_board(shapes)
    labels = find_labels(Side.TOP, board.top.legend, READER).labels
    obstacles = obstacles_on(board, Side.TOP, (0, 0, 40, 30), LIMITS)
    ink = clear_ink(clear_field(shapes, labels, LIMITS), obstacles, LIMITS)
    letters = shapely.get_parts(ink_of(draw_text("WAVE 48", (10, 10), Lettering(SIZE, 0.2), 30), steps=32))
    assert len(letters) == 6
    # Boxes of neighbours overlap, or nothing would be shown.
    assert any(box(*a.bounds).intersects(b) for a in letters for b in letters if a is not b)
    areas = sorted(area_by_group(ink.drawn, len(ink.kept))[[mark.number for mark in labels[0].marks]])
    assert areas == pytest.approx(sorted(letter.area for letter in letters), rel=0.03)


def test_ink_lost_around_a_character_takes_it_along() -> None:
    whole = looked_at(text_in_a_field())
    mark = whole.label.marks[2]
    x, y = (mark.box_mm[0] + mark.box_mm[2]) / 2, (mark.box_mm[1] + mark.box_mm[3]) / 2
    for obstacle in ({"openings": discs((x, y, 1.6))}, {"holes": Holes(discs((x, y, 1.6)), (False,))}):
        one = looked_at(text_in_a_field(), **obstacle)
        assert one.printed.least_left < 0.7
        assert [misread.drawn for misread in one.printed.misread] == ["A"]
        assert reads(one) == "TR?CK 48"


def test_an_opening_that_does_not_reach_it_changes_nothing() -> None:
    one = looked_at(text_in_a_field(), openings=discs((30, 20, 2)))
    assert reads(one) == "TRACK 48" and one.printed.left == pytest.approx(1.0, abs=0.01)


def test_what_a_body_hides_is_not_read() -> None:
    label: Label = looked_at(text_in_a_field()).label
    x0 = label.marks[-1].box_mm[0]
    one = looked_at(text_in_a_field(), components=(a_part(Polygon(box(x0, 8, x0 + 4, 14))),))
    assert one.assembled is not None
    assert one.assembled.reads_as(one.label.text, one.printed) == "TRACK 4"


@pytest.mark.parametrize("process", list(Process))
@pytest.mark.parametrize("pen_mm", [0.06, 0.08, 0.1, 0.12, 0.15, 0.2])
@pytest.mark.parametrize("angle_deg", [0, 30])
def test_what_is_spared_the_model_would_have_been_printed_as_drawn(process: Process, pen_mm, angle_deg) -> None:
    shapes, limits = text_in_a_field(pen_mm=pen_mm, angle_deg=angle_deg), limits_for(process)
    board = a_board(shapes)
    labels = find_labels(Side.TOP, board.top.legend, READER).labels
    obstacles = obstacles_on(board, Side.TOP, (0, 0, 40, 30), limits)
    risky = at_risk(labels, obstacles, limits)
    assert risky or pen_mm > 2 * limits.spread.value_mm + limits.printed_pixel.value_mm
    assert not risky or pen_mm < 0.2
    if not risky:
        ink = clear_ink(clear_field(shapes, labels, limits), obstacles, limits)
        printed = clear_printed(ink, labels, READER, limits)
        (state,) = printed.values()
        assert state.misread == () and state.broken == () and state.closed == ()


def test_what_comes_near_puts_a_field_at_risk() -> None:
    shapes = text_in_a_field()
    (label,) = find_labels(Side.TOP, a_board(shapes).top.legend, READER).labels
    x0, y0, x1, y1 = label.box_mm
    for changes, expected in (
        ({}, False),
        ({"openings": discs((x1 + 0.6, y0, 0.5))}, False),
        ({"openings": discs((x1 + 0.3, y0, 0.5))}, True),
        ({"holes": Holes(discs((x0, y1 + 0.3, 0.6)), (False,))}, True),
        ({"area": box(0, 0, x1 - 0.1, 30)}, True),
        ({"area": box(0, 0, x1 + RIM_MM + 0.2, 30)}, True),
        ({"area": box(0, 0, x1 + RIM_MM + 0.3, 30)}, False),
    ):
        obstacles = obstacles_on(a_board(shapes, **changes), Side.TOP, (0, 0, 40, 30), LIMITS)  # type: ignore[arg-type]  # the tests name the fields
        assert bool(at_risk([label], obstacles, LIMITS)) is expected, changes


def test_labels_of_ink_are_left_alone() -> None:
    strokes = draw_text("TRACK 48", (10, 10), Lettering(SIZE, 0.2))
    both = concatenate([strokes, polygon([np.array([(30.0, 20.0), (31, 20), (31, 21), (30, 21)])])])
    assert knocked_out(find_labels(Side.TOP, a_board(both).top.legend, READER).labels) == []
