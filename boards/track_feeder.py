"""The track feeder: heavy copper from the supply to two sections of track. Faults that no screen shows are on it.

Each of its faulty labels is drawn well and stands clear of openings, holes and other ink: what spoils it is a body, a
tall part, the step of the copper, the process, or the colours that the board is ordered in.
"""

from shapely.geometry import Polygon

from boards.alphabet import Point
from boards.design import Design, Label, Region, box_of, place_text
from boards.geometry import ink_of
from boards.maker import LEGEND_PEN_MM, PIN, SMALL, Lettering, Maker, rectangle
from boards.parts import PartMaker, Seat, chip, relay, terminal

WIDTH, HEIGHT = 60.0, 50.0
COLOURS = ("Red", "Black")
COPPER_MM = 0.105
"""3 oz."""
NAME = Lettering(1.8, 0.22)
POUR: tuple[Point, ...] = ((39.0, 6.0), (44.0, 6.0), (44.0, 14.6), (54.0, 14.6), (54.0, 16.8), (39.0, 16.8))
"""Copper of section E5."""


def draw() -> Design:
    """The whole board."""
    design = Design("track-feeder", "Track feeder", "A", [rectangle(0, 0, WIDTH, HEIGHT, 2.0)], copper_mm=COPPER_MM)
    maker = Maker(design)
    for x in (4.0, WIDTH - 4.0):
        for y in (4.0, HEIGHT - 4.0):
            maker.mounting_hole(x, y, ring=6.0)
    _supply(maker)
    _relays(maker)
    _choke(maker)
    _sections(maker)
    _words(maker)
    _copper(maker)
    return design


def _supply(maker: Maker) -> None:
    terminal(maker, "J1", "2 x 5.0", Seat(18.0, 44.4, 180), {"1": "IN1", "2": "IN2"}, 2)
    maker.text("J1", 10.2, 44.4, SMALL, component="J1")
    for x, name in ((15.5, "IN2"), (20.5, "IN1")):
        maker.text(name, x, 39.2, SMALL)


def _relays(maker: Maker) -> None:
    """Two tall relays with a name in the narrow street between them."""
    nets = {"10": "IN2", "8": "IN1", "6": "CHOKE", "5": "LINK"}
    relay(maker, "K1", "12 V", Seat(22.0, 26.0), nets)
    relay(maker, "K2", "12 V", Seat(22.0, 10.0), {"6": "LINK"})
    maker.text("K1", 9.4, 27.0, PIN, component="K1")
    maker.text("K2", 9.4, 11.0, PIN, component="K2")
    street = maker.text("SIDING", 22.0, 18.0, PIN)
    maker.fault("behind-body", "doubtful", "5.6 mm of room between K1 and K2, each 11 mm high", street, measured=1.0,
                limit=0.5, unit="fraction")


def _choke(maker: Maker) -> None:
    """A choke whose body reaches past its lands, and past the corners that the legend shows of it."""
    part = PartMaker(maker, "L1", Seat(46.0, 27.0), {"1": "CHOKE", "2": "E5"})
    for pin, x in (("1", -4.9), ("2", 4.9)):
        part.pad(pin, x, 0.0, (2.6, 5.0))
    for sign in (-1.0, 1.0):
        part.line((-2.6, 4.6 * sign), (2.6, 4.6 * sign), pen_mm=LEGEND_PEN_MM)
    part.enter("100 µH", "choke 13", (6.4, 6.4), 5.0)
    maker.text("L1", 46.0, 35.2, SMALL, component="L1")
    chip(maker, "R1", "1k", "0805", Seat(35.0, 17.0), {"1": "LINK", "2": "E5"})
    maker.text("R1", 38.2, 17.6, SMALL, component="R1")
    chip(maker, "R12", "10k", "0805", Seat(34.8, 31.6), {"2": "CHOKE"})
    left = place_text("R12", (0.0, 31.6), SMALL, anchor="left").characters[-1]
    edge = maker.design.parts[-3].body[0]
    x = edge + 0.1 - box_of(left, SMALL.pen_mm)[0]
    hidden = maker.add(place_text("R12", (x, 31.6), SMALL, anchor="left", component="R12"))
    maker.fault("under-body", "unreadable", 'its "2" under the body of L1, so that R1 is left', hidden, measured=1.0,
                unit="fraction", at=_middle_of_last(hidden))


def _middle_of_last(label: Label) -> Point:
    x0, y0, x1, y1 = box_of(label.characters[-1], label.lettering.pen_mm)
    return (x0 + x1) / 2, (y0 + y1) / 2


def _sections(maker: Maker) -> None:
    """The terminal to the track; the name of one section is filled, with level strokes as fine as hairs."""
    terminal(maker, "J2", "2 x 5.0", Seat(44.0, 7.4), {"1": "E5", "2": "E6"}, 2)
    maker.text("J2", 36.6, 8.4, SMALL, component="J2")
    fine = maker.add(place_text("E5", (41.5, 13.0), Lettering(1.5, 0.22), drawn_as="hairlines"))
    maker.fault("not-read-as-printed", "unreadable", "level strokes of 0.05 mm are not printed: a 15 is left", fine,
                unit="count")
    maker.text("E6", 47.0, 13.0, PIN)


def _words(maker: Maker) -> None:
    for side in ("top", "bottom"):
        maker.text("TRACK FEEDER", 42.5, 44.6, NAME, side)
        maker.text("rev A   2026-03", 42.5, 41.6, SMALL, side)
        faint = maker.design.labels[-2]
        maker.fault("low-contrast", "unreadable", "black ink on red mask", faint, unit="ratio",
                    at=(WIDTH / 2, HEIGHT / 2))


def _copper(maker: Maker) -> None:
    """Wide tracks, and an area with a label across its edge."""
    across = maker.text("MAX 8 A", 47.4, POUR[-1][1], PIN)
    ink, copper = ink_of(across), Polygon(POUR)
    maker.fault("over-copper-edge", "note", "half of it on copper 0.105 mm thick", across,
                measured=round(ink.intersection(copper).area / ink.area, 3), unit="fraction")
    maker.design.layer("copper", "top").append(Region(POUR, net="E5"))
    maker.track("CHOKE", (29.6, 29.81), (36.0, 27.0), (41.1, 27.0), width=2.0)
    maker.track("CHOKE", (35.75, 31.6), (35.75, 27.6), width=0.5)
    maker.track("E5", (50.9, 27.0), (52.8, 25.0), (52.8, 16.0), width=2.0)
    maker.track("E5", (35.95, 17.0), (35.95, 15.2), (39.4, 15.2), width=0.5)
    maker.track("LINK", (29.6, 22.19), (29.6, 13.81), width=1.5)
    maker.track("LINK", (34.05, 17.0), (29.8, 17.0), width=0.5)
    for net, x, pin_x in (("IN1", 20.5, 22.0), ("IN2", 15.5, 14.4)):
        maker.track(net, (x, 44.4), (pin_x, 29.81), side="bottom", width=2.0)
