"""What the worker does with one job, without process or thread."""

import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from labelcheck.board.limits_beside import limits_of_set
from labelcheck.board.opening import open_sets
from labelcheck.checking import check_path
from labelcheck.review.writing import review_files
from labelcheck.trade.in_force import NOTHING_ASKED
from labelcheck.trade.limits import limits_for
from labelcheck.trade.remembering import Memory
from labelcheck.watching import working
from labelcheck.watching.messages import Came, Job, Result
from labelcheck.watching.reviewed import alone_with, is_current, record_in
from labelcheck.watching.working import Surroundings, work
from tests.sets_made import a_set, artwork, word, write

NOW = datetime(2026, 1, 31, 12, 0, 0, tzinfo=UTC)
THIN = artwork("Legend,Top", 0.08, word(5, 10, 1.5))
BOARDS = Path(__file__).resolve().parents[2] / "boards"


def done(place: Path, **other: object) -> Result:
    surroundings = Surroundings(now=lambda: NOW, **other)  # type: ignore[arg-type]  # as the test has it
    return work(Job(place, place.with_name(f"{place.name}.review"), None, NOTHING_ASKED), surroundings)


def test_a_check_and_what_it_changed(tmp_path) -> None:
    place = write(tmp_path / "a", a_set())
    first = done(place)
    assert (first.came, first.boards[0].verdict, first.boards[0].changes) == (Came.CHECKED, "release", None)
    assert done(place).came is Came.CURRENT
    write(place, a_set(THIN))
    second = done(place)
    assert second.boards[0].verdict == "hold"
    assert second.boards[0].changes is not None and len(second.boards[0].changes.new) == 1


@pytest.mark.parametrize(
    "damage", ["picture gone", "picture newer", "record cut short", "other version", "other limits"]
)
def test_a_review_that_is_not_whole_or_not_of_now_is_made_anew(tmp_path, damage) -> None:
    place, review = write(tmp_path / "a", a_set()), tmp_path / "a.review"
    done(place)
    record = review / "record.json"
    if damage == "picture gone":
        (review / "top.png").unlink()
    elif damage == "picture newer":
        # As kill -9 leaves it between the pictures and the record of a later check.
        later = record.stat().st_mtime_ns + 1_000_000
        os.utime(review / "top.png", ns=(later, later))
    elif damage == "record cut short":
        record.write_bytes(record.read_bytes()[:500])
    elif damage == "other version":
        record.write_text(record.read_text().replace('"made_by": "labelcheck ', '"made_by": "labelcheck 0.0.'))
    else:
        (tmp_path / "labelcheck.toml").write_text('process = "inkjet"\n')
    assert done(place).came is Came.CHECKED
    assert done(place).came is Came.CURRENT


def test_the_limits_of_the_record_are_those_in_force(tmp_path) -> None:
    place = write(tmp_path / "a", a_set())
    (tmp_path / "labelcheck.toml").write_text('process = "inkjet"\n')
    done(place)
    record = record_in(tmp_path / "a.review")
    (fab_set,) = open_sets(place)
    assert record is not None
    assert is_current(tmp_path / "a.review", record, fab_set, limits_of_set(place).on_board(fab_set.name))
    assert not is_current(tmp_path / "a.review", record, fab_set, limits_for())


def test_a_set_that_cannot_be_read_is_told_with_its_cure(tmp_path) -> None:
    result = done(tmp_path / "none")
    assert result.came is Came.FAILED and "There is no such file or folder" in (result.trouble or "")


def test_a_full_disk_is_told_and_leaves_the_earlier_review_whole(tmp_path, monkeypatch) -> None:
    place, review = write(tmp_path / "a", a_set()), tmp_path / "a.review"
    done(place)
    before = {path.name: path.read_bytes() for path in review.iterdir()}
    write(place, a_set(THIN))

    def full(path: Path, mode: str) -> object:
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr(Path, "open", full)
    result = done(place)
    monkeypatch.undo()
    assert result.came is Came.NOT_WRITTEN and "the disk is full" in (result.trouble or "")
    assert {path.name: path.read_bytes() for path in review.iterdir()} == before
    assert done(place).came is Came.CHECKED


def test_a_set_that_goes_away_during_its_check_leaves_nothing(tmp_path, monkeypatch) -> None:
    place = write(tmp_path / "drop" / "a", a_set())
    plain = working.check_set

    def slow(*arguments: object) -> object:
        os.rename(tmp_path / "drop", tmp_path / "aside")
        return plain(*arguments)  # type: ignore[arg-type]  # passed on as they are

    monkeypatch.setattr(working, "check_set", slow)
    assert done(place).came is Came.FAILED
    assert not (tmp_path / "drop").exists()


def test_a_fault_of_ours_is_told_and_releases_nothing(tmp_path, monkeypatch) -> None:
    place = write(tmp_path / "a", a_set())

    def broken(*_: object) -> object:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(working, "check_set", broken)
    result = done(place)
    assert result.came is Came.BROKE_OFF and "nothing is released" in (result.trouble or "")
    assert not (tmp_path / "a.review").exists()


def test_two_boards_in_one_folder_have_a_review_each(tmp_path) -> None:
    files = {f"{board}.{name}": text for board in ("left", "right") for name, text in a_set().items()}
    place = write(tmp_path / "pair", files)
    result = done(place)
    assert len(result.boards) == len(open_sets(place))
    assert len({board.folder for board in result.boards}) == len(result.boards)
    assert all((board.folder / "record.json").exists() for board in result.boards)


def test_what_killed_checks_left_is_removed(tmp_path) -> None:
    place, review = write(tmp_path / "a", a_set()), tmp_path / "a.review"
    done(place)
    old = review / ".top.png.0123abcd.unfinished"
    old.write_bytes(b"half")
    minute_ago = (review / "record.json").stat().st_mtime - 60
    os.utime(old, (minute_ago, minute_ago))
    (review / ".bottom.png.0123abcd.unfinished").write_bytes(b"of a check that runs now")
    write(place, a_set(THIN))
    done(place)
    assert sorted(path.name for path in review.glob(".*")) == [".bottom.png.0123abcd.unfinished"]


@pytest.mark.skipif(sys.platform == "win32", reason="locks of folders are those of POSIX systems")
def test_a_watch_waits_for_another_that_writes_the_same_review(tmp_path) -> None:
    with alone_with(tmp_path):
        trying = (
            "import fcntl, os, sys\n"
            "fcntl.flock(os.open(sys.argv[1], os.O_RDONLY), fcntl.LOCK_EX | fcntl.LOCK_NB)\n"
        )
        command = [sys.executable, "-c", trying, str(tmp_path)]
        assert subprocess.run(command, capture_output=True, check=False).returncode != 0
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0


@pytest.mark.parametrize("name", ["signal-head"])
def test_a_check_with_a_memory_gives_the_same_files(tmp_path, name) -> None:
    place = tmp_path / name
    write(place, {path.name: path.read_bytes() for path in (BOARDS / name).iterdir() if path.name != "expected.json"})
    legend = next(path for path in sorted(place.glob("*.gbr")) if b"Legend,Top" in path.read_bytes())
    memory = Memory()

    def checked() -> list[dict[str, bytes]]:
        return [review_files(one.review, one.board) for one in check_path(place, limits_for(), NOW)]

    for _ in range(2):
        with memory.in_use():
            remembering = checked()
        assert remembering == checked()
        legend.write_text(legend.read_text().replace("D10*", "D11*", 1))
