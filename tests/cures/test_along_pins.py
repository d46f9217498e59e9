"""Cures of labels that stand at wrong pins: each row applied to the artwork, and checked again."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from boards.alphabet import Lettering
from boards.design import Design, Side
from boards.dialect import Dialect
from boards.maker import Maker, rectangle
from boards.parts import Seat, header
from boards.set_writer import write_set
from labelcheck.board.opening import open_sets
from labelcheck.checking import check_set
from labelcheck.judging import Finding
from labelcheck.review.contents import Review
from tests.cures.holding import Told, cures_that_hold
from tests.cures.test_curing import LIMITS, NOW

PITCH = 2.54
NAME = Lettering(1.3, 0.16)
PINS = ("GND", "+5V", "SDA", "SCL", "LAMP", "BELL")
FIRST_X, ROW_Y = 10.0, 10.0


def tried(
    folder: Path, texts: Sequence[str | None], more: Callable[[Maker], object] = lambda maker: None,
    side: Side = "top", lettering: Lettering = NAME,
) -> tuple[Review, list[Told]]:
    """A board with a row of pins and a name at each, upright on its end; its review, and its cures tried."""
    design = Design("signal-box", "Signal box", "A", [rectangle(0, 0, 40, 30)])
    maker = Maker(design)
    middle = FIRST_X + 2.5 * PITCH
    header(maker, "J1", "1 x 6", Seat(middle, ROW_Y), {str(pin): net for pin, net in enumerate(PINS, 1)}, 6)
    for place, text in enumerate(texts):
        if text is not None:
            maker.text(text, FIRST_X + place * PITCH, ROW_Y + 4.4, lettering, side, 90.0)
    more(maker)
    write_set(folder / "s", design, Dialect(components=True))
    (fab_set,) = open_sets(folder / "s")
    checked = check_set(fab_set, LIMITS, NOW)
    return checked.review, cures_that_hold(fab_set, checked, lambda changed: check_set(changed, LIMITS, NOW))


def about(review: Review, analyser: str = "pin-order") -> Finding:
    (finding,) = [one for one in review.findings if one.analyser == analyser]
    return finding


def test_two_names_are_changed_over_by_the_pitch(tmp_path) -> None:
    review, told = tried(tmp_path, ("GND", "+5V", "SCL", "SDA", "LAMP", "BELL"))
    assert about(review).advice == (
        'Change it over with "SDA": move it 2.54 mm right, to pin 4, and "SDA" the same way back.'
    )
    assert sorted((one.called, one.cure.at_pin, one.cure.shift_mm) for one in told) == [
        ('"SCL"', "4", (2.54, 0.0)), ('"SDA"', "3", (-2.54, 0.0)),
    ]
    assert [one.failure for one in told] == [None, None]


@pytest.mark.parametrize(("side", "way"), [("top", "left"), ("bottom", "right")])
def test_a_row_off_by_a_pin_moves_along_as_seen_on_its_side(tmp_path, side: Side, way: str) -> None:
    review, told = tried(tmp_path, (None, *PINS[:-1]), side=side)
    assert about(review).advice == f'Move these 5 labels 2.54 mm {way}, each to its own pin: "GND" to pin 1.'
    assert [(one.cure.shift_mm, one.failure) for one in told] == [((-2.54, 0.0), None)] * 5


def test_three_names_in_a_circle_each_go_their_own_way(tmp_path) -> None:
    review, told = tried(tmp_path, ("GND", "+5V", "LAMP", "SDA", "SCL", "BELL"))
    assert about(review).advice == (
        'Move it 5.08 mm right, to pin 5; "SDA" 2.54 mm left, to pin 3; "SCL" 2.54 mm left, to pin 4.'
    )
    assert [one.failure for one in told] == [None] * 3


def test_one_name_moves_to_its_pin_where_that_has_none(tmp_path) -> None:
    review, told = tried(tmp_path, ("GND", "+5V", "SCL", None, "LAMP", "BELL"))
    assert about(review).advice == "Move it 2.54 mm right, to pin 4."
    assert [one.failure for one in told] == [None]


@pytest.mark.parametrize(("x", "y", "lettering"), [
    (FIRST_X + 3 * PITCH, ROW_Y + 5.6, NAME), (None, None, Lettering(0.9, 0.16)),
], ids=["a drawn line where one has to go", "names that are too low as well"])  # fmt: skip
def test_where_places_alone_do_not_mend_it_the_pins_are_told(tmp_path, x, y, lettering: Lettering) -> None:
    def line(maker: Maker) -> None:
        if x is not None:
            maker.frame(x - 1.1, y + 0.3, x + 1.1, y + 1.2)

    texts = ("GND", "+5V", "BELL", "SDA", "LAMP", "SCL")
    review, told = tried(tmp_path, texts, line, lettering=lettering)
    assert about(review).advice == 'Put "BELL" at pin 6, "SDA" at pin 3, "SCL" at pin 4, or correct the net.'
    assert not any(one.cure.together for one in told)


def test_names_midway_between_two_rows_move_to_their_own(tmp_path) -> None:
    def facing(maker: Maker) -> None:
        nets = {str(pin): net for pin, net in enumerate(("RAIL", "COIL", "HORN"), 1)}
        header(maker, "J2", "1 x 3", Seat(FIRST_X + PITCH, ROW_Y + 8.8), nets, 3)

    review, told = tried(tmp_path, PINS[:3], facing)
    finding = about(review, "between-two-parts")
    assert str(finding.advice).startswith("Move all 3 labels of the row 0.")
    assert str(finding.advice).endswith(" mm down, nearer to the pins of their own row.")
    assert [one.failure for one in told] == [None] * 3
