"""Limits and their sources."""

import math

import pytest

from labelcheck.trade.limits import Process, height_seen_under, limits_for


@pytest.mark.parametrize(
    ("distance_mm", "arcminutes", "height_mm"),
    [
        # h = 2 d tan(a / 2), the definition of visual angle; angles of ISO 9241-3 (16' least, 20-22' preferred).
        (500, 16, 2.3271),
        (500, 20, 2.9089),
        (500, 22, 3.1998),
        (300, 10, 0.8727),
        (300, 16, 1.3963),
        # NUREG-0700 r2, 1.3.1-4: 710 mm, 16' (exact form 3.3045, linear form 3.3044).
        (710, 16, 3.3045),
        # The acuity letter of 5' at 6.1 m is 8.9 mm high (Snellen's construction).
        (6100, 5, 8.872),
    ],
)
def test_height_under_a_visual_angle_agrees_with_published_figures(
    distance_mm: float, arcminutes: float, height_mm: float
) -> None:
    assert height_seen_under(arcminutes, distance_mm) == pytest.approx(height_mm, abs=6e-5 * height_mm)


def test_rule_of_thumb_of_a_two_hundredth_of_the_distance() -> None:
    # FAA Human Factors Design Standard, as quoted: h = d / 200, which is 17.189'.
    assert height_seen_under(17.189, 500) == pytest.approx(500 / 200, rel=1e-4)


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
