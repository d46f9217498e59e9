"""Holes out of drill files, each checked against the pads and the outline."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from labelcheck.board.board import Holes
from labelcheck.board.content import share_near
from labelcheck.formats.drill import DrillFile, read_drill
from labelcheck.formats.drill_numbers import NumberFormat
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Flags, Floats, Kind, Shapes, concatenate, empty_shapes

BESIDE_BOARD_MM = 3.0
"""Holes this far outside may belong to a board (tooling strips, panel rims)."""

FITS = 0.9
"""Share of holes on the board from which a reading of the file fits."""

PADS_NEEDED = 4
"""Fewer holes or pads than this prove nothing by not meeting."""

SAME_HOLE_MM = 0.02
"""Two holes closer than this in place and diameter are one hole told twice."""

EDGE_ROUTE_MM = 1.0
"""A routed path that stays this near the edge, beside its own radius, mills the edge."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What holes can be checked against."""

    pads: Floats
    """(k, 2) middles of pads and openings."""
    area: BaseGeometry | None
    """The outline where known, else the box of the pads; None where nothing is known."""

    def fit(self, middles: Floats) -> tuple[float, float]:
        """Share of the holes, (n, 2), on the board, and share on pads; (0, 0) without holes."""
        if len(middles) == 0 or self.area is None:
            return 0.0, 0.0
        near = self.area.buffer(BESIDE_BOARD_MM)
        shapely.prepare(near)
        inside = float(np.mean(shapely.intersects_xy(near, middles[:, 0], middles[:, 1])))
        return inside, share_near(middles, self.pads)


@dataclass(frozen=True, slots=True, eq=False)
class Drilled:
    """One drill file, with what the board said about its reading."""

    file: DrillFile
    remarks: tuple[Remark, ...]
    misfit: bool
    """Whether its holes do not lie on the board in any reading."""


def hole_middles(shapes: Shapes) -> Floats:
    """Middle of each hole or slot, (n, 2)."""
    boxes = shapes.boxes()
    middles = np.column_stack((boxes[:, 0] + boxes[:, 2], boxes[:, 1] + boxes[:, 3])) / 2
    return middles[np.isfinite(middles).all(axis=1)]


def fit_to_board(name: str, data: bytes, ground: Ground, preferred: Sequence[NumberFormat]) -> Drilled:
    """Read a drill file in the way that fits the board; `preferred` are readings that its neighbours took.

    Raises UnreadableFile as `read_drill` does.
    """
    first = read_drill(name, data)
    if len(first.shapes) == 0 or ground.area is None:
        return Drilled(first, _unchecked(first), False)
    # Stable: the likeliest first otherwise.
    candidates = sorted(first.candidates, key=lambda candidate: candidate not in preferred)
    best = _best(data, first, candidates, ground)
    doubtful = len(ground.pads) >= PADS_NEEDED and len(first.shapes) >= PADS_NEEDED and best.on_pads < 0.1
    if best.inside < FITS or doubtful:
        other = _best(data, first, first.others, ground) if first.others else best
        convincing = other.on_pads >= 0.5 or (len(ground.pads) == 0 and best.inside == 0)
        if other.inside >= FITS and other.on_pads > best.on_pads - 1e-9 and convincing:
            told = (
                f"The file says {first.format}, but its holes fit the board only as {other.format}; it was read so. "
                "Export the drill file again."
            )
            return Drilled(read_drill(name, data, other.format), (Remark(name, None, told),), False)
    file = first if best.format == first.format else read_drill(name, data, best.format)
    if best.inside >= FITS:
        return Drilled(file, _checked(first, file, best), False)
    lost = (
        f"Only {best.inside * 100:.0f} % of its holes lie on the board, read as {best.format}. Export the drill file "
        "again, with the same origin as the artwork."
    )
    return Drilled(file, (Remark(name, None, lost),), best.inside < 0.5)


@dataclass(frozen=True, slots=True)
class _Fit:
    """One reading of a file, and how it fits the board."""

    format: NumberFormat
    inside: float
    on_pads: float
    spread_mm: float

    @property
    def rank(self) -> tuple[bool, float, float]:
        """Most holes on the board and on pads; where pads say nothing, the reading that spreads widest."""
        fits = self.inside >= FITS
        spread = self.spread_mm if self.on_pads < 0.1 else 0.0
        return fits, round(self.on_pads, 1), spread if fits else self.inside


def _best(data: bytes, first: DrillFile, formats: Sequence[NumberFormat], ground: Ground) -> _Fit:
    """The reading that fits best, among equals the first; readings that differ in scale only are not read anew."""
    known: dict[bool, tuple[NumberFormat, Floats]] = {
        first.format.zeros == "leading": (first.format, hole_middles(first.shapes))
    }
    fits = []
    for format in formats:
        left = format.zeros == "leading"
        if left not in known:
            known[left] = (format, hole_middles(read_drill(first.name, data, format).shapes))
        base, middles = known[left]
        scaled = middles * (format.mm_per_digit / base.mm_per_digit)
        spread = round(float(np.ptp(scaled, axis=0).sum()), 3) if len(scaled) > 1 else 0.0
        fits.append(_Fit(format, *ground.fit(scaled), spread))
    return max(fits, key=lambda fit: fit.rank)


def _unchecked(file: DrillFile) -> tuple[Remark, ...]:
    if not file.guessed or len(file.shapes) == 0:
        return ()
    return (
        Remark(
            file.name,
            None,
            f"The file does not say its {_listed(file.guessed)}; it was read as {file.format}, and "
            "nothing could confirm that.",
        ),
    )


def _checked(first: DrillFile, file: DrillFile, fit: _Fit) -> tuple[Remark, ...]:
    if not first.guessed:
        return ()
    count = len(file.shapes)
    share, where = (fit.on_pads, "pads") if fit.on_pads >= 0.1 else (fit.inside, "the board")
    told = (
        f"The file does not say its {_listed(first.guessed)}; it was read as {file.format}, because "
        f"{round(share * count)} of its {count} holes lie on {where}."
    )
    return (Remark(first.name, None, told),)


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def holes_of_artwork(artwork: Artwork) -> Shapes:
    """Holes out of a drill file in Gerber form: flashes are holes, strokes are slots (both dark)."""
    shapes = artwork.shapes
    wanted = shapes.dark & ((shapes.kind == Kind.FLASH) | (shapes.kind == Kind.STROKE))
    return shapes.take(wanted)


def looks_like_drawing(artwork: Artwork) -> bool:
    """Whether a Gerber file named as drill file is a drawing of the holes: symbols and lettering instead of holes."""
    shapes = artwork.shapes
    if len(shapes) == 0:
        return False
    strokes = int(np.count_nonzero(shapes.kind == Kind.STROKE))
    regions = int(np.count_nonzero(shapes.kind == Kind.REGION))
    return strokes + regions > 0.7 * len(shapes) and strokes + regions > 30


def plated_of_artwork(artwork: Artwork, default: bool | None) -> tuple[bool | None, ...]:
    """Plated or not for each object that `holes_of_artwork` takes, by its aperture's attribute, else the file's."""
    told: list[bool | None] = []
    for number in np.flatnonzero(artwork.shapes.dark & (artwork.shapes.kind != Kind.REGION)):
        attributes = dict(artwork.attribute_sets[int(artwork.shapes.attributes[number])])
        function = attributes.get(".AperFunction", ())
        words = {word.lower() for word in function}
        told.append(False if "nonplated" in words else True if "plated" in words else default)
    return tuple(told)


def gather(parts: Sequence[tuple[Shapes, tuple[bool | None, ...]]]) -> Holes:
    """All holes once: a hole that a second file tells again is left out."""
    shapes = concatenate([part for part, _ in parts]) if parts else empty_shapes()
    plated = [told for _, tellings in parts for told in tellings]
    boxes = shapes.boxes()
    keys: dict[tuple[int, ...], int] = {}
    keep = np.ones(len(shapes), dtype=np.bool_)
    for index, box in enumerate(
        np.nan_to_num(boxes / SAME_HOLE_MM, posinf=0, neginf=0).round().astype(np.int64).tolist()
    ):
        first = keys.setdefault(tuple(box), index)
        if first != index:
            keep[index] = False
            plated[first] = plated[first] if plated[first] is not None else plated[index]
    return Holes(shapes.take(keep), tuple(told for told, kept in zip(plated, keep, strict=True) if kept))


def along_edge(shapes: Shapes, area: MultiPolygon) -> Flags:
    """Which objects are routed paths along the board's own edge; cutting the board out makes no slot."""
    lengths = np.zeros(len(shapes))
    np.add.at(lengths, shapes.bar_object, np.hypot(shapes.x1 - shapes.x0, shapes.y1 - shapes.y0))
    reaches = np.zeros(len(shapes))
    np.maximum.at(reaches, shapes.bar_object, shapes.width / 2 + EDGE_ROUTE_MM)
    found = np.zeros(len(shapes), dtype=np.bool_)
    bands: dict[float, BaseGeometry] = {}
    for number in np.flatnonzero((shapes.kind == Kind.STROKE) & (lengths > 10 * reaches)):
        reach = float(reaches[number])
        if reach not in bands:
            bands[reach] = area.boundary.buffer(reach)
            shapely.prepare(bands[reach])
        own = slice(*np.searchsorted(shapes.bar_object, (number, number + 1)))
        ends = np.column_stack((shapes.x0[own], shapes.y0[own], shapes.x1[own], shapes.y1[own]))
        found[number] = shapely.contains(bands[reach], shapely.linestrings(ends.reshape(-1, 2, 2))).all()
    return found


def routed_cut_outs(shapes: Shapes) -> list[Polygon]:
    """Areas that closed routed paths cut out of the board, as far as the middle of the tool."""
    found = []
    for number in np.flatnonzero(shapes.kind == Kind.STROKE):
        first, last = np.searchsorted(shapes.bar_object, (number, number + 1))
        if last - first < 3:
            continue
        points = np.column_stack((shapes.x0, shapes.y0))[first:last]
        closing = np.hypot(points[0, 0] - shapes.x1[last - 1], points[0, 1] - shapes.y1[last - 1])
        ring = Polygon(points)
        if closing <= float(shapes.width[first]) / 2 and ring.is_valid and ring.area > 0:
            found.append(ring)
    return found
