"""Files that do not belong together are told, and those that do are not."""

from collections.abc import Mapping

import pytest

from labelcheck.board.building import build_board
from labelcheck.board.fab_set import make_set, set_file
from tests.sets_made import a_set

NEAR = ("2026-03-01T10:00:00+01:00", "2026-03-01T10:00:20+01:00")


def marked(
    files: Mapping[str, str], odd: Mapping[str, Mapping[str, str]] | None = None, **common: str
) -> dict[str, str]:
    """The files with file attributes at their head; `odd` are other values for some of them."""
    made = {}
    for name, text in files.items():
        own = common | dict((odd or {}).get(name.removeprefix("crossing-").partition(".")[0], {}))
        if name.endswith(".xnc"):
            told = "".join(f"; #@! TF.{key},{value}\n" for key, value in own.items())
            made[name] = text.replace("M48\n", f"M48\n{told}", 1)
        else:
            made[name] = "".join(f"%TF.{key},{value}*%\n" for key, value in own.items() if value) + text
    return made


def told(files: Mapping[str, str]) -> list[str]:
    """Remarks but for those on sides that the small set lacks."""
    fab_set = make_set("crossing", "crossing", [set_file(name, text.encode()) for name, text in files.items()], ())
    remarks = build_board(fab_set).board.remarks
    return [str(remark) for remark in remarks if "There is no legend" not in remark.message]


PROJECT = {"ProjectId": "crossing,11aa,B", "CreationDate": NEAR[0], "SameCoordinates": "Original"}


def test_files_of_one_export_bring_no_remark() -> None:
    assert told(a_set()) == []
    assert told(marked(a_set(), {"plated": {"CreationDate": "2026-03-01T10:14:00+01:00"}}, **PROJECT)) == []
    same_time_elsewhere = {"mask-top": {"CreationDate": "2026-03-01T09:00:30Z"}}
    assert told(marked(a_set(), same_time_elsewhere, **PROJECT)) == []
    # No identifier of the origin means only that there is a file that shares it (layer format, 5.6.6).
    assert told(marked(a_set(), {"mask-top": {"SameCoordinates": ""}}, **PROJECT)) == []


@pytest.mark.parametrize(
    ("odd", "words"),
    [
        ({"ProjectId": "signal-head,22bb,B"}, "This file is of the project signal-head, the other files of crossing"),
        ({"ProjectId": "crossing,22bb,B"}, "This file is of the project 22bb, the other files of 11aa"),
        ({"ProjectId": "crossing,11aa,A"}, "This file is of revision A, the other files of revision B"),
        ({"CreationDate": "2026-03-01T10:40:00+01:00"}, "This file was exported 40 minutes after the other files"),
        ({"CreationDate": "2026-02-28T18:00:00+01:00"}, "This file was exported 16 hours before the other files"),
        ({"CreationDate": "2025-03-01T10:00:00+01:00"}, "This file was exported 365 days before the other files"),
        ({"SameCoordinates": "PX100PY200"}, "This file says that the origin is another"),
    ],
)
def test_one_file_that_does_not_belong_is_told_once(odd: dict[str, str], words: str) -> None:
    remarks = told(marked(a_set(), {"mask-top": odd}, **PROJECT))
    assert len(remarks) == 1, remarks
    assert remarks[0].startswith(f"crossing-mask-top.gbr: {words}")


def test_several_files_are_told_in_one_sentence() -> None:
    later = {"CreationDate": "2026-03-03T10:00:00+01:00"}
    remarks = told(marked(a_set(), {"mask-top": later, "profile": later}, **PROJECT))
    assert len(remarks) == 1
    assert remarks[0].startswith(
        "crossing-mask-top.gbr (2 days after) and crossing-profile.gbr (2 days after) were exported at other times"
    )


def test_drills_of_a_later_day_are_told() -> None:
    remarks = told(marked(a_set(), {"plated": {"CreationDate": "2026-03-01T15:00:00+01:00"}}, **PROJECT))
    assert len(remarks) == 1 and remarks[0].startswith("crossing-plated.xnc: This file was exported 5 hours after")


@pytest.mark.parametrize("revision", ["rev?", "", "?", "unknown"])
def test_a_revision_that_nobody_entered_contradicts_nothing(revision: str) -> None:
    assert told(marked(a_set(), {"mask-top": {"ProjectId": f"crossing,11aa,{revision}"}}, **PROJECT)) == []


@pytest.mark.parametrize("date", ["yesterday", "2026-03-01", "", "2026-13-41T99:00:00Z", "2026-03-09T10:00:00"])
def test_dates_that_cannot_be_compared_say_nothing(date: str) -> None:
    # A date without a time is midnight without a zone, which nobody can compare with one that has a zone.
    assert told(marked(a_set(), {"mask-top": {"CreationDate": date}}, **PROJECT)) == []


JOB = """{"Header": {"CreationDate": "%s"},
"GeneralSpecs": {"ProjectId": {"Name": "%s", "GUID": "%s", "Revision": "B"}, "Size": {"X": %s, "Y": %s}}}"""


@pytest.mark.parametrize(
    ("job", "words"),
    [
        ((NEAR[1], "crossing", "11aa", 30.1, 20.1), None),
        ((NEAR[1], "Crossing", "some other", 20, 30), None),
        ((NEAR[1], "signal-head", "11aa", 30, 20), "This file is of the project signal-head"),
        (("2026-03-08T10:00:00+01:00", "crossing", "11aa", 30, 20), "This file was exported 7 days after"),
        ((NEAR[1], "crossing", "11aa", 40, 20), "The job file says 40.00 x 20.00 mm, but the outline is 30.00"),
    ],
)
def test_the_job_file(job: tuple[object, ...], words: str | None) -> None:
    remarks = told(marked(a_set(), None, **PROJECT) | {"crossing.gbrjob": JOB % job})
    if words is None:
        assert remarks == []
    else:
        assert len(remarks) == 1 and remarks[0].startswith(f"crossing.gbrjob: {words}"), remarks


def test_the_board_knows_its_project() -> None:
    files = marked(a_set(), None, **PROJECT)
    fab_set = make_set("crossing", "crossing", [set_file(name, text.encode()) for name, text in files.items()], ())
    project = build_board(fab_set).board.project
    assert project is not None and (project.name, project.revision) == ("crossing", "B")
