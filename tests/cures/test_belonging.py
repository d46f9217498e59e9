"""Whether a label still belongs to its part or pin at another place."""

from dataclasses import replace

import numpy as np
import pytest

from labelcheck.board.components import Component, Pin
from labelcheck.cures.belonging import company_of, parts_on
from labelcheck.trade.sides import Side
from tests.cures.test_wording import a_label

NO_OPENINGS = np.zeros((0, 4))


def a_part(reference: str, x: float, y: float, side: Side = Side.TOP) -> Component:
    pins = tuple(Pin(str(n), None, None, x + dx, y, 0.6, 0.6, False) for n, dx in enumerate((-0.5, 0.5), start=1))
    return Component(reference, side, None, None, (x, y), 0.0, pins, None)


def suits(parts: list[Component], *shifts: tuple[float, float]) -> list[bool]:
    label = a_label()  # R12, its box 2 x 1 mm from (1, 1)
    company = company_of(label, parts_on(parts, Side.TOP, NO_OPENINGS), 10.0)
    assert company is not None
    return company.suits(label.box_mm, label.box_mm, np.array(shifts)).tolist()


def test_a_reference_stays_nearer_to_its_own_part_than_to_another() -> None:
    parts = [a_part("R12", 2.0, 3.0), a_part("R13", 7.0, 3.0)]
    assert suits(parts, (0.0, 0.0), (1.0, 0.5), (4.5, 0.0), (0.0, -5.0)) == [True, True, False, True]


def test_where_it_stands_by_another_part_it_comes_no_farther_from_its_own() -> None:
    parts = [a_part("R12", 2.0, 6.0), a_part("R13", 2.0, 3.0)]
    assert suits(parts, (0.0, 0.0), (0.5, 0.0), (0.0, -0.5), (0.0, 4.5)) == [True, True, False, True]


def test_a_part_on_the_other_side_is_no_company() -> None:
    parts = [a_part("R12", 2.0, 3.0), a_part("R13", 7.0, 3.0, Side.BOTTOM)]
    assert suits(parts, (4.5, 0.0)) == [True]


def test_a_shield_around_the_part_is_no_rival() -> None:
    shield = Component("SH1", Side.TOP, None, None, (2.0, 3.0), 0.0, (
        Pin("1", None, None, -5.0, -5.0, 0.6, 0.6, False), Pin("2", None, None, 9.0, 9.0, 0.6, 0.6, False),
    ), None)
    assert suits([a_part("R12", 2.0, 3.0), shield], (0.0, 0.3)) == [True]


@pytest.mark.parametrize(("x", "expected"), [(2.0, True), (9.0, None)])
def test_another_text_stays_at_the_opening_beside_it(x: float, expected: bool | None) -> None:
    label = replace(a_label(), kind="word", text="GND")
    openings = np.array([[x, 2.2, x + 1, 3.2], [x + 2.5, 2.2, x + 3.5, 3.2]])
    company = company_of(label, parts_on([], Side.TOP, openings), 10.0)
    if expected is None:
        assert company is None
        return
    assert company.suits(label.box_mm, label.box_mm, np.array([(0.5, 0.0), (3.5, 0.0)])).tolist() == [True, False]
