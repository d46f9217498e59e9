"""Call-outs: one for each label, every finding framed, the worst on top."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from labelcheck.board.board import Appearance
from labelcheck.judging import Finding, Severity
from labelcheck.labels.label import Label
from labelcheck.review.contents import Review
from labelcheck.review.grouping import group_findings
from labelcheck.review.picture.board_view import View
from labelcheck.review.picture.callouts import (
    Callout,
    Frame,
    Placement,
    callouts_of,
    draw_callouts,
    frame_pixels,
)
from labelcheck.review.picture.canvas import Canvas
from labelcheck.review.picture.colours import PAPER, SEVERITY_STYLES, TABLE, materials_of
from labelcheck.review.picture.palette import palette_of

REGION = (0, 0, 1000, 800)


@pytest.fixture
def place() -> Placement:
    """The test board at 30 pixels a millimetre, 50 pixels from the corner."""
    return Placement(50, 50, View((0.0, 0.0, 30.0, 25.0), 30.0, mirrored=False), REGION)


def named(labels: tuple[Label, ...]) -> dict[str, Label]:
    return {label.id: label for label in labels}


def test_findings_of_one_label_share_a_callout(review: Review, labels: tuple[Label, ...], place: Placement) -> None:
    worst = review.findings[0]
    x0, y0, _, y1 = worst.box_mm
    part = replace(worst, id="F2", analyser="in-opening", severity=Severity.DOUBTFUL, box_mm=(x0, y0, x0 + 0.4, y1))
    other = replace(worst, id="F3", analyser="thin-stroke", severity=Severity.NOTE)
    groups = group_findings([worst, part, other], named(labels))
    (callout,) = callouts_of(groups, groups, 90, place)
    assert callout.numbers == (("1", Severity.UNREADABLE), ("2", Severity.DOUBTFUL), ("3", Severity.NOTE))
    # The note is about the same box as the worst one: two frames tell all there is.
    assert [frame.severity for frame in callout.frames] == [Severity.UNREADABLE, Severity.DOUBTFUL]


def test_every_finding_on_a_label_is_framed(many: Callable, place: Placement) -> None:
    states, findings = many(60)
    groups = group_findings(findings, {state.label.id: state.label for state in states})
    callouts = callouts_of(groups, groups, 10, place)
    framed = {frame.box for callout in callouts for frame in callout.frames}
    assert {place.box(finding.box_mm) for finding in findings} == framed
    assert sum(len(callout.numbers) for callout in callouts) == 10


def test_groups_beyond_the_key_have_frames_without_numbers(
    review: Review, labels: tuple[Label, ...], place: Placement
) -> None:
    groups = group_findings(review.findings, named(labels))
    callouts = callouts_of(groups, groups[:1], 90, place)
    assert [bool(callout.numbers) for callout in callouts] == [True, False, False]


@pytest.mark.parametrize("change", [{"label": None}, {"box_mm": (float("nan"), 0.0, 1.0, 1.0)}])
def test_what_has_no_place_has_no_callout(
    review: Review, labels: tuple[Label, ...], place: Placement, change: dict
) -> None:
    finding: Finding = replace(review.findings[0], **change)
    groups = group_findings([finding], named(labels))
    assert callouts_of(groups, groups, 90, place) == ()


def test_what_lies_far_off_is_shown_at_the_rim(place: Placement) -> None:
    assert place.box((1e6, 1e6, 1e6 + 1, 1e6 + 1)) == (1000, 0, 1000, 0)
    assert place.box((-1e6, 5.0, 10.0, 6.0))[0] == 0


def test_a_frame_leaves_what_is_wrong_free_and_is_never_too_small() -> None:
    left, top, right, bottom = frame_pixels((100.0, 100.0, 140.0, 120.0))
    assert (left, top) < (96, 96)
    assert right > 144
    assert bottom > 124
    tiny = frame_pixels((50.0, 50.0, 50.0, 50.0))
    assert tiny[2] - tiny[0] >= 18


@pytest.mark.parametrize("severity", list(Severity))
def test_frames_and_badges_have_the_colours_of_the_severity(severity: Severity, place: Placement) -> None:
    canvas = Canvas(1000, 800, palette_of(materials_of(Appearance(None, None, None))), TABLE)
    style = SEVERITY_STYLES[severity]
    callout = Callout((("7", severity),), (Frame(severity, (300.0, 300.0, 420.0, 340.0)),))
    draw_callouts(canvas, [callout], [], place)
    rows, columns = np.nonzero(canvas.pixels == canvas.index(style.edge))
    left, top, right, bottom = frame_pixels((300.0, 300.0, 420.0, 340.0))
    on_corner = [(rows == y) & (columns == x) for y in (top, bottom - 1) for x in (left, right - 1)]
    assert all(corner.any() for corner in on_corner)
    assert (canvas.pixels == canvas.index(PAPER)).any()
    # What is wrong stays visible: nothing is drawn over it.
    assert (canvas.pixels[300:340, 300:420] == canvas.index(TABLE)).all()


def test_frames_differ_in_how_they_are_drawn(place: Placement) -> None:
    drawn = {}
    for severity in Severity:
        canvas = Canvas(1000, 800, palette_of(materials_of(Appearance(None, None, None))), TABLE)
        draw_callouts(canvas, [Callout((), (Frame(severity, (300.0, 300.0, 420.0, 340.0)),))], [], place)
        drawn[severity] = int((canvas.pixels != canvas.index(TABLE)).sum())
    assert drawn[Severity.UNREADABLE] > 1.2 * drawn[Severity.DOUBTFUL] > 1.2 * drawn[Severity.NOTE]
