"""Random boards by seed: any number of good labels, any planted faults, in any dialect of the files.

`python boards/synthetic.py --seed 7 --labels 400 --out FOLDER` writes one with its `expected.json` beside the set.
"""

import argparse
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from random import Random
from typing import Literal

HERE = Path(__file__).resolve().parent
if str(HERE.parent) not in sys.path:  # run as a script, only this folder is on the path
    sys.path.insert(0, str(HERE.parent))

from boards.design import SIDES, Design, Side  # noqa: E402  # needs the path set above
from boards.dialect import PLAIN, Dialect  # noqa: E402  # the same
from boards.expected import expected_file  # noqa: E402  # the same
from boards.maker import Maker, rectangle  # noqa: E402  # the same
from boards.planting import PLANTERS, past_edge  # noqa: E402  # the same
from boards.set_writer import write_set  # noqa: E402  # the same
from boards.tiles import Tile, Variety, Workbench, good_tile, put  # noqa: E402  # the same

EDGE_BAND_MM = 6.0
"""Along the edges stand only labels that hang over them, and the mounting holes."""
EDGE_STEP_MM = 18.0
LOOK_AHEAD = 400
COLOURS = (("Green", "White"), ("Blue", "White"), ("Black", "White"), ("White", "Black"), ("Red", "White"))


VARIETY = Variety()
UNITS: tuple[Literal["mm", "inch"], ...] = ("mm", "inch")
DRILL_DIGITS: tuple[Literal["point", "leading", "trailing"], ...] = ("point", "point", "leading", "trailing")


@dataclass(frozen=True, slots=True)
class Recipe:
    """What a random board is made of."""

    seed: int = 1
    width_mm: float = 100.0
    height_mm: float = 80.0
    labels: int = 400
    """Good labels, beside the faulty ones."""
    faults: Mapping[str, int] = field(default_factory=dict)
    """How many of each kind, by analyser."""
    variety: Variety = VARIETY


PANEL = Recipe(width_mm=400.0, height_mm=300.0, labels=6400)
"""The largest panel of the benchmarks."""
EVERY_FAULT = dict.fromkeys(PLANTERS, 4)


def synthetic_board(recipe: Recipe) -> Design:
    """Draw a random board; ValueError where its labels do not fit.

    `labels` and `faults` of the design are the truth; a fault's severity is None where any will do.
    """
    chance = Random(recipe.seed)
    bench = Workbench(chance, recipe.variety, {})
    x0, y0 = (round(chance.uniform(-60, 120), 1) for _ in "xy")
    x1, y1 = x0 + recipe.width_mm, y0 + recipe.height_mm
    design = Design(f"board-{recipe.seed}", f"Board {recipe.seed}", "A", [rectangle(x0, y0, x1, y1, 2.0)])
    maker = Maker(design)
    for x in (x0 + 3.5, x1 - 3.5):
        for y in (y0 + 3.5, y1 - 3.5):
            maker.mounting_hole(x, y, ring=None)
    faulty = [_planted(bench, analyser, number) for analyser, count in sorted(recipe.faults.items())
              for number in range(count)]
    edge = [tile for tile, on_edge in faulty if on_edge]
    tiles = [tile for tile, on_edge in faulty if not on_edge]
    tiles += _good(bench, recipe.labels, tiles)
    _along_edges(design, edge, (x0, y0, x1, y1))
    band = EDGE_BAND_MM
    _shelve(design, tiles, (x0 + band, y0 + band, x1 - band, y1 - band))
    return design


def _planted(bench: Workbench, analyser: str, number: int) -> tuple[Tile, bool]:
    """A faulty tile, and whether it belongs onto the edge of the board; the kinds take turns."""
    planters = PLANTERS[analyser]
    planter = planters[number % len(planters)]
    return planter(bench, bench.chance.choice(SIDES)), planter is past_edge


def _along_edges(design: Design, tiles: Sequence[Tile], board: tuple[float, float, float, float]) -> None:
    """Put labels half over the edges, in turn on all four."""
    x0, y0, x1, y1 = board
    places: list[tuple[float, float]] = []
    across = int((x1 - x0 - 2 * EDGE_STEP_MM) / EDGE_STEP_MM) + 1
    upward = int((y1 - y0 - 2 * EDGE_STEP_MM) / EDGE_STEP_MM) + 1
    for step in range(max(across, upward)):
        if step < across:
            places += [(x0 + EDGE_STEP_MM * (step + 1), y0), (x0 + EDGE_STEP_MM * (step + 1), y1)]
        if step < upward:
            places += [(x0, y0 + EDGE_STEP_MM * (step + 1)), (x1, y0 + EDGE_STEP_MM * (step + 1))]
    if len(tiles) > len(places):
        raise ValueError(f"the edges have room for {len(places)} labels, not for {len(tiles)}")
    for tile, (x, y) in zip(tiles, places, strict=False):
        put(tile, design, x, y)


def _shelve(design: Design, tiles: Sequence[Tile], room: tuple[float, float, float, float]) -> None:
    """Put tiles in rows, highest first: those that go through the board alone, then each side by itself."""
    x0, y0, x1, y1 = room
    through = [tile for tile in tiles if tile.through]
    top = _rows(design, through, (x0, y0, x1, y1))
    for side in SIDES:
        _rows(design, [tile for tile in tiles if not tile.through and _side_of(tile) == side], (x0, y0, x1, top))


def _good(bench: Workbench, count: int, already: Sequence[Tile]) -> list[Tile]:
    """Good labels, each on the side whose tiles need less room so far."""
    needed = dict.fromkeys(SIDES, 0.0)
    for tile in already:
        needed[_side_of(tile)] += _room(tile)
    made = []
    for _ in range(count):
        tile = good_tile(bench, min(SIDES, key=lambda side: needed[side]))
        needed[_side_of(tile)] += _room(tile)
        made.append(tile)
    return made


def _room(tile: Tile) -> float:
    """What a tile needs of its own side; one that goes through the board has rows of its own."""
    return 0.0 if tile.through else _width(tile) * _height(tile)


def _side_of(tile: Tile) -> Side:
    return tile.design.labels[0].side


def _rows(design: Design, tiles: Sequence[Tile], room: tuple[float, float, float, float]) -> float:
    """Fill rows from the top down, columns within a row too; returns where the free room begins."""
    x0, y0, x1, top = room
    waiting = sorted(tiles, key=lambda tile: tile.box[1] - tile.box[3])
    while waiting:
        height = _height(waiting[0])
        if top - height < y0:
            raise ValueError("the board is too small for its labels")
        x = x0
        while (tile := _fitting(waiting, x1 - x, height)) is not None:
            column, y = _width(tile), top
            while tile is not None:
                put(tile, design, x - tile.box[0], y - tile.box[3])
                y -= _height(tile)
                tile = _fitting(waiting, column, height - (top - y))
            x += column
        if x == x0:
            raise ValueError("a label is wider than the board")
        top -= height
    return top


def _fitting(waiting: list[Tile], width: float, height: float) -> Tile | None:
    """Take out the first waiting tile that fits; only the next few hundred are looked at."""
    for index, tile in enumerate(waiting[:LOOK_AHEAD]):
        if _width(tile) <= width + 1e-9 and _height(tile) <= height + 1e-9:
            return waiting.pop(index)
    return None


def _width(tile: Tile) -> float:
    return tile.box[2] - tile.box[0]


def _height(tile: Tile) -> float:
    return tile.box[3] - tile.box[1]


def random_dialect(seed: int) -> Dialect:
    """A way of writing the files, chosen by seed from all that real programs do."""
    chance = Random(seed)
    unit = chance.choice(UNITS)
    whole, decimals = chance.choice(((4, 6), (3, 5), (2, 4)) if unit == "inch" else ((4, 6), (3, 5), (4, 4)))
    return Dialect(
        unit=unit, whole_digits=whole, decimals=decimals,
        zeros=chance.choice(("L", "L", "L", "T")), attributes=chance.choice(("extended", "comments", "none")),
        names=chance.choice(("plain", "extensions", "words", "letters")),
        mask_drawn=chance.choice(("openings", "openings", "cover")),
        drill_unit=chance.choice(UNITS), drill_digits=chance.choice(DRILL_DIGITS),
        drill_files=chance.choice(("two", "two", "one", "gerber")),
        slots=chance.choice(("routed", "g85")),
        newline=chance.choice(("\n", "\r\n")),
        modal=chance.random() < 0.4,
        job_file=chance.random() < 0.5, netlist=chance.random() < 0.7, placement=chance.random() < 0.7,
        components=chance.random() < 0.3,
    )


def write_synthetic(folder: Path, recipe: Recipe, dialect: Dialect = PLAIN) -> Design:
    """Draw a random board and write its fab set into a folder; returns the design, which holds the truth."""
    design = synthetic_board(recipe)
    if recipe.faults.get("under-body"):
        # Without these two nobody can tell which part stands where.
        dialect = replace(dialect, netlist=True, placement=True)
    write_set(folder, design, dialect, COLOURS[recipe.seed % len(COLOURS)])
    return design


def main() -> None:
    """Read the command line and write one board."""
    parser = argparse.ArgumentParser(description="Write a random board with planted faults.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--labels", type=int, default=400, help="good labels (default: 400)")
    parser.add_argument("--faults", type=int, default=4, help="faults of each kind (default: 4)")
    parser.add_argument("--size", type=float, nargs=2, default=(100.0, 80.0), metavar=("WIDTH", "HEIGHT"))
    parser.add_argument("--varied", action="store_true", help="write the files in a dialect chosen by the seed")
    parser.add_argument("--out", type=Path, required=True, help="folder to write the set to")
    chosen = parser.parse_args()
    recipe = Recipe(chosen.seed, chosen.size[0], chosen.size[1], chosen.labels,
                    dict.fromkeys(PLANTERS, chosen.faults))
    design = write_synthetic(chosen.out, recipe, random_dialect(chosen.seed) if chosen.varied else PLAIN)
    beside = chosen.out.with_name(chosen.out.name + ".expected.json")
    beside.write_bytes(expected_file(design))
    print(f"{chosen.out}: {len(design.labels)} labels, {len(design.faults)} faults")


if __name__ == "__main__":
    main()
