"""Published and computed figures, each with its source: sizes for the eye, contrast, and a line of a netlist."""

import math

import pytest

from labelcheck.formats.netlist import read_netlist
from labelcheck.trade.contrast import contrast_ratio, least_modulation, luminance, modulation_of, ratio_of
from labelcheck.trade.limits import height_seen_under, limits_for
from labelcheck.trade.sides import Side

WHITE = (255, 255, 255)


@pytest.mark.parametrize(
    ("distance_mm", "arcminutes", "height_mm"),
    [
        # h = 2 d tan(a / 2), the definition of visual angle; angles of ISO 9241-3 (16' least, 20-22' preferred).
        (500, 16, 2.3271),
        (500, 20, 2.9089),
        (500, 22, 3.1998),
        (300, 10, 0.8727),
        (300, 16, 1.3963),
        # The inverse of it: characters of 1 mm from 350 and from 300 mm.
        (350, 9.822, 1.0),
        (300, 11.459, 1.0),
        # NUREG-0700 r2, 1.3.1-4: 710 mm, 16' (exact form 3.3045, linear form 3.3044).
        (710, 16, 3.3045),
        # NUREG-0700 r2, label lettering: its factor of 0.004 of the distance is 13.751', not the 15' it is given for.
        (500, 13.751, 0.004 * 500),
        (500, 15, 2.1817),
        # FAA Human Factors Design Standard, as quoted: h = d / 200; ISO 9241-3, as quoted: 155 to 175 heights.
        (500, 17.189, 500 / 200),
        (500, 22.179, 500 / 155),
        (500, 19.644, 500 / 175),
        # The acuity letter of 5' at 6.1 m is 8.9 mm high (Snellen's construction).
        (6100, 5, 8.872),
    ],
)
def test_heights_under_a_visual_angle(distance_mm: float, arcminutes: float, height_mm: float) -> None:
    assert height_seen_under(arcminutes, distance_mm) == pytest.approx(height_mm, abs=6e-5 * height_mm)


def test_limits_for_the_eye_follow_from_the_angles() -> None:
    """10' and 12' and 16' at 250 mm: 0.727, 0.873 and 1.164 mm (computed by the same definition)."""
    limit = limits_for().height_for_eye
    bounds = (limit.unreadable, limit.doubtful, limit.note)
    assert bounds == pytest.approx((0.7272, 0.8727, 1.1636), abs=5e-5)


@pytest.mark.parametrize(("grey", "ratio"), [(0x77, 4.4781), (0x76, 4.5422), (0x95, 2.9953), (0x00, 21.0)])
def test_greys_on_white(grey: int, ratio: float) -> None:
    """Computed by the WCAG 2.x formula; #767676 is widely quoted as the lightest grey that passes 4.5."""
    assert contrast_ratio((grey,) * 3, WHITE) == pytest.approx(ratio, abs=5e-5)
    assert contrast_ratio(WHITE, (grey,) * 3) == contrast_ratio((grey,) * 3, WHITE)


def test_luminance_of_a_grey_and_of_white() -> None:
    """WCAG 2.x: L = .2126 R + .7152 G + .0722 B."""
    assert luminance((0x77,) * 3) == pytest.approx(0.18447, abs=5e-6)
    assert luminance(WHITE) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("arcminutes", "modulation", "ratio"), [(17, 0.51, 3.082), (16, 0.58, 3.762), (12, 0.86, 13.286), (10, 1.0, None)]
)
def test_contrast_that_small_characters_need(arcminutes: float, modulation: float, ratio: float | None) -> None:
    """NUREG-0700 r3: M >= 0.3 + 0.07 (20 - S); at 10 minutes of arc no ratio is enough."""
    assert least_modulation(arcminutes) == pytest.approx(modulation)
    if ratio is None:
        assert math.isinf(ratio_of(1.0))
    else:
        assert ratio_of(least_modulation(arcminutes)) == pytest.approx(ratio, abs=5e-4)


@pytest.mark.parametrize(("ratio", "modulation"), [(6, 0.7143), (10, 0.8182)])
def test_ratio_and_modulation(ratio: float, modulation: float) -> None:
    """By definition of both; 6:1 is the least and 10:1 preferred in NUREG-0700 r3."""
    assert modulation_of(ratio) == pytest.approx(modulation, abs=5e-5)
    assert ratio_of(modulation_of(ratio)) == pytest.approx(ratio)


def test_a_published_line_of_a_netlist() -> None:
    """A sample line of IPC-D-356 as published; it comes without a unit, and 0.0001 inch is the format's default."""
    line = "317+3.3V            J13   -2    D0400PA00X+043550Y+006480"
    assert len(line) == 57
    (point,) = read_netlist("sample.ipc", f"{line}\n999\n".encode()).points
    assert (point.net, point.reference, point.pin) == ("+3.3V", "J13", "2")
    assert (point.plated, point.side, point.is_via) == (True, Side.BOTH, False)
    inches = (point.x_mm / 25.4, point.y_mm / 25.4, (point.hole_mm or 0) / 25.4)
    assert inches == pytest.approx((4.3550, 0.6480, 0.0400), abs=1e-9)
