"""Step-and-repeats and blocks laid out (clauses 4.11, 4.12)."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.bounds import MOST_OBJECTS, MOST_POINTS
from labelcheck.formats.gerber.drawing import Drawing, Drawn
from labelcheck.formats.gerber.inking import Inks
from labelcheck.formats.gerber.placing import Placement, copies, grouped, moved, placed, spans
from labelcheck.formats.gerber.program import Container, Program
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.formats.gerber.state import ROOT
from labelcheck.trade.shapes import Shapes, concatenate

Integers = NDArray[np.int64]


class Layout:
    """Lays out the containers of one file, inner ones first."""

    def __init__(self, drawing: Drawing, drawn: Drawn, program: Program, inks: Inks, remarks: RemarkBook) -> None:
        self._drawing, self._drawn, self._program, self._inks = drawing, drawn, program, inks
        self._remarks = remarks
        self._done: dict[int, Shapes] = {}
        containers = program.containers
        self._block_of_row = program.blocks()
        self._repeats_in: dict[int, list[int]] = {}
        for number, container in enumerate(containers):
            if number != ROOT and not container.is_block:
                self._repeats_in.setdefault(container.parent, []).append(number)
        self._objects_in = grouped(drawn.container, len(containers))
        inside = inks.container_of_state[drawing.state[drawn.block_flashes]]
        self._flashes_in = [drawn.block_flashes[which] for which in grouped(inside, len(containers))]

    def whole_image(self) -> tuple[Shapes, Integers]:
        """The image with everything laid out, and the byte offset that each object stands for."""
        containers = self._program.containers
        for number in sorted(self._needed(), key=lambda number: containers[number].closed_at):
            if number != ROOT:
                self._done[number] = self._contents(number)[0]
        return self._contents(ROOT)

    def _needed(self) -> set[int]:
        """Containers that are seen in the image: repeats within needed ones, and blocks flashed there."""
        needed, waiting = {ROOT}, [ROOT]
        while waiting:
            number = waiting.pop()
            rows = np.unique(self._inks.row_of_operation[self._flashes_in[number]]).tolist()
            inner = [self._block_of_row[row] for row in rows] + self._repeats_in.get(number, [])
            for found in inner:
                if found not in needed:
                    needed.add(found)
                    waiting.append(found)
        return needed

    def _contents(self, number: int) -> tuple[Shapes, Integers]:
        """Everything drawn in one container, in drawing order, with the byte offset of each object."""
        at = self._drawing.spots[2]
        mine = self._objects_in[number]
        parts = [copies(self._drawn.shapes, mine)]
        places = [at[self._drawn.operation[mine]]]
        for child in self._repeats_in.get(number, []):
            container = self._program.containers[child]
            parts.append(self._repeated(self._done[child], container))
            places.append(np.full(len(parts[-1]), container.closed_at))
        flashes = self._flashes_in[number]
        if len(flashes):
            flashed, which = self._flashed(flashes)
            parts.append(flashed)
            places.append(at[flashes[which]])
        if len(parts) == 1:
            return parts[0], places[0]
        self._check(sum(len(part) for part in parts), sum(_points(part) for part in parts))
        place = np.concatenate(places)
        order = np.argsort(place, kind="stable")
        return copies(concatenate(parts), order), place[order]

    def _repeated(self, shapes: Shapes, container: Container) -> Shapes:
        """Copies along y first, then along x (clause 4.12)."""
        count = container.repeats_x * container.repeats_y
        self._check(count * len(shapes), count * _points(shapes))
        column, row = np.divmod(np.arange(count), container.repeats_y)
        dx = np.repeat(column * container.step_x_mm, len(shapes))
        dy = np.repeat(row * container.step_y_mm, len(shapes))
        return placed(copies(shapes, np.tile(np.arange(len(shapes)), count)), moved(dx, dy))

    def _flashed(self, flashes: Integers) -> tuple[Shapes, Integers]:
        """Blocks flashed one after another, and which flash each object is of; a clear flash toggles its polarity."""
        state = self._drawing.state[flashes]
        distinct, which_block = np.unique(self._inks.row_of_operation[flashes], return_inverse=True)
        blocks = [self._done[self._block_of_row[row]] for row in distinct.tolist()]
        sizes = np.array([len(block) for block in blocks], dtype=np.int64)
        points = np.array([_points(block) for block in blocks], dtype=np.int64)
        self._check(int(sizes[which_block].sum()), int(points[which_block].sum()))
        objects = spans((np.cumsum(sizes) - sizes)[which_block], sizes[which_block])
        which = np.repeat(np.arange(len(flashes)), sizes[which_block])
        x, y, at = self._drawing.spots
        places = flashes[which]
        a, b, c, d = self._inks.turns[state][which].T
        result = placed(copies(concatenate(blocks), objects), Placement(a, b, c, d, x[places], y[places]))
        over = self._program.object_row.values_at(at[places])
        return replace(
            result,
            dark=result.dark == self._inks.dark_of_state[state][which],
            attributes=self._program.attributes.merged_rows(over, result.attributes),
        ), which

    def _check(self, objects: int, points: int) -> None:
        if objects > MOST_OBJECTS or points > MOST_POINTS:
            problem = f"repeats and blocks would draw more than {MOST_OBJECTS:,} objects or {MOST_POINTS:,} points."
            raise self._remarks.unreadable(None, problem, "Export a single board instead of the panel.")


def _points(shapes: Shapes) -> int:
    return len(shapes.x0) + len(shapes.vx)
