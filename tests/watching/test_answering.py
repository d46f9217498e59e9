"""Commands that answer a change of verdict: nothing of one is left once the watch ends."""

import sys
import time
from pathlib import Path

import pytest

from labelcheck.watching.answering import Answering
from labelcheck.watching.messages import BoardTold, Came

BOARD = BoardTold(
    name="turnout-driver", folder=Path("turnout-driver.review"), verdict="hold", words="HOLD: 1 label",
    tally="1", checked_at="2026-11-25T20:00:00Z", fingerprint="0" * 64, came=Came.CHECKED, changes=None,
)
DEAF = "import signal, sys, time; signal.signal(15, signal.SIG_IGN); open(sys.argv[1], 'w'); time.sleep(60)"
WILLING = "import sys, time; open(sys.argv[1], 'w'); time.sleep(60)"


def exists_soon(path: Path) -> bool:
    for _ in range(200):
        if path.exists():
            return True
        time.sleep(0.05)
    return False


@pytest.mark.skipif(sys.platform == "win32", reason="there are no signals to be deaf to")
@pytest.mark.parametrize("script", [WILLING, DEAF])
def test_a_command_that_runs_when_the_watch_ends_is_ended_and_leaves_nothing(script, tmp_path) -> None:
    begun = tmp_path / "begun"
    answering = Answering((sys.executable, "-c", script, str(begun)))
    answering.verdict_changed(BOARD)
    assert answering.turn(0.0) is None
    process = answering._running.process
    assert exists_soon(begun)
    answering.end()
    assert process.returncode is not None and process.returncode < 0
    assert not answering.busy
