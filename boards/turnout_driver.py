"""The turnout driver: eight twin-coil turnout motors from one serial line. Its labels are all good."""

from boards.design import Design
from boards.maker import HEADING, PIN, SMALL, Lettering, Maker, rectangle
from boards.parts import Seat, chip, drum, header, terminal, three_lands, two_rows
from boards.pictures import arrow, caution, engine, turnout
from boards.tracks import lay_tracks

WIDTH, HEIGHT = 100.0, 70.0
COLUMNS = (20.0, 40.0, 60.0, 80.0)
"""Middles of the four motor terminals at each long edge."""
COLOURS = ("Green", "White")
NAME = Lettering(1.8, 0.22)
"""Turnout numbers."""
NOTE = Lettering(1.5, 0.18)
BUS = ("GND", "+5V", "CLK", "DAT", "LAT", "EN")


def draw(tracks: bool = True) -> Design:
    """The whole board, with its kept tracks if wanted."""
    design = Design("turnout-driver", "Turnout driver", "C", [rectangle(0, 0, WIDTH, HEIGHT, 3.0)])
    maker = Maker(design)
    for x in (4.5, WIDTH - 4.5):
        for y in (4.5, HEIGHT - 4.5):
            maker.mounting_hole(x, y)
    for index, x in enumerate(COLUMNS):
        _motor(maker, index + 1, x, top_edge=True)
        _motor(maker, index + 5, x, top_edge=False)
    _drivers(maker)
    _power(maker)
    _controller(maker)
    _words(maker)
    _vias(maker)
    if tracks:
        lay_tracks(maker)
    return design


def _motor(maker: Maker, number: int, x: float, top_edge: bool) -> None:
    """One motor: terminal, wire names on both sides, lamp with resistor."""
    out = 1 if top_edge else -1
    edge = HEIGHT - 5.4 if top_edge else 5.4
    wires = {"1": f"T{number}_L", "2": "VM", "3": f"T{number}_R"}
    terminal(maker, f"J{number}", "3 x 5.0", Seat(x, edge, 180 if top_edge else 0), wires, 3)
    names = ("R", "C", "L") if top_edge else ("L", "C", "R")
    for offset, name in zip((-5.0, 0.0, 5.0), names, strict=True):
        maker.text(name, x + offset, edge - out * 5.1, PIN)
        maker.text(name, x + offset, edge - out * 5.1, PIN, "bottom")
    maker.text(f"J{number}", x - 9.2, edge, SMALL, component=f"J{number}")
    maker.text(f"TURNOUT {number}", x, edge - out * 7.6, NAME)
    maker.text(f"T{number}", x, edge - out * 7.4, NAME, "bottom")
    lamp = edge - out * 10.8
    chip(maker, f"D{number}", "green", "0805", Seat(x - 4.0, lamp), {"1": f"T{number}_K", "2": f"T{number}_L"}, True)
    chip(maker, f"R{number}", "2k2", "0603", Seat(x + 4.4, lamp), {"1": f"T{number}_K", "2": f"T{number}_R"})
    maker.text(f"D{number}", x - 0.7, lamp, SMALL, component=f"D{number}")
    maker.text(f"R{number}", x + 7.5, lamp, SMALL, component=f"R{number}")


def _drivers(maker: Maker) -> None:
    """Four drivers, each with its blocking capacitor."""
    for index, (x, y) in enumerate(((30.0, 46.0), (70.0, 46.0), (30.0, 24.0), (70.0, 24.0))):
        first = (1, 3, 5, 7)[index]
        nets = {"1": "EN", "2": f"S{first}A", "3": f"T{first}_L", "4": "GND", "5": "GND", "6": f"T{first}_R",
                "7": f"S{first}B", "8": "VM", "9": "EN", "10": f"S{first + 1}A", "11": f"T{first + 1}_L", "12": "GND",
                "13": "GND", "14": f"T{first + 1}_R", "15": f"S{first + 1}B", "16": "+5V"}
        two_rows(maker, f"U{index + 1}", "driver", "SOIC-16", Seat(x, y), nets, 16)
        maker.text(f"U{index + 1}", x - 7.4, y, PIN, component=f"U{index + 1}")
        chip(maker, f"C{index + 2}", "100n", "0805", Seat(x + 8.6, y, 90), {"1": "+5V", "2": "GND"})
        maker.text(f"C{index + 2}", x + 10.9, y, SMALL, component=f"C{index + 2}", turned_deg=90)


def _power(maker: Maker) -> None:
    """Supply terminal, fuse, reverse-polarity diode, reservoir."""
    terminal(maker, "J9", "2 x 5.0", Seat(5.4, 35.0, 270), {"1": "VIN", "2": "GND"}, 2)
    for side in ("top", "bottom"):
        maker.text("+", 10.6, 37.5, HEADING, side)
        maker.text("-", 10.6, 32.5, HEADING, side)
    maker.text("J9", 4.0, 41.4, SMALL, component="J9")
    maker.text("12-18 V=", 7.4, 28.2, Lettering(1.5, 0.2))
    chip(maker, "F1", "2 A slow", "2410", Seat(17.5, 37.6), {"1": "VIN", "2": "VF"})
    maker.text("F1 T 2 A", 17.4, 40.4, PIN, component="F1")
    chip(maker, "D9", "40 V 3 A", "SMB", Seat(17.8, 32.4, 180), {"1": "VM", "2": "VF"}, True)
    maker.text("D9", 17.8, 28.9, SMALL, component="D9")
    drum(maker, "C1", "1000 µF 25 V", Seat(29.6, 35.0), {"1": "VM", "2": "GND"}, 10.0)
    maker.text("+", 23.4, 36.6, PIN)
    maker.text("C1", 36.4, 38.4, SMALL, component="C1")
    maker.text("1000 µF", 37.6, 31.6, SMALL, component="C1", turned_deg=90, anchor="middle")


def _controller(maker: Maker) -> None:
    """Shift register with its bus connector, address jumpers, and the enable transistor."""
    nets = {str(pin): f"S{(pin + 1) // 2}{'AB'[(pin + 1) % 2]}" for pin in range(1, 10)} | {
        "10": "GND", "20": "+5V", "19": "CLK", "18": "DAT", "17": "LAT", "16": "EN"}
    two_rows(maker, "U5", "controller", "SOIC-20W", Seat(49.0, 35.0), nets, 20, span=9.4, body=7.5)
    maker.text("U5", 44.0, 28.4, PIN, component="U5")
    chip(maker, "C6", "100n", "0805", Seat(58.8, 35.0, 90), {"1": "+5V", "2": "GND"})
    maker.text("C6", 61.1, 35.0, SMALL, component="C6", turned_deg=90)
    header(maker, "JP1", "address", Seat(69.6, 35.4), {str(2 * n): "GND" for n in range(1, 5)}, 4, 2)
    for x, weight in zip((65.79, 68.33, 70.87, 73.41), ("1", "2", "4", "8"), strict=True):
        maker.text(weight, x, 31.0, SMALL)
        maker.text(weight, x, 31.0, SMALL, "bottom")
    maker.text("JP1 ADDRESS", 69.6, 39.6, SMALL, component="JP1")
    maker.text("ADDRESS", 69.6, 39.6, SMALL, "bottom")
    header(maker, "J10", "bus", Seat(93.0, 35.0, 270), {str(n): net for n, net in enumerate(BUS, 1)}, 6)
    for row, name in enumerate(BUS):
        y = 35.0 + (2.5 - row) * 2.54
        maker.text(name, 90.6, y, PIN, anchor="right")
        maker.text(name, 90.6, y, PIN, "bottom", anchor="left")
    maker.text("J10", 93.0, 26.2, SMALL, component="J10")
    maker.text("BUS IN", 93.0, 45.2, NAME)
    arrow(maker, (98.8, 35.0), (95.3, 35.0))
    three_lands(maker, "Q1", "enable", Seat(80.4, 36.6), {"1": "EN", "2": "GND", "3": "LAT"})
    maker.text("Q1", 80.4, 39.4, SMALL, component="Q1")
    chip(maker, "R9", "10k", "0603", Seat(80.4, 32.6), {"1": "EN", "2": "+5V"})
    maker.text("R9", 80.4, 30.9, SMALL, component="R9")


def _words(maker: Maker) -> None:
    """Title, maker, caution, pictures; on the bottom how to wire and set it."""
    maker.text("TURNOUT DRIVER", 50.0, 49.2, HEADING)
    maker.text("rev C   2026-01", 51.6, 45.6, NOTE)
    engine(maker, 43.6, 20.2, 0.85)
    maker.text("Sheepcote Halt workshop", 50.0, 18.5, SMALL)
    caution(maker, 14.5, 44.0, 3.4)
    maker.text("track voltage", 14.5, 42.6, SMALL)
    maker.text("TURNOUT DRIVER", 50.0, 47.0, HEADING, "bottom")
    maker.text("rev C   2026-01   Sheepcote Halt workshop", 50.0, 43.4, NOTE, "bottom")
    maker.block(["C  common wire, to both coils", "L  coil for the straight road", "R  coil for the curved road"],
                62.0, 38.6, NOTE, "bottom")
    turnout(maker, 56.0, 21.2, 0.8, "bottom")
    maker.text("R", 43.2, 24.9, PIN, "bottom")
    maker.text("L", 43.2, 22.0, PIN, "bottom")
    maker.block(["12-18 V=", "fused T 2 A"], 24.4, 36.1, NOTE, "bottom")
    caution(maker, 14.5, 43.6, 3.4, "bottom")
    maker.text("track voltage", 14.5, 42.2, SMALL, "bottom")


def _vias(maker: Maker) -> None:
    """A few vias, tented; those under the drivers stay open to carry heat."""
    for x, y in ((24.0, 42.0), (76.4, 42.0), (24.0, 20.2), (76.4, 20.2)):
        maker.via("GND", x, y)
    for x in (28.0, 32.0, 68.0, 72.0):
        for y in (45.2, 46.8, 23.2, 24.8):
            maker.via("GND", x, y, tented=False)
