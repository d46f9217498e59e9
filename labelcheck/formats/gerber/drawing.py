"""Operations -> drawn shapes: strokes, flashes and regions of one file, before repeats and blocks are laid out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.arcs import (
    KEEPS_AREA,
    KEEPS_LENGTH,
    Arcs,
    arcs_about,
    arcs_within_quadrant,
    chord_counts,
    chords,
)
from labelcheck.formats.gerber.blocks import Sheet
from labelcheck.formats.gerber.bounds import MOST_OBJECTS, MOST_POINTS, MOST_SWEPT_ARCS
from labelcheck.formats.gerber.inking import Inks
from labelcheck.formats.gerber.operations import CLOCKWISE, DRAW, FLASH, LINEAR, MOVE, Operations
from labelcheck.formats.gerber.placing import (
    Bars,
    Placement,
    Rings,
    copies,
    grouped,
    joined_bars,
    joined_rings,
    placed,
)
from labelcheck.formats.gerber.program import Program
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.formats.gerber.sweeping import swept_arc, swept_lines
from labelcheck.trade.shapes import Kind, Shapes

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]

MISFIT_MM = 0.05
"""Arcs whose ends miss a common circle by more are remarked; rounding in the coarsest real formats stays below."""

CLOSED_MM = 0.01
"""Contours whose ends are farther apart are remarked; rounding leaves smaller gaps, which nobody can see."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """Shapes of a file with what is needed to lay out blocks and repeats."""

    shapes: Shapes
    operation: Integers
    """Operation that made each object."""
    container: Integers
    """Container that each object stands in."""
    block_flashes: Integers
    """Operations that flash a block."""


class Drawing:
    """Draws all operations of one file."""

    def __init__(
        self, operations: Operations, program: Program, inks: Inks, sheet: Sheet, remarks: RemarkBook
    ) -> None:
        self._ops, self._program, self._inks, self._sheet, self._remarks = operations, program, inks, sheet, remarks
        ops = operations
        self.state = program.states.rows.values_at(ops.at)
        self._x, self._y = self._mapped(ops.x, ops.y, self.state)
        before = np.arange(len(ops)) - 1
        # A stroke starts where the operation before it ended; the first one at the origin.
        self._from_x = np.append(ops.x, 0.0)[before]
        self._from_y = np.append(ops.y, 0.0)[before]
        self._start_x, self._start_y = self._mapped(self._from_x, self._from_y, self.state)

    def draw(self) -> Drawn:
        """All objects of the file in drawing order."""
        ops = self._ops
        row = self._inks.row_of_operation
        inside = ops.region > 0
        strokes = np.flatnonzero((ops.code == DRAW) & ~inside)
        flashes = np.flatnonzero((ops.code == FLASH) & ~inside)
        self._remark_flashes_inside(np.flatnonzero((ops.code == FLASH) & inside))
        segments = np.flatnonzero((ops.code == DRAW) & inside)
        is_block = self._inks.is_block
        blocks = flashes[is_block[row[flashes]]]
        flashes = flashes[~is_block[row[flashes]]]
        dragged = strokes[is_block[row[strokes]]]
        if len(dragged):
            self._note("block stroke", dragged, "A block cannot draw strokes; they were left out.", lost=True)
            strokes = strokes[~is_block[row[strokes]]]
        firsts = self._contour_starts(segments)
        makes = np.zeros(len(ops), dtype=np.bool_)
        for which in (strokes, flashes, segments[firsts]):
            makes[which] = True
        makers = np.flatnonzero(makes)
        if len(makers) > MOST_OBJECTS:
            raise self._too_much()
        number = np.cumsum(makes) - 1
        bars, rings = [], []
        for stroke_bars, stroke_rings in (self._strokes(strokes, number), self._flashes(flashes, number)):
            bars.append(stroke_bars)
            rings.append(stroke_rings)
        rings.append(self._contours(segments, firsts, number))
        shapes = self._assemble(makers, joined_bars(bars), joined_rings(rings))
        container = self._inks.container_of_state[self.state[makers]]
        return Drawn(shapes, makers, container, blocks)

    @property
    def spots(self) -> tuple[Floats, Floats, Integers]:
        """Position and byte offset of every operation."""
        return self._x, self._y, self._ops.at

    # Points

    def _mapped(self, x: Floats, y: Floats, state: Integers) -> tuple[Floats, Floats]:
        """Positions after deprecated moves of the coordinate data."""
        maps = self._inks.maps
        if maps is None:
            return x, y
        a, b, c, d, dx, dy = maps[state].T
        return a * x + b * y + dx, c * x + d * y + dy

    def _arcs(self, which: Integers, bulge: float) -> tuple[Integers, Floats, Floats]:
        """Chord counts and ends, mapped, of arc operations."""
        ops = self._ops
        ends = (self._from_x[which], self._from_y[which], ops.x[which], ops.y[which])
        i, j = ops.i[which], ops.j[which]
        clockwise = ops.way[which] == CLOCKWISE
        many = arcs_about(ends, i, j, clockwise)
        quadrant = ops.quadrant[which]
        if (quadrant != 75).any():
            one = arcs_within_quadrant(ends, i, j, clockwise)
            unsaid = quadrant == 0
            single = (quadrant == 74) | (unsaid & (i >= 0) & (j >= 0) & (one.misfit() < many.misfit()))
            if unsaid.any():
                message = "An arc stands before any G74 or G75; the reading that fits its ends was taken."
                self._note("no quadrant mode", which[unsaid], message)
            pick = {name: np.where(single, getattr(one, name), getattr(many, name)) for name in ("cx", "cy", "sweep")}
            many = Arcs(*ends, **pick)
        misfit = many.misfit()
        wrong = misfit > np.maximum(MISFIT_MM, 0.01 * np.hypot(i, j))
        if wrong.any():
            message = "An arc's ends do not lie on one circle about its centre; a curve between them was drawn."
            self._note("arc misfit", which[wrong], message)
        if int(chord_counts(many).sum()) > MOST_POINTS:
            raise self._too_much()
        count, x, y = chords(many, bulge)
        x, y = self._mapped(x, y, np.repeat(self.state[which], count))
        return count, x, y

    def _path(self, which: Integers, bulge: float) -> tuple[Integers, Floats, Floats]:
        """Points reached by draw operations: how many each, and the points one after another."""
        ops = self._ops
        curved = (ops.way[which] != LINEAR) & ((ops.i[which] != 0) | (ops.j[which] != 0))
        lost = (ops.way[which] != LINEAR) & ~curved
        lost &= (self._from_x[which] != ops.x[which]) | (self._from_y[which] != ops.y[which])
        if lost.any():
            message = "An arc has no centre; a straight line was drawn instead."
            self._note("no centre", which[lost], message, lost=True)
        if not curved.any():
            return np.ones(len(which), dtype=np.int64), self._x[which], self._y[which]
        count = np.ones(len(which), dtype=np.int64)
        arc_count, arc_x, arc_y = self._arcs(which[curved], bulge)
        count[curved] = arc_count
        on_arc = np.repeat(curved, count)
        x, y = np.empty(len(on_arc)), np.empty(len(on_arc))
        x[on_arc], y[on_arc] = arc_x, arc_y
        x[~on_arc], y[~on_arc] = self._x[which[~curved]], self._y[which[~curved]]
        return count, x, y

    # Strokes

    def _strokes(self, strokes: Integers, number: Integers) -> tuple[Bars, Rings]:
        """Strokes as bars or swept outlines; `number` is the object that each operation makes."""
        pen = self._inks.pen[self._inks.row_of_operation[strokes]]
        round_ended = ~np.isnan(pen)
        chosen = strokes[round_ended]
        count, x, y = self._path(chosen, KEEPS_LENGTH)
        x0, y0 = self._start_x[chosen], self._start_y[chosen]
        width = pen[round_ended] * self._inks.scale_of_state[self.state[chosen]]
        owner = number[chosen]
        if len(x) > len(chosen):
            which = np.repeat(np.arange(len(chosen)), count)
            first = np.cumsum(count) - count
            # Every chord but the first of an arc starts where the one before it ended.
            from_x, from_y = np.roll(x, 1), np.roll(y, 1)
            from_x[first], from_y[first] = x0, y0
            owner, x0, y0, width = owner[which], from_x, from_y, width[which]
        bars = Bars(owner, x0, y0, x, y, width)
        return bars, self._wide_strokes(strokes[~round_ended], number)

    def _wide_strokes(self, strokes: Integers, number: Integers) -> Rings:
        """Strokes of apertures that are not round: the aperture swept along, as convex hulls."""
        if len(strokes) == 0:
            return joined_rings([])
        ops = self._ops
        curved = (ops.way[strokes] != LINEAR) & ((ops.i[strokes] != 0) | (ops.j[strokes] != 0))
        row = self._inks.row_of_operation[strokes]
        unusual = ~self._inks.draws_strokes[row]
        if unusual.any():
            message = "Strokes are drawn with an aperture that is neither round nor a rectangle; its hull was swept."
            self._note("unusual pen", strokes[unusual], message)
        hulls = {aperture: self._inks.templates[aperture].hull() for aperture in np.unique(row).tolist()}
        straight = strokes[~curved]
        pairs = np.column_stack((row[~curved], self.state[straight]))
        distinct, group = np.unique(pairs, axis=0, return_inverse=True)
        parts: list[Rings] = []
        groups = grouped(group.reshape(-1), len(distinct))
        for (aperture, state), places in zip(distinct.tolist(), groups, strict=True):
            mine = straight[places]
            hull = self._inks.turned(hulls[aperture], state)
            if len(mine) * (len(hull) + 2) > MOST_POINTS:
                raise self._too_much()
            x, y, size = swept_lines(hull, self._start_x[mine], self._start_y[mine], self._x[mine], self._y[mine])
            parts.append(Rings(number[mine], np.full(len(mine), size), x, y))
        if np.count_nonzero(curved) > MOST_SWEPT_ARCS:
            raise self._too_much()
        for stroke in strokes[curved].tolist():
            one = np.array([stroke])
            _, x, y = self._path(one, KEEPS_LENGTH)
            path = np.column_stack((np.append(self._start_x[one], x), np.append(self._start_y[one], y)))
            hull = hulls[int(self._inks.row_of_operation[stroke])]
            rings = swept_arc(self._inks.turned(hull, int(self.state[stroke])), path)
            points = np.concatenate(rings)
            owner = np.full(len(rings), number[stroke])
            parts.append(Rings(owner, np.array([len(ring) for ring in rings]), points[:, 0], points[:, 1]))
        return joined_rings(parts)

    # Flashes

    def _flashes(self, flashes: Integers, number: Integers) -> tuple[Bars, Rings]:
        row = self._inks.row_of_operation[flashes]
        templates = self._inks.shapes
        if self._inks.points_of(row) > MOST_POINTS:
            raise self._too_much()
        copied = copies(templates, self._inks.template_of_row[row])
        a, b, c, d = self._inks.turns[self.state[flashes]].T
        shapes = placed(copied, Placement(a, b, c, d, self._x[flashes], self._y[flashes]))
        owner = number[flashes]
        bars = Bars(owner[shapes.bar_object], shapes.x0, shapes.y0, shapes.x1, shapes.y1, shapes.width)
        return bars, Rings(owner[shapes.ring_object], np.diff(shapes.ring_start), shapes.vx, shapes.vy)

    # Regions

    def _contour_starts(self, segments: Integers) -> Flags:
        """Which segments begin a contour: the first after a move or of a region statement."""
        if len(segments) == 0:
            return np.zeros(0, dtype=np.bool_)
        ops = self._ops
        moves = np.cumsum(ops.code == MOVE)[segments]
        region = ops.region[segments]
        begins: Flags = np.concatenate(([True], (np.diff(moves) > 0) | (np.diff(region) > 0)))
        return begins

    def _contours(self, segments: Integers, firsts: Flags, number: Integers) -> Rings:
        """Each contour one ring; the fill is even-odd, so a hole reached by a cut-in stays a hole."""
        if len(segments) == 0:
            return joined_rings([])
        count, x, y = self._path(segments, KEEPS_AREA)
        heads = np.flatnonzero(firsts)
        ends = np.cumsum(count)
        start = (ends - count)[heads]
        stop = np.append(start[1:], len(x))
        begin_x, begin_y = self._start_x[segments[heads]], self._start_y[segments[heads]]
        closed = (x[stop - 1] == begin_x) & (y[stop - 1] == begin_y)
        if not closed.all():
            gap = np.hypot(x[stop - 1] - begin_x, y[stop - 1] - begin_y)
            if (gap > CLOSED_MM).any():
                message = "A contour of a region is not closed; a straight line closes it."
                self._note("open contour", segments[heads[gap > CLOSED_MM]], message)
            x, y = np.insert(x, start[~closed], begin_x[~closed]), np.insert(y, start[~closed], begin_y[~closed])
        size = stop - start + ~closed
        return Rings(number[segments[heads]], size, x, y)

    # Together

    def _assemble(self, makers: Integers, bars: Bars, rings: Rings) -> Shapes:
        ops = self._ops
        at = ops.at[makers]
        inside = ops.region[makers] > 0
        row = self._inks.row_of_operation[makers]
        kind = np.where(inside, Kind.REGION, np.where(ops.code[makers] == FLASH, Kind.FLASH, Kind.STROKE))
        return Shapes(
            kind=kind.astype(np.int64),
            dark=self._inks.dark_of_state[self.state[makers]],
            line=np.searchsorted(self._sheet.line_breaks, at, side="left") + 1,
            aperture=np.where(inside, -1, row),
            attributes=self._attributes(at, inside),
            bar_object=bars.owner, x0=bars.x0, y0=bars.y0, x1=bars.x1, y1=bars.y1, width=bars.width,
            ring_object=rings.owner,
            ring_start=np.concatenate(([0], np.cumsum(rings.size))).astype(np.int64),
            vx=rings.x, vy=rings.y,
        )

    def _attributes(self, at: Integers, inside: Flags) -> Integers:
        """Row of the object attributes; a region has the aperture attributes in force too (clause 5.3)."""
        own = self._program.object_row.values_at(at)
        if inside.any():
            under = self._program.region_row.values_at(at[inside])
            own[inside] = self._program.attributes.merged_rows(under, own[inside])
        return own

    def _remark_flashes_inside(self, flashes: Integers) -> None:
        if len(flashes):
            self._note("flash in region", flashes, "A flash stands inside a region; it was left out.", lost=True)

    def _note(self, kind: str, which: Integers, message: str, lost: bool = False) -> None:
        self._remarks.note(kind, self._sheet.line(int(self._ops.at[which[0]])), message, len(which), lost)

    def _too_much(self) -> Exception:
        problem = f"it draws more than {MOST_OBJECTS:,} objects or {MOST_POINTS:,} points."
        return self._remarks.unreadable(None, problem, "Export a single board instead of the panel.")
