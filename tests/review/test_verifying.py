"""A set held against its record."""

import json
from dataclasses import replace

import pytest

from labelcheck.board.fab_set import FabSet, make_set, set_file
from labelcheck.review.contents import LimitEntry, Review
from labelcheck.review.limits_told import acceptance_entries, limit_entries
from labelcheck.review.record import record_text
from labelcheck.review.verifying import CheckedThen, asked_then, differences, records_in
from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.in_force import Asked, limits_in_force
from labelcheck.trade.limits import Limit, Limits, Process, limits_for
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import Acceptance, MustCarry, StatedBody, StatedWeight, Weight

FILES = {"top.gto": b"legend", "top.gts": b"mask", "holes.drl": b"holes"}


def fab_set(files: dict[str, bytes], name: str = "turnout-driver") -> FabSet:
    return make_set(name, name, [set_file(one, data) for one, data in files.items()], ())


def record(review: Review, limits: Limits | None = None, files: dict[str, bytes] = FILES, **changes: object) -> str:
    """The record of that set under those limits."""
    checked, limits = fab_set(files), limits or limits_for()
    plain = replace(review.files[0], role="other", side=None)
    entries = tuple(replace(plain, name=file.name, sha256=file.sha256) for file in checked.files)
    made = replace(
        review, fingerprint=checked.fingerprint, files=entries, limits=limit_entries(limits),
        acceptances=acceptance_entries(limits),
    )
    parsed = json.loads(record_text(made))
    return json.dumps(parsed | changes)


def then(text: str) -> CheckedThen:
    return records_in("record.json", text.encode())[0]


def test_the_same_set_under_the_same_limits(review: Review) -> None:
    found = differences(fab_set(FILES), limits_for(), then(record(review)))
    assert found.none and found.remarks == ()


@pytest.mark.parametrize(
    ("files", "told"),
    [
        (FILES | {"bottom.gbo": b"new"}, ["bottom.gbo is new: it was not checked."]),
        ({name: FILES[name] for name in ("top.gto", "top.gts")}, ["holes.drl was checked, and is gone."]),
        (FILES | {"top.gts": b"other"}, ["top.gts was changed since it was checked."]),
        ({"top.gto": b"legend", "mask.gts": b"mask", "holes.drl": b"holes"},
         ["mask.gts was named top.gts when it was checked; its content is the same."]),
        ({"top.gto": b"mask", "top.gts": b"legend", "holes.drl": b"holes"},
         ["top.gto was changed since it was checked.", "top.gts was changed since it was checked."]),
    ],
)
def test_files_that_differ_are_named(review: Review, files: dict[str, bytes], told: list[str]) -> None:
    found = differences(fab_set(files), limits_for(), then(record(review)))
    assert list(found.files) == told
    assert not found.none


def test_another_name_of_the_set_and_another_version_are_remarks(review: Review) -> None:
    text = record(review, made_by="labelcheck 0.0.9")
    found = differences(fab_set(FILES, "renamed"), limits_for(), then(text))
    assert found.none and len(found.remarks) == 2


def test_what_is_stated_about_one_board_counts_for_the_same_bytes_under_another_name(review: Review) -> None:
    must = MustCarry("REV ?", None, None, None, "turnout*", "labelcheck.toml:4")
    limits = replace(limits_for(), must_carry=(must,))
    text = record(review, limits.on_board("turnout-driver"))
    assert differences(fab_set(FILES, "to-be-ordered"), limits, then(text)).none
    assert not differences(fab_set(FILES | {"top.gts": b"other"}, "to-be-ordered"), limits, then(text)).none


def test_a_record_that_was_changed_by_hand_is_noticed(review: Review) -> None:
    parsed = json.loads(record(review))
    parsed["set"]["fingerprint"] = "sha256:" + "0" * 64
    found = differences(fab_set(FILES), limits_for(), then(json.dumps(parsed)))
    assert "it was changed" in found.files[0]
    parsed = json.loads(record(review))
    parsed["set"]["files"][0]["sha256"] = "0" * 64
    found = differences(fab_set(FILES), limits_for(), then(json.dumps(parsed)))
    assert any("the record was changed" in told for told in found.files)


ACCEPTED = Acceptance(
    "short-character", "unreadable", Side.TOP, "R12", False, (1.0, 2.0), None, None, 0.7, "seen", None,
    "labelcheck.toml", 9,
)
WEIGHT = StatedWeight(Weight.MORE, ("F?",), None, None, None, None, "labelcheck.toml:1")
BODY = StatedBody("K1", None, 20, 10, 15, (0.0, 0.0), None, "labelcheck.toml:5")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"stroke": replace(limits_for().stroke, doubtful=0.16, stated=(("doubtful", "labelcheck.toml:3"),))},
         "stroke width: doubtful below was 0.15 then (common practice of board fabricators, no single source), "
         "and is 0.16 now (labelcheck.toml:3)."),
        ({"stroke": replace(limits_for().stroke, doubtful=None)}, "and is not stated now."),
        ({"process": Process.INKJET}, 'process was "photo-imaged" then'),
        ({"must_carry": (MustCarry("REV ?", None, 1.5, None, None, "labelcheck.toml:4"),)},
         'must carry: REV ? is "on either side, 1.5 mm high or more" now (labelcheck.toml:4), and was not'),
        ({"weights": (WEIGHT,)}, 'labels: F? is "matter more" now'),
        ({"bodies": (BODY,)}, 'body: K1 is "20 x 10 x 15 mm" now'),
        ({"accepted": (ACCEPTED,)}, 'at 1, 2 mm (unreadable, 0.7) is "seen" now (labelcheck.toml:9)'),
    ],
)
def test_limits_that_differ_are_named(review: Review, change: dict[str, object], told: str) -> None:
    other = replace(limits_for(), **change)  # type: ignore[arg-type]  # the cases name the fields
    found = differences(fab_set(FILES), other, then(record(review)))
    assert len(found.limits) == 1 and told in found.limits[0], found.limits
    assert found.files == ()
    assert differences(fab_set(FILES), other, then(record(review, other))).none


def test_a_line_that_moved_in_the_limits_file_is_no_difference(review: Review) -> None:
    def stated(line: int) -> Limits:
        limit: Limit = replace(limits_for().stroke, doubtful=0.2, stated=(("doubtful", f"labelcheck.toml:{line}"),))
        return replace(limits_for(), stroke=limit)

    assert differences(fab_set(FILES), stated(9), then(record(review, stated(3)))).none


def test_what_the_command_line_asked_for_then_is_asked_for_again(review: Review) -> None:
    asked = Asked(Process.INKJET, 400.0, 0.02)
    limits = limits_in_force(None, asked)
    assert asked_then(then(record(review, limits))) == asked
    assert asked_then(then(record(review))) == Asked()
    assert differences(fab_set(FILES), limits_in_force(None, asked_then(then(record(review, limits)))),
                       then(record(review, limits))).none


def test_two_statements_of_one_name_are_both_compared(review: Review) -> None:
    twice = (WEIGHT, replace(WEIGHT, weight=Weight.NOT))
    limits = replace(limits_for(), weights=twice)
    names = [entry.name for entry in limit_entries(limits)]
    assert len(names) == len(set(names))
    assert not differences(fab_set(FILES), replace(limits, weights=twice[:1]), then(record(review, limits))).none


def test_several_records_in_one_file(review: Review) -> None:
    text = record(review) + "\n" + record(replace(review, set_name="signal-head"))
    assert [one.set_name for one in records_in("all.json", text.encode())] == ["turnout-driver", "signal-head"]


@pytest.mark.parametrize(
    "content",
    [b"", b"  \n", b"{", b"[]", b"3", b'"x"', b"null", b"{}", b'{"record": "labelcheck/9"}', b"\xff\xfe",
     b"[" * 100_000, b'{"record": "labelcheck/1", "set": []}',
     b'{"record": "labelcheck/1", "set": {"name": 1}, "limits": 3}'],
)
def test_what_is_no_record_is_refused(content: bytes) -> None:
    with pytest.raises(UnreadableFile, match=r"record\.json.*: .*(record|empty)"):
        records_in("record.json", content)


def test_every_entry_of_the_limits_has_a_source() -> None:
    entries: tuple[LimitEntry, ...] = limit_entries(limits_for())
    assert all(entry.source for entry in entries)
    assert len({entry.name for entry in entries}) == len(entries)
