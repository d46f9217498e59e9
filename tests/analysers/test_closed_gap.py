"""Do clear spaces stay open? Bounds 0.08 and 0.15 mm, photo-imaged, common practice, no source.

Which characters stay what they are is a judgement of this project, no source.
"""

import pytest

from labelcheck.labels.label import NarrowPlace


def place(width_mm: float, characters: str = "8", kind: str = "counter", behind_mm: float | None = None) -> tuple:
    behind = width_mm if behind_mm is None else behind_mm
    return (NarrowPlace(kind, width_mm, behind, (1.0, 2.0, 1.1, 2.1), tuple(characters)),)


def severity(finding) -> str | None:
    return finding.severity if finding else None


@pytest.mark.parametrize(
    ("gap_mm", "expected"), [(0.2, None), (0.145, None), (0.12, "doubtful"), (0.05, "unreadable")]
)
def test_gaps_are_judged_with_the_benefit_of_the_doubt(judged, gap_mm, expected) -> None:
    assert severity(judged("closed-gap", narrow_places=place(gap_mm))) == expected


def test_a_label_without_any_gap_is_not_asked(judged) -> None:
    assert judged("closed-gap", narrow_places=()) is None


def test_advice_says_by_how_much_and_the_box_is_the_gap(judged) -> None:
    finding = judged("closed-gap", narrow_places=place(0.05))
    assert finding.advice.startswith("Open it by 0.10 mm: make the characters larger")
    assert finding.box_mm == (1.0, 2.0, 1.1, 2.1)
    assert 'has a gap of only 0.05 mm in "8"' in finding.message
    between = judged("closed-gap", narrow_places=place(0.05, "11", "neighbours"))
    assert 'between "1" and "1"' in between.message
    assert "space the characters wider" in between.advice


@pytest.mark.parametrize(
    ("character", "kind", "behind_mm", "expected"),
    [
        ("C", "mouth", 0.6, "unreadable"),  # shut it is an O
        ("4", "mouth", 0.2, None),  # shut it is a 4, and its counter stays open
        ("4", "mouth", 0.10, "doubtful"),
        ("i", "pieces", None, None),  # the dot may stand on the stem
        ("=", "pieces", None, "unreadable"),  # a minus
        ("A", "counter", None, "doubtful"),
        ("e", "counter", None, "doubtful"),
    ],
)
def test_what_closing_makes_of_the_character_counts(judged, character, kind, behind_mm, expected) -> None:
    assert severity(judged("closed-gap", narrow_places=place(0.05, character, kind, behind_mm))) == expected


def test_lower_case_letters_are_told_only_where_they_surely_fill(judged) -> None:
    assert judged("closed-gap", narrow_places=place(0.12, "e")) is None
    assert judged("closed-gap", narrow_places=place(0.12, "8")) is not None


def test_a_mouth_is_narrow_at_one_place_and_doubtful_from_halfway_on(judged) -> None:
    # Halfway between the bounds is 0.115 mm.
    assert judged("closed-gap", narrow_places=place(0.12, "6", "mouth")) is None
    assert severity(judged("closed-gap", narrow_places=place(0.10, "6", "mouth"))) == "doubtful"
    assert severity(judged("closed-gap", narrow_places=place(0.12, "6", "counter"))) == "doubtful"


def test_of_several_places_one_that_makes_it_unreadable_is_told(judged) -> None:
    both = place(0.03, "A") + place(0.05, "8")
    finding = judged("closed-gap", narrow_places=both)
    assert (finding.severity, finding.measured) == ("unreadable", 0.05)


def test_nobody_knows_what_becomes_of_an_unread_character(judged) -> None:
    (one,) = place(0.05)
    unread = NarrowPlace(one.kind, one.width_mm, one.behind_mm, one.box_mm, (None,))
    assert severity(judged("closed-gap", narrow_places=(unread,))) == "doubtful"


def test_between_the_strokes_of_knocked_out_text_ink_is_too_thin(judged) -> None:
    finding = judged("closed-gap", narrow_places=place(0.05), drawn_as="knocked out")
    assert severity(finding) == "doubtful"
    assert "leaves ink only 0.05 mm wide" in finding.message


def test_a_gap_that_opens_when_a_short_label_is_enlarged_is_told_with_its_height(judged) -> None:
    # 0.9 mm high with a pen of 0.1, to be 1.0 mm high with a pen of 0.15: lines 0.23 mm apart come to stand 0.256 mm
    # apart, which leaves 0.106 mm; lines 0.15 mm apart leave 0.017 mm.
    small = {"character_height_mm": 0.9, "stroke_typical_mm": 0.1}
    assert judged("closed-gap", narrow_places=place(0.13), **small) is None
    assert judged("closed-gap", narrow_places=place(0.05), **small).severity == "unreadable"


def test_a_label_that_must_be_redrawn_for_its_height_has_gaps_told_only_where_that_does_not_open_them(judged) -> None:
    # 0.6 mm high with a pen of 0.08, to be 1.0 mm high with a pen of 0.15: 0.06 mm leaves 0.083 mm, 0.03 mm 0.033 mm.
    small = {"character_height_mm": 0.6, "stroke_typical_mm": 0.08}
    assert judged("closed-gap", narrow_places=place(0.06), **small) is None
    assert judged("closed-gap", narrow_places=place(0.03), **small).severity == "unreadable"
