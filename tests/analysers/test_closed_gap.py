"""Do clear spaces stay open? Bounds 0.08 and 0.15 mm, photo-imaged, common practice, no source."""

import pytest


@pytest.mark.parametrize(
    ("gap_mm", "severity"), [(0.2, None), (0.145, None), (0.12, "doubtful"), (0.05, "unreadable")]
)
def test_gaps_are_judged_with_the_benefit_of_the_doubt(judged, gap_mm, severity) -> None:
    finding = judged("closed-gap", gap_mm=gap_mm)
    assert (finding.severity if finding else None) == severity


def test_a_label_without_any_gap_is_not_asked(judged) -> None:
    assert judged("closed-gap", gap_mm=None) is None


def test_advice_says_by_how_much(judged) -> None:
    assert judged("closed-gap", gap_mm=0.05).advice.startswith("Open it by 0.10 mm")


def test_a_gap_that_opens_when_a_short_label_is_enlarged_is_told_with_its_height(judged) -> None:
    # 0.7 mm high with a pen of 0.1, to be 1.0 mm high with a pen of 0.15: lines 0.23 mm apart come to stand 0.33 mm
    # apart, which leaves 0.18 mm; lines 0.15 mm apart leave 0.06 mm.
    small = {"character_height_mm": 0.7, "stroke_typical_mm": 0.1}
    assert judged("closed-gap", gap_mm=0.13, **small) is None
    assert judged("closed-gap", gap_mm=0.05, **small).severity == "unreadable"
