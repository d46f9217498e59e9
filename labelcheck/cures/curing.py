"""From findings to cures: one change a label that clears all of its findings at once, the worst labels first."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from labelcheck.board.board import Board
from labelcheck.cures.along_pins import ROWS, Together, along_pins, moved_together
from labelcheck.cures.belonging import parts_on
from labelcheck.cures.changing_over import changed_over, exchanged
from labelcheck.cures.cure import Cure
from labelcheck.cures.placing import FAR, Ask, Change, NoPlace, Place, Scene, Standing, find_place, half_turn
from labelcheck.cures.room import Room, coarser_room, room_on
from labelcheck.cures.searching import around
from labelcheck.cures.shapes_of_labels import changed
from labelcheck.cures.sizing import AS_IT_IS, Gaps, Size, gaps_of, heights_asked, resized
from labelcheck.judging import SEVERITIES, Finding, Severity
from labelcheck.labels.label import Box, Label
from labelcheck.press.company import main_directions
from labelcheck.press.evidence import Evidence
from labelcheck.press.whose import reference_said
from labelcheck.trade.limits import Limits
from labelcheck.trade.remembering import both_remembered
from labelcheck.trade.shapes import Flags
from labelcheck.trade.sides import OUTER_SIDES, Side

HEIGHT = frozenset({"short-character"})
SIZE = HEIGHT | {"thin-stroke", "closed-gap", "not-read-as-printed"}
PLACE = frozenset({
    "in-opening", "across-hole", "past-outline", "crossing-ink", "under-body", "behind-body", "not-read-as-printed",
    "nearer-to-another", "between-two-parts",
})
WHOSE = frozenset({"nearer-to-another", "between-two-parts"})
DIRECTION = frozenset({"reading-direction"})
WAY_ROUND = frozenset({"mirrored"})
"""Analysers whose findings are cured by a height, by another size, by another place, by one at its own part, by a
turn, by mirroring."""
CURABLE = SIZE | PLACE | DIRECTION | WAY_ROUND | ROWS

WORTH_SPLITTING = 20
"""Labels to cure on the side that has fewer of them from which it pays to look at both sides at once."""

LOOKED_AT = 40
"""For so many labels of a side, the worst, another place is looked for where they do not fit once they are larger.
Where more are drawn too thin or too small, the whole lettering changes, and nobody moves them one by one by what a
check says: of the others it is only told whether they fit where they stand, and what they would meet."""


def asks_for_cure(finding: Finding) -> bool:
    """Whether a finding is of a kind that a change of its label cures, and one to be cured at all."""
    # An analyser that advises nothing has found what may well stay: a reference under its own part.
    return finding.analyser in CURABLE and finding.accepted is None and finding.advice is not None


def cures_of(
    board: Board, evidence: Sequence[Evidence], findings: Iterable[Finding], limits: Limits
) -> tuple[Cure, ...]:
    """A cure for each label with findings that a change of its drawing or place clears; in order of the labels."""
    wrong: dict[str, list[Finding]] = {}
    for finding in findings:
        if asks_for_cure(finding) and finding.label is not None:
            wrong.setdefault(finding.label, []).append(finding)
    own = {side: [one for one in evidence if one.label.side is side] for side in OUTER_SIDES}
    asked = {
        side: [
            one for one in own[side]
            if one.label.id in wrong and not one.far_off_board and one.label.drawn_as != "knocked out"
        ]
        for side in OUTER_SIDES
    }
    of = {
        side: {one.label.id: wrong[one.label.id] for one in asked[side]} for side in OUTER_SIDES
    }
    top, bottom = (
        (_seen_from(board, side), side, own[side], asked[side], of[side], limits) for side in OUTER_SIDES
    )
    found = both_remembered(
        _cures_on,
        top,
        bottom,
        worthwhile=min(len(some) for some in asked.values()) >= WORTH_SPLITTING,
    )
    cures = {cure.label: cure for some in found for cure in some}
    return tuple(cures[one.label.id] for one in evidence if one.label.id in cures)


def _seen_from(board: Board, side: Side) -> Board:
    """What labels of one side depend on, with the parts of the other side whose pins come through."""
    seen = tuple(one for one in board.components if one.side is side or any(pin.through for pin in one.pins))
    return replace(board.only(side), components=seen)


def _cures_on(
    board: Board, side: Side, evidence: Sequence[Evidence], asked: Sequence[Evidence],
    wrong: Mapping[str, Sequence[Finding]], limits: Limits,
) -> list[Cure]:
    if not asked or board.on(side).legend is None:
        return []
    labels = [one.label for one in evidence]
    groups = _rows_to_change(board, side, evidence, wrong, limits)
    near = [one.label for one in asked] + [label for changes in groups for label in changes[0].labels]
    room = room_on(board, side, labels, _box_around(near), limits)
    scene = Scene(
        room=room,
        rough_room=coarser_room(room, round(FAR.pitch_mm / room.pitch_mm)),
        parts=parts_on(board.components, side, room.openings),
        directions=main_directions(labels),
        limits=limits,
        standing=Standing(labels),
        components=tuple(one for one in board.components if one.side is side),
    )
    resizing = [one.label for one in asked if _names(wrong[one.label.id]) & SIZE]
    gaps = {label.id: gaps_of(label) for label in resizing}

    def rank(one: Evidence) -> int:
        return min(SEVERITIES.index(finding.severity) for finding in wrong[one.label.id])

    mistaken = any(_names(some) & WHOSE for some in wrong.values())
    partners = exchanged(board.components, labels, side) if mistaken else {}
    cures = _along_rows(groups, evidence, scene)
    done = {cure.label for cure in cures}
    for place, one in enumerate(sorted(asked, key=rank)):
        if one.label.id in done or _is_about_pins(one.label, _names(wrong[one.label.id]), scene):
            continue
        if one.label.id in partners and _names(wrong[one.label.id]) <= WHOSE:
            ask = _ask(one, wrong[one.label.id], True, room)
            cures += changed_over(one.label, partners[one.label.id], ask, scene)
            continue
        cure = _cure(one, wrong[one.label.id], gaps.get(one.label.id), scene, place < LOOKED_AT)
        if cure is not None:
            cures.append(cure)
    return cures


def _rows_to_change(
    board: Board, side: Side, evidence: Sequence[Evidence], wrong: Mapping[str, Sequence[Finding]], limits: Limits
) -> list[Sequence[Together]]:
    """Labels along rows of pins that are to change together, where that is all that is wrong with them."""
    if not any(_names(some) & ROWS for some in wrong.values()):
        return []
    on_board = [one.label for one in evidence if not one.far_off_board]
    return [
        changes for told_of, changes in along_pins(board.components, on_board, side, limits)
        if changes and _names(wrong.get(told_of, ())) & ROWS and not any(
            label.drawn_as == "knocked out" or _names(wrong.get(label.id, ())) - ROWS for label in changes[0].labels
        )
    ]


def _along_rows(groups: Sequence[Sequence[Together]], evidence: Sequence[Evidence], scene: Scene) -> list[Cure]:
    of = {one.label.id: one for one in evidence}
    cures: list[Cure] = []
    for changes in groups:
        asks = {label.id: _ask(of[label.id], (), True, scene.room) for label in changes[0].labels}
        cures += next((found for change in changes if (found := moved_together(change, asks, scene))), [])
    return cures


def _is_about_pins(label: Label, names: frozenset[str], scene: Scene) -> bool:
    """Whether all that is wrong is at which pins labels stand, so that no other change of this one helps."""
    return names <= ROWS and (not names & WHOSE or reference_said(label) not in scene.parts.references)


def _names(findings: Sequence[Finding]) -> frozenset[str]:
    return frozenset(finding.analyser for finding in findings)


def _box_around(labels: Sequence[Label]) -> Box:
    boxes = np.array([label.box_mm for label in labels])
    more = FAR.far_mm + 3.0
    low, high = boxes[:, :2].min(axis=0) - more, boxes[:, 2:].max(axis=0) + more
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))


def _cure(
    one: Evidence, wrong: Sequence[Finding], gaps: Gaps | None, scene: Scene, among_the_worst: bool
) -> Cure | None:
    """The cure of one label, which then takes its place; None where no change of it would help."""
    label, names = one.label, _names(wrong)
    mirrored = bool(names & WAY_ROUND)
    turn = half_turn(label, scene.directions) if mirrored or names & DIRECTION else 0
    characters = gaps.characters if gaps is not None else len(label.marks)
    changes = [
        Change(size, turn, changed(label, size, characters, turn))
        for size in _sizes(label, names, gaps, scene.limits)
    ]
    place: Place | NoPlace
    if names & PLACE or changes[0].size != AS_IT_IS:
        ask = _ask(one, wrong, among_the_worst, scene.room)
        place = find_place(label, changes, characters, ask, scene)
    else:
        place = Place(changes[0], (0.0, 0.0), 0.0)
    if isinstance(place, NoPlace):
        if names <= WHOSE:
            return None  # where its own part is, is all that can be told
        cure = _changed(label, changes[-1], mirrored)
        return replace(cure, in_the_way=place.in_the_way, looked_mm=place.looked_mm)
    if place.shift_mm == (0.0, 0.0) and place.change.size == AS_IT_IS and place.change.turn_deg == 0 and not mirrored:
        by = next((other for other, box in scene.left.items() if _meet(box, label.box_mm)), None)
        return None if by is None else Cure(label.id, box_mm=label.box_mm, cleared_by=by)
    scene.settle(label, place)
    cure = _changed(label, place.change, mirrored)
    return replace(cure, shift_mm=place.shift_mm, box_mm=around(place.boxes))


def _ask(one: Evidence, wrong: Sequence[Finding], among_the_worst: bool, room: Room) -> Ask:
    """How far to look: nobody sends a label far away for a note, or moves every label of a board."""
    names = _names(wrong)
    misplaced = any(finding.analyser in PLACE and finding.severity is not Severity.NOTE for finding in wrong)
    return Ask(
        size_only=not names & PLACE,
        near=among_the_worst or bool(names & PLACE),
        far=among_the_worst and misplaced,
        under=_bodies_to_stay_under(one, names, room),
        in_shadow=one.shadow is not None and "behind-body" not in names,
        mistaken=bool(names & WHOSE),
    )


def _changed(label: Label, change: Change, mirrored: bool) -> Cure:
    size = change.size
    return Cure(
        label.id, size.scale, size.growth_mm, size.height_mm, size.pen_mm, size.spacing_mm, mirrored, change.turn_deg
    )


def _sizes(label: Label, names: frozenset[str], gaps: Gaps | None, limits: Limits) -> list[Size]:
    """The sizes to try, the best first; the label as it is where its size is not wrong."""
    if gaps is None:
        return [AS_IT_IS]
    height = label.character_height_mm
    asked = [one for one in heights_asked(limits) if one > height] if names & HEIGHT else []
    tried = [resized(label, gaps, one, limits) for one in asked or (None,)]
    return [size for size in tried if size is not None] or [AS_IT_IS]


def _bodies_to_stay_under(one: Evidence, names: frozenset[str], room: Room) -> Flags:
    """Boxes of bodies under which the label may stay, since it lies there and that is no fault of it."""
    if "under-body" in names or len(room.body) == 0:
        return np.zeros(len(room.body), dtype=np.bool_)
    x0, y0, x1, y1 = one.label.box_mm
    boxes = room.body_boxes
    met = (boxes[:, 0] < x1) & (boxes[:, 2] > x0) & (boxes[:, 1] < y1) & (boxes[:, 3] > y0)
    over = np.zeros(int(room.body.max()) + 1, dtype=np.bool_)
    over[room.body[met]] = True
    return np.asarray(over[room.body])


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
