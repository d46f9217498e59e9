"""What a team does with limits from the command line: print, accept, verify; every way that it can go wrong."""

import io
import json
import os
import stat
import sys
from pathlib import Path
from typing import Any

import pytest

from labelcheck.cli import main
from tests.sets_made import a_set, artwork, word, write

SMALL = artwork("Legend,Top", 0.18, [*word(5, 10, 0.42), *word(12, 10, 0.52), *word(19, 15, 1.5)])
"""One label that cannot be read, one that can hardly, one that is sound."""


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return write(tmp_path / "crossing", a_set(SMALL))


def checked(place: Path) -> dict[str, Any]:
    """The record after a check."""
    main(["check", "--quiet", str(place)])
    record: dict[str, Any] = json.loads((place.parent / f"{place.name}.review" / "record.json").read_text())
    return record


def findings(record: dict[str, object]) -> list[dict[str, object]]:
    told = record["findings"]
    assert isinstance(told, list)
    return told


def test_printed_limits_are_a_limits_file(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["limits", str(place), "--process", "inkjet"]) == 0
    first = capsys.readouterr().out
    (place.parent / "labelcheck.toml").write_text(first)
    assert main(["limits", str(place)]) == 0
    again = capsys.readouterr().out
    assert 'process = "inkjet"                # labelcheck.toml:5' in again
    assert checked(place)["limits_file"] is not None


@pytest.mark.parametrize("command", [["limits"], ["check"], ["accept", "F1", "--because", "x"]])
def test_an_error_in_the_limits_file_is_told_by_every_command(
    place: Path, capsys: pytest.CaptureFixture[str], command: list[str]
) -> None:
    file = place.parent / "labelcheck.toml"
    file.write_text("\nproces = 'inkjet'\n")
    assert main([command[0], str(place), *command[1:]]) == 2
    captured = capsys.readouterr()
    assert f'{file.resolve()}:2: The key "proces" is not known. Did you mean "process"?' in captured.err
    assert captured.out == ""
    assert file.read_text() == "\nproces = 'inkjet'\n"


def test_a_limit_of_the_file_is_the_source_of_a_finding(place: Path) -> None:
    (place.parent / "labelcheck.toml").write_text("[limits.height]\ndoubtful-below = 2.0\n")
    record = checked(place)
    sources = {one["source"] for one in findings(record) if one["analyser"] == "short-character"}
    assert "labelcheck.toml:2" in sources
    limits = record["limits"]
    assert isinstance(limits, dict)
    assert limits["character height, print: doubtful below"] == {
        "value": 2.0, "unit": "mm", "source": "labelcheck.toml:2"
    }


def test_accepting_what_holds_a_board_releases_it(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = place.parent / "labelcheck.toml"
    file.write_text("# ours\npitch = 0.01 # so\n")
    held = [one for one in findings(checked(place)) if one["severity"] == "unreadable"]
    assert held
    ids = [str(one["id"]) for one in held]
    assert main(["accept", str(place), *ids, "--because", 'Read in the "jig" only.']) == 0
    assert file.read_text().startswith("# ours\npitch = 0.01 # so\n\n[[accepted]]\n")
    capsys.readouterr()
    assert main(["check", str(place)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("RELEASE: ")
    assert "accepted, and no other label was found that people cannot read" in " ".join(out.split())
    assert 'Accepted in labelcheck.toml:4: "Read in the "jig" only."' in " ".join(out.split())
    record = json.loads((place.parent / "crossing.review" / "record.json").read_text())
    accepted = [one for one in record["findings"] if one["accepted"] is not None]
    assert {one["accepted"]["because"] for one in accepted} == {'Read in the "jig" only.'}
    assert record["verdict"] == "release"
    assert [one["because"] for one in record["acceptances"].values()] == ['Read in the "jig" only.'] * len(ids)
    # Named as in the review that was looked at last, in which the numbers are other ones now.
    assert main(["accept", str(place), str(accepted[0]["id"]), "--because", "again"]) == 0
    assert "Accepted already (labelcheck.toml:4)" in capsys.readouterr().out
    assert file.read_text().count("[[accepted]]") == len(ids)


def test_findings_are_named_as_in_the_review_that_was_looked_at(place: Path) -> None:
    told = findings(checked(place))
    assert main(["accept", str(place), "F1", "--because", "one"]) == 0
    # No check in between: F2 is still that of the review.
    assert main(["accept", str(place), "F2", "--because", "two"]) == 0
    now = {one["message"]: one["accepted"] for one in findings(checked(place))}
    assert [now[one["message"]]["because"] for one in told[:2]] == ["one", "two"]  # type: ignore[index]


def test_a_label_that_got_worse_is_held_again(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    checked(place)
    assert main(["accept", str(place), "F1-F2", "--alike", "--because", "seen"]) == 0
    write(place, a_set(artwork("Legend,Top", 0.18, [*word(5, 10, 0.42), *word(12, 10, 0.47), *word(19, 15, 1.5)])))
    capsys.readouterr()
    assert main(["check", str(place)]) == 1
    assert "the fault is worse than what was accepted" in " ".join(capsys.readouterr().out.split())


def test_an_acceptance_of_what_is_mended_is_told(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    checked(place)
    assert main(["accept", str(place), "F1", "--because", "seen"]) == 0
    write(place, a_set())
    capsys.readouterr()
    main(["check", str(place)])
    assert "no such fault is found any more. Take it out" in " ".join(capsys.readouterr().out.split())


def test_what_the_board_must_carry_stands_first(place: Path) -> None:
    (place.parent / "labelcheck.toml").write_text('[[must-carry]]\ntext = "POLARITY"\n')
    told = findings(checked(place))
    assert told[0]["analyser"] == "missing-label"
    assert [one["severity"] for one in told[:2]] == ["unreadable"] * 2


def test_a_folder_is_no_limits_file(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(place), "--limits", str(place)]) == 2
    assert "This is a folder. Name the limits file in it" in capsys.readouterr().err


def test_acceptances_of_a_set_under_its_former_name_are_told_until_they_name_the_new_one(place: Path) -> None:
    checked(place)
    assert main(["accept", str(place), "F1", "--because", "agreed"]) == 0
    renamed = place.rename(place.with_name("siding"))
    told = [remark for remark in checked(renamed)["remarks"] if "accepted for sets named" in remark["message"]]
    assert [(remark["file"], remark["line"]) for remark in told] == [("labelcheck.toml", 3)]
    assert '1 finding here is accepted for sets named "crossing" and not for this one' in told[0]["message"]
    file = place.parent / "labelcheck.toml"
    file.write_text(file.read_text().replace('board = "crossing"', 'board = "siding"'))
    record = checked(renamed)
    assert not [remark for remark in record["remarks"] if "accepted for sets named" in remark["message"]]
    assert [one["accepted"] is not None for one in findings(record)].count(True) == 1


def test_another_board_beside_it_is_not_bothered_with_its_acceptances(place: Path) -> None:
    checked(place)
    assert main(["accept", str(place), "F1", "--because", "agreed"]) == 0
    other = write(place.parent / "platform", a_set(artwork("Legend,Top", 0.18, word(5, 15, 0.6))))
    assert not [remark for remark in checked(other)["remarks"] if "accepted for sets named" in remark["message"]]


def test_a_review_put_elsewhere_is_named_as_the_check_named_it(
    place: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "reviews"
    main(["check", str(place), "--quiet", "--out", str(out)])
    assert main(["accept", str(place), "F1", "--because", "agreed", "--out", str(out)]) == 0
    assert "There is no review beside the set" not in capsys.readouterr().out
    out.rename(tmp_path / "crossing.review")
    (tmp_path / "several").mkdir()
    (tmp_path / "crossing.review").rename(tmp_path / "several" / "crossing.review")
    assert main(["accept", str(place), "F1", "--because", "agreed", "--out", str(tmp_path / "several")]) == 0
    assert "Accepted already" in capsys.readouterr().out
    assert main(["accept", str(place), "F2", "--because", "agreed"]) == 0
    assert "There is no review beside the set" in capsys.readouterr().out
    renamed = place.rename(place.with_name("station"))
    other = str(tmp_path / "several" / "crossing.review")
    assert main(["accept", str(renamed), "F2", "--because", "x", "--out", other]) == 2
    assert 'This is the review of "crossing", not of "station".' in capsys.readouterr().err


def test_what_cannot_be_found_again_is_not_accepted(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    checked(place)
    write(place, a_set())
    assert main(["accept", str(place), "F1", "--because", "seen"]) == 2
    assert "Check the set again and look at the new review. Nothing was written." in capsys.readouterr().err
    assert not (place.parent / "labelcheck.toml").exists()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["F99", "--because", "x"], "F99: there is no such finding. It has F1 to F"),
        (["R12", "--because", "x"], '"R12" names no finding. Name them as the review does: F3, or F7-F12.'),
        (["F2-F1", "--because", "x"], '"F2-F1" is no range of findings.'),
        (["F1", "--because", "  "], "--because is empty."),
        (["F1", "--because", "x", "--record", "none.json"], "none.json: The record cannot be read"),
    ],
)
def test_accepting_the_wrong_thing(
    place: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], told: str
) -> None:
    checked(place)
    assert main(["accept", str(place), *arguments]) in (2, 3)
    assert told in capsys.readouterr().err
    assert not (place.parent / "labelcheck.toml").exists()


def test_accepting_needs_a_reason_and_a_single_board(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["accept", str(place), "F1"]) == 2
    assert main(["accept", str(place.parent / "none"), "F1", "--because", "x"]) == 3
    other = {name.replace("crossing", "signal"): text for name, text in a_set(SMALL).items()}
    two = write(place.parent / "two", a_set() | other)
    capsys.readouterr()
    assert main(["accept", str(two), "F1", "--because", "x"]) == 2
    assert "Name a file of the one that is meant." in capsys.readouterr().err


def test_accepting_without_a_review_goes_by_the_set_as_it_is(place: Path) -> None:
    assert main(["accept", str(place), "f1", "--because", "x", "--limits", str(place.parent / "house.toml")]) == 0
    assert (place.parent / "house.toml").read_text().count("[[accepted]]") == 1


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="a folder can be shut to a plain user only")
def test_a_limits_file_that_cannot_be_written(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    checked(place)
    place.parent.chmod(0o500)
    try:
        assert main(["accept", str(place), "F1", "--because", "x"]) == 4
    finally:
        place.parent.chmod(0o700)
    assert "The limits file cannot be written" in capsys.readouterr().err


def test_no_limits_file_without_its_folder(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    checked(place)
    for folder in ("none", "crossing.review/record.json"):
        wanted = place.parent / folder / "labelcheck.toml"
        assert main(["accept", str(place), "F1", "--because", "x", "--limits", str(wanted)]) == 4
        assert "The limits file cannot be written" in capsys.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="modes and links as on Linux")
def test_the_mode_of_the_file_and_a_link_to_it_survive(place: Path) -> None:
    checked(place)
    real = place.parent / "shared.toml"
    real.write_text("# ours\n")
    real.chmod(0o640)
    (place.parent / "labelcheck.toml").symlink_to(real)
    assert main(["accept", str(place), "F1", "--because", "x"]) == 0
    assert (place.parent / "labelcheck.toml").is_symlink()
    assert "[[accepted]]" in real.read_text()
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    assert sorted(path.name for path in place.parent.iterdir() if path.name.startswith(".")) == []


def test_a_set_is_what_its_record_tells_until_it_is_touched(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    checked(place)
    record = place.parent / "crossing.review"
    capsys.readouterr()
    assert main(["verify", str(place), str(record)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("SAME: crossing is what was checked, with these limits.\nThe verdict of ")
    (place / "crossing-mask-top.gbr").write_text("%MOMM*%\nM02*\n")
    assert main(["verify", str(place), str(record / "record.json")]) == 1
    assert "crossing-mask-top.gbr was changed since it was checked." in capsys.readouterr().out
    assert main(["verify", "--quiet", str(place), str(record)]) == 1
    assert capsys.readouterr().out == ""


def test_limits_that_changed_since_are_told_and_those_asked_for_then_are_asked_again(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["check", "--quiet", str(place), "--process", "inkjet"])
    record = str(place.parent / "crossing.review")
    assert main(["verify", str(place), record]) == 0
    (place.parent / "labelcheck.toml").write_text("[distances]\nclip = 0.2\n")
    capsys.readouterr()
    assert main(["verify", str(place), record]) == 1
    assert "ink kept clear of a mask opening was 0.05 then" in capsys.readouterr().out


def test_a_record_from_a_pipe(
    place: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    main(["check", "--record", "-", str(place)])
    piped = io.BytesIO(capsys.readouterr().out.encode())
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(piped))
    assert main(["verify", str(place), "-"]) == 0


@pytest.mark.parametrize(
    ("record", "status", "told"),
    [
        ("none.json", 3, "The record cannot be read"),
        ("crossing", 3, "The record cannot be read"),
        ("crossing/crossing-profile.gbr", 3, "This is no check record"),
    ],
)
def test_what_is_no_record(
    place: Path, capsys: pytest.CaptureFixture[str], record: str, status: int, told: str
) -> None:
    assert main(["verify", str(place), str(place.parent / record)]) == status
    assert told in capsys.readouterr().err


def test_a_record_of_another_board(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = write(place.parent / "other", a_set(artwork("Legend,Top", 0.15, word(5, 10, 1.5))))
    main(["check", "--quiet", "--record", str(place.parent / "all.json"), str(place), str(other)])
    two = write(place.parent / "two", a_set())
    capsys.readouterr()
    assert main(["verify", str(two), str(place.parent / "all.json")]) == 2
    assert "There is no record of two in it" in capsys.readouterr().err
    assert main(["verify", str(place.parent / "none"), str(place.parent / "all.json")]) == 3


def test_a_board_of_the_limits_file_that_there_is_not_is_told(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Mistyped, the table is used nowhere: the board would be released without the label that it must carry.
    (place.parent / "labelcheck.toml").write_text('[[must-carry]]\ntext = "REV ?"\nboard = "crosing"\n')
    remarks = checked(place)["remarks"]
    told = 'No board here is named "crosing": this table was not used. Did you mean "crossing"?'
    assert {"file": "labelcheck.toml", "line": 1, "message": told} in remarks
    other = write(place.parent / "siding", a_set(SMALL))
    capsys.readouterr()
    main(["check", "--quiet", str(place), str(other)])
    assert capsys.readouterr().err.count(told) == 1
