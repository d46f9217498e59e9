"""`labelcheck sheet`: what it writes, where, and how it ends."""

import errno
import os
import shutil
from pathlib import Path

import pytest

from labelcheck.board.opening import open_sets
from labelcheck.cli import main
from labelcheck.review.true_size.side_drawing import BODY_LINE
from tests.pdf_seen import pages_of
from tests.sets_made import a_set, artwork, word, write

DEMO = Path(__file__).resolve().parents[2] / "boards"


def test_it_writes_beside_the_set_and_says_how_to_print(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write(tmp_path / "crossing", a_set())
    assert main(["sheet", str(folder)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("crossing: 1 page A4, both sides at 1:1\n")
    assert "Print at 100 %" in out and "crossing.true-size.pdf" in out
    assert sorted(path.name for path in tmp_path.iterdir()) == ["crossing", "crossing.true-size.pdf"]
    assert len(list(folder.iterdir())) == 5  # nothing is written into a set
    one_file = sorted(folder.iterdir())[0]
    before = (tmp_path / "crossing.true-size.pdf").read_bytes()
    assert main(["sheet", str(one_file), "--quiet"]) == 0
    assert capsys.readouterr().out == ""
    assert (tmp_path / "crossing.true-size.pdf").read_bytes() == before


def test_paper_and_place_can_be_chosen(tmp_path: Path) -> None:
    folder = write(tmp_path / "crossing", a_set())
    assert main(["sheet", str(folder), "--paper", "letter", "--out", str(tmp_path / "a.pdf"), "--quiet"]) == 0
    assert pages_of((tmp_path / "a.pdf").read_bytes())[0].width_mm == pytest.approx(215.9, abs=1e-3)


def test_a_part_without_a_size_is_told_with_what_gives_it_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = Path(shutil.copytree(DEMO / "track-detector", tmp_path / "detector"))
    assert main(["sheet", str(folder)]) == 0
    first = capsys.readouterr().out
    assert "nothing tells their size: TP1 and TP2." in first and "[[bodies]] with its reference" in first
    (tmp_path / "labelcheck.toml").write_text('[[bodies]]\nreference = "TP*"\nlength = 2\nwidth = 2\n')
    assert main(["sheet", str(folder)]) == 0
    assert "[[bodies]]" not in capsys.readouterr().out


def test_the_sheet_goes_to_a_pipe(
    tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write(tmp_path / "crossing", a_set())
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", str(folder), "--paper", "A4", "--out", "-"]) == 0
    assert pages_of(capfdbinary.readouterr().out)[0].width_mm == pytest.approx(210.0, abs=1e-3)
    assert [path.name for path in tmp_path.iterdir()] == ["crossing"]


def test_a_body_that_the_limits_file_states_is_drawn(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(DEMO / "track-detector", tmp_path / "detector"))
    stated = tmp_path / "labelcheck.toml"

    def bodies_so_wide() -> int:
        assert main(["sheet", str(folder), "--quiet"]) == 0
        page = pages_of((tmp_path / "detector.true-size.pdf").read_bytes())[0]
        paths = [path for one in page.stroked(BODY_LINE.colour) for path in one.paths]
        return sum(max(x for x, _ in path) - min(x for x, _ in path) == pytest.approx(23.7) for path in paths)

    stated.write_text("", encoding="utf-8")
    assert bodies_so_wide() == 0
    stated.write_text('[[bodies]]\nreference = "K1"\nlength = 23.7\nwidth = 6.1\n', encoding="utf-8")
    assert bodies_so_wide() == 1


@pytest.mark.parametrize("inside", ["crossing/sheet.pdf", "crossing/new/sheet.pdf"])
def test_nothing_is_written_inside_the_set(inside: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write(tmp_path / "crossing", a_set())
    for named in (folder, sorted(folder.iterdir())[0]):
        assert main(["sheet", str(named), "--out", str(tmp_path / inside)]) == 4
        assert "inside the fab set" in capsys.readouterr().err
    assert len(list(folder.iterdir())) == 5


def test_errors_end_in_a_sentence_and_their_status(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write(tmp_path / "crossing", a_set())
    notes = write(tmp_path / "notes", {"read-me.txt": "no board here"})
    edges = [(0, 0, 3000, 0), (3000, 0, 3000, 2000), (3000, 2000, 0, 2000), (0, 2000, 0, 0)]
    huge = write(tmp_path / "huge", a_set(profile=artwork("Profile,NP", 0.1, edges)))
    (tmp_path / "folder").mkdir()
    for arguments, status, words in (
        ([str(tmp_path / "absent")], 3, "no such file or folder"),
        ([str(notes)], 3, ""),
        ([str(huge)], 3, "unit"),
        ([str(folder), "--out", str(tmp_path / "folder")], 4, "a folder stands where the file should be"),
        ([str(folder), "--out", str(tmp_path / "absent" / "a.pdf")], 4, "not there"),
        ([str(folder), "--limits", str(tmp_path / "absent.toml")], 2, "no such file"),
        ([str(folder), "--paper", "a3"], 2, "a4"),
    ):
        assert main(["sheet", *arguments]) == status, arguments
        err = capsys.readouterr().err
        assert words in err and "Traceback" not in err and err.strip()
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".pdf"] == []


def test_two_boards_take_a_file_each(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "order"
    for number, board in enumerate(("gate", "yard")):
        write(folder / board, a_set(artwork("Legend,Top", 0.18, word(5 + number, 10, 1.5))))
    assert main(["sheet", str(folder), "--out", str(tmp_path / "one.pdf")]) == 2
    assert "--out names one file" in capsys.readouterr().err
    assert main(["sheet", str(folder), "--quiet"]) == 0
    assert len(list(tmp_path.glob("*.true-size.pdf"))) == 2


def test_a_sheet_beside_one_of_several_boards_belongs_to_none(tmp_path: Path) -> None:
    folder = tmp_path / "order"
    for number, board in enumerate(("gate", "yard")):
        write(folder / board, a_set(artwork("Legend,Top", 0.18, word(5 + number, 10, 1.5))))
    before = [one.fingerprint for one in open_sets(folder)]
    assert main(["sheet", str(folder / "gate"), "--quiet"]) == 0
    assert (folder / "gate.true-size.pdf").exists()
    assert [one.fingerprint for one in open_sets(folder)] == before


def test_a_sheet_that_cannot_be_written_leaves_the_one_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = write(tmp_path / "crossing", a_set())
    (tmp_path / "crossing.true-size.pdf").write_bytes(b"of last week")

    def full(source: Path, target: Path) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(source), None, str(target))

    monkeypatch.setattr(os, "replace", full)
    assert main(["sheet", str(folder)]) == 4
    assert "crossing.true-size.pdf: the disk is full." in capsys.readouterr().err
    assert (tmp_path / "crossing.true-size.pdf").read_bytes() == b"of last week"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["crossing", "crossing.true-size.pdf"]
