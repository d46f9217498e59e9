"""Several artwork files as one layer, and files that claim the same layer."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from labelcheck.board.board import Layer
from labelcheck.formats.gerber.artwork import Aperture, Artwork, AttributeSet
from labelcheck.trade.places import Remark
from labelcheck.trade.shapes import Shapes, concatenate, empty_shapes

SAME_SHARE = 0.5
"""Two files that share more of their objects than this are two states of one layer, not two parts of it."""

_COPY_MARK = re.compile(
    r"\(\d+\)|\bcopy\b|\bkopie\b|\bold\b|\bbak\b|\bbackup\b|\bprevious\b|[ _-]v?\d+$", re.IGNORECASE
)


def shared_objects(one: Shapes, other: Shapes) -> float:
    """Share of the objects of the smaller drawing that the other one also has, in the same place."""
    smaller = min(len(one), len(other))
    if smaller == 0:
        return 0.0
    return len(_keys(one) & _keys(other)) / len(_keys(one if len(one) == smaller else other))


def _keys(shapes: Shapes) -> set[tuple[int, ...]]:
    boxes = np.nan_to_num(shapes.boxes() * 1000, posinf=0, neginf=0)
    rows = np.column_stack((shapes.kind, shapes.dark, np.rint(boxes))).astype(np.int64)
    return set(map(tuple, rows.tolist()))


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A file that is not part of its layer, because another one is the same layer already."""

    name: str
    kept: str
    """The file that stands for both."""
    same: bool
    """Whether both draw the same."""


def without_revisions(artworks: Sequence[Artwork]) -> tuple[list[Artwork], list[LeftOut]]:
    """Parts of one layer, and files that are another state of one of them.

    A name that is marked as a copy gives way; else the earlier name stays.
    """
    kept: list[Artwork] = []
    left_out: list[LeftOut] = []
    for artwork in sorted(artworks, key=lambda artwork: (_COPY_MARK.search(artwork.name) is not None, artwork.name)):
        shares = [(shared_objects(known.shapes, artwork.shapes), known) for known in kept]
        share, rival = max(shares, key=lambda item: item[0], default=(0.0, None))
        if rival is None or share <= SAME_SHARE:
            kept.append(artwork)
        else:
            same = share == 1.0 and len(artwork.shapes) == len(rival.shapes)
            left_out.append(LeftOut(artwork.name, rival.name, same))
    return sorted(kept, key=lambda artwork: artwork.name), left_out


def merge(artworks: Sequence[Artwork]) -> tuple[Layer, tuple[Remark, ...]]:
    """Files as one drawing, ordered so that no file clears another's ink where that is possible."""
    cutting = [artwork for artwork in artworks if not artwork.shapes.dark.all()]
    adding = [artwork for artwork in artworks if artwork.shapes.dark.all()]
    ordered = [*cutting, *adding]
    remarks = [
        Remark(
            later.name,
            None,
            f"Its clear objects may remove ink of {earlier.name} beneath; the two files were laid "
            "over each other in this order.",
        )
        for index, later in enumerate(cutting)
        for earlier in cutting[:index]
        if _clears(later.shapes, earlier.shapes)
    ]
    return _as_layer(ordered), tuple(remarks)


def _clears(later: Shapes, earlier: Shapes) -> bool:
    clear = later.boxes()[~later.dark]
    ink = earlier.boxes()[earlier.dark]
    if len(clear) == 0 or len(ink) == 0:
        return False
    return bool(
        clear[:, 0].min() < ink[:, 2].max()
        and clear[:, 2].max() > ink[:, 0].min()
        and clear[:, 1].min() < ink[:, 3].max()
        and clear[:, 3].max() > ink[:, 1].min()
    )


def _as_layer(artworks: Sequence[Artwork]) -> Layer:
    parts: list[Shapes] = []
    apertures: list[Aperture] = []
    attribute_sets: list[AttributeSet] = [()]
    for artwork in artworks:
        first_aperture, first_set = len(apertures), len(attribute_sets) - 1
        shapes = artwork.shapes
        parts.append(
            shapes if not parts else replace(
                shapes,
                aperture=np.where(shapes.aperture >= 0, shapes.aperture + first_aperture, -1),
                attributes=np.where(shapes.attributes > 0, shapes.attributes + first_set, 0),
            )
        )
        apertures += [
            replace(aperture, attributes=aperture.attributes + first_set if aperture.attributes > 0 else 0)
            for aperture in artwork.apertures
        ]
        attribute_sets += artwork.attribute_sets[1:]
    shapes = concatenate(parts) if parts else empty_shapes()
    return Layer(tuple(artwork.name for artwork in artworks), shapes, tuple(apertures), tuple(attribute_sets))
