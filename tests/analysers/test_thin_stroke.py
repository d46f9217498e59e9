"""Are the strokes wide enough? Bounds: 0.10 and 0.15 mm, photo-imaged, common practice, no source."""

from dataclasses import replace

import pytest

from labelcheck.trade.limits import Process, limits_for


@pytest.mark.parametrize(
    ("pen_mm", "severity"),
    [(0.18, None), (0.15, None), (0.146, None), (0.14, "doubtful"), (0.10, "doubtful"), (0.09, "unreadable")],
)
def test_a_pen_is_judged_with_the_benefit_of_the_doubt(judged, pen_mm, severity) -> None:
    finding = judged("thin-stroke", stroke_least_mm=pen_mm, stroke_typical_mm=pen_mm)
    assert (finding.severity if finding else None) == severity


def test_one_thin_pen_among_thick_ones_counts_in_full(judged) -> None:
    assert judged("thin-stroke", stroke_least_mm=0.05).severity == "unreadable"


def test_hairlines_of_a_filled_letter_are_doubtful_at_most(judged) -> None:
    finding = judged("thin-stroke", stroke_least_mm=0.05, stroke_typical_mm=0.2, drawn_as="regions")
    assert finding.severity == "doubtful"


def test_where_arms_meet_a_stem_a_filled_letter_may_be_thinner_than_its_strokes(judged) -> None:
    """The k of a common sans serif face, 2 mm high: strokes of 0.25 mm, 0.12 mm where its arms meet the stem."""
    assert judged("thin-stroke", stroke_least_mm=0.12, stroke_typical_mm=0.25, drawn_as="regions") is None


def test_scan_lines_paint_letters_with_hairlines_too(judged, label) -> None:
    painted = tuple(replace(mark, pen_mm=None) for mark in label.marks)
    sizes = {"marks": painted, "drawn_as": "strokes", "stroke_typical_mm": 0.2}
    assert judged("thin-stroke", stroke_least_mm=0.12, **sizes) is None
    assert judged("thin-stroke", stroke_least_mm=0.08, **sizes).severity == "doubtful"


def test_a_filled_letter_thin_all_along_is_unreadable(judged) -> None:
    finding = judged("thin-stroke", stroke_least_mm=0.05, stroke_typical_mm=0.07, drawn_as="regions")
    assert finding.severity == "unreadable"
    assert finding.measured == 0.07


def test_the_message_names_both_widths_and_the_cure(judged) -> None:
    finding = judged("thin-stroke", stroke_least_mm=0.09, stroke_typical_mm=0.09)
    assert finding.message == '"R12" has strokes 0.09 mm wide; 0.10 mm is the least for a photo-imaged legend.'
    assert finding.advice == "Draw it with a pen of 0.15 mm or wider."


def test_a_coarser_process_asks_for_a_wider_pen(judged) -> None:
    pens = {"stroke_least_mm": 0.16, "stroke_typical_mm": 0.16}
    assert judged("thin-stroke", **pens) is None
    assert judged("thin-stroke", limits_for(Process.SCREEN_PRINTED), **pens).severity == "doubtful"
