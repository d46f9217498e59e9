"""A short run of the fuzz program with a seed of its own; `python -m tests.fuzz` runs the long one."""

import time

import numpy as np
import pytest

from labelcheck.trade.errors import UnreadableFile

from .damaged_sets import DAMAGES, run_sets
from .running import Outcome, damaged, judge, run, told
from .targets import TARGETS
from .watched import run_watched

SEED = 20260131
COUNTS = {"artwork": 350, "drill": 25}
OTHERWISE = 60
SETS = 24
WATCHES = 8


@pytest.mark.parametrize("kind", TARGETS)
def test_damaged_files_are_read_or_refused_with_a_clear_error(kind: str) -> None:
    outcome = run(kind, SEED, range(COUNTS.get(kind, OTHERWISE)))
    assert told(outcome.failures) == []
    assert outcome.refused < outcome.count


def test_damaged_sets_are_held_refused_or_truly_sound() -> None:
    outcome = run_sets(SEED, range(SETS))
    assert told(outcome.failures) == []


def test_after_whatever_happens_in_a_drop_folder_every_set_was_checked_in_its_last_state() -> None:
    outcome = run_watched(SEED, range(WATCHES))
    assert told(outcome.failures) == []


def test_a_case_is_made_again_from_its_number() -> None:
    for kind in TARGETS:
        assert damaged(kind, 1, 7) == damaged(kind, 1, 7)
        assert len({damaged(kind, 1, number) for number in range(20)}) > 15


def test_no_case_depends_on_those_before_it() -> None:
    before = [damaged("job", 1, number) for number in range(1, 300, 2)]
    assert [damaged("job", 1, number) for number in range(1, 300, 2)] == before


def _refused() -> None:
    raise UnreadableFile("top.gbr", 3, "It is damaged.", "Export it again.")


def _warned() -> None:
    np.float64(1.0) / np.zeros(1)


def _slow() -> None:
    until = time.process_time() + 10
    while time.process_time() < until:
        pass


@pytest.mark.parametrize(
    ("bear", "refused", "failures"),
    [(lambda: None, 0, 0), (_refused, 1, 0), (lambda: [][0], 0, 1), (_warned, 0, 1), (_slow, 0, 1)],
)
def test_the_program_tells_faults_from_clear_errors(monkeypatch, bear, refused, failures) -> None:
    monkeypatch.setattr("tests.fuzz.running.SECONDS_AT_MOST", 0.05)
    outcome = Outcome("artwork")
    judge(outcome, 1, 1, bear)
    assert (outcome.refused, len(outcome.failures)) == (refused, failures)


def test_every_damage_to_sets_is_tried() -> None:
    assert len({damage.__doc__ for damage in DAMAGES}) >= 17
