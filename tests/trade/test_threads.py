"""The command has one thread for linear algebra, unless it is told otherwise, and leaves the environment alone."""

import os
import subprocess
import sys

import pytest

LOADED = """
import os, sys
import labelcheck.__main__
assert "numpy" in sys.modules
print(len(os.listdir("/proc/self/task")), os.environ.get("OPENBLAS_NUM_THREADS"))
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="threads are counted in /proc")
@pytest.mark.parametrize(("asked", "threads", "left"), [(None, 1, "None"), ("2", 2, "2")])
def test_the_command_loads_numpy_with_one_thread_or_as_many_as_are_asked_for(asked, threads, left):
    if threads > len(os.sched_getaffinity(0)):
        pytest.skip("this machine has a single core")
    environment = {name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")}
    if asked is not None:
        environment["OPENBLAS_NUM_THREADS"] = asked
    run = subprocess.run([sys.executable, "-c", LOADED], env=environment, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    assert run.stdout.split() == [str(threads), left]
