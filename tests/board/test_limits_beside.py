"""Where the limits file of a set is looked for."""

import zipfile
from pathlib import Path

import pytest

from labelcheck.board.limits_beside import bytes_of, limits_file_of, limits_of_set, new_limits_file_for
from labelcheck.board.opening import open_sets
from labelcheck.trade.errors import WrongArguments
from tests.sets_made import a_set, write


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A set two folders below, and a zip beside it."""
    folder = write(tmp_path / "work" / "crossing", a_set())
    with zipfile.ZipFile(folder.with_suffix(".zip"), "w") as archive:
        for path in sorted(folder.iterdir()):
            archive.write(path, path.name)
    return folder


def test_the_nearest_file_counts(place: Path, tmp_path: Path) -> None:
    file_of_set = next(place.iterdir())
    for folder in (tmp_path, tmp_path / "work", place):
        (folder / "labelcheck.toml").write_text("pitch = 0.02\n")
        assert limits_file_of(place) == folder.resolve() / "labelcheck.toml"
        assert limits_file_of(file_of_set) == folder.resolve() / "labelcheck.toml"
    assert limits_file_of(place.with_suffix(".zip")) == (tmp_path / "work").resolve() / "labelcheck.toml"
    assert limits_of_set(place).pitch_source == "labelcheck.toml:1"


def test_a_named_file_wins(place: Path, tmp_path: Path) -> None:
    (place.parent / "labelcheck.toml").write_text("pitch = 0.02\n")
    (tmp_path / "house.toml").write_text("\npitch = 0.03\n")
    limits = limits_of_set(place, tmp_path / "house.toml")
    assert (limits.pitch_mm, limits.pitch_source) == (0.03, "house.toml:2")


def test_a_folder_of_that_name_is_none(place: Path) -> None:
    (place.parent / "labelcheck.toml").mkdir()
    assert limits_file_of(place) != (place.parent / "labelcheck.toml").resolve()


def test_a_limits_file_among_the_files_of_a_set_is_no_part_of_it(place: Path) -> None:
    before = open_sets(place)[0].fingerprint
    (place / "labelcheck.toml").write_text("pitch = 0.02\n")
    assert open_sets(place)[0].fingerprint == before


def test_a_limits_file_in_a_zip_is_told(place: Path) -> None:
    with zipfile.ZipFile(place.with_suffix(".zip"), "a") as archive:
        archive.writestr("labelcheck.toml", "pitch = 0.02\n")
    fab_set = open_sets(place.with_suffix(".zip"))[0]
    assert fab_set.fingerprint == open_sets(place)[0].fingerprint
    assert any("Put it beside the zip." in remark.message for remark in fab_set.remarks)


def test_a_new_file_goes_beside_the_set(place: Path) -> None:
    beside = place.parent.resolve() / "labelcheck.toml"
    for path in (place, place.with_suffix(".zip"), next(place.iterdir())):
        assert new_limits_file_for(path) == beside


def test_a_file_that_is_not_there(place: Path, tmp_path: Path) -> None:
    with pytest.raises(WrongArguments, match="There is no such file"):
        limits_of_set(place, tmp_path / "none.toml")
    with pytest.raises(WrongArguments, match="This is a folder"):
        bytes_of(tmp_path)


def test_names_of_boards_near_a_limits_file_are_known_where_it_asks_for_them(tmp_path: Path) -> None:
    place = tmp_path / "exports" / "crossing"
    for folder in (place, tmp_path / "old" / "siding", tmp_path / "crossing.review", tmp_path / "a" / "b" / "c"):
        folder.mkdir(parents=True)
    (tmp_path / "signal-head.zip").write_bytes(b"")
    file = tmp_path / "labelcheck.toml"
    file.write_text('[[labels]]\ntext = "R1"\nmatters = "not"\n')
    assert limits_of_set(place).boards_beside is None
    file.write_text('[[labels]]\ntext = "R1"\nmatters = "not"\nboard = "siding"\n')
    assert limits_of_set(place).boards_beside == ("a", "b", "crossing", "exports", "old", "siding", "signal-head")
    assert limits_of_set(place).on_board("crossing").boards_beside is None
