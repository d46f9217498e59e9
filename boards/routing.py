"""Finds copper tracks between the pads of each net: a search on a grid over both sides; ground goes down by vias.

Good enough for boards that look like boards; a connection that finds no way is left open. It takes a while, so
that the tracks are kept: `python boards/routing.py` finds them anew and writes `tracks/<board>.json`.
"""

import heapq
import math
import sys
from dataclasses import dataclass, field
from pathlib import Path

from shapely import STRtree, unary_union
from shapely.geometry import Point as Spot

HERE = Path(__file__).resolve().parent
if str(HERE.parent) not in sys.path:  # run as a script, only this folder is on the path
    sys.path.insert(0, str(HERE.parent))

from boards import signal_head, track_detector, turnout_driver  # noqa: E402  # needs the path set above
from boards.alphabet import Point  # noqa: E402  # the same
from boards.design import SIDES, Design, Pad  # noqa: E402  # the same
from boards.geometry import hole_shape, laminate, shape_of  # noqa: E402  # the same
from boards.parts import SPARE  # noqa: E402  # the same
from boards.tracks import CLEAR_MM, EDGE_MM, GROUND, VIA_MM, WIDTH_MM, Track, Via, write_tracks  # noqa: E402  # the same

GRID_MM = 0.4
VIA_FROM_INK_MM = 0.35
"""Drilled vias stay out of the legend by this much, so that no label breaks up over one."""
VIA_COST, WRONG_WAY = 9.0, 0.4
BLOCKED = "#"
Cell = tuple[int, int, int]
"""Side, column and row."""
STEPS = tuple((dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if dx or dy)


@dataclass(slots=True)
class _Grid:
    """Which net may use each cell; a cell that is missing is free."""

    x0: float
    y0: float
    columns: int
    rows: int
    owner: dict[Cell, str] = field(default_factory=dict)
    no_via: set[tuple[int, int]] = field(default_factory=set)

    def at(self, column: int, row: int) -> Point:
        """The middle of a cell."""
        return self.x0 + column * GRID_MM, self.y0 + row * GRID_MM

    def nearest(self, x: float, y: float) -> tuple[int, int]:
        """The cell about a point."""
        return round((x - self.x0) / GRID_MM), round((y - self.y0) / GRID_MM)

    def claim(self, side: int, shape_box: tuple[float, float, float, float], reach: float, net: str) -> None:
        """Give the cells within reach of a box to a net; cells that two nets claim are blocked."""
        left, low, right, high = shape_box
        first, last = self.nearest(left - reach, low - reach), self.nearest(right + reach, high + reach)
        for column in range(first[0], last[0] + 1):
            for row in range(first[1], last[1] + 1):
                x, y = self.at(column, row)
                if math.hypot(max(left - x, 0, x - right), max(low - y, 0, y - high)) < reach:
                    cell = (side, column, row)
                    self.owner[cell] = net if self.owner.get(cell, net) == net else BLOCKED

    def open_to(self, cell: Cell, net: str) -> bool:
        """Whether a net may use a cell."""
        return 0 <= cell[1] < self.columns and 0 <= cell[2] < self.rows and self.owner.get(cell, net) == net


@dataclass(slots=True)
class Found:
    """Tracks and vias of one board, and how many connections found no way."""

    tracks: list[Track] = field(default_factory=list)
    vias: list[Via] = field(default_factory=list)
    left_open: int = 0


def route(design: Design) -> Found:
    """Find tracks for a board that is finished but for them."""
    found = Found()
    grid = _prepared(design)
    nets: dict[str, list[Pad]] = {}
    for pad in design.pads:
        if pad.net != SPARE:
            nets.setdefault(pad.net, []).append(pad)
    ties = [(net, pad, other) for net, pads in nets.items() if net != GROUND for pad, other in _tree(pads)]
    for net, pad, other in sorted(ties, key=lambda tie: _apart(tie[1], tie[2])):
        path = _search(grid, net, pad, other)
        found.left_open += path is None
        if path is not None:
            _keep(found, grid, net, path, (pad.x, pad.y), (other.x, other.y))
    for pad in nets.get(GROUND, []):
        if pad.side == "top":
            path = _search(grid, GROUND, pad, None)
            found.left_open += path is None
            if path is not None:
                _keep(found, grid, GROUND, path, (pad.x, pad.y), None)
    return found


def _prepared(design: Design) -> _Grid:
    board = laminate(design)
    x0, y0, x1, y1 = board.bounds
    grid = _Grid(x0, y0, int((x1 - x0) / GRID_MM) + 1, int((y1 - y0) / GRID_MM) + 1)
    room = board.buffer(-EDGE_MM).difference(
        unary_union([hole_shape(hole).buffer(EDGE_MM) for hole in design.holes if not hole.plated])
    )
    ink = [shape_of(drawn) for side in SIDES for drawn in design.layers.get(("legend", side), [])]
    bare = [shape_of(drawn) for side in SIDES for drawn in design.layers.get(("mask", side), [])]
    cells = [(column, row) for column in range(grid.columns) for row in range(grid.rows)]
    spots = [Spot(grid.at(column, row)) for column, row in cells]
    free = set(STRtree(spots).query(room, "contains").tolist())
    for index, (column, row) in enumerate(cells):
        if index not in free:
            grid.owner[0, column, row] = grid.owner[1, column, row] = BLOCKED
    tree = STRtree(spots)
    for shapes, reach in ((ink, VIA_FROM_INK_MM), (bare, VIA_MM / 2 + 0.1)):
        grid.no_via.update(cells[index] for index in tree.query(shapes, "dwithin", reach)[1].tolist())
    for pad in design.pads:
        across, up = pad.width_mm / 2, pad.height_mm / 2
        box = (pad.x - across, pad.y - up, pad.x + across, pad.y + up)
        for side in (0, 1) if pad.side is None else (SIDES.index(pad.side),):
            grid.claim(side, box, CLEAR_MM + WIDTH_MM / 2, pad.net if pad.net != SPARE else f"{BLOCKED}{pad.pin}")
    return grid


def _apart(pad: Pad, other: Pad) -> float:
    return math.dist((pad.x, pad.y), (other.x, other.y))


def _tree(pads: list[Pad]) -> list[tuple[Pad, Pad]]:
    """The shortest tree over the pads of one net."""
    joined, waiting, ties = pads[:1], pads[1:], []
    while waiting:
        pad, other = min(((a, b) for a in joined for b in waiting), key=lambda pair: _apart(*pair))
        ties.append((pad, other))
        joined.append(other)
        waiting.remove(other)
    return ties


def _cells_of(grid: _Grid, pad: Pad) -> list[Cell]:
    sides = (0, 1) if pad.side is None else (SIDES.index(pad.side),)
    return [(side, *grid.nearest(pad.x, pad.y)) for side in sides]


def _search(grid: _Grid, net: str, pad: Pad, other: Pad | None) -> list[Cell] | None:
    """The cheapest way from pad to pad; without another pad, to the nearest place for a via down."""
    goals = set() if other is None else set(_cells_of(grid, other))
    goal = next(iter(sorted(goals)), None)
    queue: list[tuple[float, float, Cell, Cell | None]] = [(0.0, 0.0, cell, None) for cell in _cells_of(grid, pad)]
    came: dict[Cell, Cell | None] = {}
    while queue:
        _, cost, cell, before = heapq.heappop(queue)
        if cell in came:
            continue
        came[cell] = before
        if cell in goals or (other is None and cell[0] == 1):
            return _traced(came, cell)
        for following, price in _around(grid, net, cell):
            if following not in came:
                ahead = 0.0 if goal is None else math.hypot(following[1] - goal[1], following[2] - goal[2])
                heapq.heappush(queue, (cost + price + ahead, cost + price, following, cell))
    return None


def _around(grid: _Grid, net: str, cell: Cell) -> list[tuple[Cell, float]]:
    """Where a track can go next and at what price; the top likes to run along, the bottom across."""
    side, column, row = cell
    found = []
    for dx, dy in STEPS:
        following = (side, column + dx, row + dy)
        if not grid.open_to(following, net):
            continue
        beside = ((side, column + dx, row), (side, column, row + dy))
        if dx and dy and not all(grid.open_to(corner, net) for corner in beside):
            continue
        wrong = WRONG_WAY if (dx == 0 if side == 0 else dy == 0) else 0.0
        found.append((following, math.hypot(dx, dy) + wrong))
    beneath = (1 - side, column, row)
    if (column, row) not in grid.no_via and _room_for_via(grid, net, column, row):
        found.append((beneath, VIA_COST))
    return found


def _room_for_via(grid: _Grid, net: str, column: int, row: int) -> bool:
    return all(grid.open_to((side, column + dx, row + dy), net)
               for side in (0, 1) for dx in (-1, 0, 1) for dy in (-1, 0, 1))


def _traced(came: dict[Cell, Cell | None], cell: Cell) -> list[Cell]:
    path = [cell]
    while (before := came[path[-1]]) is not None:
        path.append(before)
    return path[::-1]


def _keep(found: Found, grid: _Grid, net: str, path: list[Cell], start: Point, end: Point | None) -> None:
    """Tracks along the cells, straight runs as one line, a via at each change of side; cells become the net's."""
    run: list[Point] = [start]
    for index, (side, column, row) in enumerate(path):
        point = grid.at(column, row)
        if index and path[index - 1][0] != side:
            _keep_track(found, net, run, path[index - 1][0])
            found.vias.append((net, *point))
            for both in (0, 1):
                grid.claim(both, (*point, *point), VIA_MM / 2 + CLEAR_MM + WIDTH_MM / 2, net)
            run = []
        run.append(point)
        before = path[index - 1] if index else path[0]
        # a diagonal takes the corners beside it too
        for cell in ((side, column, row), (side, before[1], row), (side, column, before[2])):
            grid.owner[cell] = net
    if end is not None:
        run.append(end)
    _keep_track(found, net, run, path[-1][0])


def _keep_track(found: Found, net: str, run: list[Point], side: int) -> None:
    points = [run[0]]
    for index, point in enumerate(run[1:], start=1):
        if math.dist(point, points[-1]) < 1e-9:
            continue
        ahead = run[index + 1] if index + 1 < len(run) else None
        if ahead is not None and abs(_bend(points[-1], point, ahead)) < 1e-9:
            continue
        points.append(point)
    if len(points) > 1:
        found.tracks.append((net, SIDES[side], tuple(points)))


def _bend(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def main() -> None:
    """Find the tracks of all boards anew."""
    for board in (turnout_driver, signal_head, track_detector):
        design = board.draw(tracks=False)
        found = route(design)
        write_tracks(design.name, found.tracks, found.vias)
        print(f"{design.name}: {len(found.tracks)} tracks, {len(found.vias)} vias, {found.left_open} left open")


if __name__ == "__main__":
    main()
