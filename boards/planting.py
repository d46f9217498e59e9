"""Faulty labels for random boards: each good but for one fault, with what must be found, from exact geometry."""

from collections.abc import Callable
from dataclasses import replace

from shapely import unary_union
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from boards.alphabet import Lettering
from boards.design import DrawnAs, Flash, Hole, Label, Side, box_of, middle_of, place_text
from boards.geometry import hole_shape, ink_of, line_shape, narrowest_gap, passage_units, shape_of
from boards.maker import Maker, PadShape, rectangle
from boards.parts import Seat, two_rows
from boards.tiles import LEAST_GAP_MM, Tile, Workbench, inside_gap, scratch, tile_of

CLIP_MM = 0.10
"""Ink nearer than this to an opening is clipped: common practice, no source."""
THIN = (("unreadable", 0.05, 0.088, 0.10), ("doubtful", 0.112, 0.138, 0.15))
SHORT = (("unreadable", 0.55, 0.78, 0.80), ("doubtful", 0.82, 0.98, 1.00), ("note", 1.02, 1.09, 1.164))
TIGHT = (("unreadable", 0.02, 0.066, 0.08), ("doubtful", 0.095, 0.135, 0.15))
"""Severity, from and to which measure faults are planted, and the limit, in mm: 0.01 mm or more past it."""
OPEN_WORDS = ("LOCO", "COIL", "UNIT", "HILL", "LIT", "VIOLIN", "UNCLIC", "HUT", "L1", "J7", "TUNNEL", "ZOO", "CUT 7")
"""Words whose characters stay open when they are small."""
UPRIGHT_WORDS = ("HIM", "MINI", "UNI", "HUM", "NIH", "MUN", "INN")
"""Words whose neighbours stand with parallel stems, so that the gap between them is what was asked for."""
CLOSABLE_WORDS = ("BAY 8", "SPARE", "A4", "RADAR", "PAD 4", "DATA", "BAR", "8A")
SHAPES: tuple[PadShape, ...] = ("circle", "rectangle", "rounded")
HIDDEN_WORDS = ("LOOP", "YARD", "HALT", "MAIN", "TRACK")
"""Words that have room under a circuit."""
LONG_WORDS = ("SIGNAL", "CROSSING", "SECTION", "DETECTOR", "PLATFORM", "Turnout 4", "JUNCTION", "Buffers")


def thin_stroke(bench: Workbench, side: Side) -> Tile:
    """A pen too thin for the press."""
    design, maker = scratch()
    severity, low, high, limit = bench.chance.choice(THIN)
    pen = round(bench.chance.uniform(low, high), 3)
    lettering = Lettering(round(bench.chance.uniform(1.25, 2.2), 2), pen, gap_mm=0.3)
    label = maker.add(bench.label(bench.words(), side, lettering, drawn_as=_line_or_fill(bench)))
    maker.fault("thin-stroke", severity, f"strokes of {pen} mm", label, measured=pen, limit=limit)
    return tile_of(design)


def short_character(bench: Workbench, side: Side) -> Tile:
    """Characters too low for the press or the eye."""
    design, maker = scratch()
    severity, low, high, limit = bench.chance.choice(SHORT)
    height = round(bench.chance.uniform(low, high), 3)
    lettering = Lettering(height, 0.155, 1.3, 0.2)
    text = bench.chance.choice([word for word in OPEN_WORDS if inside_gap(word, lettering) >= LEAST_GAP_MM])
    label = maker.add(bench.label(text, side, lettering, drawn_as=_line_or_fill(bench)))
    maker.fault("short-character", severity, f"{height} mm high", label, measured=height, limit=limit)
    return tile_of(design)


def closed_gap(bench: Workbench, side: Side) -> Tile:
    """A counter that fills up, or neighbours that run together."""
    design, maker = scratch()
    severity, low, high, limit = bench.chance.choice(TIGHT)
    wanted = bench.chance.uniform(low, high)
    height = round(bench.chance.uniform(1.25, 2.2), 2)
    if bench.chance.random() < 0.5:
        pen = round(max(0.16, height * bench.chance.uniform(0.11, 0.14)), 3)
        text, lettering = bench.chance.choice(UPRIGHT_WORDS), Lettering(height, pen, 1.0, round(wanted, 3))
    else:
        text = bench.chance.choice(CLOSABLE_WORDS)
        narrowest = min(text.replace(" ", ""), key=lambda char: passage_units(char, 1.0, 0.0))
        units = passage_units(narrowest, 1.0, 0.0) / 9
        lettering = Lettering(height, round((units * height - wanted) / (1 + units), 4), 1.0, 0.3)
        # With its counter filled an A is still an A.
        severity = "doubtful" if narrowest in "A4" else severity
    label = maker.add(bench.label(text, side, lettering, drawn_as=_line_or_fill(bench)))
    gap = round(narrowest_gap(label), 3)
    maker.fault("closed-gap", severity, f"a gap of {gap} mm", label, measured=gap, limit=limit)
    return tile_of(design)


def in_opening(bench: Workbench, side: Side) -> Tile:
    """A land or an open via under a character, under half of the label, or along its foot."""
    design, maker = scratch()
    way = bench.chance.choice(("character", "half", "foot"))
    label = maker.add(_long_label(bench, side, None if way == "character" else bench.chance.choice((0.0, 90.0))))
    x0, y0, x1, y1 = label.box
    if way == "character":
        box = _some_character(bench, label)
        size = max(box[2] - box[0], box[3] - box[1]) * bench.chance.uniform(1.0, 1.5) + 0.2
        shape = bench.chance.choice(SHAPES)
        pad = Flash(*middle_of(box), shape, size, size, 0.2 * size, function="SMDPad,CuDef")
    else:
        wide, high = (x1 - x0) / (2 if way == "half" else 1) + 0.4, (y1 - y0) / (2 if way == "foot" else 1) + 0.4
        pad = Flash(x0 + wide / 2 - 0.4, y0 + high / 2 - 0.4, "rectangle", wide, high, function="SMDPad,CuDef")
    design.layer("copper", side).append(pad)
    opening = replace(pad, width_mm=pad.width_mm + 0.1, height_mm=pad.height_mm + 0.1, function=None)
    design.layer("mask", side).append(opening)
    _lost(maker, "in-opening", label, shape_of(opening).buffer(CLIP_MM), f"an opening under it: {way}")
    return tile_of(design)


def across_hole(bench: Workbench, side: Side) -> Tile:
    """An unplated hole or slot, covered by no opening, through a character."""
    design, maker = scratch()
    label = maker.add(_long_label(bench, side))
    box = _some_character(bench, label)
    x, y = middle_of(box)
    size = round(max(0.9, max(box[2] - box[0], box[3] - box[1]) * bench.chance.uniform(0.8, 1.2)), 2)
    slot = bench.chance.random() < 0.4
    hole = Hole(x, y, size, False, x + 2.5 if slot else None, y if slot else None, "MechanicalDrill")
    design.holes.append(hole)
    _lost(maker, "across-hole", label, hole_shape(hole), f"a {'slot' if slot else 'hole'} of {size} mm through it")
    return tile_of(design)


def past_cut_out(bench: Workbench, side: Side) -> Tile:
    """A cut-out or milled slot in the board through the label."""
    design, maker = scratch()
    label = maker.add(_long_label(bench, side))
    x, y = middle_of(_some_character(bench, label))
    if bench.chance.random() < 0.5:
        half = round(bench.chance.uniform(1.2, 2.0), 2)
        contour = rectangle(x - half, y - half, x + half, y + half, bench.chance.choice((0.0, 0.5)))
    else:
        contour = rectangle(x - 0.6, y - 2.5, x + 0.6, y + 2.5, 0.6)
    design.outline.append(contour)
    hole = LineString([corner[:2] for corner in contour.corners]).envelope
    _lost(maker, "past-outline", label, hole, "a cut-out through it")
    return tile_of(design)


def past_edge(bench: Workbench, side: Side) -> Tile:
    """A label about the origin, to be put onto the edge of the board."""
    design, maker = scratch()
    label = maker.add(_long_label(bench, side, 0.0))
    maker.fault("past-outline", "unreadable", "half of it off the board", label)
    return tile_of(design)


def crossing_ink(bench: Workbench, side: Side) -> Tile:
    """Another label, a line, a circle or a frame through a label."""
    design, maker = scratch()
    way = bench.chance.choice(("along", "across", "circle", "frame", "label"))
    label = maker.add(_long_label(bench, side, bench.chance.choice((0.0, 90.0)), "strokes"))
    x0, y0, x1, y1 = label.box
    x, y = middle_of(label.box)
    pen = round(bench.chance.uniform(0.15, 0.25), 3)
    upright = label.turned_deg == 0
    struck = middle_of(_some_character(bench, label))
    if way == "label":
        other = _long_label(bench, side, label.turned_deg, "strokes")
        dx, dy = (bench.chance.uniform(0.3, 0.8) * label.lettering.height_mm for _ in "xy")
        moved = place_text(other.text, (dx, dy), label.lettering, side, label.turned_deg)
        maker.add(moved)
        maker.fault("crossing-ink", None, "two labels on one another", label, moved, unit="fraction")
        return tile_of(design)
    if way == "along":
        ends = ((x0 - 1, y), (x1 + 1, y)) if upright else ((x, y0 - 1), (x, y1 + 1))
        maker.line(*ends, side=side, pen_mm=pen)
    elif way == "across":
        maker.line((struck[0] - 1.5, struck[1] - 1.8), (struck[0] + 1.5, struck[1] + 1.8), side=side, pen_mm=pen)
    elif way == "circle":
        radius = bench.chance.uniform(2.0, 4.0)
        maker.circle(struck[0] + radius, struck[1], radius, side, pen)
    else:
        maker.frame(*((x0 - 1, y, x1 + 1, y + 3) if upright else (x, y0 - 1, x + 3, y1 + 1)), side=side, pen_mm=pen)
    maker.fault("crossing-ink", None, f"a drawn line through it: {way}", label, unit="fraction")
    return tile_of(design)


def mirrored(bench: Workbench, side: Side) -> Tile:
    """A label that reads only in a mirror."""
    design, maker = scratch()
    label = bench.label(bench.chance.choice(LONG_WORDS), side)
    wrong = place_text(label.text, (0.0, 0.0), label.lettering, side, label.turned_deg, mirrored=True,
                       drawn_as=label.drawn_as)
    maker.fault("mirrored", None, "reads only in a mirror", maker.add(wrong))
    return tile_of(design)


def under_body(bench: Workbench, side: Side) -> Tile:
    """A label between the rows of lands of a circuit that will stand on it."""
    design, maker = scratch()
    leads, words = bench.chance.choice(((16, HIDDEN_WORDS), (14, HIDDEN_WORDS), (8, ("ON", "UP", "V+"))))
    turned = bench.chance.choice((0, 90))
    label = maker.add(bench.label(bench.chance.choice(words), side, Lettering(1.25, 0.16), float(turned)))
    two_rows(maker, bench.reference(), "", f"SOIC-{leads}", Seat(0.0, 0.0, turned, side), {}, leads)
    maker.fault("under-body", None, f"between the rows of an SOIC-{leads}", label, measured=1.0, unit="fraction")
    return tile_of(design)


PLANTERS: dict[str, tuple[Callable[[Workbench, Side], Tile], ...]] = {
    "thin-stroke": (thin_stroke,),
    "short-character": (short_character,),
    "closed-gap": (closed_gap,),
    "in-opening": (in_opening,),
    "across-hole": (across_hole,),
    "past-outline": (past_edge, past_cut_out),
    "crossing-ink": (crossing_ink,),
    "mirrored": (mirrored,),
    "under-body": (under_body,),
}
"""Makers of faulty labels by analyser."""


def _line_or_fill(bench: Workbench) -> DrawnAs:
    return bench.chance.choice(("strokes", "strokes", "cut-in", "clear"))


def _long_label(bench: Workbench, side: Side, turned_deg: float | None = None,
                drawn_as: DrawnAs | None = None) -> Label:
    """A good label of several characters."""
    way = bench.chance.choice(("strokes", "strokes", "cut-in", "clear")) if drawn_as is None else drawn_as
    return bench.label(bench.chance.choice(LONG_WORDS), side, turned_deg=turned_deg, drawn_as=way)


def _some_character(bench: Workbench, label: Label) -> tuple[float, float, float, float]:
    """Box of a character that is neither first nor last."""
    middle = [strokes for strokes in label.characters[1:-1] if strokes]
    return box_of(bench.chance.choice(middle), label.lettering.pen_mm)


def _lost(maker: Maker, analyser: str, label: Label, obstacle: BaseGeometry, what: str) -> None:
    """Note the fault; measured is the share that the character loses that loses most."""
    pen = label.lettering.pen_mm
    inks = [unary_union([line_shape(stroke, pen) for stroke in strokes]) for strokes in label.characters if strokes]
    share = max(ink.intersection(obstacle).area / ink.area for ink in inks)
    severity = "unreadable" if share >= 0.4 else "doubtful" if share >= 0.15 else None
    at = ink_of(label).intersection(obstacle).centroid
    maker.fault(analyser, severity, what, label, at=(at.x, at.y), measured=round(share, 3), unit="fraction")
