"""What Windows and macOS do otherwise, as far as it can be shown on any system."""

import os
import unicodedata
from dataclasses import dataclass
from pathlib import Path

import pytest

from labelcheck.trade.file_systems import file_name_for, is_link, is_same, one_place


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("turnout-driver", "turnout-driver"),
        ("a/b:c", "a_b_c"),
        ('what? "this" <is|it>*', "what_ _this_ _is_it__"),
        ("..", "set"),
        ("  ", "set"),
        ("board. ", "board"),
        # "Naming Files, Paths, and Namespaces" of the Windows documentation: devices, whatever ending follows.
        ("nul", "_nul"),
        ("CON", "_CON"),
        ("aux.v2", "_aux.v2"),
        ("Com1", "_Com1"),
        ("lpt²", "_lpt²"),
        ("com10", "com10"),
        ("console", "console"),
    ],
)
def test_a_name_that_every_system_takes(name: str, expected: str) -> None:
    assert file_name_for(name) == expected
    assert file_name_for(expected) == expected


def test_control_characters_are_kept_where_they_may_stand() -> None:
    assert file_name_for("signal\nhead", on_windows=False) == "signal\nhead"
    assert file_name_for("signal\nhead", on_windows=True) == "signal_head"


def test_names_that_are_one_on_some_disks() -> None:
    composed, apart = unicodedata.normalize("NFC", "Übergang"), unicodedata.normalize("NFD", "Übergang")
    assert composed != apart and one_place(Path(composed)) == one_place(Path(apart))
    assert one_place(Path("A.review")) == one_place(Path("a.review")) != one_place(Path("b.review"))


def test_one_folder_by_two_spellings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "Board").mkdir()
    assert is_same(tmp_path / "Board", tmp_path / "Board")
    assert not is_same(tmp_path / "Board", tmp_path / "other")
    # As a disk of macOS answers, where both names are one folder.
    monkeypatch.setattr(os.path, "samefile", lambda one, other: str(one).lower() == str(other).lower())
    assert is_same(tmp_path / "Board", tmp_path / "board")


@dataclass
class Entry:
    """An entry of a folder as Python 3.12 shows it on Windows."""

    symlink: bool = False
    junction: bool = False

    def is_symlink(self) -> bool:
        return self.symlink

    def is_junction(self) -> bool:
        return self.junction


@pytest.mark.parametrize("symlink", [True, False])
@pytest.mark.parametrize("junction", [True, False])
def test_a_junction_is_a_link_too(symlink: bool, junction: bool) -> None:
    assert is_link(Entry(symlink, junction)) == (symlink or junction)  # type: ignore[arg-type]  # all it asks for


def test_entries_of_this_system(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "link").symlink_to("folder")
    with os.scandir(tmp_path) as listing:
        assert {entry.name: is_link(entry) for entry in listing} == {"folder": False, "link": True}
