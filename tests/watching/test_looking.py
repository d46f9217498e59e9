"""What lies in a folder: an export, or a drop folder with sets; and the state of each, told by the disk alone."""

import os
import shutil
import zipfile
from pathlib import Path

import pytest

from labelcheck.watching import looking
from labelcheck.watching.folders import review_folders
from labelcheck.watching.looking import Looker
from labelcheck.watching.wholeness import lacking_in
from tests.sets_made import a_set, write

GERBERS = {name: text for name, text in a_set().items() if name.endswith("gbr")}
DRILLS = {name: text for name, text in a_set().items() if not name.endswith("gbr")}


def sets_in(root: Path) -> list[str]:
    return [str(place.path.relative_to(root)) for place in Looker(root).look().places]


def zipped(path: Path, files: dict[str, str]) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return path


def test_a_folder_with_artwork_in_it_is_one_set(tmp_path) -> None:
    write(tmp_path, a_set())
    write(tmp_path / "old", a_set())
    looked = Looker(tmp_path).look()
    assert looked.is_set and sets_in(tmp_path) == ["."]
    assert "old/crossing-profile.gbr" in [stamp.name for stamp in looked.places[0].stamps]


def test_artwork_and_drills_in_folders_of_their_own_are_one_set(tmp_path) -> None:
    write(tmp_path / "a" / "gerber", GERBERS)
    write(tmp_path / "a" / "drill", DRILLS)
    write(tmp_path / "b", a_set())
    assert sets_in(tmp_path) == ["a", "b"]


def test_sets_and_zips_at_any_depth_but_reviews_and_litter(tmp_path) -> None:
    write(tmp_path / "a", a_set())
    write(tmp_path / "x" / "y" / "z", a_set())
    write(tmp_path / "a.review", a_set())
    write(tmp_path / ".hidden", a_set())
    write(tmp_path / "__MACOSX", a_set())
    write(tmp_path / "texts", {"notes.txt": "hello", "list.csv": "a,b\n"})
    zipped(tmp_path / "x" / "b.zip", a_set())
    zipped(tmp_path / "photos.zip", {"a.jpg": "no"})
    assert sets_in(tmp_path) == ["a", "x/b.zip", "x/y/z"]


def test_too_deep_is_told(tmp_path) -> None:
    write(tmp_path.joinpath(*"abcdefg"), a_set())
    looked = Looker(tmp_path).look()
    assert looked.places == () and "6 folders deep" in looked.troubles[0]


def test_too_many_is_told_and_does_not_take_for_ever(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr(looking, "ENTRIES_AT_MOST", 50)
    for number in range(60):
        (tmp_path / f"{number}.txt").touch()
    assert "more than 50 files" in Looker(tmp_path).look().troubles[0]


def test_thousands_of_files_that_are_no_artwork_are_read_once(tmp_path, monkeypatch) -> None:
    for number in range(1_500):
        (tmp_path / f"{number}.jpg").write_bytes(b"x")
        (tmp_path / f"{number}.txt").write_bytes(b"x")
    write(tmp_path / "a", a_set())
    looker, reads = Looker(tmp_path), []
    monkeypatch.setattr(looking, "read_part", lambda path, start, count: reads.append(path) or b"x")
    looker.look()
    assert {path.suffix for path in reads} == {".txt", ".gbr", ".xnc"}, "a picture is none by its name"
    first = len(reads)
    looker.look()
    assert len(reads) == first, "the second look opens nothing"


def test_a_table_within_a_set_is_part_of_its_state(tmp_path) -> None:
    """Placements are no layer, and yet a check reads them."""
    write(tmp_path / "a", a_set())
    looker = Looker(tmp_path)
    (before,) = looker.look().places
    (tmp_path / "a" / "placement.csv").write_text("Ref,X,Y\n")
    (with_table,) = looker.look().places
    (tmp_path / "a" / "placement.csv").write_text("Ref,X,Y,Rot\n")
    (changed,) = looker.look().places
    assert len({before.stamps, with_table.stamps, changed.stamps}) == 3


def test_a_change_of_any_file_is_another_state_and_looking_is_none(tmp_path) -> None:
    write(tmp_path, a_set())
    (tmp_path / "notes.txt").write_text("hello")
    looker = Looker(tmp_path)

    def state() -> object:
        (place,) = looker.look().places
        return place.stamps, place.limits

    first = state()
    (tmp_path / "crossing-profile.gbr").read_bytes()
    assert state() == first
    states = [first]
    for change in (
        lambda: (tmp_path / "notes.txt").write_text("other"),
        lambda: os.utime(tmp_path / "crossing-profile.gbr", (1, 1)),
        lambda: (tmp_path / "crossing-profile.gbr").rename(tmp_path / "edge.gbr"),
        lambda: (tmp_path / "notes.txt").unlink(),
        lambda: (tmp_path / "labelcheck.toml").write_text('process = "inkjet"\n'),
    ):
        change()
        states.append(state())
    assert len(set(states)) == len(states)


def test_links_are_not_followed_in_circles_nor_out(tmp_path) -> None:
    write(tmp_path / "drop" / "a", a_set())
    write(tmp_path / "elsewhere", a_set())
    (tmp_path / "drop" / "circle").symlink_to(tmp_path / "drop")
    (tmp_path / "drop" / "out").symlink_to(tmp_path / "elsewhere")
    (tmp_path / "drop" / "self").symlink_to("self")
    looked = Looker(tmp_path / "drop").look()
    assert [place.path.name for place in looked.places] == ["a"]
    assert len(looked.troubles) == 2


def test_a_folder_that_may_not_be_read_is_told(tmp_path, monkeypatch) -> None:
    write(tmp_path / "a", a_set())
    (tmp_path / "locked").mkdir()
    plain = os.scandir

    def refused(path: Path) -> object:
        if Path(path).name == "locked":
            raise PermissionError(13, "Permission denied")
        return plain(path)

    monkeypatch.setattr(looking.os, "scandir", refused)
    looked = Looker(tmp_path).look()
    assert len(looked.places) == 1 and "Ask for the right to read it" in looked.troubles[0]


def test_a_folder_that_is_not_there(tmp_path) -> None:
    assert not Looker(tmp_path / "none").look().there
    (tmp_path / "file").touch()
    assert not Looker(tmp_path / "file").look().there


def test_the_bare_place_of_a_drive_that_is_away_is_no_folder(tmp_path, monkeypatch) -> None:
    """As seen with a real mount: where it was, an empty folder of another drive lies."""
    drive, plain = [1], os.stat
    root = tmp_path / "drop"
    root.mkdir()

    def on_a_drive(path, *arguments, **named):
        status = plain(path, *arguments, **named)
        if Path(os.fsdecode(path)) != root:
            return status
        return os.stat_result((*status[:2], drive[0], *status[3:]), {"st_mtime_ns": status.st_mtime_ns})

    looker = Looker(root)
    monkeypatch.setattr(os, "stat", on_a_drive)
    assert looker.look().there, "an empty folder from the start"
    write(root / "a", a_set())
    assert len(looker.look().places) == 1
    shutil.move(root / "a", tmp_path / "aside")
    assert looker.look().there, "emptied by a person"
    drive[0] = 2
    assert not looker.look().there
    drive[0] = 1
    shutil.move(tmp_path / "aside", root / "a")
    assert len(looker.look().places) == 1


def test_a_file_under_way_counts_by_its_name(tmp_path) -> None:
    (tmp_path / "top.gtl").touch()
    looked = Looker(tmp_path).look()
    assert looked.is_set
    assert lacking_in(looked.places[0]) == ("top.gtl",)


@pytest.mark.parametrize(
    ("name", "content", "whole"),
    [
        ("a.gbr", GERBERS["crossing-profile.gbr"], True),
        ("a.gbr", GERBERS["crossing-profile.gbr"].replace("M02*", "M00*"), True),
        ("a.gbr", GERBERS["crossing-profile.gbr"] + "G04 made by hand*\n", True),
        ("a.gbr", GERBERS["crossing-profile.gbr"].replace("M02*\n", ""), False),
        ("a.gbr", GERBERS["crossing-profile.gbr"][:60], False),
        ("a.gbr", "", False),
        ("a.drl", DRILLS["crossing-plated.xnc"], True),
        ("a.drl", DRILLS["crossing-plated.xnc"].replace("M30\n", ""), False),
        ("a.txt", "", True),
        ("a.csv", "Ref,X,Y\n", True),
    ],
)
def test_whole_and_cut_short(tmp_path, name, content, whole) -> None:
    write(tmp_path, {"b.gbr": GERBERS["crossing-mask-top.gbr"], "c.gbr": GERBERS["crossing-mask-top.gbr"]})
    (tmp_path / name).write_text(content)
    (place,) = Looker(tmp_path).look().places
    assert lacking_in(place) == (() if whole else (name,))


def test_a_zip_is_whole_when_its_list_of_files_is_there(tmp_path) -> None:
    data = zipped(tmp_path / "a.zip", a_set()).read_bytes()
    for length in (0, 100, len(data) - 10, len(data)):
        (tmp_path / "a.zip").write_bytes(data[:length])
        (place,) = Looker(tmp_path).look().places
        assert lacking_in(place) == (() if length == len(data) else ("a.zip",))


def test_no_two_reviews_go_to_one_folder(tmp_path) -> None:
    for name in ("a", "index", "sub/a"):
        write(tmp_path / name, a_set())
    zipped(tmp_path / "a.zip", a_set())
    zipped(tmp_path / "A.zip", a_set())
    places = Looker(tmp_path).look().places
    folders = review_folders(tmp_path, places, None, False)
    assert {str(key.relative_to(tmp_path)): str(one.relative_to(tmp_path)) for key, one in folders.items()} == {
        "a": "a.review",
        "index": "index-2.review",
        "sub/a": "sub/a.review",
        "A.zip": "A.zip.review",
        "a.zip": "a.zip-2.review",
    }
