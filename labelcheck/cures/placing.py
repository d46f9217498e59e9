"""A place for a label on its side, among everything else there: where it stands, else near by, else farther off."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np
from shapely.geometry import Polygon

from labelcheck.board.components import Component
from labelcheck.cures.belonging import Company, Parts, company_of
from labelcheck.cures.room import Room, covering
from labelcheck.cures.searching import (
    Reach,
    Rectangles,
    around,
    covered,
    covered_by_each,
    is_taken,
    length_of,
    nearest,
    onto_boxes,
    onto_runs,
)
from labelcheck.cures.shapes_of_labels import boxes_of, changed, is_straight, runs_upward
from labelcheck.cures.sizing import Size
from labelcheck.labels.label import Box, Label
from labelcheck.press.shadows import shadows_of
from labelcheck.trade.limits import Limits
from labelcheck.trade.shapes import Flags, Floats
from labelcheck.trade.sides import Side

HERE, NUDGED, NEAR, FAR = Reach(0, 1, 0.025), Reach(5, 4, 0.025), Reach(24, 2, 0.025), Reach(100, 1, 0.1)
"""Where it stands; 0.5 mm in steps of 0.1 mm; 1.2 mm in steps of 0.05 mm; 10 mm in steps of 0.1 mm."""
SURVEYED = Reach(50, 2, 0.1)
"""The same 10 mm, finely enough to say what takes most of it."""
TURN_COSTS_MM = 2.0
"""A quarter turn is proposed where it saves at least so much of the way (judgement)."""
DRAWN_LINES, OTHER_LABELS, BODIES, SHADOWS = "drawn lines", "other labels", "bodies of parts", "tall parts beside it"
MUCH = 0.1
"""What takes less than this share of the places is not what is in the way."""


@dataclass(frozen=True, slots=True)
class Margins:
    """How far a label keeps off other ink: from drawings in mm, from labels along and across in heights of theirs."""

    drawn_mm: float
    along: float
    across: float


@dataclass(frozen=True, slots=True, eq=False)
class Change:
    """One way to change a label's drawing, and the boxes (k, 4) that it then has about the middle where it stands."""

    size: Size
    turn_deg: int
    boxes: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A changed label, and how far it is moved."""

    change: Change
    shift_mm: tuple[float, float]
    cost_mm: float

    @property
    def boxes(self) -> Floats:
        """Where it then stands."""
        return self.change.boxes + np.array([*self.shift_mm, *self.shift_mm])


@dataclass(frozen=True, slots=True)
class NoPlace:
    """Why there is none."""

    in_the_way: tuple[str, ...]
    looked_mm: float
    """How far was looked; 0 where only the place where it stands was looked at."""


class Standing:
    """Where all labels of a side stand, or will stand once cured: columns over their boxes."""

    def __init__(self, labels: Sequence[Label]) -> None:
        own = [boxes_of(label) for label in labels]
        self._row = {label.id: row for row, label in enumerate(labels)}
        self._owner = np.repeat(np.arange(len(labels)), [len(boxes) for boxes in own])
        self._boxes = np.vstack([np.zeros((0, 4)), *own])
        self._height = np.array([label.character_height_mm for label in labels])[self._owner]
        # What a label needs around it along x and along y: 0 across its line, 1 along it, both where it lies aslant.
        lying = [_lying(label, 0) for label in labels]
        self._lying = np.array(lying, dtype=np.float64).reshape(-1, 2)[self._owner]
        self._with_room: dict[tuple[float, float], tuple[Floats, Floats]] = {}

    def put(self, label: Label, boxes: Floats, turn_deg: int) -> None:
        """A label stands elsewhere from now on."""
        own = self._owner == self._row[label.id]
        self._boxes[own] = boxes
        self._lying[own] = _lying(label, turn_deg)
        self._with_room.clear()

    def others(self, label: Label, near_mm: Box, margins: Margins) -> Floats:
        """Boxes (n, 4) of all others that come within a box, each with the room around it that it needs."""
        low, high = self._grown(margins.along, margins.across)
        near = (low < near_mm[2:]).all(axis=1) & (high > near_mm[:2]).all(axis=1)
        near &= self._owner != self._row[label.id]
        return np.hstack((low[near], high[near]))

    def _grown(self, along: float, across: float) -> tuple[Floats, Floats]:
        """Corners of all boxes with that room around them, which many labels ask for before one is moved."""
        held = self._with_room.get((along, across))
        if held is None:
            room = self._height[:, None] * (across + (along - across) * self._lying)
            held = self._boxes[:, :2] - room, self._boxes[:, 2:] + room
            self._with_room[along, across] = held
        return held


def _lying(label: Label, turn_deg: int) -> tuple[float, float]:
    if not is_straight(label):
        return 1.0, 1.0
    return (0.0, 1.0) if runs_upward(label, turn_deg) else (1.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Ask:
    """What is asked for one label."""

    size_only: bool
    """Whether nothing is wrong with its place."""
    near: bool
    """Whether a place near by is looked for, should it not fit where it stands."""
    far: bool
    """Whether it may be turned, or sent far away, should nothing be free near by."""
    under: Flags
    """Boxes of bodies that it may stay under."""
    in_shadow: bool = False
    """Whether it may stand behind tall parts, since it does and that is no fault of it."""
    mistaken: bool = False
    """Whether it is taken for the reference of another part where it stands."""


@dataclass(slots=True)
class Scene:
    """One side while its labels are cured, one after the other."""

    room: Room
    rough_room: Room
    """The same, coarse enough for far searches."""
    parts: Parts
    directions: tuple[int, int]
    limits: Limits
    standing: Standing
    components: tuple[Component, ...] = ()
    """The parts of this side."""
    left: dict[str, Box] = field(default_factory=dict)
    """Boxes where labels stood that have been cured."""
    _shadows: dict[tuple[Side, float], tuple[Floats, Floats]] = field(default_factory=dict)

    def shadows(self, label: Label, turn_deg: int) -> tuple[Floats, Floats]:
        """Boxes (n, 4) that cover what tall parts hide of a label once turned, seen from below and from above it."""
        turned = round(label.turned_deg + turn_deg, 1) % 360
        if (label.side, turned) not in self._shadows:
            front, back = shadows_of(self.components, turned, label.side, self.limits.viewing_angle_deg)
            self._shadows[label.side, turned] = _boxes_over(front), _boxes_over(back)
        return self._shadows[label.side, turned]

    def room_for(self, reach: Reach) -> Room:
        """The room on the raster of a search."""
        return self.room if reach.pitch_mm == self.room.pitch_mm else self.rough_room

    def settle(self, label: Label, place: Place) -> None:
        """From now on a label stands at its new place, for all labels that follow."""
        self.standing.put(label, place.boxes, place.change.turn_deg)
        self.left[label.id] = label.box_mm


def _boxes_over(areas: Sequence[Polygon]) -> Floats:
    return np.array([box for area in areas for box in covering(area)], dtype=np.float64).reshape(-1, 4)


def find_place(label: Label, changes: Sequence[Change], characters: int, ask: Ask, scene: Scene) -> Place | NoPlace:
    """A place for a changed label: where it stands, else near by, else farther off; first changes before others."""
    margins = _margins(label, scene.limits)
    company = company_of(label, scene.parts, (FAR if ask.near else NUDGED).far_mm)
    if company is not None and ask.mistaken:
        company = replace(company, mistaken=True)
    bound = ask, company
    for change in changes:
        may_stay = not ask.mistaken and (ask.size_only or change is changes[0])
        if may_stay and stays(label, change, ask, scene):
            return Place(change, (0.0, 0.0), 0.0)
        place = _nearest(label, change, margins, NEAR, bound, scene) if ask.near else None
        if place is not None:
            return place
    if not ask.near:
        place = _nearest(label, changes[-1], [_where_it_stands(scene.limits)], NUDGED, bound, scene)
        return place or _in_the_way(label, changes[-1], NUDGED, ask, scene)
    place = _farther(label, (changes[-1], characters), margins, bound, scene) if ask.far else None
    return place if place is not None else _in_the_way(label, changes[-1], SURVEYED if ask.far else NEAR, ask, scene)


def _margins(label: Label, limits: Limits) -> tuple[Margins, Margins]:
    """Margins that let a label stand by itself, and the least ones (judgement: what letters are spaced by)."""
    gap = limits.gap.doubtful or limits.pitch_mm
    return Margins(max(gap, 0.2 * label.character_height_mm), 0.9, 0.25), Margins(gap, 0.7, 0.1)


def _where_it_stands(limits: Limits) -> Margins:
    """For a label that only grows: it stands among these neighbours already, and is read apart from them."""
    return Margins(limits.gap.doubtful or limits.pitch_mm, 0.5, 0.0)


def stays(label: Label, change: Change, ask: Ask, scene: Scene, margins: Margins | None = None) -> bool:
    """Whether a changed label meets nothing where its boxes are; margins are those of one that only grows."""
    room, boxes, gap = scene.room, change.boxes, _gap(scene)
    margins = _where_it_stands(scene.limits) if margins is None else margins
    if is_taken(room.all_taken, boxes, 0.0) or is_taken(room.drawn, boxes, margins.drawn_mm):
        return False
    others = scene.standing.others(label, _grown(around(boxes), gap), margins)
    if covered(HERE, onto_boxes(boxes, others, gap, HERE), _under_bodies(boxes, HERE, ask, scene)).any():
        return False
    return not _in_shadow(label, change, HERE, ask, scene).any()


def _under_bodies(boxes: Floats, reach: Reach, ask: Ask, scene: Scene) -> Rectangles:
    return onto_boxes(boxes, scene.room.body_boxes[~ask.under], 0.0, reach)


def _in_shadow(label: Label, change: Change, reach: Reach, ask: Ask, scene: Scene) -> Flags:
    """The shifts that put a changed label where tall parts hide some of it both from below and from above."""
    front, back = scene.shadows(label, change.turn_deg)
    if ask.in_shadow or len(front) == 0:
        return np.zeros((2 * reach.steps + 1,) * 2, dtype=np.bool_)
    seen = covered_by_each(reach, [onto_boxes(change.boxes, some, 0.0, reach) for some in (front, back)])
    return np.asarray(seen.all(axis=0))


def _in_the_way(label: Label, change: Change, reach: Reach, ask: Ask, scene: Scene) -> NoPlace:
    """What takes the places within reach of a changed label, what takes most first."""
    room, boxes, gap = scene.room_for(reach), change.boxes, _gap(scene)
    least = _margins(label, scene.limits)[-1]
    others = scene.standing.others(label, _grown(around(boxes), reach.far_mm + gap), least)
    rectangles = {name: onto_runs(boxes, runs, 0.0, reach) for name, runs in room.taken} | {
        DRAWN_LINES: onto_runs(boxes, room.drawn, least.drawn_mm, reach),
        OTHER_LABELS: onto_boxes(boxes, others, gap, reach),
        BODIES: _under_bodies(boxes, reach, ask, scene),
    }
    taken = covered_by_each(reach, list(rectangles.values()))
    taken = np.concatenate((taken, _in_shadow(label, change, reach, ask, scene)[None]))
    shares = dict(zip((*rectangles, SHADOWS), taken.mean(axis=(1, 2)).tolist(), strict=True))
    told = sorted((name for name in shares if shares[name] >= MUCH), key=lambda name: -shares[name])
    if not taken.any(axis=0).all():
        told.append("other parts, to which it would be nearer than to its own")
    return NoPlace(tuple(told), reach.far_mm)


def _gap(scene: Scene) -> float:
    return scene.limits.gap.doubtful or scene.limits.pitch_mm


def _farther(
    label: Label, wanted: tuple[Change, int], margins: Sequence[Margins], bound: tuple[Ask, Company | None],
    scene: Scene,
) -> Place | None:
    """The nearest place farther off, or a quarter turn where that saves much of the way."""
    change, characters = wanted
    found = _nearest(label, change, margins, FAR, bound, scene)
    turn = _other_direction(label, change.turn_deg, scene.directions)
    if turn is None or (found is not None and found.cost_mm <= TURN_COSTS_MM):
        return found
    turned = replace(change, turn_deg=turn, boxes=changed(label, change.size, characters, turn))
    for reach in (NEAR, FAR):
        other = _nearest(label, turned, margins, reach, bound, scene)
        if other is not None:
            return other if found is None or other.cost_mm + TURN_COSTS_MM < found.cost_mm else found
    return found


def _other_direction(label: Label, turn_deg: int, directions: tuple[int, int]) -> int | None:
    """The turn after which the label is read in the other main direction of its side; None for a label aslant."""
    now = None if not is_straight(label) else (_faces(label) + turn_deg) % 360
    if now not in directions:
        return None
    other = directions[1 - directions.index(now)]
    return (turn_deg + other - now) % 360


def half_turn(label: Label, directions: tuple[int, int]) -> int:
    """180 where a label along the axes has to be turned over to be read in a main direction of its side, else 0."""
    return 180 if is_straight(label) and _faces(label) not in directions else 0


def _faces(label: Label) -> int:
    """The direction, a multiple of 90 degrees, that a label is read in; for mirror writing the one once mirrored."""
    quarter = round(label.turned_deg / 90) * 90
    return (-quarter if label.mirrored else quarter) % 360


def _nearest(
    label: Label, change: Change, margins: Sequence[Margins], reach: Reach, bound: tuple[Ask, Company | None],
    scene: Scene,
) -> Place | None:
    """The nearest place within reach, with the first margins that leave one."""
    ask, company = bound
    boxes, box, gap, room = change.boxes, around(change.boxes), _gap(scene), scene.room_for(reach)

    def other_ink(margins: Margins) -> tuple[Rectangles, Rectangles]:
        others = scene.standing.others(label, _grown(box, reach.far_mm + gap), margins)
        return onto_boxes(boxes, others, gap, reach), onto_runs(boxes, room.drawn, margins.drawn_mm, reach)

    # Most searches that find nothing find it with the least margins: what those leave, larger ones take from.
    least = margins[-1]
    fixed = onto_runs(boxes, room.all_taken, 0.0, reach), _under_bodies(boxes, reach, ask, scene)
    free = ~covered(reach, *fixed, *other_ink(least)) & ~_in_shadow(label, change, reach, ask, scene)
    if not free.any():
        return None
    suits = None if company is None else partial(company.suits, label.box_mm, box)
    for one in margins:
        shift = nearest(free if one is least else free & ~covered(reach, *other_ink(one)), reach, suits)
        if shift is not None:
            x, y = (np.array([round(part / reach.step_mm)]) for part in shift)
            return Place(change, shift, float(length_of(x, y, reach.step_mm)[0]))
    return None


def _grown(box: Box, margin_mm: float) -> Box:
    return (box[0] - margin_mm, box[1] - margin_mm, box[2] + margin_mm, box[3] + margin_mm)
