"""Limits and their sources."""

import math

import pytest

from labelcheck.trade.limits import Process, limits_for


@pytest.mark.parametrize("process", list(Process))
def test_bounds_of_a_process_get_stricter_from_unreadable_to_doubtful(process: Process) -> None:
    limits = limits_for(process)
    for limit in limits.findings_limits():
        bounds = [bound for bound in (limit.unreadable, limit.doubtful, limit.note) if bound is not None]
        assert bounds == sorted(bounds, reverse=limit.worse_above), limit.name
        assert limit.source


def test_a_coarser_process_asks_for_more() -> None:
    screen, photo, inkjet = (limits_for(process) for process in Process)
    for name in ("stroke", "height", "gap"):
        asked = [getattr(limits, name).unreadable for limits in (screen, photo, inkjet)]
        assert asked == sorted(asked, reverse=True)
    assert screen.clip.value_mm > photo.clip.value_mm > inkjet.clip.value_mm


def test_reading_distance_scales_the_eye_and_not_the_press() -> None:
    near, far = limits_for(reading_distance_mm=250), limits_for(reading_distance_mm=500)
    assert near.height == far.height
    assert near.height_for_eye.doubtful is not None and far.height_for_eye.doubtful is not None
    assert math.isclose(far.height_for_eye.doubtful, 2 * near.height_for_eye.doubtful)
