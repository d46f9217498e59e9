"""The signal head: a small breakout behind a three-light signal. Its labels are all good."""

from boards.design import Design
from boards.maker import SMALL, Lettering, Maker, rectangle
from boards.parts import Seat, chip, header
from boards.pictures import signal
from boards.tracks import lay_tracks

WIDTH, HEIGHT = 22.0, 14.0
COLOURS = ("Black", "White")
LAMPS = (("D1", "R1", "red", -1.6), ("D2", "R2", "yellow", 2.4), ("D3", "R3", "green", 6.4))
"""Lamp, its resistor on the other side, colour, place."""


def draw(tracks: bool = True) -> Design:
    """The whole board, with its kept tracks if wanted; its origin is the middle: coordinates are negative too."""
    design = Design("signal-head", "Signal head", "B", [rectangle(-11, -7, 11, 7, 1.5)])
    maker = Maker(design)
    for x in (-8.9, 8.9):
        maker.mounting_hole(x, 4.9, 2.2, ring=None)
    nets = {"1": "VCOM", "2": "RED", "3": "YEL", "4": "GRE"}
    header(maker, "J1", "1 x 4", Seat(0.6, -5.2), nets, 4)
    for index, name in enumerate(("+", "R", "Y", "G")):
        x = 0.6 + (index - 1.5) * 2.54
        maker.text(name, x, -2.9, Lettering(1.4, 0.18))
        maker.text(name, x, -2.9, Lettering(1.4, 0.18), "bottom")
    maker.text("J1", 7.9, -5.2, SMALL, component="J1")
    for reference, resistor, colour, x in LAMPS:
        net = colour[:3].upper()
        chip(maker, reference, colour, "0805", Seat(x, 1.9, 90), {"1": f"{net}_K", "2": "VCOM"}, True)
        maker.text(reference, x, 5.2, SMALL, component=reference)
        chip(maker, resistor, "680R", "0603", Seat(x, 2.4, 90, "bottom"), {"1": f"{net}_K", "2": net})
        maker.text(resistor, x, 5.2, SMALL, "bottom", component=resistor)
    signal(maker, -9.9, -6.0, 0.74)
    maker.text("SIGNAL HEAD", 0.6, -0.6, Lettering(1.4, 0.18), "bottom")
    maker.text("rev B", -8.4, -4.4, SMALL, "bottom")
    maker.text("5 V=", 8.4, -5.2, SMALL, "bottom")
    if tracks:
        lay_tracks(maker)
    return design
