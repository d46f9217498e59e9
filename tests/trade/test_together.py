"""Works at once give what they give one after the other."""

import os
import time
from collections.abc import Iterator
from functools import partial

import pytest

from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.together import both, in_turn


def fail() -> None:
    raise ValueError("no such side")


@pytest.mark.parametrize("worthwhile", [True, False])
def test_both_results_come_back(worthwhile) -> None:
    assert both(lambda: "top", lambda: ["bottom", 2], worthwhile) == ("top", ["bottom", 2])


@pytest.mark.parametrize("worthwhile", [True, False])
def test_an_error_of_either_is_raised(worthwhile) -> None:
    with pytest.raises(ValueError, match="no such side"):
        both(lambda: 1, fail, worthwhile)
    with pytest.raises(ValueError, match="no such side"):
        both(fail, lambda: 1, worthwhile)


def test_work_of_a_child_that_was_ended_is_done_here() -> None:
    here = os.getpid()

    def die_elsewhere() -> str:
        if os.getpid() != here:
            os._exit(9)
        return "done"

    assert both(lambda: 1, die_elsewhere, True) == (1, "done")


def test_an_error_that_names_a_place_survives_the_way_back() -> None:
    def broken() -> None:
        raise UnreadableFile("top.gbr", 3, "It is cut short.", "Export it again.")

    with pytest.raises(UnreadableFile, match=r"top\.gbr:3"):
        both(lambda: 1, broken, True)


def test_many_results_come_in_their_order() -> None:
    # The first takes longest: the others are done before it.
    def work(number: int) -> int:
        time.sleep(0.3 if number == 0 else 0)
        return number

    assert list(in_turn(partial(work, number) for number in range(7))) == list(range(7))


@pytest.mark.parametrize("count", [0, 1, 2, 3])
def test_any_number_of_works(count) -> None:
    assert list(in_turn([partial(str, number) for number in range(count)])) == [str(n) for n in range(count)]


def test_works_are_taken_only_as_cores_fall_free() -> None:
    taken = []

    def works() -> Iterator[object]:
        for number in range(200):
            taken.append(number)
            yield partial(int, number)

    results = in_turn(works())
    assert next(results) == 0
    assert len(taken) < 100
    results.close()


def test_a_child_never_splits_again() -> None:
    def pids() -> tuple[int, int]:
        return both(os.getpid, os.getpid, worthwhile=True)

    (one, other), (third, fourth) = in_turn([pids, pids])
    assert one == other and third == fourth


def test_an_error_among_many_comes_in_its_turn_and_ends_what_still_runs() -> None:
    begun = time.monotonic()
    results = in_turn([partial(int, 1), fail, partial(time.sleep, 60)])
    assert next(results) == 1
    with pytest.raises(ValueError, match="no such side"):
        next(results)
    assert time.monotonic() - begun < 30


def test_whoever_waits_is_told_so() -> None:
    ticks = []
    list(in_turn([partial(time.sleep, 1.0), partial(int, 2)], lambda: ticks.append(1)))
    assert len(ticks) >= 1 or (os.cpu_count() or 1) < 2
