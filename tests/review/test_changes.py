"""Two checks compared: labels are matched by text and place, never by number; each finding is told once."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.review.changes import changes_between, faults_alike
from labelcheck.review.matching import match_labels
from labelcheck.review.record import record_text
from labelcheck.review.seen import FindingSeen, LabelSeen, Seen, read_record
from labelcheck.trade.errors import UnreadableFile


def label(id_: str, text: str | None, x: float, y: float, **other: object) -> LabelSeen:
    width = 1.0 * len(text or "abc")
    plain = LabelSeen(id_, "top", text, (x, y, x + width, y + 1.0), 0.0, 1.0, 0.15)
    return replace(plain, **other)


def finding(id_: str, analyser: str, of: LabelSeen | None, **other: object) -> FindingSeen:
    at = (0.0, 0.0) if of is None else of.middle_mm
    side = "top" if of is None else of.side
    plain = FindingSeen(
        id_, analyser, "doubtful", None if of is None else of.id, side, at, 0.5, 1.0, "mm", "Too small.", None
    )
    return replace(plain, **other)


def seen(labels: list[LabelSeen], findings: list[FindingSeen] | None = None, **other: object) -> Seen:
    plain = Seen(
        "release", "b", "2026-01-31T12:00:00Z", "sha256:0", (), (0.0, 0.0, 100.0, 80.0), tuple(labels),
        tuple(findings or ()), (), frozenset(), (),
    )  # fmt: skip
    return replace(plain, **other)


def told(old: Seen, new: Seen) -> dict[str, list[str]]:
    """Ids of findings by what became of them; for those still there, of the new one."""
    changes = changes_between(old, new)
    parts = {name: getattr(changes, name) for name in ("new", "fixed", "gone", "unasked")}
    ids = {name: [fault.finding.id for fault in faults] for name, faults in parts.items()}
    ids["still"] = [one.new.finding.id for one in changes.still]
    return {name: found for name, found in ids.items() if found}


def test_one_fault_of_many_labels_is_one_kind() -> None:
    labels = [label(f"T{number}", f"R{number}", 5.0 * number, 5) for number in range(1, 4)]
    said = '"{}" loses 40 % of "R" at a mask opening; printed, it reads "{}".'
    findings = [
        finding(f"F{place}", "in-opening", one, message=said.format(one.text, place))
        for place, one in enumerate(labels)
    ]
    faults = changes_between(seen(labels), seen(labels, findings)).new
    assert [[one.finding.id for one in kind] for kind in faults_alike(faults)] == [["F0", "F1", "F2"]]


def test_a_moved_label_keeps_its_fault_whatever_its_number() -> None:
    before, after = label("T7", "R12", 5, 5), label("T1", "R12", 25, 5)
    old = seen([before], [finding("F3", "thin-stroke", before)])
    new = seen([after], [finding("F1", "thin-stroke", after)])
    assert told(old, new) == {"still": ["F1"]}
    (pair,) = match_labels(old, new).pairs
    assert pair.moved_mm == (20.0, 0.0)
    assert pair.moved and not pair.renamed


def test_a_label_moved_off_a_pad_is_fixed_and_another_moved_onto_one_is_new() -> None:
    one, two = label("T1", "R1", 5, 5), label("T2", "R2", 9, 5)
    one_moved, two_moved = label("T2", "R1", 5, 6), label("T1", "R2", 9, 4)
    old = seen([one, two], [finding("F1", "in-opening", one)])
    new = seen([two_moved, one_moved], [finding("F1", "in-opening", two_moved)])
    changes = changes_between(old, new)
    assert [fault.label.text for fault in changes.new] == ["R2"]
    assert [fault.label.text for fault in changes.fixed] == ["R1"]
    assert changes.still == ()


def test_faults_of_neighbours_are_not_taken_for_one_another() -> None:
    one, two = label("T1", "1", 5, 5), label("T2", "2", 5.8, 5)
    old = seen([one, two], [finding("F1", "thin-stroke", one)])
    assert told(old, seen([one, two], [finding("F1", "thin-stroke", two)])) == {"new": ["F1"], "fixed": ["F1"]}


def test_a_renamed_label_is_followed_by_its_place() -> None:
    before, after = label("T1", "R9", 5, 5), label("T1", "R10", 5, 5)
    old = seen([before], [finding("F1", "thin-stroke", before)])
    new = seen([after], [finding("F1", "thin-stroke", after)])
    assert told(old, new) == {"still": ["F1"]}
    (pair,) = match_labels(old, new).pairs
    assert pair.renamed


def test_one_of_many_equal_labels_that_went_away_leaves_the_others_in_place() -> None:
    labels = [label(f"T{number}", "GND", 4.0 * number, 5) for number in range(1, 8)]
    kept = [replace(one, id=f"T{number}") for number, one in enumerate(labels[:2] + labels[3:], start=1)]
    matching = match_labels(seen(labels), seen(kept))
    assert [one.box_mm[0] for one in matching.removed] == [12.0]
    assert not any(pair.moved for pair in matching.pairs)


def test_a_label_that_went_takes_its_fault_along_without_being_called_fixed() -> None:
    one = label("T1", "R1", 5, 5)
    assert told(seen([one], [finding("F1", "thin-stroke", one)]), seen([])) == {"gone": ["F1"]}


def test_a_question_that_could_not_be_asked_again_fixes_nothing() -> None:
    one = label("T1", "R1", 5, 5)
    old = seen([one], [finding("F1", "in-opening", one)])
    assert told(old, seen([one], not_applied=frozenset({("in-opening", "top")}))) == {"unasked": ["F1"]}
    assert told(old, seen([], holding=("The legend could not be read.",))) == {"unasked": ["F1"]}
    assert told(old, seen([one], not_applied=frozenset({("in-opening", "bottom")}))) == {"fixed": ["F1"]}


def test_a_label_moved_to_the_other_side_is_the_same_label() -> None:
    before, after = label("T1", "R1", 5, 5), label("B1", "R1", 50, 5, side="bottom")
    (pair,) = match_labels(seen([before]), seen([after])).pairs
    assert pair.moved


def test_an_unread_label_is_followed_by_its_size() -> None:
    before, after = label("T1", None, 5, 5), label("T4", None, 9, 5)
    other = label("T2", None, 12, 5, box_mm=(12.0, 5.0, 20.0, 6.0))
    matching = match_labels(seen([before]), seen([other, after]))
    assert [(pair.new.id, pair.moved_mm) for pair in matching.pairs] == [("T4", (4.0, 0.0))]
    assert [one.id for one in matching.added] == ["T2"]


@pytest.mark.parametrize(("x", "followed"), [(7.0, True), (11.0, False)])
def test_a_label_read_only_once_is_followed_less_far(x: float, followed: bool) -> None:
    # Another label may have its size: "TX" is not what an unread label 6 mm away has become.
    matching = match_labels(seen([label("T1", None, 5, 5)]), seen([label("T4", "R12", x, 5)]))
    assert bool(matching.pairs) is followed


def test_a_large_digit_is_not_the_small_one_nearby() -> None:
    before = [label("T1", "2", 5, 5, character_height_mm=2.25), label("T2", "2", 90, 60)]
    after = [label("T1", "2", 8, 5, character_height_mm=1.2), label("T2", "2", 90, 60)]
    matching = match_labels(seen(before), seen(after))
    assert [pair.new.id for pair in matching.pairs] == ["T2"]


def test_a_board_exported_with_another_origin_has_not_changed() -> None:
    labels = [label(f"T{number}", f"R{number}", 4.0 * number, 3.0 * number) for number in range(1, 9)]
    moved = [replace(one, box_mm=tuple(side + 37.123 for side in one.box_mm)) for one in labels]
    old = seen(labels, [finding("F1", "thin-stroke", labels[3])])
    new = seen(moved, [finding("F1", "thin-stroke", moved[3])], box_mm=(37.123, 37.123, 137.123, 117.123))
    assert told(old, new) == {"still": ["F1"]}
    matching = match_labels(old, new)
    assert matching.shift_mm == pytest.approx((37.123, 37.123))
    assert not any(pair.moved for pair in matching.pairs)
    without = match_labels(replace(old, box_mm=None), replace(new, box_mm=None))
    assert without.shift_mm == pytest.approx((37.123, 37.123))


def test_a_legend_that_slid_on_its_board_did_move() -> None:
    labels = [label(f"T{number}", f"R{number}", 4.0 * number, 3.0 * number) for number in range(1, 9)]
    slid = [replace(one, box_mm=tuple(side + 1.0 for side in one.box_mm)) for one in labels]
    assert all(pair.moved_mm == (1.0, 1.0) for pair in match_labels(seen(labels), seen(slid)).pairs)


def test_a_board_that_grew_keeps_its_labels_in_place() -> None:
    labels = [label(f"T{number}", f"R{number}", 4.0 * number, 3.0 * number) for number in range(1, 9)]
    matching = match_labels(seen(labels), seen(labels, box_mm=(0.0, 0.0, 120.0, 90.0)))
    assert matching.shift_mm == (0.0, 0.0)
    assert not any(pair.moved for pair in matching.pairs)


@pytest.mark.parametrize(
    ("before", "after", "went"),
    [
        ({}, {"severity": "unreadable"}, "worse"),
        ({"severity": "doubtful"}, {"severity": "note"}, "better"),
        ({"measured": 0.5}, {"measured": 0.4}, "worse"),
        ({"measured": 0.5}, {"measured": 0.52}, "same"),
        ({"measured": None}, {"measured": None}, "same"),
        ({"measured": 0.4, "limit": 0.2}, {"measured": 0.3, "limit": 0.2}, "better"),
        ({"measured": 0.12, "limit": 0.1, "unit": "fraction"}, {"measured": 0.14, "limit": 0.1, "unit": "fraction"},
         "same"),
        ({"measured": 0.12, "limit": 0.1, "unit": "fraction"}, {"measured": 0.16, "limit": 0.1, "unit": "fraction"},
         "worse"),
    ],
)
def test_a_fault_that_stays_may_get_worse_or_better(before, after, went) -> None:
    one = label("T1", "R1", 5, 5)
    old, new = (seen([one], [finding("F1", "thin-stroke", one, **other)]) for other in (before, after))
    (still,) = changes_between(old, new).still
    assert still.went == went


def test_notes_told_as_one_stay_one_when_their_number_changes() -> None:
    old = seen([], [finding("F1", "short-character", None, message="8 labels on the top are 0.9 mm high.")])
    new = seen([], [finding("F1", "short-character", None, message="3 labels on the top are 0.9 mm high.")])
    assert told(old, new) == {"still": ["F1"]}


def test_what_else_changed_is_named() -> None:
    old = seen([], files=(("a.gbr", "1"), ("b.gbr", "2")), limits=(("process", "inkjet"),), holding=("x",))
    new = seen([], files=(("a.gbr", "1"), ("b.gbr", "3")), limits=(("process", "screen-printed"),), verdict="hold")
    changes = changes_between(old, new)
    assert changes.files == ("b.gbr",)
    assert changes.limits == ("process",)
    assert changes.no_longer_holding == ("x",) and changes.holding == ()
    assert changes.verdict_changed


BAD_RECORDS = [b"", b"[]", b"{}", b"\xff\xfe", b"[" * 9999]
BAD_RECORDS += [b'{"record": "labelcheck/9"}', b'{"record": "labelcheck/1"}']


@pytest.mark.parametrize("content", BAD_RECORDS, ids=range(len(BAD_RECORDS)))
def test_what_is_no_record_is_told_so(content) -> None:
    with pytest.raises(UnreadableFile, match=r"record\.json: "):
        read_record("record.json", content)


def test_a_record_of_the_program_is_read_back(review) -> None:
    from_review = read_record("record.json", record_text(review).encode())
    assert len(from_review.labels) == len(review.labels)
    assert [one.id for one in from_review.findings] == [one.id for one in review.findings]
    assert told(from_review, from_review) == {"still": [one.id for one in from_review.findings]}


PLACES = st.tuples(st.integers(0, 12), st.integers(0, 12))
BOARDS = st.lists(
    st.tuples(st.sampled_from(["R1", "R2", "GND", "GND", "+", None]), PLACES, st.sampled_from(["top", "bottom"])),
    max_size=12,
    unique_by=lambda entry: (entry[1], entry[2]),
)


def board_of(entries: list, faulty: int) -> Seen:
    labels = [
        label(f"T{number}", text, 4.0 * x, 3.0 * y, side=side)
        for number, (text, (x, y), side) in enumerate(entries, start=1)
    ]
    return seen(labels, [finding(f"F{number}", "thin-stroke", one) for number, one in enumerate(labels[:faulty])])


@settings(derandomize=True, max_examples=150, deadline=None)
@given(BOARDS, BOARDS, st.integers(0, 12), st.integers(0, 12), st.randoms(use_true_random=False))
def test_every_label_and_every_finding_is_told_exactly_once(before, after, faulty, faulty_after, random) -> None:
    old, new = board_of(before, faulty), board_of(after, faulty_after)
    changes = changes_between(old, new)
    matching = changes.labels
    told_old = [id_ for pair in matching.pairs for id_ in pair.old.ids] + [one.id for one in matching.removed]
    assert sorted(told_old) == sorted(one.id for one in old.labels)
    told_new = [id_ for pair in matching.pairs for id_ in pair.new.ids] + [one.id for one in matching.added]
    assert sorted(told_new) == sorted(one.id for one in new.labels)
    olds = [fault.finding.id for faults in (changes.fixed, changes.gone, changes.unasked) for fault in faults]
    assert sorted(olds + [one.old.finding.id for one in changes.still]) == sorted(one.id for one in old.findings)
    news = [fault.finding.id for fault in changes.new] + [one.new.finding.id for one in changes.still]
    assert sorted(news) == sorted(one.id for one in new.findings)
    # Neither the order nor the numbers decide.
    renumbered = list(new.labels)
    random.shuffle(renumbered)
    names = {one.id: f"X{number}" for number, one in enumerate(renumbered)}
    other = match_labels(old, replace(new, labels=tuple(replace(one, id=names[one.id]) for one in renumbered)))
    assert {(pair.old.id, pair.new.id) for pair in other.pairs} == {
        (pair.old.id, names[pair.new.id]) for pair in matching.pairs
    }


@settings(derandomize=True, max_examples=60, deadline=None)
@given(BOARDS, st.integers(0, 12))
def test_a_board_compared_with_itself_has_not_changed(entries, faulty) -> None:
    board = board_of(entries, faulty)
    changes = changes_between(board, board)
    assert not (changes.new or changes.fixed or changes.gone or changes.unasked or changes.labels.added)
    assert all(pair.old.id == pair.new.id and not pair.moved for pair in changes.labels.pairs)
    assert {one.went for one in changes.still} <= {"same"}
