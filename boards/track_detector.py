"""The track detector: tells which of four blocks is occupied. One fault of every kind is planted on it.

Every faulty label is good but for its one fault, and labels just on the good side of a limit stand beside them.
It is drawn in two revisions, to be compared: in B three faults of A2 are mended, one is new, and a label is added.
"""

from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from boards.design import Design, Flash, Hole, Label, Pad, box_of, middle_of, place_text
from boards.geometry import hole_shape, ink_of, laminate, narrowest_gap, openings
from boards.maker import HEADING, MASK_MARGIN_MM, PIN, SMALL, Lettering, Maker, rectangle
from boards.parts import Seat, chip, drum, header, relay, terminal, two_rows
from boards.pictures import signal, turnout
from boards.tracks import lay_tracks

WIDTH, HEIGHT = 90.0, 60.0
COLOURS = ("Blue", "White")
CUT_OUT = (68.0, 30.0, 80.0, 40.0)
SLOT = (46.0, 20.0, 47.6, 28.0)
NAME = Lettering(1.8, 0.22)
NOTE = Lettering(1.5, 0.18)
PLUG = ("GND", "+5V", "B1", "B2", "B3", "B4")
DATES = {"A2": "2026-02", "B": "2026-03"}
"""When each revision was drawn."""


def draw(tracks: bool = True, revision: str = "A2") -> Design:
    """The whole board in one of its revisions, with its kept tracks if wanted."""
    outline = [rectangle(0, 0, WIDTH, HEIGHT, 2.0), rectangle(*CUT_OUT, 1.0), rectangle(*SLOT)]
    design = Design("track-detector", "Track detector", revision, outline)
    maker = Maker(design)
    for x in (4.0, WIDTH - 4.0):
        for y in (4.0, HEIGHT - 4.0):
            maker.mounting_hole(x, y, ring=6.0)
    _blocks(maker)
    _sensing(maker)
    _plug(maker)
    _words(maker)
    _dimension_faults(maker)
    _place_faults(maker)
    _print_faults(maker)
    _bottom_faults(maker)
    _faults_of_meaning(maker)
    if tracks:
        lay_tracks(maker)
    return design


def _is_mended(maker: Maker) -> bool:
    """Whether this is the revision in which some faults are gone."""
    return maker.design.revision != "A2"


def _blocks(maker: Maker) -> None:
    """A terminal for each block: feed and rail. The name of block 3 was drawn too thin at first."""
    for number, x in enumerate((17.0, 33.0, 49.0, 65.0), start=1):
        reference = f"J{number}"
        terminal(maker, reference, "2 x 5.0", Seat(x, 54.4, 180), {"1": "FEED", "2": f"RAIL{number}"}, 2)
        for offset, name in ((-2.5, "RAIL"), (2.5, "FEED")):
            maker.text(name, x + offset, 49.4, SMALL)
        for offset, name in ((-2.5, "R"), (2.5, "F")):
            maker.text(name, x + offset, 49.4, PIN, "bottom")
        maker.text(reference, x - 6.6, 54.4, SMALL, component=reference)
        if number != 3 or _is_mended(maker):
            maker.text(f"BLOCK {number}", x, 46.8, NAME)
            continue
        thin = maker.text("BLOCK 3", x, 46.8, Lettering(1.8, 0.08))
        maker.fault("thin-stroke", "unreadable", "drawn with a pen of 0.08 mm", thin, measured=0.08, limit=0.10)


def _sensing(maker: Maker) -> None:
    """Two comparators, a diode pair and two resistors a block, reservoir, relay."""
    for number, x in enumerate((10.0, 26.0, 42.0, 58.0), start=1):
        nets = {"1": f"RAIL{number}", "2": f"SENSE{number}"}
        chip(maker, f"D{number}", "50 V 2 A", "SMA", Seat(x + 1.0, 42.4, 180), nets, True)
        maker.text(f"D{number}", x + 6.0, 42.4, SMALL, component=f"D{number}")
        chip(maker, f"R{number}", "0R47", "1206", Seat(x + 1.0, 38.0), nets)
        maker.text(f"R{number}", x + 5.2, 38.0, SMALL, component=f"R{number}")
    for number, x in ((1, 14.0), (2, 34.0)):
        nets = {"1": "B1", "4": "GND", "8": "+5V", "3": f"SENSE{number}", "5": f"SENSE{number + 1}", "2": "REF"}
        two_rows(maker, f"U{number}", "comparator", "SOIC-8", Seat(x, 31.6), nets, 8)
        maker.text(f"U{number}", x - 5.0, 32.2, PIN, component=f"U{number}")
        chip(maker, f"C{number}", "100n", "0805", Seat(x + 6.2, 31.6, 90), {"1": "+5V", "2": "GND"})
        maker.text(f"C{number}", x + 8.6, 31.6, SMALL, turned_deg=90.0, component=f"C{number}")
    drum(maker, "C3", "220 µF 16 V", Seat(53.6, 31.4), {"1": "+5V", "2": "GND"}, 8.0)
    maker.text("+", 48.4, 32.4, PIN)
    maker.text("C3", 59.4, 34.6, SMALL, component="C3")
    relay(maker, "K1", "5 V", Seat(63.0, 17.6), {"1": "+5V", "10": "ALARM"})
    maker.text("K1", 51.4, 19.0, PIN, component="K1")


def _plug(maker: Maker) -> None:
    """The plug to the signal box; its names stand in the wrong order, see `_faults_of_meaning`."""
    nets = {str(pin): net for pin, net in enumerate(PLUG, 1)}
    header(maker, "J5", "1 x 6", Seat(22.0, 4.4), nets, 6)
    maker.text("J5", 31.6, 4.4, SMALL, component="J5")


def _words(maker: Maker) -> None:
    """Title, revision, pictures."""
    maker.text("TRACK DETECTOR", 62.0, 8.4, HEADING)
    revision = f"rev {maker.design.revision}"
    maker.text(f"{revision}   {DATES[maker.design.revision]}", 62.0, 5.2, NOTE)
    signal(maker, 78.0, 5.6, 0.8)
    maker.text("TRACK DETECTOR", 62.0, 8.4, HEADING, "bottom")
    maker.text(f"{revision}   Sheepcote Halt workshop", 62.0, 5.2, NOTE, "bottom")
    turnout(maker, 30.0, 40.0, 0.9, "bottom")
    maker.block(["F  feed from the controller", "R  rail of the block"], 60.0, 43.2, NOTE, "bottom")


def _dimension_faults(maker: Maker) -> None:
    """Strokes, heights and gaps, each as far wrong as its severity says."""
    thin = maker.text("COMMON", 8.0, 22.6, Lettering(1.5, 0.12))
    maker.fault("thin-stroke", "doubtful", "drawn with a pen of 0.12 mm", thin, measured=0.12, limit=0.15)
    for text, y, height, severity, limit in (("LOCO", 19.6, 0.70, "unreadable", 0.80),
                                             ("UP LINE", 17.4, 0.90, "doubtful", 1.00),
                                             ("DOWN LINE", 15.0, 1.10, "note", 1.164)):
        if text == "LOCO" and _is_mended(maker):
            maker.text(text, 8.0, y, SMALL)
            continue
        small = maker.text(text, 8.0, y, Lettering(height, 0.15, 1.25, 0.24))
        maker.fault("short-character", severity, f"{height:.2f} mm high", small, measured=height, limit=limit)
    just = maker.text("PLATFORM", 8.0, 12.4, Lettering(1.18, 0.15))
    maker.innocent(just, "1.18 mm high: 0.016 mm above the least height for the eye, 1.164 mm")
    for text, x, lettering, severity, limit in (
        ("SHED 8", 18.6, Lettering(1.5, 0.328), "unreadable", 0.08),
        ("MILL 2", 18.6, Lettering(1.5, 0.2, 1.0, 0.05), "unreadable", 0.08),
        ("MAIN 1", 18.6, Lettering(1.5, 0.2, 1.0, 0.115), "doubtful", 0.15),
    ):
        y = {"SHED 8": 22.6, "MILL 2": 19.4, "MAIN 1": 16.2}[text]
        tight = maker.text(text, x, y, lettering)
        gap = round(narrowest_gap(tight), 3)
        where = "inside a character" if lettering.gap_mm is None else "between characters"
        maker.fault("closed-gap", severity, f"a gap of {gap:.2f} mm {where}", tight, measured=gap, limit=limit)
    open_gap = maker.text("HILL 4", 18.6, 13.2, Lettering(1.5, 0.2, 1.0, 0.17))
    maker.innocent(open_gap, "0.17 mm between characters: 0.02 mm more than the least gap, 0.15 mm")


def _place_faults(maker: Maker) -> None:
    """Labels over pads, holes, edges, lines and each other."""
    chip(maker, "R14", "10k", "0805", Seat(31.0, 22.4), {"1": "REF", "2": "+5V"})
    _in_opening(maker, maker.text("R14", 29.3, 22.4, SMALL, component="R14"), "half of it on a land of its own part")
    eaten = maker.text("LOOP A", 36.6, 22.4, NOTE)
    x0, y0, x1, y1 = box_of(eaten.characters[-1], NOTE.pen_mm)
    maker.test_pad("TP1", "SENSE1", (x0 + x1) / 2, (y0 + y1) / 2, 2.0)
    _in_opening(maker, eaten, 'a test pad on its "A"')
    for text, x, y, slot in (("SENSOR", 30.6, 18.0, False), ("BUFFER", 41.4, 16.2, True)):
        label = maker.text(text, x, y, NOTE)
        at = middle_of(box_of(label.characters[2], NOTE.pen_mm))
        to_x, to_y = (at[0], at[1] - 3.0) if slot else (None, None)
        maker.design.holes.append(Hole(at[0], at[1], 1.5, False, to_x, to_y, "MechanicalDrill"))
        what = "an unplated slot" if slot else "an unplated hole"
        _lost(maker, "across-hole", label, hole_shape(maker.design.holes[-1]), f"{what} of 1.5 mm through it")
    outside = box(-50, -50, 150, 150).difference(laminate(maker.design))
    if _is_mended(maker):
        maker.text("EXIT", WIDTH - 4.8, 24.2, PIN)
    else:
        _lost(maker, "past-outline", maker.text("EXIT", WIDTH - 0.3, 25.0, PIN), outside, "half of it off the board")
    for text, at, what in (("COIL", (CUT_OUT[2] + 0.1, 35.0), "half of it in a cut-out"),
                           ("ISOLATE", ((SLOT[0] + SLOT[2]) / 2, 24.0), "a milled slot through it")):
        _lost(maker, "past-outline", maker.text(text, *at, PIN), outside, what)
    for text, x, clear in (("GATE", 42.0, 0.12), ("SIDING", 50.0, 0.27)):
        near = maker.text(text, x, clear + PIN.height_mm / 2, PIN)
        if text == "GATE":
            maker.fault("past-outline", "doubtful", "0.12 mm from the routed edge", near, measured=clear, limit=0.25,
                        at=(x, clear))
        else:
            maker.innocent(near, "0.27 mm from the routed edge: 0.02 mm more than its clearance, 0.25 mm")
    maker.frame(72.0, 43.0, 87.0, 48.0)
    struck = maker.text("CLIP", 79.5, 48.0, PIN)
    maker.fault("crossing-ink", "doubtful", "the line of a frame runs through it", struck)
    maker.text("to rail", 79.5, 45.5, SMALL)
    pair = maker.text("SPUR", 82.6, 27.8, PIN), maker.text("YARD", 83.2, 28.4, PIN)
    maker.fault("crossing-ink", "unreadable", "two labels on one another", *pair)
    _clear_labels(maker)


def _print_faults(maker: Maker) -> None:
    """Labels that turn into others when they are printed; each loses less than a quarter of any character."""
    cut = maker.text("POINT E", 59.0, 26.4, NOTE)
    x0, y0, x1, _ = box_of(cut.characters[-1], NOTE.pen_mm)
    window = Flash((x0 + x1) / 2 + 0.3, y0 - 0.3, "rectangle", x1 - x0 - 0.2, 0.8)
    maker.design.layer("mask", "top").append(window)
    _in_opening(maker, cut, 'a bare window at the foot of its "E", which is left as an F')
    fine = maker.add(place_text("HELD", (73.6, 26.2), Lettering(1.5, 0.22), drawn_as="hairlines"))
    maker.fault("not-read-as-printed", "unreadable", "filled, with level strokes of 0.05 mm, which are not printed",
                fine, unit="count")


def _clear_labels(maker: Maker) -> None:
    """Labels just clear of an opening and of a hole."""
    maker.pad(Pad("TP2", "1", "REF", 32.4, 10.6, 3.2, 1.4, "top", None), "rectangle", paste=False)
    top = 10.6 + 0.7 + MASK_MARGIN_MM
    if _is_mended(maker):
        _in_opening(maker, maker.text("CLEAR", 32.4, top, PIN), "its lower half on a bare land, beside the new name")
        maker.text("REF", 32.4, 8.8, SMALL)
    else:
        label = maker.text("CLEAR", 32.4, top + 0.12 + PIN.height_mm / 2, PIN)
        maker.innocent(label, "0.12 mm from an opening: 0.02 mm more than the clip, 0.10 mm")
    label = maker.text("BELL", 41.4, 10.6, PIN)
    x0, y0, x1, _ = box_of(label.characters[1], PIN.pen_mm)
    maker.design.holes.append(Hole((x0 + x1) / 2, y0 - 0.12 - 0.6, 1.2, False, function="MechanicalDrill"))
    maker.innocent(label, "0.12 mm from a hole: 0.02 mm more than its clearance, 0.10 mm")


def _bottom_faults(maker: Maker) -> None:
    """Faults on the other side."""
    thin = maker.text("SPARE", 20.0, 33.0, Lettering(1.5, 0.12), "bottom")
    maker.fault("thin-stroke", "doubtful", "drawn with a pen of 0.12 mm", thin, measured=0.12, limit=0.15)
    over = maker.text("IN 2", 34.2, 55.2, NOTE, "bottom")
    _in_opening(maker, over, "on a drilled pad of its terminal")
    wrong = maker.text("OCCUPIED", 14.0, 27.0, NOTE, "bottom", mirrored=True)
    maker.fault("mirrored", None, "drawn as read from the top, so that it is in a mirror on the bottom", wrong)


def _faults_of_meaning(maker: Maker) -> None:
    """Faults that only reading, bodies or the netlist can tell."""
    for index, name in enumerate(("GND", "+5V", "B2", "B1", "B3", "B4")):
        x = 22.0 + (index - 2.5) * 2.54
        label = maker.text(name, x, 8.6, PIN, turned_deg=90.0)
        if name == "B2":
            swapped = label
        elif name == "B1":
            maker.fault("pin-order", None, "pin 3 is on net B1, pin 4 on B2: the names are swapped", swapped, label)
    shifted = [
        maker.text(name, 22.0 + (index - 1.5) * 2.54, 8.6, PIN, "bottom", 90.0)
        for index, name in enumerate(PLUG[:-1])
    ]
    maker.fault("pin-order", None, "the names on this side start at pin 2: all are off by a pin", *shifted)
    twice = []
    for y in (20.4, 15.6):
        chip(maker, "R7" if y > 18 else "R8", "1k", "0805", Seat(78.8, y), {"1": "B1", "2": "+5V"})
        twice.append(maker.text("R7", 82.4, y, SMALL, component="R7" if y > 18 else "R8"))
    maker.fault("repeated-reference", None, "R7 stands beside R7 and beside R8", *twice)
    for reference, y in (("R9", 34.0), ("R10", 28.8)):
        chip(maker, reference, "10k", "0805", Seat(4.4, y), {})
    either = [maker.text(name, x, 31.4, SMALL, component=name) for name, x in (("R9", 2.4), ("R10", 6.0))]
    maker.fault("between-two-parts", None, "both as near to R9 as to R10, side by side between them", *either,
                measured=0.0, limit=0.1)
    hidden = maker.text("R15", 63.0, 17.6, SMALL)
    maker.fault("under-body", "unreadable", "inside the body of K1, 20.2 x 10.4 mm", hidden, measured=1.0,
                unit="fraction")
    upside = maker.text("FEEDER", 79.5, 53.0, NOTE, turned_deg=180.0)
    maker.fault("reading-direction", None, "the one label of its side that stands upside down", upside,
                measured=180.0, unit="deg")


def _in_opening(maker: Maker, label: Label, what: str) -> None:
    _lost(maker, "in-opening", label, openings(maker.design, label.side), what)


def _lost(maker: Maker, analyser: str, label: Label, obstacle: BaseGeometry, what: str) -> None:
    """Note a label whose ink lies where none stays; measured is the share of its ink that does."""
    ink = ink_of(label)
    lost = ink.intersection(obstacle)
    maker.fault(analyser, "unreadable", what, label, at=(lost.centroid.x, lost.centroid.y),
                measured=round(lost.area / ink.area, 3), unit="fraction")
