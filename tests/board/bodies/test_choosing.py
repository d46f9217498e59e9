"""The best body that the sources allow."""

from dataclasses import replace

import pytest
from shapely.geometry import box

from labelcheck.board.bodies.choosing import choose_body, drawn_body, wants_drawing
from labelcheck.board.bodies.told import Told
from labelcheck.board.components import Pin
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import StatedBody


def pin(name: str, x: float, y: float, through: bool = False, size: tuple[float, float] = (0.9, 0.95)) -> Pin:
    return Pin(name, None, None, x, y, *size, through)


CHIP = Told("C7", Side.TOP, "C_0603_1608Metric", pins=(pin("1", 9.2, 5.0), pin("2", 10.8, 5.0)))
STATED = StatedBody("C7", None, 3.0, 2.0, 4.0, (0.5, 0.0), None, "labelcheck.toml:3")


def bounds(body) -> tuple[float, ...]:
    assert body is not None
    return tuple(round(edge, 3) for edge in body.area.bounds)


def test_a_chip_lies_along_its_pads_whatever_the_files_call_its_rotation() -> None:
    # 0603: 1.75 x 0.95 at the largest, makers' sheets.
    flat = (9.125, 4.525, 10.875, 5.475)
    for rotation in (None, 0.0, 90.0, 180.0, 270.0):
        body = choose_body(replace(CHIP, rotation_deg=rotation), "placement", ())
        assert bounds(body) == flat
        assert body is not None and not body.estimated and body.known_by == "placement"


def test_a_chip_aslant() -> None:
    turned = replace(CHIP, pins=(pin("1", 0.0, 0.0), pin("2", 1.1314, 1.1314)), rotation_deg=45.0)
    body = choose_body(turned, "placement", ())
    assert body is not None
    assert body.area.area == pytest.approx(1.75 * 0.95, rel=1e-3)
    assert body.area.centroid.distance(box(0.56, 0.56, 0.57, 0.57)) < 0.01


def test_a_name_that_does_not_fit_the_pads_is_not_believed() -> None:
    wide = replace(CHIP, pins=(pin("1", 0.0, 0.0), pin("2", 12.0, 0.0)))
    body = choose_body(wide, "placement", ())
    assert body is not None and body.known_by == "pads" and body.estimated


def rows(count: int, pitch: float, span: float, upright: bool) -> tuple[Pin, ...]:
    half = count // 2
    places = [((i - (half - 1) / 2) * pitch, side * span / 2) for side in (-1, 1) for i in range(half)]
    return tuple(
        pin(str(number), *((y, x) if upright else (x, y)), size=(0.6, 1.55))
        for number, (x, y) in enumerate(places, 1)
    )


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize(("name", "count", "length", "width"), [("SOIC-8", 8, 5.0, 4.0), ("SOIC-16", 16, 10.0, 4.0)])
def test_rows_of_leads_lie_along_the_body(name: str, count: int, length: float, width: float, upright: bool) -> None:
    part = Told("U1", Side.TOP, name, pins=rows(count, 1.27, 5.4, upright))
    half = (width / 2, length / 2) if upright else (length / 2, width / 2)
    assert bounds(choose_body(part, "placement", ())) == pytest.approx((-half[0], -half[1], *half))


@pytest.mark.parametrize("turned", [False, True])
def test_a_three_lead_package_lies_along_its_row_of_two(turned: bool) -> None:
    places = [(-0.95, -1.1), (0.95, -1.1), (0.0, 1.1)]
    pins = tuple(pin(str(n), *((y, x) if turned else (x, y))) for n, (x, y) in enumerate(places, 1))
    half = (0.70, 1.52) if turned else (1.52, 0.70)
    body = choose_body(Told("Q1", Side.TOP, "SOT-23", pins=pins), "placement", ())
    assert bounds(body) == pytest.approx((-half[0], -half[1], *half))


def test_the_user_has_the_last_word() -> None:
    exact = replace(CHIP, outlines=(("Body", box(9, 4, 11, 6)),), at_mm=(10.0, 5.0), rotation_deg=0.0)
    assert bounds(choose_body(exact, "component layer", ())) == (9.0, 4.0, 11.0, 6.0)
    body = choose_body(exact, "component layer", (STATED,))
    assert bounds(body) == (9.0, 4.0, 12.0, 6.0)
    assert body is not None
    assert (body.known_by, body.height_mm, body.basis) == ("limits file", 4.0, "labelcheck.toml:3")


def test_a_stated_body_turns_with_its_part_and_is_seen_through_the_board_on_the_bottom() -> None:
    turned = replace(CHIP, at_mm=(10.0, 5.0), rotation_deg=90.0)
    assert bounds(choose_body(turned, "placement", (STATED,))) == (9.0, 4.0, 11.0, 7.0)
    below = replace(CHIP, side=Side.BOTTOM, at_mm=(10.0, 5.0), rotation_deg=0.0)
    assert bounds(choose_body(below, "placement", (STATED,))) == (8.0, 4.0, 11.0, 6.0)


def test_a_stated_body_by_package_and_parts_that_are_not_fitted() -> None:
    by_package = replace(STATED, reference=None, package="c_0603*")
    assert choose_body(CHIP, "placement", (by_package,)) is not None
    absent = replace(STATED, length_mm=0.0, width_mm=0.0)
    assert choose_body(CHIP, "placement", (absent,)) is None
    other = replace(STATED, reference="C8")
    assert bounds(choose_body(CHIP, "placement", (other,)))[0] == 9.125


def test_a_courtyard_is_an_estimate_and_smaller_than_drawn() -> None:
    part = Told("J1", Side.TOP, "odd one", outlines=(("Courtyard", box(0, 0, 10, 5)),))
    body = choose_body(part, "component layer", ())
    assert body is not None and body.estimated
    assert bounds(body) == (0.25, 0.25, 9.75, 4.75)


def test_pads_alone_make_an_estimate() -> None:
    unnamed = replace(CHIP, package=None)
    body = choose_body(unnamed, "pads", ())
    assert body is not None and body.estimated and body.known_by == "pads"
    x0, y0, x1, y1 = body.area.bounds
    assert x1 - x0 == pytest.approx(1.6) and y1 - y0 == pytest.approx(0.9, abs=0.1)


@pytest.mark.parametrize("part", [
    Told("TP1", Side.TOP, "TestPoint_2pads", pins=CHIP.pins), Told("REF**", Side.TOP, None, pins=CHIP.pins),
    Told("H1", Side.TOP, None, pins=(pin("1", 3.0, 3.0),)), Told("X1", Side.TOP),
    Told("X1", Side.TOP, None, pins=(pin("1", 3.0, 3.0), pin("2", 3.0, 3.0))),
])  # fmt: skip
def test_where_nothing_stands_or_nothing_tells(part: Told) -> None:
    assert choose_body(part, "pads", ()) is None


def test_an_assembly_drawing_is_better_than_an_estimate_and_letters_in_it_are_none() -> None:
    unnamed = replace(CHIP, package=None)
    assert wants_drawing(unnamed, choose_body(unnamed, "pads", ()), ())
    assert not wants_drawing(CHIP, choose_body(CHIP, "placement", ()), ())
    outline, letter = box(9.2, 4.6, 10.8, 5.4), box(9.9, 4.8, 10.2, 5.2)
    body = drawn_body(unnamed, [letter, outline])
    assert bounds(body) == (9.2, 4.6, 10.8, 5.4)
    assert body is not None and not body.estimated
    assert drawn_body(unnamed, [box(20, 20, 22, 21)]) is None
