"""As printed: what the legend process leaves of every label, and what that reads as.

The clip is made in the data, before anything can shift: its distance is there to take the shift up. Holes and edges
are cut where the board has them, so there the legend's error of registration decides what is lost.

Most labels of a board are printed as they are drawn. The work is done only for those of which an opening, a hole or
an edge may take ink, whose strokes come near to the thinnest line that prints, or whose gaps are near to closing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.labels.label import Label
from labelcheck.labels.reading.protocol import Reader
from labelcheck.press.evidence import WHOLE, Misread, Printed
from labelcheck.press.obstacles import Obstacles
from labelcheck.press.printing_ink import moved, on_printer_grid, pixels_of_printer, spread, without_slivers
from labelcheck.press.printing_reading import read_back, rows_of
from labelcheck.press.printing_shape import pieces_and_holes
from labelcheck.raster.growing import grown
from labelcheck.raster.run_algebra import intersect, overlaps_between_groups, subtract, union
from labelcheck.raster.runs import Runs, area_by_group, no_runs
from labelcheck.trade.limits import Limits

Flags = NDArray[np.bool_]
Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

WORTH_READING = 0.03
"""A character that keeps all but this share of its ink, and hangs together as drawn, reads as drawn (judgement)."""
CRUMBS = 0.2
"""A character of which no more than this share is left is read as nothing, whatever that looks like (judgement)."""
WORSE = 0.01
"""A shift counts where it takes so much more of a character than none does."""
EIGHT_WAYS = tuple((dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if (dx, dy) != (0, 0))


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """The marks of some labels in one state of the print; arrays by mark number.

    `kept` share of the ink as drawn, `broken` and `closed` as in `Printed`, `changed` whether it must be read anew.
    """

    ink: Runs
    kept: Floats
    broken: Flags
    closed: Flags
    changed: Flags


def as_printed(
    ink: Runs, labels: Sequence[Label], surroundings: tuple[Obstacles, Flags], limits: Limits, reader: Reader | None,
    all_in_full: bool = False,
) -> tuple[Printed, ...]:
    """What is left of each label of one side, in their order; without a reader nothing is read back.

    `ink` is the ink as drawn, grouped by mark number; `surroundings` the obstacles and the marks that they may take
    ink of, as from `may_lose_ink`. `all_in_full` spares no label the full model. Labels knocked out of filled ink
    are the matter of `printing_clear.py`: here they are printed as drawn.
    """
    obstacles, near = surroundings
    count = len(near)
    chosen = [
        label for label in labels
        if label.drawn_as != "knocked out"
        and (all_in_full or _delicate(label, limits) or any(near[mark.number] for mark in label.marks))
    ]
    if not chosen:
        return (WHOLE,) * len(labels)
    drawn = ink_of(ink, chosen, count)
    clipped = _clipped(drawn, obstacles, near)
    state = _state(drawn, _left(clipped, obstacles, near), chosen, near, limits)
    printed = _told(chosen, drawn, state, reader, limits)
    shifts = worst_shifts(drawn, clipped, chosen, (obstacles, near), limits)
    shifted = [label for label in chosen if label.id in shifts]
    if shifted:
        left = _left_when_shifted(clipped, shifted, shifts, (obstacles, near))
        own = ink_of(drawn, shifted, count)
        for label_id, told in _told(shifted, own, _state(own, left, shifted, near, limits), reader, limits).items():
            printed[label_id] = with_shift(printed[label_id], told, shifts[label_id], limits)
    return tuple(printed.get(label.id, WHOLE) for label in labels)


def with_shift(printed: Printed, shifted: Printed, shift: tuple[int, int], limits: Limits) -> Printed:
    """The print of a label together with that of the legend lying off by so many columns and rows."""
    return replace(
        printed,
        shift_mm=(shift[0] * limits.pitch_mm, shift[1] * limits.pitch_mm),
        left_when_shifted=shifted.left,
        least_left_when_shifted=shifted.least_left,
        misread_when_shifted=shifted.misread,
    )


def ink_as_printed(
    ink: Runs, labels: Sequence[Label], surroundings: tuple[Obstacles, Flags], limits: Limits
) -> Runs:
    """The ink of some labels once printed, the legend lying where it belongs; arguments as of `as_printed`."""
    obstacles, near = surroundings
    drawn = ink_of(ink, labels, len(near))
    return _state(drawn, _left(_clipped(drawn, obstacles, near), obstacles, near), labels, near, limits).ink


def _delicate(label: Label, limits: Limits) -> bool:
    """Whether strokes are nearly too thin to survive, or gaps nearly too narrow to stay open."""
    # Rounding to the raster, and to the printer's pixel where that is coarser, each at both edges.
    slack = 2 * limits.pitch_mm
    pixel = pixels_of_printer(limits)
    grid = 0.0 if pixel == 1 else 1.5 * pixel * limits.pitch_mm
    thin = label.stroke_least_mm < limits.thinnest_print.value_mm + slack
    tight = label.gap_mm is not None and label.gap_mm < 2 * limits.spread.value_mm + grid + slack
    return thin or tight


def may_lose_ink(ink: Runs, taken: Flags, obstacles: Obstacles, limits: Limits) -> Flags:
    """Of which marks an opening, a hole or an edge may take ink, however the legend lies; by mark number.

    `taken` tells it for clip and clearances; a registration worse than the clearance of holes reaches further.
    """
    if obstacles.holes is None or limits.registration.value_mm <= limits.hole_clearance.value_mm:
        return taken
    reached = intersect(ink, grown(obstacles.holes, limits.registration.value_mm))
    return np.asarray(taken | (area_by_group(reached, len(taken)) > 0))


def ink_of(ink: Runs, labels: Sequence[Label], count: int) -> Runs:
    """The ink of some labels only, still grouped by mark number; `count` marks there are."""
    if ink.group is None:
        raise ValueError("ink must be grouped by mark number")
    wanted = np.zeros(max(count, int(ink.group.max(initial=-1)) + 1), dtype=np.bool_)
    wanted[[mark.number for label in labels for mark in label.marks]] = True
    return ink.take(wanted[ink.group])


def _clipped(drawn: Runs, obstacles: Obstacles, near: Flags) -> Runs:
    """Ink in the data, less the clip at openings."""
    if drawn.group is None or obstacles.openings is None or not near.any():
        return drawn
    beside = near[drawn.group]
    return union(drawn.take(~beside), subtract(drawn.take(beside), obstacles.openings))


def _left(clipped: Runs, obstacles: Obstacles, near: Flags, shift: tuple[int, int] = (0, 0)) -> Runs:
    """Ink in the data less what falls into holes and off the board when the legend lies shifted.

    `shift` columns and rows; the result lies as in the data.
    """
    if clipped.group is None or not near.any():
        return clipped
    beside = near[clipped.group]
    left = clipped.take(beside)
    back = (-shift[0], -shift[1])
    if obstacles.holes is not None:
        left = subtract(left, moved(obstacles.holes, *back))
    if obstacles.board_area is not None:
        left = intersect(left, moved(obstacles.board_area, *back))
    return union(clipped.take(~beside), left)


def _left_when_shifted(
    clipped: Runs, labels: Sequence[Label], shifts: dict[str, tuple[int, int]], surroundings: tuple[Obstacles, Flags]
) -> Runs:
    """What is left of several labels, each shifted its own way."""
    obstacles, near = surroundings
    left = no_runs(clipped.pitch_mm, grouped=True)
    for shift in sorted(set(shifts.values())):
        own = ink_of(clipped, [label for label in labels if shifts[label.id] == shift], len(near))
        left = union(left, _left(own, obstacles, near, shift))
    return left


def _state(drawn: Runs, left: Runs, labels: Sequence[Label], near: Flags, limits: Limits) -> _State:
    """Take what is left through the process, and compare it with the ink as drawn."""
    count = len(near)
    if left.group is None:
        raise ValueError("ink must be grouped by mark number")
    thin = near.copy()
    slack = 2 * limits.pitch_mm
    for label in labels:
        if label.stroke_least_mm < limits.thinnest_print.value_mm + slack:
            thin[[mark.number for mark in label.marks]] = True
    frail = thin[left.group]
    kept = union(left.take(~frail), without_slivers(left.take(frail), limits.thinnest_print.value_mm))
    ink = spread(on_printer_grid(kept, limits), limits)
    area = area_by_group(drawn, count)
    # A mark whose ink a clear object has removed in the drawing already loses nothing when it is printed.
    share = np.where(area > 0, np.minimum(area_by_group(kept, count) / np.maximum(area, 1e-12), 1.0), 1.0)
    pieces, holes = pieces_and_holes(ink, count)
    own_pieces, own_holes = pieces_and_holes(drawn, count)
    broken, closed = (pieces > own_pieces) | ((pieces == 0) & (own_pieces > 0)), holes != own_holes
    # A ring cut open has a hole less, yet nothing in it closed: the ink itself tells which.
    closed &= share > 1 - WORTH_READING
    changed = (share < 1 - WORTH_READING) | (pieces != own_pieces) | (holes != own_holes)
    return _State(ink, share, broken, closed, changed)


def _told(
    labels: Sequence[Label], drawn: Runs, state: _State, reader: Reader | None, limits: Limits
) -> dict[str, Printed]:
    """What is left of each label in one state, by id."""
    area = area_by_group(drawn, len(state.kept))
    joined = _joined(labels, drawn, state)
    misread: dict[str, tuple[Misread, ...]] = {}
    read: set[str] = set()
    to_read = [
        label for label in labels
        if label.text is not None and any(state.changed[mark.number] for mark in label.marks)
        and any(state.kept[mark.number] > 0 for mark in label.marks)
    ]
    if reader is not None and to_read:
        rows = rows_of(to_read, drawn)
        read = {label.id for label in rows.labels}
        misread = read_back(rows, (drawn, state.ink), state.changed, reader, limits.spread.value_mm)
    told = {}
    for label in labels:
        numbers = [mark.number for mark in label.marks]
        whole = max(float(area[numbers].sum()), 1e-12)
        told[label.id] = Printed(
            left=float((state.kept[numbers] * area[numbers]).sum()) / whole,
            least_left=float(state.kept[numbers].min()),
            broken=tuple(np.flatnonzero(state.broken[numbers]).tolist()),
            closed=tuple(np.flatnonzero(state.closed[numbers]).tolist()),
            joined=joined.get(label.id, ()),
            misread=with_ink_left(misread.get(label.id, ()), np.array(numbers), state.kept, area),
            read=label.id in read,
        )
    return told


def with_ink_left(
    misread: tuple[Misread, ...], numbers: Integers, kept: Floats, area: Floats
) -> tuple[Misread, ...]:
    """Each character with the share of its ink that is left; crumbs are read as nothing."""
    told = []
    for one in misread:
        own = numbers[list(one.marks)]
        left = float((kept[own] * area[own]).sum() / max(float(area[own].sum()), 1e-12))
        told.append(replace(one, left=left, printed=None if left < CRUMBS else one.printed))
    return tuple(told)


def _joined(labels: Sequence[Label], drawn: Runs, state: _State) -> dict[str, tuple[int, ...]]:
    """By label, the places of marks that run into the next one as printed and stand clear of it as drawn."""
    before = {pair for pair in zip(*(side.tolist() for side in overlaps_between_groups(drawn)[:2]), strict=True)}
    after = {
        pair for pair in zip(*(side.tolist() for side in overlaps_between_groups(state.ink)[:2]), strict=True)
    } - before
    return {
        label.id: tuple(
            place for place, (mark, following) in enumerate(zip(label.marks, label.marks[1:], strict=False))
            if (min(mark.number, following.number), max(mark.number, following.number)) in after
        )
        for label in labels
    }


def worst_shifts(
    drawn: Runs, clipped: Runs, labels: Sequence[Label], surroundings: tuple[Obstacles, Flags], limits: Limits
) -> dict[str, tuple[int, int]]:
    """For each label that some shift costs more ink than none, the shift that costs one of its characters most."""
    obstacles, near = surroundings
    if clipped.group is None or not near.any():
        return {}
    count = len(near)
    area = np.maximum(area_by_group(drawn, count), 1e-12)
    beside = clipped.take(near[clipped.group])
    steps = limits.registration.value_mm / limits.pitch_mm
    shifts = [(0, 0)] + [
        (round(dx * steps / np.hypot(dx, dy)), round(dy * steps / np.hypot(dx, dy))) for dx, dy in EIGHT_WAYS
    ]
    lost = np.array([1.0 - area_by_group(_left(beside, obstacles, near, one), count) / area for one in shifts])
    worst = {}
    for label in labels:
        numbers = [mark.number for mark in label.marks if near[mark.number]]
        if not numbers:
            continue
        each = lost[:, numbers].max(axis=1)
        at = int(np.argmax(each > each.max() - 1e-9))
        if at and each[at] > each[0] + WORSE:
            worst[label.id] = shifts[at]
    return worst
