"""Applies proposed cures to artwork: the legend is written anew, its labels enlarged, turned, moved as advised.

A cure may be wrong in its sums or in what it overlooks; so the new file goes through a whole check like any other.
"""

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from boards.artwork_writer import cut_in
from labelcheck.board.board import Board, Layer
from labelcheck.board.fab_set import FabSet, make_set, set_file
from labelcheck.cures.cure import Cure
from labelcheck.labels.glyphs import lay_out
from labelcheck.labels.label import Label
from labelcheck.labels.lines import Lines
from labelcheck.labels.setting import set_lines
from labelcheck.trade.shapes import Shapes
from labelcheck.trade.sides import OUTER_SIDES, Side

CORNERS = 8
"""A quarter circle of grown contours has so many corners."""


def cured_set(fab_set: FabSet, board: Board, labels: Mapping[str, Label], cures: Sequence[Cure]) -> FabSet:
    """The set with every cure that has a place applied to its legends."""
    files = {file.name: file for file in fab_set.files}
    for side in OUTER_SIDES:
        layer = board.on(side).legend
        own = [cure for cure in cures if labels[cure.label].side is side and cure.found and cure.cleared_by is None]
        if layer is None or not own:
            continue
        text = legend_text(layer, side, {row: change for cure in own for row, change in _changes(
            layer.shapes, labels[cure.label], cure).items()})
        for name in layer.files[1:]:
            files.pop(name, None)
        files[layer.files[0]] = set_file(layer.files[0], text.encode())
    return make_set(fab_set.name, fab_set.path, files.values(), fab_set.remarks)


class Change:
    """What happens to one object of a label: points and widths."""

    def __init__(self, label: Label, cure: Cure, along_mm: float) -> None:
        x0, y0, x1, y1 = label.box_mm
        self.middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
        self.scale, self.growth_mm = cure.scale, cure.growth_mm
        sign = -1.0 if label.side is Side.BOTTOM else 1.0
        reading = np.deg2rad(label.turned_deg)
        line = np.array([sign * np.cos(reading), np.sin(reading)])
        if label.mirrored:
            line[0] = -line[0]
        self.aside = along_mm * line
        # Mirroring along the line, then turning as read on its own side.
        mirror = 2 * np.outer([-line[1], line[0]], [-line[1], line[0]]) - np.eye(2) if cure.mirrored else np.eye(2)
        turn = np.deg2rad(cure.turn_deg) * sign
        self.matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]) @ mirror
        self.shift = np.array(cure.shift_mm)

    def point(self, x: float, y: float) -> tuple[float, float]:
        about = (np.array([x, y]) - self.middle) * self.scale + self.aside
        at = self.matrix @ about + self.middle + self.shift
        return float(at[0]), float(at[1])

    def area(self, shape: BaseGeometry, dark: bool) -> BaseGeometry:
        about = affinity.affine_transform(shape, [
            self.scale, 0, 0, self.scale,
            *(self.aside - self.middle * self.scale),
        ])
        growth = self.growth_mm if dark else -self.growth_mm
        if abs(growth) > 1e-9:
            about = about.buffer(growth, quad_segs=CORNERS)
        (a, b), (c, d) = self.matrix
        return affinity.affine_transform(about, [a, b, c, d, *(self.middle + self.shift)])

    def width(self, width: float, dark: bool) -> float:
        return max(self.scale * width + (2 if dark else -2) * self.growth_mm, 0.001)


def _changes(shapes: Shapes, label: Label, cure: Cure) -> dict[int, Change]:
    """For each object of a label what is done to it; wider spacing moves each character by another length."""
    rows = [row for mark in label.marks for row in mark.objects]
    if cure.spacing_mm is None:
        change = Change(label, cure, 0.0)
        return dict.fromkeys(rows, change)
    place = _character_of_object(shapes, label)
    last = max(place.values())
    return {row: Change(label, cure, cure.spacing_mm * (place[row] - last / 2)) for row in rows}


def _character_of_object(shapes: Shapes, label: Label) -> dict[int, int]:
    """By row of the shapes, the character that it belongs to, from 0."""
    owner = np.repeat(np.arange(len(label.marks)), [len(mark.objects) for mark in label.marks])
    rows = np.array([row for mark in label.marks for row in mark.objects])
    turned = np.full(len(label.marks), label.turned_deg)
    upright = lay_out(shapes, rows, owner, turned, label.side is Side.BOTTOM)
    marks, first = np.arange(len(label.marks)), np.array([0, len(label.marks)])
    glyph = set_lines(Lines(marks, upright.box, first, np.zeros(1, dtype=np.int64))).glyph
    return dict(zip(rows.tolist(), glyph[owner].tolist(), strict=True))


def legend_text(layer: Layer, side: Side, changes: Mapping[int, Change]) -> str:
    """The layer as a Gerber file, object by object in its drawing order, with the changes made."""
    shapes = layer.shapes
    words = [f"%TF.FileFunction,Legend,{'Top' if side is Side.TOP else 'Bot'}*%",
             "%TF.FilePolarity,Positive*%", "%FSLAX46Y46*%", "%MOMM*%", "%LPD*%", "G01*"]
    pens: dict[int, int] = {}
    body: list[str] = []
    dark, pen, attributes = True, 0, ""
    bars = np.searchsorted(shapes.bar_object, np.arange(len(shapes) + 1))
    rings = np.searchsorted(shapes.ring_object, np.arange(len(shapes) + 1))
    for row in range(len(shapes)):
        change = changes.get(row)
        if bool(shapes.dark[row]) != dark:
            dark = bool(shapes.dark[row])
            body.append("%LPD*%" if dark else "%LPC*%")
        wanted = _attributes(layer, row)
        if wanted != attributes:
            body += ["%TD*%", *([wanted] if wanted else [])]
            attributes = wanted
        for bar in range(bars[row], bars[row + 1]):
            ends = [(shapes.x0[bar], shapes.y0[bar]), (shapes.x1[bar], shapes.y1[bar])]
            width = float(shapes.width[bar])
            if change is not None:
                ends, width = [change.point(*end) for end in ends], change.width(width, dark)
            code = pens.setdefault(round(width * 1_000_000), 10 + len(pens))
            if code != pen:
                body.append(f"D{code}*")
                pen = code
            body += [f"{_at(*ends[0])}D02*", f"{_at(*ends[1])}D01*"]
        area = _area(shapes, range(rings[row], rings[row + 1]))
        if change is not None and not area.is_empty:
            area = change.area(area, dark)
        for part in shapely.get_parts(area):
            body += _contour(part)
    words += [f"%ADD{code}C,{width / 1_000_000:.6f}*%" for width, code in pens.items()]
    return "\n".join([*words, *body, "M02*", ""])


def _attributes(layer: Layer, row: int) -> str:
    own = dict(layer.attribute_sets[layer.shapes.attributes[row]]) if layer.attribute_sets else {}
    return "\n".join(f"%TO{name},{','.join(own[name])}*%" for name in (".C", ".N", ".P") if name in own)


def _area(shapes: Shapes, rings: range) -> BaseGeometry:
    """Rings of one object, even-odd, as areas."""
    area: BaseGeometry = Polygon()
    for ring in rings:
        first, last = shapes.ring_start[ring], shapes.ring_start[ring + 1]
        if last - first >= 3:
            points = np.column_stack((shapes.vx[first:last], shapes.vy[first:last]))
            area = area.symmetric_difference(shapely.make_valid(Polygon(points)))
    return area


def _contour(part: BaseGeometry) -> list[str]:
    if part.geom_type != "Polygon" or part.is_empty:
        return []
    outer, *holes = (tuple((x, y) for x, y in ring.coords[:-1]) for ring in (part.exterior, *part.interiors))
    points = cut_in(outer, tuple(holes))
    drawn = [f"{_at(*point)}D01*" for point in (*points[1:], points[0])]
    return ["G36*", f"{_at(*points[0])}D02*", *drawn, "G37*"]


def _at(x: float, y: float) -> str:
    return f"X{round(float(x) * 1_000_000)}Y{round(float(y) * 1_000_000)}"
