"""Fab sets out of folders, zips and single files, and everything that lies there and is none."""

import io
import os
import stat
import struct
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.board import archives, opening
from labelcheck.board.archives import unpack
from labelcheck.board.fab_set import FabSet
from labelcheck.board.opening import open_sets
from labelcheck.trade.errors import UnreadableSet
from labelcheck.watching.looking import Looker

from .drawn import a_set, drill, lay_out, legend, mask, profile


def zipped(files: dict[str, bytes], **options: int) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data, **options)
    return stream.getvalue()


def only(path: Path) -> FabSet:
    (fab_set,) = open_sets(path)
    return fab_set


def names(fab_set: FabSet) -> list[str]:
    return [file.name for file in fab_set.files]


def told(fab_set: FabSet) -> str:
    return "\n".join(map(str, fab_set.remarks))


def test_folder_zip_and_single_file_are_one_set(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "relay", a_set())
    (tmp_path / "relay.zip").write_bytes(zipped(a_set()))
    by_folder, by_zip, by_file = only(folder), only(tmp_path / "relay.zip"), only(folder / "relay.drl")
    assert names(by_folder) == sorted(a_set())
    assert by_folder.fingerprint == by_zip.fingerprint == by_file.fingerprint
    assert by_folder.fingerprint.startswith("sha256:") and len(by_folder.fingerprint) == 71
    assert (by_folder.name, by_zip.name, by_file.name) == ("relay", "relay", "relay")


def test_the_fingerprint_tells_names_and_contents(tmp_path: Path) -> None:
    first = only(lay_out(tmp_path / "a", {"x.gbr": b"1*", "y.gbr": b"2*"})).fingerprint
    for other in ({"x.gbr": b"2*", "y.gbr": b"1*"}, {"x.gbr": b"1*"}, {"z.gbr": b"1*", "y.gbr": b"2*"}):
        assert only(lay_out(tmp_path / str(len(other)) / str(sorted(other.items())), other)).fingerprint != first


def test_one_common_folder_in_a_zip_is_no_part_of_the_names(tmp_path: Path) -> None:
    path = tmp_path / "relay.zip"
    path.write_bytes(zipped({f"relay_v2/{name}": data for name, data in a_set().items()}))
    assert names(only(path)) == sorted(a_set())


def test_sub_folders_belong_to_the_set(tmp_path: Path) -> None:
    files = {"Gerber/silk_top.gbr": legend(), "Gerber/mask_top.gbr": mask(), "Drill/holes.drl": drill()}
    assert names(only(lay_out(tmp_path / "relay", files))) == sorted(files)


def test_litter_and_own_reviews_are_left_out(tmp_path: Path) -> None:
    litter = {
        ".DS_Store": b"x",
        "._relay.GTO": b"\x00",
        "__MACOSX/._relay.GTO": b"\x00",
        "Thumbs.db": b"x",
        "relay.review/record.json": b"{}",
        "relay.comparison/comparison.png": b"\x89PNG",
        ".git/config": b"x",
        "~$bom.csv": b"",
        "relay.GTO~": b"x",
    }
    folder = lay_out(tmp_path / "relay", {**a_set(), **litter})
    (tmp_path / "relay.zip").write_bytes(zipped({**a_set(), **litter}))
    assert names(only(folder)) == names(only(tmp_path / "relay.zip")) == sorted(a_set())


def test_nothing_is_written_into_the_set(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "relay", a_set())
    before = sorted((path.name, path.stat().st_mtime_ns) for path in folder.iterdir())
    open_sets(folder)
    assert sorted((path.name, path.stat().st_mtime_ns) for path in folder.iterdir()) == before


@pytest.mark.parametrize("make", ["missing", "empty folder", "empty file", "no zip", "cut zip", "empty zip", "fifo"])
def test_what_cannot_be_opened(tmp_path: Path, make: str) -> None:
    path = tmp_path / ("relay.zip" if "zip" in make or make == "empty file" else "relay")
    if make == "empty folder":
        path.mkdir()
    elif make == "fifo":
        os.mkfifo(path)
    elif make != "missing":
        whole = zipped(a_set())
        path.write_bytes(
            {"empty file": b"", "no zip": b"hello", "cut zip": whole[: len(whole) // 2], "empty zip": zipped({})}[
                make
            ]
        )
    with pytest.raises(UnreadableSet) as caught:
        open_sets(path)
    assert str(caught.value).startswith(str(path)) and str(caught.value).count(".") >= 2


def test_a_name_with_a_null_character() -> None:
    with pytest.raises(UnreadableSet):
        open_sets("relay\0.zip")


def test_links_pipes_and_loops_are_not_followed(tmp_path: Path) -> None:
    outside = tmp_path / "outside.gbr"
    outside.write_bytes(legend())
    folder = lay_out(tmp_path / "relay", a_set())
    (folder / "link-out.gbr").symlink_to(outside)
    (folder / "link-in.gbr").symlink_to(folder / "relay.drl")
    (folder / "loop").symlink_to(folder)
    (folder / "nowhere.gbr").symlink_to(folder / "absent")
    (folder / "round.gbr").symlink_to(folder / "round.gbr")
    os.mkfifo(folder / "pipe.gbr")
    fab_set = only(folder)
    assert names(fab_set) == sorted({**a_set(), "link-in.gbr": b""})
    assert {remark.file for remark in fab_set.remarks} == {
        "link-out.gbr",
        "loop",
        "nowhere.gbr",
        "round.gbr",
        "pipe.gbr",
    }


def test_a_link_to_the_set_is_followed(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "relay", a_set())
    (tmp_path / "latest").symlink_to(folder)
    assert only(tmp_path / "latest").fingerprint == only(folder).fingerprint


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    folder = lay_out(tmp_path / "relay", a_set())
    (folder / "relay-F_Mask.gbr").chmod(0)
    fab_set = only(folder)
    (closed,) = [file for file in fab_set.files if file.problem is not None]
    assert closed.name == "relay-F_Mask.gbr" and closed.sha256 == ""


def test_a_file_too_large_to_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "FILE_BYTES_AT_MOST", 300)
    folder = lay_out(tmp_path / "relay", {"relay-F_Mask.gbr": mask(), "notes.txt": b"short"})
    large = [file for file in only(folder).files if file.problem is not None]
    assert [file.name for file in large] == ["relay-F_Mask.gbr"] and "larger than 300 bytes" in str(large[0].problem)


def test_too_many_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "FILES_AT_MOST", 5)
    with pytest.raises(UnreadableSet, match="more than 5 files"):
        open_sets(lay_out(tmp_path / "relay", a_set()))


def test_deep_folders_end_somewhere(tmp_path: Path) -> None:
    fab_set = only(lay_out(tmp_path / "relay", {**a_set(), "a/b/c/d/e/f/deep.gbr": legend()}))
    assert names(fab_set) == sorted(a_set()) and "deep" in told(fab_set)


def test_the_same_files_zipped_beside_them(tmp_path: Path) -> None:
    fab_set = only(lay_out(tmp_path / "relay", {**a_set(), "relay.zip": zipped(a_set())}))
    assert "holds the same files" in told(fab_set)


def test_other_files_zipped_beside_them(tmp_path: Path) -> None:
    inner = {**a_set(), "relay-F_Silkscreen.gbr": legend(12.0)}
    fab_set = only(lay_out(tmp_path / "relay", {**a_set(), "relay.zip": zipped(inner)}))
    assert "1 files that differ" in told(fab_set) and "relay-F_Silkscreen.gbr" in told(fab_set)


def test_a_folder_that_holds_only_a_zip(tmp_path: Path) -> None:
    fab_set = only(lay_out(tmp_path / "order", {"relay.zip": zipped(a_set()), "order.txt": b"10 pieces"}))
    assert "relay.zip/relay.drl" in names(fab_set) and "was opened" in told(fab_set)


def test_a_folder_of_several_zips_asks_for_one(tmp_path: Path) -> None:
    with pytest.raises(UnreadableSet, match=r"a\.zip, b\.zip"):
        open_sets(lay_out(tmp_path / "orders", {"a.zip": zipped(a_set()), "b.zip": zipped({"x.gbr": legend()})}))


@pytest.mark.parametrize("name", ["../evil.gbr", "/etc/evil.gbr", "a/../../evil.gbr", "C:\\evil.gbr", "..\\evil.gbr"])
def test_names_that_climb_out_of_a_zip(tmp_path: Path, name: str) -> None:
    path = tmp_path / "relay.zip"
    path.write_bytes(zipped({**a_set(), name: legend()}))
    fab_set = only(path)
    assert names(fab_set) == sorted(a_set()) and "leads out of the set" in told(fab_set)
    assert sorted(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", ["", "gerber\\", "gerber/"])
def test_an_entry_without_a_name_and_folders_in_a_zip(tmp_path: Path, name: str) -> None:
    # The central directory (APPNOTE 4.3.12) may give a file name length of 0; some packers end folders with `\`.
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr(zipfile.ZipInfo("_" if name == "" else name), b"")
        for base, data in a_set().items():
            archive.writestr(base, data)
    data = stream.getvalue()
    if name == "":
        at = data.index(b"PK\x01\x02")
        entry = bytearray(data[at : at + 46] + data[at + 47 :])
        entry[28:30] = b"\0\0"
        end = entry.rindex(b"PK\x05\x06")
        size = struct.unpack_from("<L", entry, end + 12)[0] - 1
        struct.pack_into("<L", entry, end + 12, size)
        data = data[:at] + bytes(entry)
    (tmp_path / "relay.zip").write_bytes(data)
    assert names(only(tmp_path / "relay.zip")) == sorted(a_set())
    assert len(Looker(tmp_path).look().places) == 1
    assert ("leads out" in told(only(tmp_path / "relay.zip"))) == (name == "")


def test_a_link_inside_a_zip(tmp_path: Path) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        link = zipfile.ZipInfo("evil.gbr")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc/passwd")
        for name, data in a_set().items():
            archive.writestr(name, data)
    (tmp_path / "relay.zip").write_bytes(stream.getvalue())
    fab_set = only(tmp_path / "relay.zip")
    assert "evil.gbr" not in names(fab_set) and "never followed" in told(fab_set)


def test_a_zip_that_unpacks_to_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archives, "UNPACKED_BYTES_AT_MOST", 1_000_000)
    bomb = zipped({"a.gbr": b"0" * 600_000, "b.gbr": b"0" * 600_000})
    with pytest.raises(UnreadableSet, match="unpacks to more than"):
        unpack("bomb.zip", bomb)


def test_a_zip_packed_too_densely(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archives, "RATIO_MATTERS_BYTES", 100_000)
    with pytest.raises(UnreadableSet, match="400 times"):
        unpack("bomb.zip", zipped({"a.gbr": b"0" * 3_000_000}))


def test_a_size_that_lies_is_not_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The size in the directory says 10 bytes; the stream goes on, and is bounded all the same."""
    monkeypatch.setattr(archives, "UNPACKED_BYTES_AT_MOST", 1_000)
    data = bytearray(zipped({"a.gbr": b"0" * 50_000}))
    at = data.rindex(b"PK\x01\x02")
    data[at + 24 : at + 28] = struct.pack("<I", 10)
    unpacked = unpack("x.zip", bytes(data))
    assert [file.problem is not None or len(file.data) <= 1_000 for file in unpacked.files] == [True]


def test_too_many_members(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archives, "MEMBERS_AT_MOST", 3)
    with pytest.raises(UnreadableSet, match="more than 3 files"):
        unpack("x.zip", zipped(a_set()))


def test_an_encrypted_member_is_unread_not_lost() -> None:
    data = bytearray(zipped({"a.gbr": legend(), "b.gbr": mask()}))
    for header, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.index(header) + flags] |= 1
    files = {file.name: file for file in unpack("x.zip", bytes(data)).files}
    assert "encrypted" in str(files["a.gbr"].problem) and files["b.gbr"].problem is None


def test_a_wrong_checksum_is_unread_not_lost() -> None:
    data = bytearray(zipped({"a.gbr": legend(), "b.gbr": mask()}))
    at = data.index(b"PK\x01\x02")
    data[at + 16] ^= 0xFF
    files = {file.name: file for file in unpack("x.zip", bytes(data)).files}
    assert "damaged" in str(files["a.gbr"].problem) and files["b.gbr"].problem is None


def test_one_name_twice_in_a_zip() -> None:
    stream = io.BytesIO()
    with pytest.warns(UserWarning, match="Duplicate name"), zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("a.gbr", legend())
        archive.writestr("a.gbr", mask())
    unpacked = unpack("x.zip", stream.getvalue())
    assert [file.data for file in unpacked.files] == [mask()] and len(unpacked.remarks) == 1


@settings(derandomize=True, max_examples=150, deadline=None)
@given(st.integers(0, 10_000), st.binary(max_size=5), st.integers(0, 200))
def test_damaged_zips(at: int, junk: bytes, cut: int) -> None:
    data = zipped({"a.gbr": profile(), "b/c.drl": drill()})
    at %= len(data)
    try:
        unpacked = unpack("x.zip", data[:at] + junk + data[at + cut :])
    except UnreadableSet:
        return
    for file in unpacked.files:
        assert file.problem is not None or file.sha256


def test_a_file_beside_several_boards_is_none_of_them(tmp_path: Path) -> None:
    # All of them would be checked for the name of some other file.
    for number, name in enumerate(("relay", "siding"), start=1):
        lay_out(tmp_path / name, {**a_set(), "relay-F_Silkscreen.gbr": legend(2.0 + number)})
    (tmp_path / "labels.sarif").write_text("{}")
    assert len(open_sets(tmp_path)) == 2
    with pytest.raises(UnreadableSet, match=r"labels\.sarif: This file belongs to none of the 2 boards"):
        open_sets(tmp_path / "labels.sarif")
    assert only(tmp_path / "siding" / "relay.drl").name == "siding"
