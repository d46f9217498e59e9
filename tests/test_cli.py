"""The command line: what it prints, what it writes, how it ends."""

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from labelcheck.checking import check_set
from labelcheck.cli import main
from labelcheck.trade.version import MADE_BY
from tests.sets_made import a_set, artwork, word, write


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_fault_of_the_program_ends_in_a_sentence(monkeypatch, capsys) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("none left")

    monkeypatch.setattr("labelcheck.commands.limits.limits_text", broken)
    assert main(["limits"]) == 3
    err = capsys.readouterr().err
    assert err.startswith("labelcheck: this broke off (ZeroDivisionError: none left; test_cli.py:")
    assert "Traceback" not in err


def test_a_sound_board_is_released(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set())
    before = contents(place)
    assert main(["check", str(place)]) == 0
    assert capsys.readouterr().out.startswith("RELEASE")
    assert set(contents(tmp_path / "crossing.review")) == {"record.json", "review.html", "top.png", "bottom.png"}
    assert contents(place) == before


def test_a_board_with_a_label_too_small_is_held(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set(artwork("Legend,Top", 0.15, word(5, 10, 0.45))))
    assert main(["check", str(place)]) == 1
    out = capsys.readouterr().out
    assert out.startswith("HOLD")
    assert "0.60 mm high" in out


def test_a_zip_and_a_file_of_a_set_are_sets_too(tmp_path) -> None:
    place = write(tmp_path / "crossing", a_set())
    packed = tmp_path / "packed" / "crossing.zip"
    packed.parent.mkdir()
    with zipfile.ZipFile(packed, "w") as archive:
        for path in sorted(place.iterdir()):
            archive.write(path, path.name)
    assert main(["check", "--quiet", str(packed), str(place / "crossing-legend-top.gbr")]) == 0
    from_zip = json.loads((tmp_path / "packed" / "crossing.review" / "record.json").read_text())
    from_file = json.loads((tmp_path / "crossing.review" / "record.json").read_text())
    assert from_zip["set"]["fingerprint"] == from_file["set"]["fingerprint"]
    assert from_zip["labels"] == from_file["labels"]


def test_out_puts_the_review_elsewhere(tmp_path) -> None:
    place = write(tmp_path / "crossing", a_set())
    assert main(["check", "--quiet", "--out", str(tmp_path / "there"), str(place)]) == 0
    assert (tmp_path / "there" / "record.json").exists()
    assert not (tmp_path / "crossing.review").exists()


def test_nothing_is_written_into_the_set(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set())
    before = contents(place)
    assert main(["check", "--out", str(place / "review"), str(place)]) == 4
    assert "inside the fab set" in capsys.readouterr().err
    assert contents(place) == before


def test_the_record_goes_to_a_pipe_and_nothing_else_does(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set())
    assert main(["check", "--record", "-", str(place)]) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["record"] == "labelcheck/1"
    assert record["verdict"] == "release"
    assert main(["check", "--quiet", "--record", str(tmp_path / "r.json"), str(place)]) == 0
    assert json.loads((tmp_path / "r.json").read_text())["set"] == record["set"]


def test_quiet_is_one_line_a_board(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set())
    assert main(["check", "--quiet", str(place)]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 1


def test_inches_are_shown_where_asked_for(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set(artwork("Legend,Top", 0.15, word(5, 10, 0.45))))
    assert main(["check", "--inch", str(place)]) == 1
    out = capsys.readouterr().out
    assert "0.0236 in high" in out
    assert json.loads((tmp_path / "crossing.review" / "record.json").read_text())["labels"][0][
        "character_height_mm"
    ] == pytest.approx(0.6, abs=0.01)


def test_process_and_distance_change_the_limits(tmp_path) -> None:
    place = write(tmp_path / "crossing", a_set(artwork("Legend,Top", 0.15, word(5, 10, 0.9))))
    assert main(["check", "--quiet", str(place)]) == 0
    assert main(["check", "--quiet", "--process", "screen-printed", "--reading-distance", "600", str(place)]) == 1


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["check"],
        ["check", "--process", "etched", "x"],
        ["check", "--reading-distance", "-3", "x"],
        ["check", "--reading-distance", "far", "x"],
        ["check", "--reading-distance", "nan", "x"],
        ["check", "--pitch", "0", "x"],
        ["weigh", "x"],
    ],
)
def test_wrong_arguments_end_with_2(arguments, capsys) -> None:
    assert main(arguments) == 2
    assert "--help" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "meant"),
    [
        (["chekc", "x"], 'there is no command "chekc"; did you mean "check"?'),
        (["check", "x", "--reslts", "y"], 'there is no option "--reslts"; did you mean "--results"?'),
        (["check", "x", "--process", "ink"], '"ink" is none of screen-printed, photo-imaged, inkjet'),
        (["check", "x", "--pitch", "fine"], '"fine" is no number'),
        (["check", ""], "the name is empty"),
        (["check", "x", "--out", " "], "the name is empty"),
        (["check", "x", "--record", ""], "the name is empty"),
        (["compare", "a" * 5000, "x"], "is longer than a name can be"),
        (["verify", "a", "b", "c"], '"c" is one argument too many'),
        (["check", "x", "--record", "-", "--results", "-"], "Give one of them a file"),
    ],
)
def test_a_slip_in_the_arguments_is_told_with_what_was_meant(arguments, meant, capsys) -> None:
    assert main(arguments) == 2
    told = capsys.readouterr().err
    assert meant in told
    assert len(told.splitlines()) == 1


def test_a_name_does_not_work_the_terminal(tmp_path, capsys) -> None:
    assert main(["check", str(tmp_path / "\x1b[31mred"), str(tmp_path / "\x07bell")]) == 3
    assert main(["sheet", str(tmp_path / "\x1b[31mred")]) == 3
    told = capsys.readouterr().err
    assert "red: There is no such file" in told and "\x1b" not in told and "\x07" not in told


def test_the_version_is_told(capsys) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"{MADE_BY}\n"


def test_a_set_named_twice_is_checked_once(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set())
    assert main(["check", "--quiet", str(place), f"{place}/", str(place / "crossing-legend-top.gbr")]) == 0
    captured = capsys.readouterr()
    assert len(captured.out.splitlines()) == 1
    assert captured.err.startswith("labelcheck: 2 more arguments name sets that are checked already")
    assert {path.name for path in tmp_path.iterdir()} == {"crossing", "crossing.review"}


def test_results_go_to_a_pipe_and_nothing_else_does(tmp_path, capsys, monkeypatch) -> None:
    place = write(tmp_path / "crossing", a_set())
    monkeypatch.chdir(tmp_path)
    assert main(["check", "--results", "-", str(place)]) == 0
    assert json.loads(capsys.readouterr().out)["version"] == "2.1.0"
    assert not (tmp_path / "-").exists()


def test_several_boards_are_cautioned_about_once(tmp_path, capsys) -> None:
    places = [write(tmp_path / name, a_set()) for name in ("crossing", "siding")]
    assert main(["check", *map(str, places)]) == 0
    assert capsys.readouterr().out.count("no certificate") == 1
    assert main(["check", str(places[0]), str(places[0])]) == 0
    assert capsys.readouterr().out.count("no certificate") == 1


def test_help_tells_the_exit_status(capsys) -> None:
    assert main(["check", "--help"]) == 0
    out = capsys.readouterr().out
    assert "exit status" in out and "--reading-distance" in out and "no certificate" in out


def test_a_set_that_is_not_there_ends_with_3(tmp_path, capsys) -> None:
    assert main(["check", str(tmp_path / "nowhere")]) == 3
    assert "nowhere" in capsys.readouterr().err


def test_a_folder_without_any_layer_ends_with_3(tmp_path, capsys) -> None:
    place = write(tmp_path / "notes", {"to-do.txt": b"order the boards", "photo.png": bytes(range(256))})
    assert main(["check", str(place)]) == 3
    assert "None of its 2 files is a layer of a board" in capsys.readouterr().err
    assert not (tmp_path / "notes.review").exists()


def test_a_layer_that_nobody_can_place_is_a_board_on_hold(tmp_path, capsys) -> None:
    lone = b"%FSLAX46Y46*%%MOMM*%%ADD10C,0.2*%D10*X0Y0D02*X1000000D01*M02*"
    assert main(["check", str(write(tmp_path / "sheet", {"abc.dat": lone}))]) == 1
    assert "No legend was found" in capsys.readouterr().out


def test_an_empty_folder_ends_with_3(tmp_path, capsys) -> None:
    (tmp_path / "empty").mkdir()
    assert main(["check", str(tmp_path / "empty")]) == 3
    assert capsys.readouterr().err


def test_one_bad_set_does_not_keep_the_others_from_a_check(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set())
    assert main(["check", "--quiet", str(tmp_path / "nowhere"), str(place)]) == 3
    captured = capsys.readouterr()
    assert "RELEASE" in captured.out and "nowhere" in captured.err


def test_a_review_that_cannot_be_written_ends_with_4(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set())
    (tmp_path / "crossing.review").write_text("a file in the way")
    assert main(["check", str(place)]) == 4
    assert "file stands" in capsys.readouterr().err


def test_two_sets_of_one_name_do_not_overwrite_each_other(tmp_path) -> None:
    first = write(tmp_path / "a" / "crossing", a_set())
    second = write(tmp_path / "b" / "crossing", a_set(artwork("Legend,Top", 0.08, word(5, 10, 1.5))))
    assert main(["check", "--quiet", "--out", str(tmp_path / "out"), str(first), str(second)]) == 1
    verdicts = {
        path.name: json.loads((path / "record.json").read_text())["verdict"] for path in (tmp_path / "out").iterdir()
    }
    assert verdicts == {"crossing.review": "release", "crossing-2.review": "hold"}


def test_a_fault_of_ours_ends_with_3_and_does_not_stop_other_sets(tmp_path, capsys, monkeypatch) -> None:
    place = write(tmp_path / "crossing", a_set())
    other = write(tmp_path / "other", a_set())

    def broken(fab_set, *rest):
        if fab_set.path == str(place):
            raise IndexError("index -1")
        return check_set(fab_set, *rest)

    monkeypatch.setattr("labelcheck.commands.check.check_set", broken)
    assert main(["check", "--quiet", str(place), str(other)]) == 3
    captured = capsys.readouterr()
    assert "a fault of labelcheck" in captured.err and "Traceback" not in captured.err
    assert "RELEASE" in captured.out


def without_times(record: dict) -> dict:
    return {key: value for key, value in record.items() if key != "checked_at"}


def test_many_sets_give_what_they_give_one_by_one(tmp_path, capsys) -> None:
    names = ["crossing", "siding", "platform"]
    heights = [1.5, 0.45, 1.2]
    places = [
        write(tmp_path / name, a_set(artwork("Legend,Top", 0.15, word(5, 10, height))))
        for name, height in zip(names, heights, strict=True)
    ]
    together = ["check", *map(str, places), "--out", str(tmp_path / "together")]
    assert main([*together, "--results", str(tmp_path / "all.sarif")]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[:2] for line in lines[-4:]] == [
        ["set", "verdict"], ["crossing", "release"], ["siding", "hold"], ["platform", "release"],
    ]
    for name, place in zip(names, places, strict=True):
        main(["check", "--quiet", str(place), "--out", str(tmp_path / "alone" / name)])
        whole, single = tmp_path / "together" / f"{name}.review", tmp_path / "alone" / name
        records = [json.loads((folder / "record.json").read_text("utf-8")) for folder in (whole, single)]
        assert without_times(records[0]) == without_times(records[1])
        assert contents(whole).keys() == contents(single).keys()
    runs = json.loads((tmp_path / "all.sarif").read_text("utf-8"))["runs"]
    assert [run["automationDetails"]["id"] for run in runs] == [f"labelcheck/{name}/" for name in names]


def test_a_set_that_cannot_be_read_stands_in_the_table_too(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set())
    assert main(["check", str(tmp_path / "gone"), str(place)]) == 3
    captured = capsys.readouterr()
    assert "gone" in captured.err
    assert captured.out.splitlines()[-2].split()[-6:-1] == ["not", "checked", "-", "-", "-"]


def test_sets_of_one_name_keep_folders_of_their_own(tmp_path) -> None:
    places = [write(tmp_path / part / "crossing", a_set()) for part in ("a", "b", "c")]
    assert main(["check", "--quiet", *map(str, places), "--out", str(tmp_path / "there")]) == 0
    assert {path.name for path in (tmp_path / "there").iterdir()} == {
        "crossing.review", "crossing-2.review", "crossing-3.review",
    }


def test_results_that_cannot_be_written_end_with_4(tmp_path, capsys) -> None:
    place = write(tmp_path / "crossing", a_set())
    assert main(["check", "--quiet", str(place), "--results", str(tmp_path / "absent" / "x.sarif")]) == 4
    told = capsys.readouterr().err
    assert "the folder is not there" in told and f"{tmp_path / 'absent' / 'x.sarif'}: " in told


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_signs_that_a_pipe_does_not_know_are_replaced_for_people_and_kept_for_programs(tmp_path, encoding) -> None:
    write(tmp_path / "über Ω", a_set())
    command = [sys.executable, "-W", "error", "-m", "labelcheck", "check", str(tmp_path / "über Ω")]
    surroundings = os.environ | {"PYTHONIOENCODING": encoding, "PYTHONPATH": os.pathsep.join(sys.path)}
    for_people = subprocess.run(command, capture_output=True, env=surroundings)
    assert (for_people.returncode, for_people.stderr) == (0, b"")
    assert b"?" in for_people.stdout and for_people.stdout.decode(encoding).startswith("RELEASE")
    for_programs = subprocess.run([*command, "--record", "-"], capture_output=True, env=surroundings)
    assert json.loads(for_programs.stdout.decode("utf-8"))["set"]["name"] == "über Ω"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no file that is always full")
@pytest.mark.parametrize("arguments", [["limits"], ["check", "boards/signal-head", "--record", "-"]])
def test_a_full_disk_behind_what_is_printed_is_a_sentence(tmp_path: Path, arguments: list[str]) -> None:
    root = Path(__file__).resolve().parents[1]
    out = ["--out", str(tmp_path / "out")] if arguments[0] == "check" else []
    with open("/dev/full", "w") as full:
        command = [sys.executable, "-m", "labelcheck", *arguments, *out]
        run = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, cwd=root, check=False)
    assert (run.returncode, run.stderr) == (
        4, "labelcheck: What is printed goes to a file, and its disk is full. Make room, or send it elsewhere.\n"
    )


def test_boards_whose_names_differ_in_capitals_only_have_two_reviews(tmp_path) -> None:
    # On many disks of Windows and macOS they would be one folder.
    for name in ("one/Crossing", "two/crossing"):
        write(tmp_path / name, a_set())
    assert main(["check", str(tmp_path / "one" / "Crossing"), str(tmp_path / "two" / "crossing"),
                 "--out", str(tmp_path / "out")]) == 0  # fmt: skip
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["Crossing.review", "crossing-2.review"]
