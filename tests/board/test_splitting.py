"""Several boards in one place, and one board that only looks like several."""

from pathlib import Path

from labelcheck.board.fab_set import FabSet, make_set, set_file
from labelcheck.board.opening import open_sets
from labelcheck.board.splitting import split_boards

from .drawn import a_set, drill, lay_out, legend, mask, profile


def split(files: dict[str, bytes]) -> tuple[FabSet, ...]:
    return split_boards(make_set("order", "order", [set_file(name, data) for name, data in files.items()], []))


def other(x: float) -> dict[str, bytes]:
    return {
        "F_Silkscreen.gbr": legend(x),
        "F_Mask.gbr": mask() + b"\n" * int(x),
        "Edge_Cuts.gbr": profile() + b" " * int(x),
    }


def test_by_the_beginning_of_their_names() -> None:
    files = {
        f"{board}.{layer}.gbr": data
        for board, x in (("driver", 3.0), ("signal", 5.0))
        for layer, data in (("topsilk", legend(x)), ("topmask", mask() + b" " * int(x)))
    }
    files |= {"driver.plated-drill.cnc": drill(), "signal.plated-drill.cnc": drill([(1, 1)]), "README": b"two boards"}
    first, second = split(files)
    assert (first.name, second.name) == ("order.driver", "order.signal")
    assert [file.name for file in first.files] == [
        "README",
        "driver.plated-drill.cnc",
        "driver.topmask.gbr",
        "driver.topsilk.gbr",
    ]
    assert first.fingerprint != second.fingerprint and "2 boards" in str(first.remarks[0])


def test_of_many_boards_some_are_named_and_the_others_counted() -> None:
    boards = split(
        {f"board{number}/{name}": data for number in range(9) for name, data in other(number + 1.0).items()}
    )
    assert len(boards) == 9
    assert "There are 9 boards in this place (board0, board1, board2, board3, board4, board5 and 3 more)" in str(
        boards[0].remarks[0]
    )


def test_by_classic_extensions() -> None:
    files = {
        f"{board}.{ext}": data
        for board, x in (("a1", 3.0), ("a2", 5.0))
        for ext, data in (("GTO", legend(x)), ("GTS", mask() + b" " * int(x)), ("TXT", drill([(x, x)])))
    }
    first, second = split(files)
    assert [file.name for file in second.files] == ["a2.GTO", "a2.GTS", "a2.TXT"] and len(first.files) == 3


def test_a_name_that_begins_another() -> None:
    files = {
        f"{board}-{name}": data
        for board, x in (("relay", 3.0), ("relay-mini", 5.0))
        for name, data in other(x).items()
    }
    first, second = split(files)
    assert {len(first.files), len(second.files)} == {3} and second.name == "order.relay-mini"


def test_by_project_where_names_say_nothing() -> None:
    files = {}
    for project, x in (("driver", 3.0), ("signal", 5.0)):
        for number, (name, data) in enumerate(other(x).items()):
            function = {
                "F_Silkscreen.gbr": "Legend,Top",
                "F_Mask.gbr": "Soldermask,Top",
                "Edge_Cuts.gbr": "Profile,NP",
            }[name]
            head = f"%TF.ProjectId,{project},1234,rev1*%\n%TF.FileFunction,{function}*%\n".encode()
            files[f"{number}{int(x)}.gbr"] = head + data
    first, second = split(files)
    assert [file.name for file in first.files] == ["03.gbr", "13.gbr", "23.gbr"]
    assert second.name == "order.signal rev1"


def test_by_folder(tmp_path: Path) -> None:
    inner = {f"signal/{name}": data for name, data in a_set().items()}
    outer = {f"relay/{name}": data for name, data in {**a_set(), "relay-F_Silkscreen.gbr": legend(11.0)}.items()}
    folder = lay_out(tmp_path / "order", {**inner, **outer, "readme.txt": b"two boards"})
    relay, signal = open_sets(folder)
    assert (relay.name, signal.name) == ("relay", "signal") and signal.path == str(folder / "signal")
    assert signal.fingerprint == open_sets(folder / "signal")[0].fingerprint
    assert [file.name for file in signal.files] == sorted(a_set())


def test_an_older_state_in_a_sub_folder(tmp_path: Path) -> None:
    old = {f"old/{name}": data for name, data in {**a_set(), "relay-F_Silkscreen.gbr": legend(11.0)}.items()}
    current = {name: data for name, data in a_set().items() if name != "relay.drl"}
    top, older = open_sets(lay_out(tmp_path / "relay", {**current, **old, "Drill/relay.drl": drill()}))
    assert (top.name, older.name) == ("relay", "old")
    assert [file.name for file in top.files] == sorted([*current, "Drill/relay.drl"])
    assert [file.name for file in older.files] == sorted(a_set())


def test_drills_in_a_folder_of_their_own_count_for_each_board(tmp_path: Path) -> None:
    files = {
        f"{board}/{name}": data for board, x in (("driver", 3.0), ("signal", 5.0)) for name, data in other(x).items()
    }
    sets = open_sets(lay_out(tmp_path / "order", {**files, "Drill/holes.drl": drill()}))
    assert len(sets) == 2 and all("Drill/holes.drl" in [file.name for file in one.files] for one in sets)


def test_a_file_names_its_own_board(tmp_path: Path) -> None:
    files = {
        f"{board}-{name}": data for board, x in (("driver", 3.0), ("signal", 5.0)) for name, data in other(x).items()
    }
    folder = lay_out(tmp_path / "order", files)
    (only,) = open_sets(folder / "signal-F_Mask.gbr")
    assert only.name == "order.signal"
    assert len(open_sets(folder)) == 2


def test_one_board_stays_one() -> None:
    assert len(split(a_set())) == 1
    assert len(split({f"Gerber/{name}": data for name, data in a_set().items()})) == 1


def test_a_second_state_of_one_layer_is_no_second_board() -> None:
    assert len(split({**a_set(), "relay-F_Silkscreen_old.gbr": legend(4.0)})) == 1
    assert len(split({**a_set(), "copy of relay-F_Silkscreen.gbr": legend()})) == 1


def test_a_file_that_belongs_to_neither_counts_for_both_and_is_told() -> None:
    files = {
        f"{board}-{name}": data for board, x in (("driver", 3.0), ("signal", 5.0)) for name, data in other(x).items()
    }
    sets = split({**files, "holes.drl": drill()})
    for one in sets:
        assert "holes.drl" in [file.name for file in one.files]
        assert any("belongs to" in str(remark) and remark.file == "holes.drl" for remark in one.remarks)


def test_by_the_end_of_their_names() -> None:
    files = {}
    for board, x in (("driver", 3.0), ("river", 5.0)):
        for name, data in other(x).items():
            files[f"{name.removesuffix('.gbr')}-{board}.gbr"] = data
    first, second = split({**files, "holes-driver.drl": drill()})
    assert (first.name, second.name) == ("order.driver", "order.river")
    assert (len(first.files), len(second.files)) == (4, 3)
