"""Headers on their holes, wherever the placement file takes their origin (both habits seen in real sets)."""

import numpy as np
import pytest

from labelcheck.board.bodies.lead_rows import leads_in_rows
from labelcheck.board.bodies.packages import package_named

COLUMN = np.array([(10.0, 20.0 - 2.54 * step) for step in range(4)])
ELSEWHERE = np.array([(30.0, 20.0), (32.54, 20.0)])


@pytest.mark.parametrize("at_mm", [(10.0, 20.0), (10.0, 20.0 - 1.5 * 2.54), (10.0, 20.0 - 3 * 2.54)])
@pytest.mark.parametrize("rotation_deg", [0.0, 90.0, 180.0])
def test_a_row_is_found_from_its_middle_and_from_either_end(at_mm, rotation_deg):
    package = package_named("PinHeader_1x04_P2.54mm")
    pins = leads_in_rows(package, at_mm, rotation_deg, np.concatenate((ELSEWHERE, COLUMN)))
    assert sorted((pin.x_mm, pin.y_mm) for pin in pins) == sorted(map(tuple, COLUMN.tolist()))


def test_two_rows_are_found_from_the_first_pin():
    package = package_named("PinHeader_2x03_P2.54mm")
    holes = np.array([(x * 2.54, -y * 2.54) for x in range(2) for y in range(3)])
    assert len(leads_in_rows(package, (0.0, 0.0), 0.0, holes)) == 6


def test_nothing_is_guessed_where_holes_are_missing_or_lie_both_ways():
    package = package_named("PinHeader_1x04_P2.54mm")
    assert leads_in_rows(package, (10.0, 20.0), 0.0, COLUMN[:3]) == ()
    across = np.array([(10.0 + 2.54 * step, 20.0) for step in range(4)])
    assert leads_in_rows(package, (10.0, 20.0), 0.0, np.concatenate((COLUMN, across))) == ()
