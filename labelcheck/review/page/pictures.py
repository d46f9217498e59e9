"""The two pictures on the page: each stands there once, and windows look at parts of it."""

import base64
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from labelcheck.judging import Finding
from labelcheck.labels.label import Box
from labelcheck.review.page.markup import Markup, element, together
from labelcheck.review.picture.sheet import Sheet
from labelcheck.review.wording import in_unit
from labelcheck.trade.sides import Side
from labelcheck.trade.units import Unit

_LEAST_MARK = 8.0
"""Pixels of the sheet: what is wrong can be very small, and must still be found with a pointer."""


@dataclass(frozen=True, slots=True)
class SidePicture:
    """One side's sheet as it is packed into the page; every box is left, top, right, bottom in its pixels."""

    side: Side
    png: bytes
    width: int
    height: int
    area: Box
    """The board with the room around it for call-outs."""
    pixels_per_mm: float
    insets: tuple[tuple[str, Box], ...]
    """Enlarged labels: the id of the finding, and the tile."""
    marks: tuple[tuple[str, Box], ...]
    """What is wrong: the id of the finding, and where."""


def side_picture(sheet: Sheet, png: bytes, findings: Sequence[Finding]) -> SidePicture:
    """What the page needs of a sheet that was drawn and packed already."""
    marks = [
        (finding.id, _at_least(sheet.place_of(finding.box_mm)))
        for finding in findings
        if finding.side is sheet.side and all(map(math.isfinite, finding.box_mm))
    ]
    return SidePicture(
        side=sheet.side,
        png=png,
        width=sheet.image.width,
        height=sheet.image.height,
        area=_floats(sheet.area),
        pixels_per_mm=sheet.view.pixels_per_mm,
        insets=tuple((inset.finding.id, _floats(tile)) for tile, inset in sheet.insets),
        marks=tuple(marks),
    )


def side_figure(picture: SidePicture, found: str) -> Markup:
    """One side: its picture with a mark for every finding, which a chosen line zooms to. `found` says how many."""
    side = str(picture.side)
    seen = "Top side" if picture.side is Side.TOP else "Bottom side, seen from below"
    image = element(
        "image",
        id=f"sheet-{side}",
        width=picture.width,
        height=picture.height,
        href=Markup("data:image/png;base64," + base64.b64encode(picture.png).decode("ascii")),
    )
    # Where the window is wider than the board, nothing else of the sheet must come into view.
    clip = element("clipPath", element("rect", **_rectangle(picture.area)), id=f"area-{side}")
    marks = together(
        element("rect", id=f"mark-{name}", data_of=name, **_rectangle(box))
        for name, box in picture.marks
    )
    drawing = element(
        "svg",
        [clip, element("g", image, clip_path=f"url(#area-{side})"), element("g", marks, class_="marks")],
        viewBox=_view_box(picture.area),
        role="img",
        aria_label=f"{seen}: the board with {found} marked and numbered. The table holds each of them in words.",
        data_whole=_view_box(picture.area),
        data_scale=f"{picture.pixels_per_mm:.3f}",
    )
    return element(
        "figure",
        [element("figcaption", seen), element("div", drawing, class_="window")],
        class_="side",
        id=f"picture-{side}",
        data_side=side,
    )


def inset_figures(pictures: Sequence[SidePicture], findings: Mapping[str, Finding], unit: Unit) -> Markup:
    """Enlarged labels, windows onto the same two pictures; `findings` finds one by its id."""
    told = []
    for picture in pictures:
        for name, tile in picture.insets:
            use = element("use", href=f"#sheet-{picture.side}")
            sentence = in_unit(findings[name].message, unit)
            window = element("svg", use, viewBox=_view_box(tile), role="img", aria_label=f"Enlarged: {sentence}")
            where = [element("a", f"Finding {name}", href=f"#{name}", data_choose=name), f", {picture.side} side"]
            told.append(element("figure", [window, element("figcaption", where)]))
    return together(told)


def _rectangle(box: Box) -> dict[str, str]:
    left, top, right, bottom = box
    sides = {"x": left, "y": top, "width": right - left, "height": bottom - top}
    return {name: f"{value:.1f}" for name, value in sides.items()}


def _view_box(box: Box) -> str:
    left, top, right, bottom = box
    return f"{left:g} {top:g} {right - left:g} {bottom - top:g}"


def _at_least(box: Box) -> Box:
    """The box, grown around its middle where it is too small to be pointed at."""
    left, top, right, bottom = box
    x, y = max(_LEAST_MARK - (right - left), 0.0) / 2, max(_LEAST_MARK - (bottom - top), 0.0) / 2
    return left - x, top - y, right + x, bottom + y


def _floats(pixels: tuple[int, int, int, int]) -> Box:
    left, top, right, bottom = pixels
    return float(left), float(top), float(right), float(bottom)
