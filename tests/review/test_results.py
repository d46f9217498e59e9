"""Findings for build servers: valid by the standard's schema, and saying the same as the record."""

import json
from dataclasses import replace
from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest
from jsonschema import Draft4Validator

from labelcheck.judging import Severity
from labelcheck.review.contents import NotApplied, Review
from labelcheck.review.results import FINGERPRINT, address_of, results_text, run_of
from labelcheck.trade.places import Remark
from labelcheck.trade.sides import Side
from labelcheck.trade.stated import Acceptance

# Static Analysis Results Interchange Format (SARIF) Version 2.1.0, OASIS Standard; see standards/README.md.
SCHEMA = json.loads((Path(__file__).parent / "standards" / "sarif-2.1.0-rtm.5.json").read_text("utf-8"))


def valid(*reviews: Review) -> list[dict]:
    """The runs of these reviews, once the schema has nothing to say against them."""
    log = json.loads(results_text([run_of(review) for review in reviews]))
    errors = sorted(Draft4Validator(SCHEMA).iter_errors(log), key=lambda error: error.json_path)
    assert [f"{error.json_path}: {error.message}" for error in errors] == []
    return log["runs"]


def test_the_schema_can_say_no(review: Review) -> None:
    log = json.loads(results_text([run_of(review)]))
    log["runs"][0]["results"][0]["level"] = "dreadful"
    assert not Draft4Validator(SCHEMA).is_valid(log)


def test_every_finding_is_a_result(review: Review) -> None:
    (run,) = valid(review)
    assert [(one["properties"]["id"], one["level"]) for one in run["results"]] == [
        ("F1", "error"), ("F2", "warning"), ("F3", "note"),
    ]
    for result, finding in zip(run["results"], review.findings, strict=True):
        assert finding.message in result["message"]["text"] and (finding.advice or "") in result["message"]["text"]
        assert run["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == result["ruleId"] == finding.analyser
    first = run["results"][0]["locations"][0]
    assert first["physicalLocation"]["artifactLocation"]["uri"] == "sets/turnout-driver/top.gto"
    assert run["artifacts"][first["physicalLocation"]["artifactLocation"]["index"]]["hashes"]["sha-256"] == "ab" * 32
    assert first["logicalLocations"][0]["name"] == '"R12"'
    # The set of the test has no legend of the bottom: there is no file to point at.
    assert "physicalLocation" not in run["results"][1]["locations"][0]


def test_what_holds_the_board_is_told_as_an_error(review: Review) -> None:
    (run,) = valid(replace(
        review, findings=(), holding=("The bottom mask was not read.",),
        not_applied=(NotApplied("across-hole", Side.TOP, "the holes are not known"),),
    ))
    told = run["invocations"][0]["toolExecutionNotifications"]
    assert [(one["level"], one["message"]["text"]) for one in told] == [
        ("error", "On hold: The bottom mask was not read."),
        ("note", "holes.drl:3: No unit is given; millimetres fit the board."),
        ("warning", "across-hole could not be asked on the top: the holes are not known"),
    ]


def test_fingerprints_stay_when_a_label_moves_and_differ_between_labels(review: Review) -> None:
    (run,) = valid(review)
    moved = replace(review, findings=tuple(
        replace(finding, at_mm=(finding.at_mm[0] + 9, finding.at_mm[1]), id=f"F{9 - place}")
        for place, finding in enumerate(review.findings)
    ))
    (later,) = valid(moved)
    prints = [one["partialFingerprints"][FINGERPRINT] for one in run["results"]]
    assert prints == [one["partialFingerprints"][FINGERPRINT] for one in later["results"]]
    assert len(set(prints)) == len(prints)
    (twice,) = valid(replace(review, findings=(review.findings[0], replace(review.findings[0], id="F2"))))
    assert len({one["partialFingerprints"][FINGERPRINT] for one in twice["results"]}) == 2


def test_an_accepted_finding_is_suppressed(review: Review) -> None:
    acceptance = Acceptance(
        analyser="short-character", severity="unreadable", side=Side.TOP, text="R12", whole_side=False,
        at_mm=None, corner_mm=None, size_mm=None, measured=0.71, because="nobody reads it", board=None,
        file="labelcheck.toml", line=3,
    )
    (run,) = valid(replace(review, findings=(replace(review.findings[0], accepted=acceptance),)))
    assert run["results"][0]["suppressions"] == [
        {"kind": "external", "status": "accepted", "justification": "nobody reads it"}
    ]


@pytest.mark.parametrize("name", ["a b", "ä#?%", "x\udc80y", "<b>", "C:\\top", "\x1b[2J"])
def test_hostile_names_are_still_valid(review: Review, name: str) -> None:
    spoilt = replace(
        review, set_name=name, set_path=f"sets/{name}", remarks=(Remark(name, None, name),),
        files=tuple(replace(entry, name=f"{name}.{place}") for place, entry in enumerate(review.files)),
    )
    (run,) = valid(spoilt)
    results_text([run]).encode("utf-8")


def test_numbers_that_are_none_become_null(review: Review) -> None:
    odd = replace(review.findings[0], measured=float("nan"), limit=float("inf"), severity=Severity.NOTE)
    (run,) = valid(replace(review, findings=(odd,)))
    assert run["results"][0]["properties"]["measured"] is None


def test_several_boards_are_several_runs(review: Review) -> None:
    runs = valid(review, replace(review, set_name="signal-head"))
    assert [run["automationDetails"]["id"] for run in runs] == [
        "labelcheck/turnout-driver/", "labelcheck/signal-head/",
    ]


@pytest.mark.parametrize(
    "path",
    [
        PurePosixPath("/home/me/signal head/ü%.gbr"),
        PureWindowsPath("C:/sets/signal head/ü%.gbr"),
        PureWindowsPath("//server/share/sets/a.gbr"),
    ],
)
def test_an_address_is_that_of_the_standard_library(path) -> None:
    assert address_of(path) == path.as_uri()


def test_a_relative_path_is_a_relative_address() -> None:
    assert address_of(PureWindowsPath("sets\\signal head\\a.gbr")) == "sets/signal%20head/a.gbr"
