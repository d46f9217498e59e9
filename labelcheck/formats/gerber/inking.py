"""Which aperture and state each operation draws with: templates, pens and transformations as columns."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labelcheck.formats.gerber.apertures import standard_template
from labelcheck.formats.gerber.blocks import Sheet
from labelcheck.formats.gerber.bounds import MOST_PRIMITIVES
from labelcheck.formats.gerber.macros import Macro, WrongMacro, compile_macro, work_out_macro
from labelcheck.formats.gerber.operations import DRAW, MOVE, Operations
from labelcheck.formats.gerber.placing import shapes_of
from labelcheck.formats.gerber.program import Program
from labelcheck.formats.gerber.remarking import RemarkBook, shown
from labelcheck.formats.gerber.state import CoordinateMap
from labelcheck.formats.gerber.templates import Template
from labelcheck.formats.gerber.words import Words
from labelcheck.trade.shapes import Shapes

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Inks:
    """Columns by aperture row, by state row, and the aperture row of each operation."""

    row_of_operation: Integers
    """-1 where an operation needs no aperture."""
    pen: Floats
    """By aperture row: diameter of a round pen, NaN for none."""
    is_block: Flags
    draws_strokes: Flags
    """By aperture row: whether the format allows strokes with it (circles and rectangles)."""
    template_of_row: Integers
    """By aperture row: object in `shapes`, 0 (nothing) where it is never used."""
    shapes: Shapes
    points: Integers
    """By object in `shapes`: its bars and vertices."""
    templates: dict[int, Template]
    dark_of_state: Flags
    container_of_state: Integers
    scale_of_state: Floats
    turns: Floats
    """By state: (s, 4) aperture transformation a, b, c, d."""
    maps: Floats | None
    """By state: (s, 6) transformation of coordinates, None where no state has one."""

    def points_of(self, rows: Integers) -> int:
        """Bars and vertices that flashes of these apertures would make."""
        return int(self.points[self.template_of_row[rows]].sum())

    def turned(self, hull: Floats, state: int) -> Floats:
        """A convex hull as transformed in a state, counter-clockwise as before."""
        a, b, c, d = self.turns[state]
        hull = hull @ np.array([[a, c], [b, d]])
        turned_over = a * d - b * c < 0
        return hull[::-1] if turned_over else hull


def prepare_inks(
    words: Words, operations: Operations, program: Program, sheet: Sheet, remarks: RemarkBook
) -> Inks:
    """Resolve apertures and states; an error where an operation needs an aperture that is not defined yet."""
    rows = _aperture_rows(words, operations, program, sheet, remarks)
    apertures = [entry.aperture for entry in program.apertures]
    blocks = program.blocks()
    templates = _templates(np.unique(rows[rows >= 0]).tolist(), program, sheet, remarks)
    template_of_row = np.zeros(len(apertures) + 1, dtype=np.int64)
    for place, row in enumerate(templates, start=1):
        template_of_row[row] = place
    shapes = shapes_of([Template(), *templates.values()])
    states = program.states.states
    maps = None
    if any(state.map != CoordinateMap() for state in states):
        maps = np.array([_map_of(state.map, program.containers[state.container].is_block) for state in states])
    turns = np.array([state.turn.matrix(state.map.rotation) for state in states])
    points = [len(t.bars) + sum(len(ring) for ring in t.rings) for t in templates.values()]
    return Inks(
        row_of_operation=rows,
        pen=np.array([np.nan if a.pen_mm is None else a.pen_mm for a in apertures] + [np.nan]),
        is_block=np.array([row in blocks for row in range(len(apertures))] + [False]),
        draws_strokes=np.array([a.template in ("C", "R") for a in apertures] + [True]),
        template_of_row=template_of_row,
        shapes=shapes,
        points=np.array([0, *points], dtype=np.int64),
        templates=templates,
        dark_of_state=np.array([state.dark for state in states]),
        container_of_state=np.array([state.container for state in states]),
        scale_of_state=np.array([state.turn.scale for state in states]),
        turns=turns,
        maps=maps,
    )


def _map_of(moved: CoordinateMap, in_block: bool) -> tuple[float, ...]:
    """The map of coordinates; inside a block it does not offset, for the block's flash will."""
    a, b, c, d, dx, dy = moved.matrix()
    return (a, b, c, d, 0.0, 0.0) if in_block else (a, b, c, d, dx, dy)


def _aperture_rows(
    words: Words, operations: Operations, program: Program, sheet: Sheet, remarks: RemarkBook
) -> Integers:
    """Row of the aperture that each stroke and flash is drawn with."""
    needs = (operations.code != MOVE) & (operations.region == 0)
    choice = operations.selection[needs]
    if len(choice) == 0:
        return np.full(len(operations), -1)
    if int(choice.min()) < 0:
        first = np.flatnonzero(needs & (operations.selection < 0))[0]
        what = "stroke" if operations.code[first] == DRAW else "flash"
        problem = f"a {what} is drawn before an aperture is chosen."
        raise remarks.unreadable(sheet.line(int(operations.at[first])), problem)
    row_of_selection = _selected_rows(words, operations.selections, program, len(sheet.plain))
    rows = np.where(needs, row_of_selection[operations.selection], -1)
    missing = np.flatnonzero(needs & (rows < 0))
    if len(missing):
        code = words.value[operations.selections[operations.selection[missing[0]]]]
        raise remarks.unreadable(
            sheet.line(int(operations.at[missing[0]])),
            f"aperture D{code} is used before it is defined.",
            "Export the set again; the file may be cut short.",
        )
    return rows


def _selected_rows(words: Words, selections: Integers, program: Program, length: int) -> Integers:
    """Row of the aperture that each selection means: the last one defined before under its code, -1 for none."""
    codes = np.array([entry.aperture.code for entry in program.apertures], dtype=np.int64)
    places = np.array([entry.from_offset for entry in program.apertures], dtype=np.int64)
    order = np.lexsort((places, codes))
    span = length + 1
    keys = codes[order] * span + places[order]
    wanted = np.minimum(words.value[selections], 2_000_000_000)  # a larger code is none, and would overflow here
    found = np.searchsorted(keys, wanted * span + words.at[selections]) - 1
    known = (found >= 0) & (np.append(codes[order], -1)[found] == wanted)
    return np.where(known, np.append(order, -1)[found], -1)


def _templates(used: list[int], program: Program, sheet: Sheet, remarks: RemarkBook) -> dict[int, Template]:
    """Templates of the apertures that are used, by row."""
    templates: dict[int, Template] = {}
    compiled: dict[int, Macro] = {}
    blocks = program.blocks()
    primitives = 0
    for row in used:
        if row in blocks:
            continue
        entry = program.apertures[row]
        aperture, body = entry.aperture, entry.macro
        if entry.wrong is not None:
            raise remarks.unreadable(aperture.line, f"aperture D{aperture.code} cannot be drawn: {entry.wrong}.")
        if body is None:
            template = standard_template(aperture)
            if template is None:
                problem = f"aperture D{aperture.code} is a polygon of {aperture.parameters[1]:g} corners."
                raise remarks.unreadable(aperture.line, problem)
            templates[row] = template
            continue
        try:
            macro = compiled.get(id(body))
            if macro is None:
                macro = compiled[id(body)] = compile_macro(body)
            primitives += len(macro)
            if primitives > MOST_PRIMITIVES:
                problem = f"its aperture macros need more than {MOST_PRIMITIVES:,} primitives."
                raise remarks.unreadable(aperture.line, problem, "Export the set with plain apertures.")
            templates[row], passed_over = work_out_macro(macro, aperture.parameters, entry.unit_mm)
        except WrongMacro as wrong:
            problem = f"the macro '{shown(aperture.template)}' cannot be worked out: {wrong}."
            raise remarks.unreadable(sheet.line(wrong.at), problem) from wrong
        for at, reason in passed_over:
            remarks.note(f"macro {reason}", sheet.line(at), f"In a macro, {reason}; it was passed over.", lost=True)
    return templates
