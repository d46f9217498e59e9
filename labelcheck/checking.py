"""The whole flow on one screen: a path becomes fab sets, boards, labels, evidence, findings, reviews."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from pathlib import Path

import numpy.ma  # noqa: F401  # the first search for distinct numbers would load it in both processes

from labelcheck.analysers import all_analysers
from labelcheck.board.board import Board, Layer
from labelcheck.board.building import FileReading, build_board
from labelcheck.board.fab_set import FabSet, SetFile
from labelcheck.board.opening import open_sets
from labelcheck.board.recognising import Form, form_of
from labelcheck.board.roles import Role
from labelcheck.cures.curing import cures_of
from labelcheck.cures.wording import with_cures
from labelcheck.judging import Analyser, Finding, in_order, judge, judge_board, notes_as_one, one_fault_one_finding
from labelcheck.labels.label import SideLabels
from labelcheck.labels.mirrors import all_labels
from labelcheck.labels.reading.protocol import Reader
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.company import among_others
from labelcheck.press.copper import heavy_over, is_heavy, with_copper_of
from labelcheck.press.evidence import Evidence
from labelcheck.press.first_pins import unmarked_parts
from labelcheck.press.pin_rows import rows_with_names
from labelcheck.press.revision import revision_remarks
from labelcheck.press.scene import evidence_on
from labelcheck.review.accepting import Outcome, accepted_elsewhere, idle_acceptances, with_acceptances
from labelcheck.review.contents import FileEntry, LabelState, NotApplied, Review
from labelcheck.review.grouping import numbered_as_told
from labelcheck.review.idle import idle_statements, of_no_board
from labelcheck.review.limits_told import acceptance_entries, limit_entries
from labelcheck.review.silence import silent_legends
from labelcheck.review.weights import weighed
from labelcheck.trade.errors import UnreadableSet
from labelcheck.trade.limits import Limits
from labelcheck.trade.remembering import both_remembered, remembered
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.storage import keep_freed_memory, without_collecting

ANALYSERS = all_analysers()
"""Loaded when the program starts: a check loads nothing."""
WORTH_SPLITTING = 400
"""Objects in the smaller of two legends from which it pays to look at both sides at once."""


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """One board of the path, and its review."""

    board: Board
    review: Review


def check_path(path: Path, limits: Limits, now: datetime) -> tuple[Checked, ...]:
    """Check every board of a fab set: a folder, a zip, or any file of a set.

    Raises `UnreadableSet` where nothing can be checked.
    """
    return tuple(check_set(fab_set, limits, now) for fab_set in open_sets(path))


@without_collecting()
def check_set(fab_set: FabSet, limits: Limits, now: datetime) -> Checked:
    """Check one board. Raises `UnreadableSet` where no file is anything of a board."""
    keep_freed_memory()
    for_all, limits = limits, limits.on_board(fab_set.name)
    built = build_board(fab_set, is_heavy(limits), limits.bodies, copper_over_mm=heavy_over(limits))
    board, readings = _as_stated(built.board, limits), built.files
    _refuse_what_is_no_set(fab_set, readings)
    stated, limits = limits, with_copper_of(limits, board.appearance.copper_mm)
    _reader()  # before the process splits, so that it is loaded once
    top, bottom = both_remembered(
        _evidence,
        (board.only(Side.TOP), Side.TOP, limits),
        (board.only(Side.BOTTOM), Side.BOTTOM, limits),
        worthwhile=min(_objects(board, side) for side in OUTER_SIDES) >= WORTH_SPLITTING,
    )
    evidence = among_others(top + bottom)
    not_applied = _not_applied(ANALYSERS, board)
    outcome = Outcome(
        findings=one_fault_one_finding(ANALYSERS, tuple(_findings(ANALYSERS, evidence, board, limits))),
        labels={one.label.id: one.label for one in evidence},
        box_mm=None if board.outline is None else board.outline.area.bounds,
        analysers=tuple(analyser.name for analyser in ANALYSERS),
        not_asked=frozenset((one.analyser, one.side) for one in not_applied),
    )
    findings, told = with_acceptances(outcome, limits.accepted)
    told += accepted_elsewhere(outcome, findings, for_all.accepted, fab_set.name)
    cures = cures_of(board, evidence, findings, limits)
    on_board = [one.label for one in evidence if not one.far_off_board]
    unused = idle_acceptances(findings, told, limits.accepted, outcome.not_asked)
    idle = idle_statements(limits, list(outcome.labels.values()), board.components, unused)
    told += tuple(one.remark() for one in idle if one.of_board)
    idle += of_no_board(for_all, fab_set.name, told)
    silent, nothing_checked = silent_legends(board, on_board, _ink(readings))
    review = Review(
        set_name=fab_set.name,
        set_path=str(fab_set.path),
        fingerprint=fab_set.fingerprint,
        checked_at=now.strftime("%Y-%m-%dT%H:%M:%SZ"),
        files=tuple(_entry(reading) for reading in readings),
        limits=limit_entries(stated),
        box_mm=outcome.box_mm,
        outline_known_by=board.outline.known_by if board.outline is not None else None,
        labels=tuple(_state(one) for one in evidence),
        findings=numbered_as_told(in_order(with_cures(findings, cures, outcome.labels)), outcome.labels),
        remarks=(*board.remarks, *silent, *revision_remarks(board.project, on_board), *limits.remarks, *told),
        holding=(*board.holding, *nothing_checked),
        not_applied=not_applied,
        limits_file=limits.file,
        judged_by=limits,
        acceptances=acceptance_entries(limits),
        cures=cures,
        idle=tuple(one for one in idle if not one.of_board),
    )
    return Checked(board, review)


@cache
def _reader() -> Reader:
    return built_in_reader()


def _refuse_what_is_no_set(fab_set: FabSet, readings: Sequence[FileReading]) -> None:
    """Raise `UnreadableSet` where another folder was named by mistake: a hold would look like a checked board."""
    if all(one.role == Role.OTHER for one in readings) and not any(map(_is_of_a_board, fab_set.files)):
        none = "Its only file is no" if len(readings) == 1 else f"None of its {len(readings)} files is a"
        raise UnreadableSet(
            f"{fab_set.path}: {none} layer of a board. Name the folder or zip that the layers were exported into."
        )


def _is_of_a_board(file: SetFile) -> bool:
    return form_of(file) not in (Form.UNKNOWN, Form.MISSING)


def _evidence(board: Board, side: Side, limits: Limits) -> tuple[Evidence, ...]:
    """All that is known of the labels of one side; nothing where the set has no legend for it."""
    legend = board.on(side).legend
    if legend is None:
        return ()
    return evidence_on(board, side, _labels(side, legend), limits, _reader())


@remembered
def _labels(side: Side, legend: Layer) -> SideLabels:
    """The labels of one side, which stay the same whatever else of the board changes."""
    return all_labels(side, legend, _reader())


def _ink(readings: Iterable[FileReading]) -> dict[Side, float]:
    """Ink of the legend of each side, square millimetres."""
    ink = dict.fromkeys(OUTER_SIDES, 0.0)
    for one in readings:
        if one.role == Role.LEGEND and one.side in ink:
            ink[one.side] += one.ink_mm2 or 0.0
    return ink


def _objects(board: Board, side: Side) -> int:
    legend = board.on(side).legend
    return 0 if legend is None else len(legend.shapes)


def _as_stated(board: Board, limits: Limits) -> Board:
    """The board with the colours that the limits file names."""
    seen = board.appearance
    mask = limits.mask_colour.words if limits.mask_colour is not None else seen.mask
    legend = limits.legend_colour.words if limits.legend_colour is not None else seen.legend
    return replace(board, appearance=replace(seen, mask=mask, legend=legend))


def _findings(
    analysers: tuple[Analyser, ...], evidence: Sequence[Evidence], board: Board, limits: Limits
) -> Iterable[Finding]:
    """All findings, unordered; a label that lies off the board is told to lie there and nothing else."""
    labels = {one.label.id: one.label for one in evidence}
    of_board = _board_evidence(evidence, board)
    for analyser in analysers:
        asked = [one for one in evidence if analyser.needs == "outline" or not one.far_off_board]
        answers = [judge(analyser, one, limits) for one in asked]
        found = weighed([finding for finding in answers if finding is not None], labels, limits.weights)
        yield from notes_as_one(analyser, found)
        yield from judge_board(analyser, of_board, limits)


def _board_evidence(evidence: Sequence[Evidence], board: Board) -> BoardEvidence:
    labels = [one.label for one in evidence if not one.far_off_board]
    labels_on = {side: [label for label in labels if label.side is side] for side in OUTER_SIDES}
    boxes = [one.label.box_mm for one in evidence] or [(0.0, 0.0, 0.0, 0.0)]
    lows, highs = [min(edge) for edge in zip(*boxes, strict=True)], [max(edge) for edge in zip(*boxes, strict=True)]
    return BoardEvidence(
        labels=tuple(one for one in evidence if not one.far_off_board),
        legends=tuple(side for side in OUTER_SIDES if _objects(board, side) > 0),
        appearance=board.appearance,
        box_mm=board.outline.area.bounds if board.outline is not None else (*lows[:2], *highs[2:]),
        components=board.components,
        pin_rows=tuple(
            row for side in OUTER_SIDES for row in rows_with_names(board.components, labels, side)
        ),
        unmarked=tuple(
            (side, tuple(unmarked_parts(board.components, legend.shapes, labels_on[side], side)))
            for side in OUTER_SIDES if (legend := board.on(side).legend) is not None
        ),
    )


def _not_applied(analysers: tuple[Analyser, ...], board: Board) -> tuple[NotApplied, ...]:
    """Questions that could not be asked, so that silence does not look like an answer."""
    skipped = []
    for analyser in analysers:
        for side in OUTER_SIDES:
            if board.on(side).legend is None:
                continue
            unknown = {
                "openings": board.on(side).openings is None,
                "holes": board.holes is None,
                "outline": board.outline is None,
                "bodies": all(component.body is None for component in board.components),
                None: False,
            }[analyser.needs]
            if unknown:
                are = "is" if analyser.needs == "outline" else "are"
                skipped.append(NotApplied(analyser.name, side, f"the {analyser.needs} {are} not known"))
    return tuple(skipped)


def _state(evidence: Evidence) -> LabelState:
    return LabelState(
        label=evidence.label,
        printed_fraction=evidence.printed_fraction,
        # What bodies hide is taken to have printed as well as the rest.
        visible_fraction=evidence.printed_fraction * (1.0 - evidence.hidden_fraction),
        reads_as_printed=evidence.printed.reads_as(evidence.label.text),
        reads_as_assembled=(
            None if evidence.assembled is None else evidence.assembled.reads_as(evidence.label.text, evidence.printed)
        ),
        printed=evidence.printed,
    )


def _entry(reading: FileReading) -> FileEntry:
    return FileEntry(
        reading.name, reading.sha256, reading.role, reading.side, reading.known_by, reading.ink_mm2, reading.box_mm
    )
