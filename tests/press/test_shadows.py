"""Labels behind tall parts, against the geometry of looking aslant."""

import math
from dataclasses import replace

import pytest
from shapely.geometry import box

from labelcheck.board.components import Body, Component
from labelcheck.labels.label import Label
from labelcheck.press.shadows import shadows_on
from labelcheck.trade.sides import Side

LABEL = Label(
    "T1", Side.TOP, "GATE", 0.99, "reading", "word", (10, 10, 14, 11), 0.0, "strokes", (), 1.0, 0.15, 0.15, None
)


def a_part(area: tuple[float, float, float, float], height: float | None, reference: str = "K1") -> Component:
    body = Body(box(*area), height, "component layer", False)
    return Component(reference, Side.TOP, None, None, None, None, (), body)


BELOW, ABOVE = (8, 7, 16, 9.5), (8, 11.5, 16, 14)


@pytest.mark.parametrize("height", [3.0, 2.0 / math.tan(math.radians(30)), 10.0])
def test_the_shadow_reaches_as_far_as_height_and_angle_say(height: float) -> None:
    (shadow,) = shadows_on([LABEL], [a_part(BELOW, height)], 30.0)
    # The label begins 0.5 mm behind the part and is 1 mm deep.
    reach = min(max(height * math.tan(math.radians(30)) - 0.5, 0.0), 1.0)
    assert shadow is not None
    assert shadow.front == pytest.approx(reach)
    assert (shadow.back, shadow.front_part) == (0.0, "K1")


def test_between_two_parts_it_is_hidden_from_both_sides() -> None:
    (shadow,) = shadows_on([LABEL], [a_part(BELOW, 10.0), a_part(ABOVE, 12.0, "J2")], 30.0)
    assert shadow is not None
    assert (shadow.front, shadow.back) == (pytest.approx(1.0), pytest.approx(1.0))
    assert (shadow.front_part, shadow.back_part) == ("K1", "J2")


def test_the_reader_of_a_turned_label_stands_elsewhere() -> None:
    turned = replace(LABEL, box_mm=(10, 10, 11, 14), turned_deg=90.0)
    right = a_part((11.5, 8, 14, 16), 10.0)
    (shadow,) = shadows_on([turned], [right], 30.0)
    assert shadow is not None and shadow.front == pytest.approx(1.0)
    # On the bottom the same turn, as read on its own side, looks from the left as seen from the top.
    (other,) = shadows_on([replace(turned, side=Side.BOTTOM)], [right], 30.0)
    assert other is None


@pytest.mark.parametrize("height", [None, 1.2])
def test_low_parts_and_unknown_heights_cast_none(height: float | None) -> None:
    assert shadows_on([LABEL], [a_part(BELOW, height)], 30.0) == (None,)
    assert shadows_on([], [a_part(BELOW, 9.0)], 30.0) == ()
