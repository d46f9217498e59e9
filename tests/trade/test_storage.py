"""What is freed is used again, and the search for circles goes on after a check as it was before."""

import gc
import subprocess
import sys

import pytest

from labelcheck.trade.storage import keep_freed_memory, while_loading, without_collecting

FAULTS = """
import resource, sys
import numpy as np
from labelcheck.trade.storage import keep_freed_memory
if sys.argv[1] == "kept" and not keep_freed_memory():
    sys.exit(3)
def work():
    held = [np.ones(700_000) for _ in range(20)]
    del held
work()
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
work()
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before)
"""


def page_faults(how: str) -> int:
    run = subprocess.run([sys.executable, "-c", FAULTS, how], capture_output=True, text=True)
    if run.returncode == 3:
        pytest.skip("the C library of this system has no such setting")
    assert run.returncode == 0, run.stderr
    return int(run.stdout)


def test_the_system_clears_no_page_anew_for_what_was_freed_before():
    kept, given_back = page_faults("kept"), page_faults("given back")
    assert kept < 200 < 5_000 < given_back


def test_asking_again_changes_nothing():
    assert keep_freed_memory() == keep_freed_memory()


@pytest.mark.parametrize("collected", [True, False])
def test_collecting_goes_on_as_it_was_before(collected):
    before = gc.isenabled()
    try:
        (gc.enable if collected else gc.disable)()
        with pytest.raises(ValueError, match="broken off"), without_collecting():
            assert not gc.isenabled()
            raise ValueError("broken off")
        assert gc.isenabled() is collected
    finally:
        (gc.enable if before else gc.disable)()


def test_what_is_loaded_is_searched_neither_meanwhile_nor_later():
    searches: list[str] = []

    def note(phase: str, _told: object) -> None:
        searches.append(phase)

    gc.callbacks.append(note)
    try:
        frozen = gc.get_freeze_count()
        with while_loading():
            loaded = [[] for _ in range(5_000)]
        assert searches == []
        assert gc.get_freeze_count() >= frozen + len(loaded)
    finally:
        gc.callbacks.remove(note)
        gc.unfreeze()
