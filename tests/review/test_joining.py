"""One label that another check tells as several, or did not read, is the same label: neither gone nor new."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.review.changes import changes_between
from labelcheck.review.comparison import comparison_told, headline, label_changes
from labelcheck.review.matching import match_labels
from labelcheck.review.seen import LabelSeen, Seen
from tests.review.test_changes import finding, label, seen, told


def placed(id_: str, text: str | None, x: float, width: float, y: float = 5.0, **other: object) -> LabelSeen:
    return replace(label(id_, text, x, y, box_mm=(x, y, x + width, y + 1.0)), **other)


def halves(x: float = 10.0, y: float = 5.0, **other: object) -> list[LabelSeen]:
    """`G` and `3V`, which together take 4.5 mm."""
    return [placed("T1", "G", x, 1.0, y, **other), placed("T2", "3V", x + 2.5, 2.0, y, **other)]


def whole(x: float = 10.0, text: str | None = "G 3V", y: float = 5.0, **other: object) -> LabelSeen:
    return placed("T1", text, x, 4.5, y, **other)


def same_labels(old: Seen, new: Seen) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Ids of what was matched, after making sure that nothing is told as gone or new."""
    matching = match_labels(old, new)
    assert not matching.added and not matching.removed
    return [(pair.old.ids, pair.new.ids) for pair in matching.pairs]


@pytest.mark.parametrize("text", ["G 3V", "G3V", "G SV", None])
@pytest.mark.parametrize("x", [10.0, 10.4])
def test_one_label_that_is_two_in_the_same_place_is_there(text: str | None, x: float) -> None:
    assert same_labels(seen([whole(text=text)]), seen(halves(x))) == [(("T1",), ("T1", "T2"))]
    assert same_labels(seen(halves(x)), seen([whole(text=text)])) == [(("T1", "T2"), ("T1",))]


def test_a_label_split_into_one_read_and_one_unread_is_there() -> None:
    unread = [placed("T1", "CS", 10.0, 2.0), placed("T2", None, 13.0, 2.5)]
    assert same_labels(seen([placed("T1", "CS DIO", 10.0, 5.5)]), seen(unread)) == [(("T1",), ("T1", "T2"))]


def test_one_label_that_is_two_elsewhere_moved() -> None:
    old, new = seen([whole()]), seen(halves(12.0, 7.0))
    assert same_labels(old, new) == [(("T1",), ("T1", "T2"))]
    (change,) = label_changes(match_labels(old, new))
    assert change.pair.new.called() == '"G" and "3V"'
    assert change.how == ('were told as "G 3V" before', "moved 2.00 mm right and 2.00 mm up")
    (change,) = label_changes(match_labels(new, old))
    assert change.how == ('was told as "G" and "3V" before', "moved 2.00 mm left and 2.00 mm down")


def test_the_nearest_of_two_such_pairs_is_it() -> None:
    far = [replace(one, id=f"T{number}") for number, one in enumerate(halves(60.0), start=3)]
    matching = match_labels(seen([whole()]), seen([*halves(12.0), *far]))
    assert [pair.new.ids for pair in matching.pairs] == [("T1", "T2")]
    assert [one.id for one in matching.added] == ["T3", "T4"]


def test_parts_are_joined_as_they_are_read_on_their_side() -> None:
    # On the bottom the first one read is the one on the right as seen from the top; upright text runs up.
    bottom = [placed("B1", "3V", 10.0, 2.0, side="bottom"), placed("B2", "G", 13.5, 1.0, side="bottom")]
    assert same_labels(seen([whole(14.0, side="bottom")]), seen(bottom)) == [(("T1",), ("B2", "B1"))]
    upright = [
        label("T1", "G", 0, 0, box_mm=(10.0, 5.0, 11.0, 6.0), turned_deg=90.0),
        label("T2", "3V", 0, 0, box_mm=(10.0, 7.5, 11.0, 9.5), turned_deg=90.0),
    ]
    one = label("T1", "G 3V", 0, 0, box_mm=(13.0, 5.0, 14.0, 9.5), turned_deg=90.0)
    assert same_labels(seen([one]), seen(upright)) == [(("T1",), ("T1", "T2"))]


def test_a_long_unread_label_is_known_by_its_size_wherever_it_went() -> None:
    old = seen([placed("B5", None, 3.0, 7.5)])
    split = [placed("B1", "e12", 44.3, 3.2, 60.0), placed("B2", None, 40.0, 4.0, 60.0)]
    assert same_labels(old, seen(split)) == [(("B5",), ("B2", "B1"))]
    assert same_labels(old, seen([placed("B9", "exixe12", 40.0, 7.5, 60.0)])) == [(("B5",), ("B9",))]
    # Two of one size: nobody knows which is which.
    twice = [placed("B8", "another", 60.0, 7.5, 60.0), placed("B9", "exixe12", 40.0, 7.5, 60.0)]
    assert not match_labels(old, seen(twice)).pairs


def test_a_label_of_the_same_ink_that_was_not_read_is_there_whatever_its_height() -> None:
    read, unread = placed("T1", "µA", 10.0, 1.2, character_height_mm=0.6), placed("T4", None, 10.0, 1.2)
    assert same_labels(seen([read]), seen([unread])) == [(("T1",), ("T4",))]


def test_neighbours_that_read_otherwise_are_no_parts() -> None:
    matching = match_labels(seen([whole()]), seen([placed("T1", "G", 20.0, 1.0), placed("T2", "5V", 22.5, 2.0)]))
    assert [one.ids for one in matching.removed] == [("T1",)]
    assert len(matching.added) == 2


def test_pins_that_moved_are_no_label_that_went() -> None:
    # Of "12" and a header with "1" and "2" the header moved, and "12" is gone.
    old = [placed("T1", "12", 10.0, 2.0), placed("T2", "1", 16.0, 1.0), placed("T3", "2", 18.0, 1.0)]
    new = [placed("T1", "1", 12.0, 1.0), placed("T2", "2", 14.0, 1.0)]
    matching = match_labels(seen(old), seen(new))
    assert [one.id for one in matching.removed] == ["T1"]
    assert [(pair.old.ids, pair.new.ids) for pair in matching.pairs] == [(("T2",), ("T1",)), (("T3",), ("T2",))]


def test_a_split_label_is_found_where_the_whole_legend_moved() -> None:
    old = [whole(), *(replace(one, id=f"{one.id}x") for one in halves(40.0))]
    new = [*halves(11.5), *(replace(one, id=f"{one.id}x") for one in halves(41.5))]
    assert same_labels(seen(old, box_mm=None), seen(new, box_mm=None)) == [
        (("T1",), ("T1", "T2")), (("T1x",), ("T1x",)), (("T2x",), ("T2x",)),
    ]


def test_two_labels_one_of_which_is_new_are_no_parts_of_the_other() -> None:
    # "G" stays, "3V" is set beside it.
    old, new = seen([placed("T1", "G", 10.0, 1.0)]), seen(halves())
    matching = match_labels(old, new)
    assert [(pair.old.ids, pair.new.ids) for pair in matching.pairs] == [(("T1",), ("T1",))]
    assert [one.text for one in matching.added] == ["3V"]


@pytest.mark.parametrize(("before", "after", "same"), [
    ("PMOD", "PMODa", True), ("PMODa", "PMOD", True), ("RST", "RST_N", True),
    ("R1", "R12", False), ("IC1", "IC12", False), ("PMOD", "DMODa", False),
])  # fmt: skip
def test_a_text_that_goes_on_nearby_is_the_same_label(before: str, after: str, same: bool) -> None:
    old, new = seen([label("T1", before, 10, 5)]), seen([label("T1", after, 9.5, 6.2)])
    assert bool(match_labels(old, new).pairs) is same


def test_a_fault_of_the_whole_is_still_there_on_its_parts() -> None:
    one, parts = whole(), halves()
    old = seen([one], [finding("F1", "thin-stroke", one)])
    new = seen(parts, [finding("F1", "thin-stroke", parts[0]), finding("F2", "thin-stroke", parts[1])])
    assert told(old, new) == {"still": ["F1"]}
    assert told(new, old) == {"still": ["F1"]}
    assert headline(changes_between(old, new)) == "NO WORSE: what changed makes nothing harder to read"
    assert told(old, seen(parts)) == {"fixed": ["F1"]}
    other = seen(parts, [*new.findings, finding("F3", "in-opening", parts[1])])
    assert told(old, other) == {"new": ["F3"], "still": ["F1"]}


def test_the_worst_of_the_parts_stands_for_all() -> None:
    one, parts = whole(), halves()
    old = seen([one], [finding("F1", "thin-stroke", one)])
    bad = finding("F1", "thin-stroke", parts[1], severity="unreadable")
    new = seen(parts, [bad, finding("F2", "thin-stroke", parts[0])])
    (still,) = changes_between(old, new).still
    assert (still.new.finding.id, still.went) == ("F1", "worse")
    (still,) = changes_between(new, old).still
    assert (still.old.finding.id, still.went) == ("F1", "better")
    accepted = seen(parts, [replace(bad, accepted=True), finding("F2", "thin-stroke", parts[0])])
    assert told(old, accepted) == {"still": ["F2"]}


def test_what_was_told_otherwise_is_said_in_words() -> None:
    old, new = seen([whole(text=None)]), seen(halves(10.4))
    said = comparison_told(old, new, changes_between(old, new), "mm")
    assert '"G" and "3V" on the top were told as one unread label before and moved 0.40 mm right.' in said
    assert "new on" not in said and "gone on" not in said


WORDS = st.lists(st.sampled_from(["G", "3V", "TX", "RX", "IO12"]), min_size=2, max_size=4)


@settings(derandomize=True, max_examples=80, deadline=None)
@given(WORDS, st.floats(-4, 4), st.floats(-4, 4), st.booleans())
def test_a_line_of_words_is_the_label_that_it_was(words: list[str], dx: float, dy: float, bottom: bool) -> None:
    side, ends = ("bottom", -1.0) if bottom else ("top", 1.0)
    parts, x = [], 20.0
    for number, word in enumerate(words):
        x0, x1 = sorted((x, x + ends * len(word)))
        parts.append(label(f"T{number}", word, 0, 0, side=side, box_mm=(x0 + dx, 20 + dy, x1 + dx, 21 + dy)))
        x += ends * (len(word) + 1.2)
    x0, x1 = sorted((20.0, x - ends * 1.2))
    one = label("T1", " ".join(words), 0, 0, side=side, box_mm=(x0, 20.0, x1, 21.0))
    ids = tuple(part.id for part in parts)
    assert same_labels(seen([one]), seen(parts)) == [(("T1",), ids)]
    assert same_labels(seen(parts), seen([one])) == [(ids, ("T1",))]
