"""A review's files appear whole or not at all, and never inside the set."""

import errno
import json
import os
import stat
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from labelcheck.board.board import Board
from labelcheck.review import whole_files, writing
from labelcheck.review.contents import Review
from labelcheck.review.writing import review_folder_for, write_files, write_record, write_review
from labelcheck.trade.errors import UnwritableResult

OLD = {"record.json": b"old", "top.png": b"old top", "bottom.png": b"old bottom"}
NEW = {"record.json": b"new", "top.png": b"new top"}


@pytest.fixture
def fab_set(tmp_path: Path) -> Path:
    """An empty fab set."""
    path = tmp_path / "signal-head"
    path.mkdir()
    return path


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_the_folder_is_made_and_the_record_is_written_last(tmp_path: Path, fab_set: Path) -> None:
    folder = tmp_path / "deep" / "signal-head.review"
    paths = write_files(folder, NEW, fab_set)
    assert [path.name for path in paths] == ["top.png", "record.json"]
    assert contents(folder) == NEW
    assert list(fab_set.iterdir()) == []


def test_an_earlier_review_is_replaced_and_other_files_stay(tmp_path: Path, fab_set: Path) -> None:
    folder = tmp_path / "signal-head.review"
    write_files(folder, OLD, fab_set)
    (folder / "my notes.txt").write_bytes(b"keep")
    write_files(folder, NEW, fab_set)
    assert contents(folder) == {**NEW, "my notes.txt": b"keep"}


@pytest.mark.parametrize("step", ["write_new", "_remove_leftovers"])
def test_a_failure_before_the_end_leaves_the_earlier_review(
    tmp_path: Path, fab_set: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    folder = tmp_path / "signal-head.review"
    write_files(folder, OLD, fab_set)
    honest = getattr(writing, step)

    def full(*args: object, **named: object) -> None:
        if step == "_write" and args[1] != b"new":
            honest(*args)
            return
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(folder / "record.json"))

    monkeypatch.setattr(writing, step, full)
    with pytest.raises(UnwritableResult, match=r"record\.json: the disk is full\. Make room"):
        write_files(folder, NEW, fab_set)
    assert contents(folder) == OLD


def test_what_cannot_be_written_is_called_by_the_name_that_it_was_to_have(tmp_path: Path) -> None:
    with pytest.raises(UnwritableResult) as told:
        write_record(tmp_path / "absent" / "my.record.json", ["{}"])
    assert str(told.value).startswith(f"{tmp_path / 'absent' / 'my.record.json'}: the folder is not there.")


def test_a_failing_replace_leaves_whole_files_and_nothing_else(
    tmp_path: Path, fab_set: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "signal-head.review"
    write_files(folder, OLD, fab_set)
    honest = os.replace

    def refused(source: Path, target: Path) -> None:
        if Path(target).name == "record.json":
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(source), None, str(target))
        honest(source, target)

    monkeypatch.setattr(os, "replace", refused)
    with pytest.raises(UnwritableResult, match=r"record\.json: writing here is not permitted\. Choose a folder"):
        write_files(folder, NEW, fab_set)
    assert contents(folder) == {"record.json": b"old", "top.png": b"new top"}


def held_open(times: int) -> Callable[[Path, Path], None]:
    """`os.replace` of Windows while a viewer has the picture open, and lets go of it after so many attempts."""
    honest, left = os.replace, [times]

    def replace(source: Path, target: Path) -> None:
        if Path(target).name == "top.png" and left[0] > 0:
            left[0] -= 1
            error = PermissionError(errno.EACCES, "Access is denied", str(source), None, str(target))
            error.winerror = 5  # type: ignore[attr-defined]  # as Windows adds it
            raise error
        honest(source, target)

    return replace


def test_on_windows_a_picture_that_a_viewer_has_open_is_waited_for(
    tmp_path: Path, fab_set: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(whole_files, "_WAITS_S", (0.0, 0.0, 0.0))
    folder = tmp_path / "signal-head.review"
    write_files(folder, OLD, fab_set)
    monkeypatch.setattr(os, "replace", held_open(3))
    write_files(folder, NEW, fab_set)
    assert contents(folder) == NEW
    monkeypatch.setattr(os, "replace", held_open(4))
    with pytest.raises(UnwritableResult, match=r"top\.png: .*another program has the file open\. Close it there"):
        write_files(folder, OLD, fab_set)
    assert contents(folder)["record.json"] == NEW["record.json"]
    assert not list(folder.glob("*.unfinished"))


def test_never_inside_the_set_by_another_spelling_either(
    tmp_path: Path, fab_set: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # As on a disk that does not tell capitals apart.
    monkeypatch.setattr(os.path, "samefile", lambda one, other: str(one).lower() == str(other).lower())
    with pytest.raises(UnwritableResult, match="inside the fab set"):
        write_files(tmp_path / "Signal-Head" / "review", NEW, fab_set)


def test_a_file_in_the_place_of_the_folder(tmp_path: Path, fab_set: Path) -> None:
    taken = tmp_path / "signal-head.review"
    taken.write_text("mine")
    with pytest.raises(UnwritableResult, match="a file stands where the folder should be") as raised:
        write_files(taken, NEW, fab_set)
    assert raised.value.exit_status == 4
    with pytest.raises(UnwritableResult, match="a file stands where a folder should be"):
        write_files(taken / "below", NEW, fab_set)
    assert taken.read_text() == "mine"


def test_a_folder_in_the_place_of_a_file(tmp_path: Path, fab_set: Path) -> None:
    folder = tmp_path / "signal-head.review"
    (folder / "top.png").mkdir(parents=True)
    with pytest.raises(UnwritableResult, match=r"top\.png: a folder stands where a file should be"):
        write_files(folder, NEW, fab_set)
    assert [path.name for path in folder.iterdir()] == ["top.png"]


@pytest.mark.parametrize("below", [".", "review", "a/b"])
def test_never_inside_the_set(fab_set: Path, below: str) -> None:
    with pytest.raises(UnwritableResult, match="inside the fab set"):
        write_files(fab_set / below, NEW, fab_set)
    assert list(fab_set.iterdir()) == []


def test_beside_a_zip_is_not_inside_it(tmp_path: Path) -> None:
    packed = tmp_path / "signal-head.zip"
    packed.write_bytes(b"PK")
    write_files(tmp_path / "signal-head.review", NEW, packed)
    assert contents(tmp_path / "signal-head.review") == NEW


def test_what_a_killed_check_left_is_swept_and_a_running_one_is_not(tmp_path: Path, fab_set: Path) -> None:
    folder = tmp_path / "signal-head.review"
    folder.mkdir()
    left, running = folder / ".top.png.0badcafe.unfinished", folder / ".top.png.00c0ffee.unfinished"
    left.write_bytes(b"half")
    os.utime(left, (1_000_000, 1_000_000))
    running.write_bytes(b"half")
    write_files(folder, NEW, fab_set)
    assert contents(folder) == {**NEW, running.name: b"half"}


@pytest.mark.skipif(os.name == "nt", reason="modes of files are a POSIX matter")
def test_files_can_be_read_as_the_umask_allows(tmp_path: Path, fab_set: Path) -> None:
    before = os.umask(0o022)
    try:
        (written, *_) = write_files(tmp_path / "signal-head.review", NEW, fab_set)
    finally:
        os.umask(before)
    assert stat.S_IMODE(written.stat().st_mode) == 0o644


def test_a_review_lies_beside_its_set(tmp_path: Path, fab_set: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    beside = tmp_path / "signal-head.review"
    packed = tmp_path / "packed"
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("top.gto", "M02*")
    inside = fab_set / "top.gto"
    inside.write_text("M02*")
    for path in (fab_set, packed, inside):
        assert review_folder_for(path, "signal-head", None, alone=True) == beside
    monkeypatch.chdir(fab_set)
    assert review_folder_for(Path("."), "signal-head", None, alone=True) == beside
    assert review_folder_for(Path("top.gto"), "signal-head", None, alone=False) == beside


def test_a_review_lies_where_it_was_asked_for(fab_set: Path) -> None:
    assert review_folder_for(fab_set, "signal-head", Path("out"), alone=True) == Path("out")
    assert review_folder_for(fab_set, "a/b:c", Path("out"), alone=False) == Path("out/a_b_c.review")
    assert review_folder_for(fab_set, "..", Path("out"), alone=False) == Path("out/set.review")


def test_a_record_for_itself(tmp_path: Path) -> None:
    write_record(tmp_path / "all.json", ["{}\n", "{}\n"])
    assert contents(tmp_path) == {"all.json": b"{}\n{}\n"}
    with pytest.raises(UnwritableResult, match=r"the folder is not there\. Make it"):
        write_record(tmp_path / "absent" / "all.json", ["{}"])


def test_a_whole_review(tmp_path: Path, fab_set: Path, review: Review, board: Board) -> None:
    folder = tmp_path / "signal-head.review"
    paths = write_review(folder, replace(review, set_path=str(fab_set)), board)
    assert [path.name for path in paths] == ["bottom.png", "review.html", "top.png", "record.json"]
    assert json.loads((folder / "record.json").read_text("utf-8"))["set"]["name"] == "turnout-driver"
    for side in ("top", "bottom"):
        with Image.open(folder / f"{side}.png") as picture:
            assert picture.format == "PNG"
            assert max(picture.size) <= 4000
    with pytest.raises(UnwritableResult, match="inside the fab set"):
        write_review(fab_set, replace(review, set_path=str(fab_set)), board)
