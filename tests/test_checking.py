"""From files to a verdict: silence never looks like a clean board, and the same bytes give the same record."""

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from labelcheck.checking import check_path
from labelcheck.review.contents import Review, Verdict
from labelcheck.review.record import record_text
from labelcheck.trade.errors import LabelcheckError
from labelcheck.trade.limits import Distance, limits_for
from tests.sets_made import a_set, artwork, flashes, word, write

NOW = datetime(2026, 1, 31, 12, 0, 0, tzinfo=UTC)


def review_of(place: Path) -> Review:
    (checked,) = check_path(place, limits_for(), NOW)
    return checked.review


def found(review: Review) -> list[tuple[str, str]]:
    return [(finding.analyser, str(finding.severity)) for finding in review.findings]


def test_a_sound_board_is_released_without_a_finding(tmp_path) -> None:
    review = review_of(write(tmp_path / "s", a_set()))
    assert review.verdict is Verdict.RELEASE
    assert found(review) == []
    assert review.holding == ()
    (state,) = review.labels
    assert state.label.character_height_mm == pytest.approx(1.68, abs=0.01)
    assert state.label.stroke_typical_mm == 0.18
    assert state.printed_fraction == 1.0


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"legend": artwork("Legend,Top", 0.08, word(5, 10, 1.5))}, ("thin-stroke", "unreadable")),
        ({"legend": artwork("Legend,Top", 0.15, word(5, 10, 0.6))}, ("short-character", "unreadable")),
        ({"legend": artwork("Legend,Top", 0.18, word(18.5, 9.4, 1.5))}, ("in-opening", "unreadable")),
        ({"legend": artwork("Legend,Top", 0.18, word(27, 10, 1.5))}, ("past-outline", "unreadable")),
        (
            {"plated": "M48\nMETRIC\nT1C1.2\n%\nT1\nX5.5Y10.7\nX20.0Y10.0\nM30\n"},
            ("across-hole", "unreadable"),
        ),
        (
            {"legend": artwork("Legend,Top", 0.18, [*word(5, 10, 1.5), (4, 10.35, 11, 10.35)])},
            ("crossing-ink", "doubtful"),
        ),
    ],
    ids=lambda value: value[0] if isinstance(value, tuple) else "",
)
def test_a_planted_fault_is_found_and_nothing_else(tmp_path, changes, expected) -> None:
    review = review_of(write(tmp_path / "s", a_set(**changes)))
    assert found(review) == [expected]


@pytest.mark.parametrize(
    "changes",
    [
        {"mask_top": None},
        {"legend": "%FSLAX46Y46*%\n%MOMM*%\nX0Y0D01*\n"},
        {"legend": "no artwork at all"},
        {"legend": artwork("Legend,Top", 0.18, word(5, 10, 1.5)).replace("M02*\n", "")},
        {"legend": ""},
        {"plated": ""},
        {"legend": artwork("Legend,Top", 0.18, word(5, 10, 1.5)).replace("X5900000Y1000", "X590$000Y1000")},
        {"mask_top": flashes("Soldermask,Top", 1.6, [(20, 10), (22, 10)]).replace("X22000000", "X-")},
    ],
    ids=[
        "no mask", "aperture missing", "text", "cut short", "empty", "empty drill file", "stroke garbled",
        "opening garbled",
    ],
)
def test_what_was_not_read_is_never_released(tmp_path, changes) -> None:
    place = write(tmp_path / "s", a_set(**changes))
    try:
        review = review_of(place)
    except LabelcheckError as error:
        assert error.exit_status == 3
        return
    assert review.verdict is Verdict.HOLD
    assert review.holding
    assert review.remarks


def test_a_set_without_a_legend_is_never_released(tmp_path) -> None:
    files = {name: text for name, text in a_set().items() if "legend" not in name}
    try:
        review = review_of(write(tmp_path / "s", files))
    except LabelcheckError as error:
        assert error.exit_status == 3
        return
    assert review.verdict is Verdict.HOLD


def test_ink_without_any_label_is_never_released(tmp_path) -> None:
    review = review_of(write(tmp_path / "s", a_set(artwork("Legend,Top", 0.18, [(5, 10, 9, 10), (5, 12, 9, 12)]))))
    assert review.labels == () and review.verdict is Verdict.HOLD
    assert any("no label was found" in str(remark) for remark in review.remarks)


@pytest.mark.parametrize(
    ("left_out", "unknown", "analysers"),
    [("plated", "holes", {"across-hole"}), ("profile", "outline", {"past-outline"})],
)
def test_what_is_not_known_makes_an_analyser_not_applicable(tmp_path, left_out, unknown, analysers) -> None:
    review = review_of(write(tmp_path / "s", a_set(**{left_out: None})))
    assert {one.analyser for one in review.not_applied if unknown in one.why} == analysers
    assert review.remarks


def test_the_record_says_what_is_read_once_printed(tmp_path) -> None:
    # The pad of the sound board, at 20, 10 with an opening of 1.6 mm, lies on the "2".
    (state,) = review_of(write(tmp_path / "s", a_set(artwork("Legend,Top", 0.18, word(16.5, 9.4, 1.5))))).labels
    assert state.label.text == "R72"
    assert state.reads_as_printed == "R7?"
    assert state.printed_fraction < 0.8
    (clear,) = review_of(write(tmp_path / "t", a_set())).labels
    assert clear.reads_as_printed == "R72"


@pytest.mark.parametrize(
    ("mask", "ink", "expected"),
    [("Green", "White", []), ("White", "White", [("low-contrast", "unreadable")])],
)
def test_the_colours_of_the_job_file_are_compared(tmp_path, mask, ink, expected) -> None:
    stackup = [{"Type": "Legend", "Color": ink}, {"Type": "SolderMask", "Color": mask}]
    job = json.dumps({"GeneralSpecs": {}, "MaterialStackup": stackup})
    review = review_of(write(tmp_path / "s", a_set() | {"crossing-job.gbrjob": job}))
    assert found(review) == expected


@pytest.mark.parametrize(
    ("told_mm", "stated_mm", "expected"),
    [
        (0.105, None, [("over-copper-edge", "note")]), (0.035, None, []), (None, None, []),
        (0.105, 0.035, []), (0.035, 0.105, [("over-copper-edge", "note")]),
    ],
)  # fmt: skip
def test_heavy_copper_is_looked_at_where_job_file_or_limits_file_tells_of_it(
    tmp_path, told_mm, stated_mm, expected
) -> None:
    """Half of R72 lies on a plane; what a limits file states goes before the job file."""
    stackup = [] if told_mm is None else [{"Type": "Copper", "Thickness": told_mm}]
    files = a_set(copper_top=artwork("Copper,L1,Top", 8.0, [(2, 12, 2, 14)]))
    files["crossing-job.gbrjob"] = json.dumps({"GeneralSpecs": {}, "MaterialStackup": stackup})
    limits = limits_for()
    if stated_mm is not None:
        limits = replace(limits, copper_thickness=Distance("copper", stated_mm, "labelcheck.toml:3"))
    (checked,) = check_path(write(tmp_path / "s", files), limits, NOW)
    assert found(checked.review) == expected
    for finding in checked.review.findings:
        assert ("as the job file says" in finding.message) is (stated_mm is None)


def test_the_same_bytes_give_the_same_record(tmp_path) -> None:
    files = a_set(artwork("Legend,Top", 0.12, word(5, 10, 0.6) + word(19.6, 9, 1.4)))
    first = record_text(review_of(write(tmp_path / "s", files)))
    assert record_text(review_of(write(tmp_path / "s", files))) == first


def test_every_file_is_in_the_record_with_its_role(tmp_path) -> None:
    files = a_set() | {"crossing-paste-top.gbr": flashes("Paste,Top", 1.0, [(20, 10)]), "notes.txt": "hello"}
    review = review_of(write(tmp_path / "s", files))
    assert {entry.name: (entry.role, str(entry.side)) for entry in review.files} == {
        "crossing-legend-top.gbr": ("legend", "top"),
        "crossing-mask-top.gbr": ("mask", "top"),
        "crossing-copper-top.gbr": ("copper", "top"),
        "crossing-paste-top.gbr": ("paste", "top"),
        "crossing-profile.gbr": ("outline", "both"),
        "crossing-plated.xnc": ("drill", "both"),
        "notes.txt": ("other", "None"),
    }


def test_moving_the_whole_board_moves_the_review_with_it(tmp_path) -> None:
    here = review_of(write(tmp_path / "a", a_set(artwork("Legend,Top", 0.12, word(5, 10, 0.6)))))
    there = review_of(write(tmp_path / "b", a_set(artwork("Legend,Top", 0.12, word(9, 13, 0.6)))))
    assert found(here) == found(there)
    for one, other in zip(here.findings, there.findings, strict=True):
        assert other.at_mm == pytest.approx((one.at_mm[0] + 4, one.at_mm[1] + 3), abs=0.011)
        assert other.measured == pytest.approx(one.measured, abs=0.001)


@pytest.mark.parametrize(("layer", "verdict"), [("copper-top", Verdict.HOLD), ("paste-top", Verdict.RELEASE)])
def test_artwork_that_is_not_needed_is_still_looked_at_for_its_end(tmp_path, layer, verdict) -> None:
    function = {"copper-top": "Copper,L1,Top", "paste-top": "Paste,Top"}[layer]
    files = a_set() | {f"crossing-{layer}.gbr": flashes(function, 1.4, [(20, 10), (22, 10)]).replace("M02*\n", "")}
    review = review_of(write(tmp_path / "s", files))
    assert review.verdict is verdict
    assert [remark.file for remark in review.remarks if "end-of-file" in remark.message] == [f"crossing-{layer}.gbr"]
