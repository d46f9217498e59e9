"""Step-and-repeats and blocks laid out (clauses 4.11, 4.12)."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.bounds import MOST_OBJECTS, MOST_POINTS
from labelcheck.formats.gerber.commands import Container, Program
from labelcheck.formats.gerber.drawing import Drawn
from labelcheck.formats.gerber.inking import Inks
from labelcheck.formats.gerber.placing import Placement, copies, moved, placed
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.formats.gerber.state import ROOT
from labelcheck.trade.shapes import Shapes, concatenate

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


class Layout:
    """Lays out the containers of one file, inner ones first."""

    def __init__(
        self, drawn: Drawn, program: Program, inks: Inks, state: Integers, spots: tuple[Floats, Floats, Integers],
        remarks: RemarkBook,
    ) -> None:
        """`state` by operation; `spots`: x, y and byte offset by operation."""
        self._drawn, self._program, self._inks, self._state = drawn, program, inks, state
        self._x, self._y, self._at = spots
        self._remarks = remarks
        self._done: dict[int, Shapes] = {}

    def whole_image(self) -> tuple[Shapes, Integers]:
        """The image with everything laid out, and the byte offset that each object stands for."""
        needed = self._needed()
        by_closing = sorted(needed, key=lambda number: self._program.containers[number].closed_at)
        for number in by_closing:
            if number != ROOT:
                self._done[number] = self._contents(number)[0]
        return self._contents(ROOT)

    def _needed(self) -> set[int]:
        """Containers that are seen in the image: repeats within needed ones, and blocks flashed there."""
        containers = self._program.containers
        flashed: dict[int, set[int]] = {}
        block_of_row = {c.aperture: number for number, c in enumerate(containers) if c.aperture >= 0}
        blocks = self._drawn.block_flashes
        inside = self._inks.container_of_state[self._state[blocks]]
        pairs = np.column_stack((inside, self._inks.row_of_operation[blocks]))
        for container, row in np.unique(pairs, axis=0).tolist():
            flashed.setdefault(container, set()).add(block_of_row[row])
        for number, container in enumerate(containers):
            if number != ROOT and container.aperture < 0:
                flashed.setdefault(container.parent, set()).add(number)
        needed, waiting = {ROOT}, [ROOT]
        while waiting:
            for number in flashed.get(waiting.pop(), ()):
                if number not in needed:
                    needed.add(number)
                    waiting.append(number)
        return needed

    def _contents(self, number: int) -> tuple[Shapes, Integers]:
        """Everything drawn in one container, in drawing order, with the byte offset of each object."""
        drawn, containers = self._drawn, self._program.containers
        mine = drawn.container == number
        parts = [drawn.shapes.take(mine)]
        places = [self._at[drawn.operation[mine]]]
        for child, container in enumerate(containers):
            if container.parent == number and container.aperture < 0 and child in self._done:
                parts.append(self._repeated(self._done[child], container))
                places.append(np.full(len(parts[-1]), container.closed_at))
        blocks = drawn.block_flashes
        blocks = blocks[self._inks.container_of_state[self._state[blocks]] == number]
        for run in _runs(self._inks.row_of_operation[blocks], self._state[blocks]):
            flashed, at = self._flashed(blocks[run])
            parts.append(flashed)
            places.append(at)
        if len(parts) == 1:
            return parts[0], places[0]
        self._check(sum(len(part) for part in parts), 0)
        place = np.concatenate(places)
        order = np.argsort(place, kind="stable")
        return copies(concatenate(parts), order), place[order]

    def _repeated(self, shapes: Shapes, container: Container) -> Shapes:
        """Copies along y first, then along x (clause 4.12.1)."""
        count = container.repeats_x * container.repeats_y
        self._check(count * len(shapes), count * (len(shapes.x0) + len(shapes.vx)))
        column, row = np.divmod(np.arange(count), container.repeats_y)
        dx = np.repeat(column * container.step_x_mm, len(shapes))
        dy = np.repeat(row * container.step_y_mm, len(shapes))
        return placed(copies(shapes, np.tile(np.arange(len(shapes)), count)), moved(dx, dy))

    def _flashed(self, flashes: Integers) -> tuple[Shapes, Integers]:
        """One block flashed several times with one state; a clear flash toggles its polarity (clause 4.11)."""
        row = int(self._inks.row_of_operation[flashes[0]])
        (block,) = (n for n, c in enumerate(self._program.containers) if c.aperture == row)
        shapes = self._done[block]
        count = len(flashes)
        self._check(count * len(shapes), count * (len(shapes.x0) + len(shapes.vx)))
        which = np.repeat(np.arange(count), len(shapes))
        a, b, c, d = self._inks.turns[self._state[flashes]][which].T
        place = Placement(a, b, c, d, self._x[flashes][which], self._y[flashes][which])
        result = placed(copies(shapes, np.tile(np.arange(len(shapes)), count)), place)
        dark = self._inks.dark_of_state[self._state[flashes]][which]
        over = self._program.object_row.values_at(self._at[flashes])[which]
        attributes = result.attributes
        if over.any():
            pairs, place_of = np.unique(np.column_stack((over, attributes)), axis=0, return_inverse=True)
            book = self._program.attributes
            merged = np.array([book.merged_row(*pair) for pair in pairs.tolist()], dtype=np.int64)
            attributes = merged[place_of.reshape(-1)]
        return replace(result, dark=result.dark == dark, attributes=attributes), self._at[flashes][which]

    def _check(self, objects: int, points: int) -> None:
        if objects > MOST_OBJECTS or points > MOST_POINTS:
            problem = f"repeats and blocks would draw more than {MOST_OBJECTS:,} objects or {MOST_POINTS:,} points."
            raise self._remarks.unreadable(None, problem, "Export a single board instead of the panel.")


def _runs(rows: Integers, states: Integers) -> list[slice]:
    """Stretches of flashes that share aperture and state."""
    if len(rows) == 0:
        return []
    cuts = np.flatnonzero((np.diff(rows) != 0) | (np.diff(states) != 0)) + 1
    edges = [0, *cuts.tolist(), len(rows)]
    return [slice(start, stop) for start, stop in pairwise(edges)]
