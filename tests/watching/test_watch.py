"""A watch as a person sees it: files change on the disk, lines are said, reviews appear."""

import json
import os
import shutil
import sys
import threading
import zipfile
from pathlib import Path

import pytest

from labelcheck.board.opening import open_sets
from labelcheck.trade.in_force import NOTHING_ASKED
from labelcheck.watching import loop
from labelcheck.watching.answering import words_of_command
from labelcheck.watching.hearing import Ears
from labelcheck.watching.hiring import Hired
from labelcheck.watching.looking import Looker
from labelcheck.watching.loop import Options
from labelcheck.watching.messages import Job
from labelcheck.watching.wholeness import lacking_in
from labelcheck.watching.working import Surroundings, work
from tests.sets_made import a_set, artwork, word, write
from tests.watching.running import HASTY, RunningWatch

THIN = artwork("Legend,Top", 0.08, word(5, 10, 1.5))
MOVED_THIN = artwork("Legend,Top", 0.08, word(7, 12, 1.5))


def record_of(review: Path) -> dict:
    return json.loads((review / "record.json").read_bytes())


def reviews_are_current(sets: dict[Path, Path]) -> None:
    for place, review in sets.items():
        (fab_set,) = open_sets(place)
        assert record_of(review)["set"]["fingerprint"] == fab_set.fingerprint, place
        assert sorted(path.name for path in review.iterdir()) == [
            "bottom.png", "record.json", "review.html", "top.png",
        ]  # fmt: skip


def everything_in(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


def test_an_export_folder_from_the_first_export_to_a_fixed_fault(tmp_path) -> None:
    export = tmp_path / "crossing"
    with RunningWatch([export]) as watch:
        watch.heard("not there yet")
        write(export, a_set())
        watch.heard("is there now")
        watch.heard("crossing  RELEASE")
        watch.heard("written: .*crossing.review")
        write(export, a_set(THIN))
        watch.heard("crossing  HOLD: 1 label cannot be read")
        assert '"R72"' in watch.heard(r"new +top +")
        write(export, a_set(MOVED_THIN))
        watch.heard("crossing  HOLD")
        watch.heard("no change to any fault .1 fault still there.")
        before = record_of(tmp_path / "crossing.review")
        for path in export.iterdir():
            os.utime(path)
        watch.heard("its review is up to date")
        assert record_of(tmp_path / "crossing.review") == before
        write(export, a_set(THIN.replace("M02*", "")))
        watch.heard("crossing-legend-top.gbr stays cut short")
        watch.heard("crossing  HOLD")
        write(export, a_set())
        watch.heard("crossing  RELEASE")
        watch.heard("settled .*no end")
        reviews_are_current({export: tmp_path / "crossing.review"})
        shutil.rmtree(export)
        watch.heard("The folder is gone")
    assert everything_in(tmp_path) == [
        "crossing.review", *(f"crossing.review/{name}" for name in
        ("bottom.png", "record.json", "review.html", "top.png")),
    ]  # fmt: skip
    assert len(watch.said("stays cut short")) == 1
    assert [thread.name for thread in threading.enumerate() if "worker" in thread.name] == []


def test_a_drop_folder_with_all_that_people_drop(tmp_path) -> None:
    drop = tmp_path / "drop"
    odd = drop / "signal head\n5 °"
    write(drop / "points", a_set())
    write(odd, a_set(THIN))
    write(drop / "deep" / "er" / "gerber", {name: text for name, text in a_set().items() if name.endswith("gbr")})
    write(drop / "deep" / "er" / "drill", {name: text for name, text in a_set().items() if name.endswith("xnc")})
    (drop / "circle").symlink_to(drop)
    (drop / "loose.gbr").write_text(THIN)
    (drop / "pipe").mkdir()
    os.mkfifo(drop / "pipe" / "top.gbr")
    for number in range(1500):
        (drop / f"photo {number}.jpg").write_bytes(b"\xff\xd8")
    with zipfile.ZipFile(drop / "pictures.zip", "w") as archive:
        archive.writestr("a.jpg", b"\xff\xd8")
    before = {path: path.read_bytes() for path in drop.rglob("*") if path.is_file()}
    with RunningWatch([drop]) as watch:
        watch.heard("drop folder .* with 3 sets")
        watch.heard("circle: This link to a folder is not followed")
        for _ in range(3):
            watch.heard("RELEASE|HOLD")
        with zipfile.ZipFile(drop / "points.zip", "w") as archive:
            for name, text in a_set(THIN).items():
                archive.writestr(f"points/{name}", text)
        watch.heard("points  HOLD")
        shutil.move(drop / "points", tmp_path / "aside")
        watch.heard("points  The set is gone")
        shutil.move(tmp_path / "aside", drop / "points")
        watch.heard("points  RELEASE.*up to date")
    reviews_are_current({
        drop / "points": drop / "points.review",
        drop / "points.zip": drop / "points.zip.review",
        odd: odd.with_name(odd.name + ".review"),
        drop / "deep" / "er": drop / "deep" / "er.review",
    })
    assert {path: path.read_bytes() for path in before} == before, "nothing that was there is touched"
    assert len(watch.said("pictures.zip: There is no artwork")) == 1
    assert len(watch.said("loose.gbr: This file lies beside sets")) == 1
    index = (drop / "index.review" / "index.html").read_text(encoding="utf-8")
    assert index.count("<article") == 4
    assert index.index("points.zip.review") < index.index("er.review"), "the newest check comes first"
    assert "signal%20head%0A5%20%C2%B0.review/top.png" in index
    assert "\ufffd" in index, "a line feed in a name is shown as what it is not"


def test_a_second_watch_finds_what_the_first_has_reviewed(tmp_path) -> None:
    drop = tmp_path / "drop"
    write(drop / "a", a_set())
    with RunningWatch([drop]) as first:
        first.heard("a  RELEASE")
        with RunningWatch([drop]) as second:
            second.heard("a  RELEASE.*up to date")
            write(drop / "a", a_set(THIN))
            first.heard("a  HOLD")
            second.heard("a  HOLD")
            reviews_are_current({drop / "a": drop / "a.review"})


def test_two_watches_over_one_folder_both_tell_what_is_new(tmp_path) -> None:
    drop = tmp_path / "drop"
    write(drop / "a", a_set())
    with RunningWatch([drop]) as one, RunningWatch([drop]) as other:
        for watch in (one, other):
            watch.heard("a  RELEASE")
        for legend, verdict, new in ((THIN, "HOLD", r"new +top .*R72"), (None, "RELEASE", r"fixed +top .*R72")):
            write(drop / "a", a_set(legend))
            for watch in (one, other):
                watch.heard(f"a  {verdict}")
                watch.heard(new)
        for path in (drop / "a").iterdir():
            os.utime(path)
        for watch in (one, other):
            watch.heard("its review is up to date")
    reviews_are_current({drop / "a": drop / "a.review"})


def test_a_set_that_goes_away_before_its_first_review_is_told(tmp_path, monkeypatch) -> None:
    drop = tmp_path / "drop"
    write(drop / "a", a_set())
    give = Hired.give

    def give_and_delete(hired, job, now_s) -> None:
        if job.path.name == "b":
            shutil.rmtree(job.path)
        give(hired, job, now_s)

    monkeypatch.setattr(Hired, "give", give_and_delete)
    with RunningWatch([drop]) as watch:
        watch.heard("a  RELEASE")
        write(drop / "b", a_set())
        watch.heard("b  The set is gone; it was not checked to the end")
        shutil.rmtree(drop / "a")
        watch.heard("a  The set is gone; its review stays")
    assert not (drop / "b").exists() and not (drop / "b.review").exists()


def test_from_now_polling_quiet_with_reviews_elsewhere_and_a_command(tmp_path) -> None:
    drop, out, told = tmp_path / "drop", tmp_path / "drop" / "out", tmp_path / "told"
    write(drop / "a", a_set())
    write(drop / "sub" / "b", a_set())
    script = "import sys; open(sys.argv[1], 'a').write(f'{sys.argv[2:]}\\n'); sys.exit(sys.argv[3] == 'hold')"
    command = (sys.executable, "-c", script, str(told), "{set}", "{verdict}")
    options = Options(out=out, quiet=True, poll=True, from_now=True, bell=True, on_verdict=command, patience=HASTY)
    with RunningWatch([drop], options) as watch:
        watch.heard("with 2 sets")
        write(drop / "sub" / "b", a_set(THIN))
        watch.heard("b  HOLD")
        watch.heard("\a")
        assert "status 1" in watch.heard("The command .* ended with status 1")
        write(drop / "sub" / "b", a_set(MOVED_THIN))
        write(drop / "a", a_set(MOVED_THIN))
        watch.heard("a  HOLD")
        write(drop / "sub" / "b", a_set())
        watch.heard("b  RELEASE")
        watch.heard("\a")
    assert told.read_text().splitlines()[:2] == ["['b', 'hold']", "['a', 'hold']"]
    assert not watch.said("no change to any fault|new  ")
    assert everything_in(drop / "a") == sorted(a_set())
    reviews_are_current({drop / "sub" / "b": out / "sub" / "b.review", drop / "a": out / "a.review"})
    assert (out / "index.review" / "index.html").exists()


def test_a_review_that_cannot_be_written_is_told_once_and_written_when_it_can(tmp_path) -> None:
    export = write(tmp_path / "a", a_set())
    (tmp_path / "a.review").write_text("somebody's own file")
    with RunningWatch([export]) as watch:
        watch.heard("a.review: a file stands where the folder should be")
        write(export, a_set(THIN))
        threading.Event().wait(1.2)
        assert len(watch.said("a file stands")) == 1
        (tmp_path / "a.review").unlink()
        watch.heard("a  HOLD")
    reviews_are_current({export: tmp_path / "a.review"})


def test_each_problem_of_a_limits_file_is_told_on_a_line_of_its_own(tmp_path) -> None:
    export = write(tmp_path / "a", a_set())
    (tmp_path / "labelcheck.toml").write_text('proces = "inkjet"\npitch = -1\n')
    with RunningWatch([export]) as watch:
        told = watch.heard('a  .*:1: The key "proces" is not known')
        assert told.splitlines()[1].startswith("          ") and ':2: "pitch" is -1' in told.splitlines()[1]


def test_a_review_folder_inside_a_set_is_refused_and_told_once(tmp_path) -> None:
    export = write(tmp_path / "a", a_set())
    with RunningWatch([export], Options(out=export / "reviews", patience=HASTY)) as watch:
        watch.heard("this lies inside the fab set")
        write(export, a_set(THIN))
        threading.Event().wait(1.2)
    assert len(watch.said("lies inside")) == 1
    assert everything_in(export) == sorted(a_set())


def test_a_wrong_limits_file_is_told_and_its_repair_checks_again(tmp_path) -> None:
    export = write(tmp_path / "drop" / "a", a_set())
    limits = tmp_path / "drop" / "labelcheck.toml"
    limits.write_text('process = "chiselled"\n')
    with RunningWatch([tmp_path / "drop"]) as watch:
        watch.heard(r"labelcheck.toml.*chiselled")
        limits.write_text('process = "inkjet"\n')
        watch.heard("a  RELEASE")
        limits.write_text('process = "screen-printed"\n')
        watch.heard("a  ")
        assert watch.heard("limits   other than before")
    assert record_of(export.with_name("a.review"))["limits"]["process"]["value"] == "screen-printed"


def test_a_folder_replaced_as_a_whole_is_heard_again(tmp_path) -> None:
    drop = tmp_path / "drop"
    write(drop / "a", a_set())
    with RunningWatch([drop]) as watch:
        watch.heard("a  RELEASE")
        shutil.move(drop, tmp_path / "old")
        watch.heard("The folder is gone")
        write(drop / "a", a_set(THIN))
        watch.heard("The folder is there now")
        watch.heard("a  ")
        write(drop / "a", a_set())
        watch.heard("a  ")
    reviews_are_current({drop / "a": drop / "a.review"})


def test_a_link_that_is_turned_to_another_folder_is_followed(tmp_path) -> None:
    write(tmp_path / "one" / "a", a_set())
    write(tmp_path / "two" / "a", a_set(THIN))
    link = tmp_path / "latest"
    link.symlink_to(tmp_path / "one")
    with RunningWatch([link]) as watch:
        watch.heard("a  RELEASE")
        os.symlink(tmp_path / "two", tmp_path / "other")
        os.replace(tmp_path / "other", link)
        watch.heard("a  HOLD")


def test_what_the_system_does_not_tell_is_seen_by_looking(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr(loop, "POLL_EVERY_S", 0.3)
    monkeypatch.setattr(Ears, "listen", lambda self, root: "inotify watch limit reached")
    monkeypatch.setattr(Ears, "deaf_to", lambda self, root: False)
    export = write(tmp_path / "a", a_set())
    with RunningWatch([export]) as watch:
        watch.heard("a  RELEASE")
        write(export, a_set(THIN))
        watch.heard("a  HOLD")
    assert len(watch.said("The system tells of no changes here .inotify")) == 1


def test_what_cannot_be_read_is_told_and_stops_nothing(tmp_path) -> None:
    drop = tmp_path / "drop"
    export = write(drop / "a", a_set())
    legend = export / "crossing-legend-top.gbr"
    with RunningWatch([drop]) as watch:
        watch.heard("a  RELEASE")
        # A folder that is named like a layer.
        legend.unlink()
        legend.mkdir()
        watch.heard("a  HOLD")
        legend.rmdir()
        # A link to itself, and a pipe: neither may be waited for.
        legend.symlink_to(legend.name)
        (export / "crossing-mask-bottom.gbr").symlink_to("nowhere")
        write(drop / "b", a_set())
        watch.heard("b  RELEASE")
        legend.unlink()
        os.mkfifo(legend)
        (drop / "b" / "crossing-plated.xnc").unlink()
        watch.heard("b  ")
        legend.unlink()
        (export / "crossing-mask-bottom.gbr").unlink()
        write(export, a_set())
        watch.heard("a  RELEASE")
    reviews_are_current({export: drop / "a.review"})
    assert not watch.said("broke off")


def test_a_zip_that_stays_broken_is_told_once_and_checked_when_it_is_whole(tmp_path) -> None:
    drop = tmp_path / "drop"
    write(drop / "a", a_set())
    with RunningWatch([drop]) as watch:
        watch.heard("a  RELEASE")
        with zipfile.ZipFile(tmp_path / "whole.zip", "w") as archive:
            for name, text in a_set(THIN).items():
                archive.writestr(name, text)
        whole = (tmp_path / "whole.zip").read_bytes()
        (drop / "b.zip").write_bytes(whole[: len(whole) // 2])
        watch.heard(r"b\.zip  .*damaged or cut short")
        write(drop / "c", a_set())
        watch.heard("c  RELEASE")
        assert len(watch.said(r"b\.zip")) == 1, "one trouble, one line"
        (drop / "b.zip").write_bytes(whole)
        watch.heard("b  HOLD")
    reviews_are_current({drop / "b.zip": drop / "b.review"})


def test_a_file_that_may_not_be_read_holds_until_it_may(tmp_path, monkeypatch) -> None:
    """Rights are taken away by the system's own answer: a test that runs as root may read everything."""
    place, refused = write(tmp_path / "a", a_set()), [True]
    plain = os.open

    def open_refused(path, *arguments, **named):
        if refused[0] and Path(os.fsdecode(path)).name == "crossing-legend-top.gbr":
            raise PermissionError(13, "Permission denied", str(path))
        return plain(path, *arguments, **named)

    monkeypatch.setattr(os, "open", open_refused)
    (seen,) = Looker(tmp_path).look().places
    assert seen.path == place and lacking_in(seen) == (), "what cannot be read is for the check to tell"
    job = Job(place, tmp_path / "a.review", None, NOTHING_ASKED)
    held = work(job, Surroundings())
    assert held.boards[0].verdict == "hold"
    assert "may not be read" in (tmp_path / "a.review" / "record.json").read_text("utf-8")
    refused[0] = False
    assert work(job, Surroundings()).boards[0].verdict == "release"


def test_a_file_that_vanishes_while_it_is_looked_at_or_read(tmp_path, monkeypatch) -> None:
    place = write(tmp_path / "a", a_set())
    plain = os.open

    def vanished(path, *arguments, **named):
        if Path(os.fsdecode(path)).name == "crossing-mask-top.gbr":
            raise FileNotFoundError(2, "No such file or directory", str(path))
        return plain(path, *arguments, **named)

    monkeypatch.setattr(os, "open", vanished)
    (seen,) = Looker(tmp_path).look().places
    assert lacking_in(seen) == ()
    told = work(Job(place, tmp_path / "a.review", None, NOTHING_ASKED), Surroundings())
    assert told.boards[0].verdict == "hold"
    assert "vanished" in (tmp_path / "a.review" / "record.json").read_text("utf-8")


@pytest.mark.parametrize("text", ["", "'open", "no-such-program-here {set}"])
def test_a_command_that_cannot_be_run_is_told_before_the_watch_begins(text) -> None:
    with pytest.raises(Exception, match="--on-verdict"):
        words_of_command(text)


@pytest.mark.parametrize(
    ("text", "on_windows", "words"),
    [
        ("sh -c 'echo \"{set}\"'", False, ("sh", "-c", 'echo "{set}"')),
        (r"sh a\ b # {set}", False, ("sh", "a b", "#", "{set}")),
        (r'sh C:\tools\tell.py "two words" {review}', True, ("sh", r"C:\tools\tell.py", "two words", "{review}")),
    ],
)
def test_the_words_of_a_command(text, on_windows, words) -> None:
    assert words_of_command(text, on_windows) == words


def test_a_batch_file_is_a_shell(tmp_path) -> None:
    batch = tmp_path / "tell.bat"
    batch.write_text("echo %1")
    batch.chmod(0o755)
    with pytest.raises(Exception, match="A batch file runs in a shell"):
        words_of_command(f"{batch} {{set}}", on_windows=True)
