"""Which limits win: the command line over the limits file over the defaults."""

from dataclasses import replace

import pytest

from labelcheck.trade.errors import WrongArguments
from labelcheck.trade.in_force import Asked, LimitsFile, StatedNumber, limits_in_force
from labelcheck.trade.limits import Limit, LimitsFileBytes, Process, limits_for
from labelcheck.trade.stated import MustCarry

EMPTY = LimitsFile("work/labelcheck.toml", LimitsFileBytes("labelcheck.toml", "ab" * 32))


def stating(*numbers: tuple[str, str, float | None], **fields: object) -> LimitsFile:
    told = tuple(
        StatedNumber(name, bound, value, f"labelcheck.toml:{line}", line)
        for line, (name, bound, value) in enumerate(numbers, start=1)
    )
    return replace(EMPTY, numbers=told, **fields)  # type: ignore[arg-type]  # the tests name the fields


def bounds(limit: Limit) -> tuple[float | None, float | None, float | None]:
    return limit.unreadable, limit.doubtful, limit.note


def test_without_a_file_the_defaults_hold() -> None:
    assert limits_in_force(None) == limits_for()
    assert replace(limits_in_force(EMPTY), file=None) == limits_for()


def test_the_command_line_wins_over_the_file() -> None:
    file = stating(
        process=Process.INKJET, process_source="labelcheck.toml:1", pitch_mm=0.02, pitch_source="labelcheck.toml:2"
    )
    limits = limits_in_force(file)
    assert (limits.process, limits.process_source) == (Process.INKJET, "labelcheck.toml:1")
    assert (limits.reading_distance_mm, limits.reading_distance_source) == (250.0, "default")
    asked = limits_in_force(file, Asked(process=Process.SCREEN_PRINTED, reading_distance_mm=400.0))
    assert (asked.process, asked.process_source) == (Process.SCREEN_PRINTED, "--process")
    assert (asked.reading_distance_mm, asked.reading_distance_source) == (400.0, "--reading-distance")
    assert (asked.pitch_mm, asked.pitch_source) == (0.02, "labelcheck.toml:2")


def test_only_the_bounds_that_are_stated_change_and_each_names_its_line() -> None:
    limit = limits_in_force(stating(("stroke", "doubtful", 0.2), ("lost_ink", "note", None))).stroke
    assert bounds(limit) == (0.10, 0.2, None)
    assert limit.source_of("doubtful") == "labelcheck.toml:1"
    assert limit.source_of("unreadable") == limits_for().stroke.source
    assert limits_in_force(stating(("lost_ink", "note", None))).lost_ink.note is None
    assert limits_in_force(stating(("clip", "", 0.3))).clip.value_mm == 0.3


@pytest.mark.parametrize(
    ("stated", "wanted"),
    [
        (("stroke", "unreadable", 0.2), (0.2, 0.2, None)),
        (("stroke", "doubtful", 0.05), (0.05, 0.05, None)),
        (("height_for_eye", "note", 0.5), (0.5, 0.5, 0.5)),
        (("lost_ink", "doubtful", 0.5), (0.5, 0.5, 0.05)),
        (("lost_ink", "unreadable", 0.01), (0.01, 0.01, 0.01)),
    ],
)
def test_a_default_that_contradicts_a_stated_bound_follows_it(
    stated: tuple[str, str, float], wanted: tuple[float | None, ...]
) -> None:
    limit = getattr(limits_in_force(stating(stated)), stated[0])
    assert bounds(limit) == wanted
    followed = {source for bound, source in limit.stated if bound != stated[1]}
    assert followed == {"follows from labelcheck.toml:1"}


def test_two_stated_bounds_that_contradict_are_an_error_with_a_line() -> None:
    with pytest.raises(WrongArguments, match=r"work/labelcheck\.toml:1: .* must not fall from unreadable"):
        limits_in_force(stating(("stroke", "unreadable", 0.2), ("stroke", "doubtful", 0.1)))
    with pytest.raises(WrongArguments, match="must not rise from unreadable"):
        limits_in_force(stating(("lost_ink", "note", 0.3), ("lost_ink", "unreadable", 0.1)))
    equal = limits_in_force(stating(("gap", "unreadable", 0.1), ("gap", "doubtful", 0.1)))
    assert bounds(equal.gap) == (0.1, 0.1, None)


def test_what_is_stated_for_one_process_does_not_count_for_another_that_was_asked_for() -> None:
    numbers = (("stroke", "doubtful", 0.2), ("lost_ink", "doubtful", 0.2), ("height_for_eye", "doubtful", 1.1))
    named = stating(*numbers, process=Process.PHOTO_IMAGED, reading_distance_mm=250.0)
    inkjet = limits_in_force(named, Asked(process=Process.INKJET))
    assert inkjet.stroke == limits_for(Process.INKJET).stroke
    assert inkjet.lost_ink.doubtful == 0.2
    assert inkjet.height_for_eye.doubtful == 1.1
    assert "states of stroke was not used" in str(inkjet.remarks[0])
    far = limits_in_force(named, Asked(reading_distance_mm=500.0))
    assert (far.stroke.doubtful, far.height_for_eye.doubtful) == (0.2, pytest.approx(1.745, abs=0.001))
    assert limits_in_force(named, Asked(process=Process.PHOTO_IMAGED)).remarks == ()
    # A file that names no process states its limits for all.
    assert limits_in_force(stating(*numbers), Asked(process=Process.INKJET)).stroke.doubtful == 0.2


def test_statements_about_another_board_do_not_count() -> None:
    musts = tuple(MustCarry("A", None, None, None, board, "") for board in (None, "turnout*", "signal-head"))
    limits = limits_in_force(stating(must_carry=musts))
    assert [one.board for one in limits.on_board("turnout-driver").must_carry] == [None, "turnout*"]
