"""Which boxes meet others: the way for very many against the plain one."""

import numpy as np
import pytest

from labelcheck.press import obstacles
from labelcheck.press.obstacles import meeting


@pytest.mark.parametrize(("many", "few", "span_mm"), [(30_000, 1, 5.0), (30_000, 40, 100.0), (25_000, 300, 30.0)])
def test_very_many_boxes_are_sorted_out_on_a_grid_and_none_is_lost(monkeypatch, many, few, span_mm) -> None:
    chance = np.random.default_rng(many + few)
    corners, others = (chance.uniform(0, span_mm, (count, 2)).round(1) for count in (many, few))
    # Whole tenths, so that many just touch.
    boxes = np.hstack((corners, corners + chance.uniform(0, 0.6, (many, 2)).round(1)))
    boxes[::97] = (np.inf, np.inf, -np.inf, -np.inf)
    others = np.hstack((others, others + chance.uniform(0, 4.0, (few, 2)).round(1)))
    found = meeting(boxes, others)
    monkeypatch.setattr(obstacles, "MANY", 10 * many)
    assert found.any() and not found.all()
    assert (found == meeting(boxes, others)).all()
