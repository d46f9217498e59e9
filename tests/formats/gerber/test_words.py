"""Words and operations decoded in bulk, against a plain state machine that reads character by character."""

import random
import re
from dataclasses import dataclass, field

import numpy as np
import pytest

from labelcheck.formats.gerber import words as bulk
from labelcheck.formats.gerber.blocks import take_apart
from labelcheck.formats.gerber.remarking import RemarkBook
from labelcheck.trade.shapes import Kind

from .drawn import read


def decoded(text: str) -> list[tuple[str, int, int]]:
    """Letter, number and digits of every word but the ends of statements."""
    book = RemarkBook("x")
    words = bulk.decode(take_apart(text.encode(), book), book)
    rows = zip(words.letter.tolist(), words.value.tolist(), words.digits.tolist(), strict=True)
    return [(chr(letter), value, digits) for letter, value, digits in rows if letter != bulk.END]


def test_letters_numbers_signs_and_digits() -> None:
    assert decoded("G01X100Y-25D01*\nX+007Y0*Y-0D3*") == [
        ("G", 1, 2), ("X", 100, 3), ("Y", -25, 2), ("D", 1, 2),
        ("X", 7, 3), ("Y", 0, 1), ("Y", 0, 1), ("D", 3, 1),
    ]  # fmt: skip


def test_numbers_of_every_length_are_exact() -> None:
    for length in range(1, bulk.MOST_DIGITS + 1):
        number = int(("9876543210" * 2)[:length])
        assert decoded(f"X{number}Y-{number}*") == [("X", number, length), ("Y", -number, length)]


def test_words_without_numbers_and_empty_files() -> None:
    # A number that got lost must not become a zero: the command is left out, and the file counts as not read whole.
    assert decoded("X*YD*X5D1*X-Y7*") == [("X", 5, 1), ("D", 1, 1)]
    assert decoded("") == [] and decoded("\n\n") == []


def test_blanks_and_line_breaks_within_words() -> None:
    assert decoded("X 1 2\n3 Y - 4*") == [("X", 123, 3), ("Y", -4, 1)]


@pytest.mark.parametrize("chunk", [1, 7, 64, 1000])
def test_cutting_into_chunks_changes_nothing(chunk: int, monkeypatch: pytest.MonkeyPatch) -> None:
    chance = random.Random(chunk)
    text = "".join(
        f"X{chance.randrange(-(10**9), 10**9)}Y{chance.randrange(10**6)}D0{chance.randrange(1, 4)}*\n"
        for _ in range(300)
    )
    whole = decoded(text)
    monkeypatch.setattr(bulk, "_CHUNK", chunk)
    assert decoded(text) == whole and len(whole) == 900


@dataclass
class Machine:
    """A reader of plain commands as the specification tells the story: one word after another."""

    x: int = 0
    y: int = 0
    code: int = 2
    aperture: int = 10
    way: int = 1
    region: bool = False
    incremental: bool = False
    drawn: list[tuple[int, ...]] = field(default_factory=list)

    def run(self, text: str) -> None:
        for statement in text.split("*"):
            self.statement(re.findall(r"([A-Z])([-+]?\d*)", statement))

    def statement(self, words: list[tuple[str, str]]) -> None:
        to_x, to_y, i, j, moved, done = self.x, self.y, 0, 0, False, False
        for letter, digits in words:
            number = int(digits) if digits.lstrip("+-") else 0
            if letter == "X":
                to_x, moved = (self.x + number if self.incremental else number), True
            elif letter == "Y":
                to_y, moved = (self.y + number if self.incremental else number), True
            elif letter == "I":
                i, moved = number, True
            elif letter == "J":
                j, moved = number, True
            elif letter == "D" and number >= 10:
                self.aperture = number
            elif letter == "D":
                self.code, done = number, True
            elif letter == "G":
                self.mode(number)
        if moved or done:
            self.operate(to_x, to_y, i, j)

    def mode(self, number: int) -> None:
        if number in (1, 2, 3):
            self.way = number
        elif number in (36, 37):
            self.region = number == 36
        elif number in (90, 91):
            self.incremental = number == 91

    def operate(self, to_x: int, to_y: int, i: int, j: int) -> None:
        if not self.region and self.code == 1:
            curved = self.way != 1 and (i, j) != (0, 0)
            self.drawn.append((Kind.STROKE, self.x, self.y, to_x, to_y, self.aperture, curved))
        elif not self.region and self.code == 3:
            self.drawn.append((Kind.FLASH, to_x, to_y, to_x, to_y, self.aperture, False))
        self.x, self.y = to_x, to_y


def random_statement(chance: random.Random) -> str:
    """A statement as some program might write it, with everything modal left out at will."""
    parts = []
    if chance.random() < 0.3:
        parts.append(chance.choice(["G01", "G1", "G02", "G03", "G75", "G36", "G37", "G90", "G91", "G54", "N7"]))
    if chance.random() < 0.15:
        return "".join(parts) + chance.choice(["D10", "D11", "D12"]) + "*"
    for letter in "XYIJ":
        if chance.random() < (0.6 if letter in "XY" else 0.1):
            digits = f"{chance.randrange(1, 5000):0{chance.randrange(1, 7)}d}"
            parts.append(letter + chance.choice(["", "-", "+"]) + digits)
    if chance.random() < 0.7:
        parts.append(chance.choice(["D01", "D02", "D03", "D1", "D2", "D3"]))
    return "".join(parts) + "*" + chance.choice(["", "\n", "\r\n"])


@pytest.mark.parametrize("seed", range(40))
def test_bulk_reading_agrees_with_a_state_machine(seed: int) -> None:
    chance = random.Random(seed)
    text = "G75*D10*D02*" + "".join(random_statement(chance) for _ in range(200))
    machine = Machine()
    machine.run(text)
    shapes = read("%ADD10C,0.1*%%ADD11C,0.2*%%ADD12C,0.3*%" + text, "%FSLAX33Y33*%\n%MOMM*%\n").shapes
    objects = np.flatnonzero(shapes.kind != Kind.REGION)
    first = np.searchsorted(shapes.bar_object, objects)
    last = np.searchsorted(shapes.bar_object, objects, side="right") - 1
    ours = [
        (kind, round(x0 * 1000), round(y0 * 1000), round(x1 * 1000), round(y1 * 1000), aperture + 10)
        for kind, x0, y0, x1, y1, aperture in zip(
            shapes.kind[objects].tolist(), shapes.x0[first].tolist(), shapes.y0[first].tolist(),
            shapes.x1[last].tolist(), shapes.y1[last].tolist(), shapes.aperture[objects].tolist(), strict=True)
    ]  # fmt: skip
    assert ours == [drawn[:6] for drawn in machine.drawn]
    many_bars = (last > first).tolist()
    assert all(drawn[6] for drawn, many in zip(machine.drawn, many_bars, strict=True) if many)
