"""The shares of a check's steps: every step is still there, and no second is counted twice."""

import time
from importlib import import_module

import pytest

from tests.benchmarks.steps import STEPS, Shares


@pytest.mark.parametrize(("module", "name"), [step[:2] for step in STEPS])
def test_a_step_is_called_by_this_name(module: str, name: str) -> None:
    assert callable(getattr(import_module(module), name))


def test_a_step_within_a_step_is_counted_once() -> None:
    shares = Shares()

    def busy(seconds: float) -> None:
        until_s = time.process_time() + seconds
        while time.process_time() < until_s:
            pass

    inner = shares._counted(lambda: busy(0.04), "inner")

    def outer() -> None:
        busy(0.02)
        inner()
        busy(0.02)

    begun_s = time.process_time()
    shares._counted(outer, "outer")()
    whole_s = time.process_time() - begun_s
    assert shares.seconds["inner"] >= 0.04 and shares.seconds["outer"] >= 0.04
    assert sum(shares.seconds.values()) <= whole_s
