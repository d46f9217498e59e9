"""The board's edge: from the profile, else from a closed outline found elsewhere."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from labelcheck.board.board import Outline
from labelcheck.board.contours import polygons_of
from labelcheck.board.outlines import FoundOutline, find_outline
from labelcheck.board.recognising import Recognised
from labelcheck.board.roles import Role
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Floats, Kind, Shapes, concatenate, empty_shapes

SAME_AREA_SHARE = 0.02
"""Two outlines that differ by less of their area are the same but for the pen."""

PADS_NEEDED = 4
"""Pads or holes that a contour must enclose to pass for the board where no file declares the outline."""

LEAST_OF_BOX = 0.9
"""Share of the box of all pads that a frame must span both ways to be worth a look."""

FRAME_LINES_AT_MOST = 3_000
"""More lines than any frame has, rounded corners and all; a filled plane has more."""

FREE_MM = 0.1
"""How far all other copper must keep inside the line of a frame on a copper layer."""

JOINED_MM = 0.05
"""Line ends this near belong to one frame in a layer that also holds other things."""


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """One drawing that may show the edge."""

    name: str
    shapes: Shapes


Read = Callable[[Recognised], Artwork | None]


def declared_edge(
    files: Sequence[Recognised], read: Read, pads: Floats
) -> tuple[Outline | None, list[Remark], set[str]]:
    """The outline that profile files and mechanical layers show, remarks, and the files that it rests on."""
    declared = list(_sources([one for one in files if one.detail not in ("mechanical", "milling")], read))
    milling = list(_sources([one for one in files if one.detail == "milling"], read))
    found = _from_declared(declared, milling, pads)
    if found is not None:
        return found
    remarks = [
        Remark(
            one.name,
            None,
            "The outline drawn here does not close around the board; it was not used. Close it in the layout.",
        )
        for one in declared
        if len(one.shapes)
    ]
    for source in [*_sources([one for one in files if one.detail == "mechanical"], read), *milling]:
        option = find_outline(source.shapes, pads)
        if option is not None and option.believable:
            told = Remark(
                source.name, None, "No file declares the outline; the closed contour drawn here was taken for it."
            )
            return (
                _outline(option, f"a closed contour in {source.name}"),
                [*remarks, told, *_notes(source, option)],
                {source.name},
            )
    return None, remarks, set()


def _from_declared(
    declared: Sequence[Source], milling: Sequence[Source], pads: Floats
) -> tuple[Outline, list[Remark], set[str]] | None:
    singles = [(source, option) for source in declared if (option := find_outline(source.shapes, pads)) is not None]
    believable = [item for item in singles if item[1].believable]
    together = [*declared, *milling]
    joint = find_outline(concatenate([one.shapes for one in together]), pads) if len(together) > 1 else None
    if not believable:
        if joint is not None and joint.believable:
            return (
                _outline(joint, "profile"),
                _notes(together[0], joint),
                {one.name for one in together if len(one.shapes)},
            )
        return _unconfirmed(singles)
    source, option = believable[0]
    remarks = _notes(source, option)
    names = {source.name}
    if joint is not None and joint.believable and _same_hull(joint, option):
        # The other files add cut-outs, or tell the same again.
        if not _same(joint, option):
            added = ", ".join(one.name for one in together if one.name != source.name)
            remarks.append(Remark(source.name, None, f"Cut-outs were taken from {added} too."))
        return _outline(joint, "profile"), remarks, {one.name for one in together if len(one.shapes)}
    for other, second in believable[1:]:
        if not _same(second, option):
            remarks.append(
                Remark(other.name, None, f"This shows another outline than {source.name}; the latter was taken.")
            )
        names.add(other.name)
    return _outline(option, "profile"), remarks, names


def _unconfirmed(singles: Sequence[tuple[Source, FoundOutline]]) -> tuple[Outline, list[Remark], set[str]] | None:
    """A declared outline that most pads lie outside of: still what the files say, but told."""
    for source, option in singles:
        share = option.inside_share
        if share is not None and share >= 0.5:
            told = Remark(
                source.name, None, f"Only {share * 100:.0f} % of the pads lie within the outline drawn here."
            )
            return _outline(option, "profile"), [told, *_notes(source, option)], {source.name}
    return None


def routed_edge(routed: Iterable[Source], pads: Floats) -> tuple[Outline, list[Remark]] | None:
    """The outline that a drill file routes, where no artwork shows it."""
    for source in routed:
        option = find_outline(source.shapes, pads)
        if option is not None and option.inside_share is not None and option.believable:
            told = Remark(
                source.name, None, "No file declares the outline; the path that is routed here was taken for it."
            )
            return _outline(option, f"a path routed in {source.name}"), [told, *_notes(source, option)]
    return None


def framed_edge(files: Sequence[Recognised], read: Read, pads: Floats) -> tuple[Outline, list[Remark]] | None:
    """A frame around all pads on a layer made for something else; only its outer contour counts."""
    if len(pads) < PADS_NEEDED:
        return None
    for one in files:
        artwork = read(one)
        framing = _framing(artwork.shapes, pads) if artwork is not None else empty_shapes()
        option = find_outline(framing, pads) if 0 < len(framing.bar_object) <= FRAME_LINES_AT_MOST else None
        if artwork is None or option is None or option.inside_share is None or not option.believable:
            continue
        if one.role is Role.COPPER and not _stands_free(option.area, artwork.shapes, framing):
            continue
        filled = replace(
            option,
            area=MultiPolygon(polygons_of(shapely.union_all([Polygon(part.exterior) for part in option.area.geoms]))),
        )
        told = Remark(
            one.name,
            None,
            "No file declares the outline; a closed line that is drawn around all pads on this "
            "layer was taken for it.",
        )
        return _outline(filled, f"a line around all pads in {one.name}"), [told]
    return None


def _stands_free(area: MultiPolygon, shapes: Shapes, framing: Shapes) -> bool:
    """Whether all other copper keeps inside the frame: the rim of a filled plane does not stand free of it."""
    frame = set(zip(framing.line.tolist(), framing.boxes()[:, 0].tolist(), strict=True))
    boxes = shapes.boxes()
    own = np.array([key in frame for key in zip(shapes.line.tolist(), boxes[:, 0].tolist(), strict=True)])
    others = boxes[~own & shapes.dark & np.isfinite(boxes).all(axis=1)]
    x0, y0, x1, y1 = area.bounds
    inset = np.column_stack((others[:, :2] - (x0, y0), (x1, y1) - others[:, 2:]))
    rim_mm = float(framing.width.max()) / 2
    return len(others) > 0 and bool(inset.min() >= rim_mm + FREE_MM)


def _framing(shapes: Shapes, pads: Floats) -> Shapes:
    """Strokes that hang together and span the box of all pads both ways."""
    strokes = np.flatnonzero((shapes.kind == Kind.STROKE) & shapes.dark)
    owner = np.isin(shapes.bar_object, strokes)
    bars = np.flatnonzero(owner)
    ends = np.column_stack((shapes.x0, shapes.y0, shapes.x1, shapes.y1))[bars]
    if len(bars) == 0:
        return shapes.take(np.zeros(len(shapes), dtype=np.bool_))
    group = _grouped(ends)
    low = np.minimum(ends[:, :2], ends[:, 2:])
    high = np.maximum(ends[:, :2], ends[:, 2:])
    count = int(group.max()) + 1
    least, most = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
    np.minimum.at(least, group, low)
    np.maximum.at(most, group, high)
    spans = pads.max(axis=0) - pads.min(axis=0)
    wide = ((most - least) >= LEAST_OF_BOX * spans).all(axis=1)
    around = (least <= pads.min(axis=0) + 0.05 * spans).all(axis=1) & (most >= pads.max(axis=0) - 0.05 * spans).all(
        axis=1
    )
    chosen = np.unique(shapes.bar_object[bars[(wide & around)[group]]])
    return shapes.take(chosen.astype(np.int64))


def _grouped(ends: Floats) -> np.ndarray:
    """Group number of each line of (n, 4), lines with ends in one cell of `JOINED_MM` together."""
    cells = np.rint(ends.reshape(-1, 2) / JOINED_MM).astype(np.int64)
    _, node = np.unique(cells, axis=0, return_inverse=True)
    a, b = node.reshape(-1, 2).T
    parent = np.arange(int(node.max()) + 1)
    # Least label over each line, until nothing changes: as many rounds as the longest chain halves.
    while True:
        lower = np.minimum(parent[a], parent[b])
        before = parent.copy()
        np.minimum.at(parent, parent[a], lower)
        np.minimum.at(parent, parent[b], lower)
        parent = parent[parent]
        if np.array_equal(before, parent):
            break
    return np.unique(parent[a], return_inverse=True)[1]


def _sources(files: Iterable[Recognised], read: Read) -> Iterator[Source]:
    """Drawings one after the other, so that no file is read in vain."""
    for one in files:
        artwork = read(one)
        if artwork is not None:
            yield Source(one.name, _edge_objects(artwork))


def _edge_objects(artwork: Artwork) -> Shapes:
    """The objects that the file says are the profile (`.AperFunction,Profile`), or all where it does not say so."""
    rows = [
        row
        for row, attributes in enumerate(artwork.attribute_sets)
        if dict(attributes).get(".AperFunction", ())[:1] == ("Profile",)
    ]
    told = np.isin(artwork.shapes.attributes, rows)
    apertures = [row for row, aperture in enumerate(artwork.apertures) if aperture.attributes in rows]
    told |= np.isin(artwork.shapes.aperture, apertures)
    return artwork.shapes.take(told) if told.any() else artwork.shapes


def _outline(option: FoundOutline, known_by: str) -> Outline:
    return Outline(option.area, known_by)


def _notes(source: Source, option: FoundOutline) -> list[Remark]:
    return [Remark(source.name, None, note) for note in option.notes]


def _same(one: FoundOutline, other: FoundOutline) -> bool:
    return bool(one.area.symmetric_difference(other.area).area <= SAME_AREA_SHARE / 20 * other.area.area)


def _same_hull(one: FoundOutline, other: FoundOutline) -> bool:
    hulls = [shapely.union_all([Polygon(part.exterior) for part in option.area.geoms]) for option in (one, other)]
    return bool(hulls[0].symmetric_difference(hulls[1]).area <= SAME_AREA_SHARE * hulls[1].area)
