"""Parts that fit both ways round: whatever tells the way makes the ink about them uneven."""

from dataclasses import replace

import numpy as np
import pytest

from labelcheck.board.components import Component, Pin
from labelcheck.press.first_pins import unmarked_parts
from labelcheck.trade.shapes import Shapes, bars, concatenate, polygon
from labelcheck.trade.sides import Side


def part(reference: str, at: tuple[float, float] = (5.0, 5.0), turned: bool = False) -> Component:
    """Two rows of four pads, 1.27 mm apart in the row and 5.4 mm from row to row."""
    pins = [
        Pin(str(number), None, None, at[0] + x, at[1] + y, 0.6, 1.5, through=False)
        for number, (x, y) in enumerate(
            [(1.27 * k - 1.905, -2.7) for k in range(4)] + [(1.905 - 1.27 * k, 2.7) for k in range(4)], start=1
        )
    ]
    pins = [replace(pin, x_mm=at[0] + pin.y_mm - at[1], y_mm=at[1] + pin.x_mm - at[0], width_mm=1.5, height_mm=0.6)
            for pin in pins] if turned else pins
    return Component(reference, Side.TOP, None, None, at, 0.0, tuple(pins), None)


def outline(at: tuple[float, float] = (5.0, 5.0)) -> Shapes:
    x, y = np.array([-2.4, 2.4, 2.4, -2.4]) + at[0], np.array([-1.6, -1.6, 1.6, 1.6]) + at[1]
    return bars(x, y, np.roll(x, -1), np.roll(y, -1), 0.15)


def dot(x: float, y: float, wide: float = 0.4) -> Shapes:
    return bars([x], [y], [x], [y], wide)


BEVEL = bars([2.6], [4.2], [3.4], [3.4], 0.15)
BAR = bars([2.0], [3.4], [2.0], [6.6], 0.15)
AREA = polygon([np.array([(3.0, 1.0), (3.3, 1.6), (2.7, 1.6)])])


@pytest.mark.parametrize("mark", [dot(2.2, 2.3), dot(3.1, 3.8, 0.25), BEVEL, BAR, AREA], ids=str)
def test_any_mark_tells_the_way(mark: Shapes) -> None:
    assert unmarked_parts([part("U1")], concatenate([outline(), mark]), [], Side.TOP) == []


EVEN = concatenate([outline(), dot(2.0, 2.0), dot(8.0, 8.0)])


@pytest.mark.parametrize("legend", [outline(), EVEN, dot(30.0, 30.0)], ids=["outline", "dots", "nothing"])
def test_an_even_outline_or_none_tells_nothing(legend: Shapes) -> None:
    assert unmarked_parts([part("U1")], legend, [], Side.TOP) == ["U1"]


def test_an_outline_drawn_a_little_off_the_middle_is_no_mark() -> None:
    assert unmarked_parts([part("U1")], outline((5.05, 4.96)), [], Side.TOP) == ["U1"]


def test_uneven_pads_tell_the_way_themselves() -> None:
    three = part("U1")
    assert unmarked_parts([replace(three, pins=three.pins[:3] + three.pins[5:7])], outline(), [], Side.TOP) == []


def test_parts_without_a_direction_and_of_the_other_side_are_not_asked() -> None:
    others = [part("R1"), part("SW1"), part("C3"), replace(part("U2"), side=Side.BOTTOM)]
    assert unmarked_parts(others, outline(), [], Side.TOP) == []
    assert unmarked_parts([replace(part("C3"), package="CP_Radial_D5")], outline(), [], Side.TOP) == ["C3"]


def test_turned_parts_are_asked_alike() -> None:
    assert unmarked_parts([part("U1", turned=True)], dot(30.0, 30.0), [], Side.TOP) == ["U1"]
