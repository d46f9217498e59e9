"""Step and repeat (clause 4.12) and block apertures (clause 4.11)."""

import math
import time

import pytest

from labelcheck.trade.errors import UnreadableFile
from labelcheck.trade.shapes import Kind

from .drawn import holds, ink, messages, picture, read

SQUARE = "%ADD10R,1X1*%\n%ADD11C,0.5*%\nD10*\n"


def test_n_by_m_copies_at_their_places_along_y_first() -> None:
    shapes = read(SQUARE + "%SRX3Y2I5J7*%\nD11*X0D03*\n%SR*%").shapes
    assert shapes.x0.tolist() == [0, 0, 5, 5, 10, 10] and shapes.y0.tolist() == [0, 7, 0, 7, 0, 7]


def test_what_stands_around_a_repeat_keeps_its_order() -> None:
    shapes = read(SQUARE + "D11*X50000000D03*\n%SRX2Y1I5J0*%\nX0D03*\n%SR*%\nX60000000D03*").shapes
    assert shapes.x0.tolist() == [50, 0, 5, 60] and shapes.line.tolist() == [6, 8, 8, 10]


@pytest.mark.parametrize("end", ["%SR*%", "%SRX1Y1I0J0*%", ""])
def test_a_repeat_ends_with_its_close_or_with_the_file(end: str) -> None:
    assert len(read(SQUARE + f"%SRX3Y2I5J7*%\nX0D03*\n{end}").shapes) == 6


def test_steps_are_in_the_unit_in_force() -> None:
    shapes = read(SQUARE + "%SRX2Y1I0.5J0*%\nD11*D03*", "%FSLAX24Y24*%\n%MOIN*%\n").shapes
    assert shapes.x0.tolist() == [0, 12.7]


def test_counts_left_out_are_one() -> None:
    assert read(SQUARE + "%SRX3I2*%\nD11*D03*").shapes.x0.tolist() == [0, 2, 4]
    assert read(SQUARE + "%SRY3J2*%\nD11*D03*").shapes.y0.tolist() == [0, 2, 4]


def test_a_count_of_nothing_is_taken_as_one_and_told() -> None:
    artwork = read(SQUARE + "%SRX0Y2I5J7*%\nD03*")
    assert len(artwork.shapes) == 2 and "asks for 0 copies" in messages(artwork)[0]


def test_the_default_repeat_in_a_header_changes_nothing() -> None:
    artwork = read("%SRX1Y1I0J0*%" + SQUARE + "D03*")
    assert len(artwork.shapes) == 1 and artwork.remarks == ()


def test_each_copy_is_painted_whole_after_the_one_before() -> None:
    # A ring at (0, 0) and one at (0.5, 0): the second copy's clear disc cuts into the first one's ring.
    text = "%ADD10C,1*%%ADD11C,0.6*%%SRX2Y1I0.5J0*%D10*X0D03*%LPC*%D11*X0D03*%LPD*%%SR*%"
    shape = ink(text)
    assert not holds(shape, 0.45, 0) and holds(shape, -0.4, 0) and holds(shape, 0.9, 0)
    assert not holds(shape, 0.25, 0)
    assert holds(shape, 0.1, 0)  # of the first copy cleared, then painted by the second


def test_a_new_repeat_ends_the_one_before() -> None:
    # The format has one at a time (clause 4.12).
    shapes = read(SQUARE + "D11*%SRX2Y1I5J0*%X0D03*%SRX1Y3I0J5*%X100000000D03*%SR*%").shapes
    assert shapes.x0.tolist() == [0, 5, 100, 100, 100]


def test_repeats_that_each_have_a_close_are_nested() -> None:
    shapes = read(SQUARE + "D11*%SRX2Y1I100J0*%X0D03*%SRX1Y3I0J5*%X1000000D03*%SR*%%SR*%").shapes
    assert len(shapes) == 2 * (1 + 3)
    assert sorted(set(shapes.x0.tolist())) == [0, 1, 100, 101]


def test_regions_arcs_and_strokes_repeat() -> None:
    text = (
        "%ADD10C,0.2*%D10*G75*%SRX2Y2I10J10*%G36*X0Y0D02*G01X2000000D01*Y2000000D01*X0D01*Y0D01*G37*"
        "X4000000Y0D02*G03X4000000Y0I-500000J0D01*G01*X0Y4000000D02*X3000000D01*%SR*%"
    )
    shapes = read(text).shapes
    assert shapes.kind.tolist() == [Kind.REGION, Kind.STROKE, Kind.STROKE] * 4
    one = 4 + math.pi * 0.2 + 3 * 0.2 + math.pi * 0.01
    assert picture(shapes).area == pytest.approx(4 * one, rel=1e-3)


def test_a_million_copies_are_the_most() -> None:
    with pytest.raises(UnreadableFile, match=r"top\.gbr:6: a step-and-repeat asks for 1001 x 1000 copies.*Export a"):
        read(SQUARE + "%SRX1001Y1000I1J1*%\nD03*")
    with pytest.raises(UnreadableFile, match="would draw more than"):
        read(SQUARE + "%SRX1000Y1000I0.1J0.1*%\n" + "D03*" * 10)


# Blocks


def test_a_block_is_drawn_where_it_is_flashed_only() -> None:
    text = SQUARE + "%ABD12*%D11*X1000000Y0D03*X2000000D03*%AB*%D12*X10000000Y10000000D03*X20000000D03*"
    shapes = read(text).shapes
    assert shapes.x0.tolist() == [11, 12, 21, 22] and shapes.y0.tolist() == [10] * 4
    assert shapes.kind.tolist() == [Kind.FLASH] * 4


def test_a_block_that_is_not_flashed_draws_nothing() -> None:
    assert len(read(SQUARE + "%ABD12*%D11*X1000000Y0D03*%AB*%D11*").shapes) == 0


def test_a_block_is_turned_mirrored_and_scaled_about_its_origin() -> None:
    block = SQUARE + "%ABD12*%D11*X2000000Y1000000D03*%AB*%D12*"
    turns = {"%LMX*%": (-2, 1), "%LR90*%": (-1, 2), "%LS2*%": (4, 2), "%LMX*%%LR90*%%LS2*%": (-2, -4)}
    for turn, spot in turns.items():
        shapes = read(block + turn + "X10000000Y0D03*").shapes
        assert (shapes.x0[0] - 10, shapes.y0[0]) == pytest.approx(spot)
        assert shapes.width[0] == pytest.approx(1 if "LS2" in turn else 0.5)


def test_a_clear_flash_toggles_the_polarity_of_a_block() -> None:
    # A ring of dark and clear, flashed clear: a clear disc with a dark one inside.
    ring = "%ADD10C,4*%%ADD11C,2*%%ADD13R,10X10*%%ABD12*%%LPD*%D10*D03*%LPC*%D11*D03*%LPD*%%AB*%"
    shapes = read(ring + "D13*X0Y0D03*%LPC*%D12*D03*").shapes
    assert shapes.dark.tolist() == [True, False, True]
    assert picture(shapes).area == pytest.approx(100 - math.pi * 4 + math.pi, rel=1e-3)
    plain = read(ring + "%LPD*%D12*D03*").shapes
    assert plain.dark.tolist() == [True, False]


def test_blocks_within_blocks() -> None:
    text = (
        SQUARE + "%ABD20*%D11*X1000000Y0D03*%AB*%%ABD21*%D20*X0Y0D03*X0Y5000000D03*D11*X0Y0D03*%AB*%"
        "D21*X100000000Y0D03*%LR90*%D03*"
    )
    shapes = read(text).shapes
    assert shapes.x0.tolist() == pytest.approx([101, 101, 100, 100, 95, 100])
    assert shapes.y0.tolist() == pytest.approx([0, 5, 0, 1, 1, 0])


def test_a_block_defined_within_a_block() -> None:
    text = SQUARE + "%ABD21*%%ABD20*%D11*X1000000Y0D03*%AB*%D20*X0Y0D03*X5000000D03*%AB*%D21*X0D03*"
    assert read(text).shapes.x0.tolist() == [1, 6]


def test_a_repeat_within_a_block_and_a_block_within_a_repeat() -> None:
    inside = SQUARE + "%ABD20*%%SRX2Y1I3J0*%D11*X0Y0D03*%SR*%%AB*%D20*X0D03*X10000000D03*"
    assert read(inside).shapes.x0.tolist() == [0, 3, 10, 13]
    around = SQUARE + "%ABD20*%D11*X0Y0D03*%AB*%%SRX2Y1I3J0*%D20*X0D03*X10000000D03*%SR*%"
    assert read(around).shapes.x0.tolist() == [0, 10, 3, 13]


def test_a_block_cannot_hold_itself() -> None:
    with pytest.raises(UnreadableFile, match="aperture D12 is used before it is defined"):
        read(SQUARE + "%ABD12*%D12*X0D03*%AB*%D12*X0D03*")


def test_blocks_cannot_draw_strokes() -> None:
    artwork = read(SQUARE + "%ABD12*%D11*X0D03*%AB*%D12*X0D02*X1D01*X2000000D03*")
    assert len(artwork.shapes) == 1 and "A block cannot draw strokes" in messages(artwork)[0]


def test_attributes_of_a_flash_reach_the_objects_of_its_block() -> None:
    text = SQUARE + "%ABD12*%%TO.P,J1,1*%D11*X0D03*%TD*%X1D03*%AB*%%TO.C,J1*%%TO.P,J9,9*%D12*X0D03*"
    artwork = read(text)
    sets = [dict(artwork.attribute_sets[row]) for row in artwork.shapes.attributes]
    assert sets == [{".C": ("J1",), ".P": ("J1", "1")}, {".C": ("J1",), ".P": ("J9", "9")}]


def test_blocks_left_open_or_closed_twice_are_told() -> None:
    assert "closed that was not opened" in messages(read(SQUARE + "%AB*%D03*"))[0]
    assert "never closed" in messages(read(SQUARE + "%ABD12*%D03*"))[0]


def test_nesting_has_a_bound() -> None:
    opened = "".join(f"%ABD{number}*%" for number in range(20, 80))
    with pytest.raises(UnreadableFile, match="more than 40 deep"):
        read(SQUARE + opened)


def test_a_tower_of_blocks_is_refused_before_it_is_built() -> None:
    # Each block holds the one before ten times: 10^12 flashes.
    tower = "%ABD20*%D11*X0D03*%AB*%"
    for number in range(21, 33):
        tower += f"%ABD{number}*%D{number - 1}*" + "X0D03*" * 10 + "%AB*%"
    started = time.perf_counter()
    with pytest.raises(UnreadableFile, match="more than 2,000,000 objects"):
        read(SQUARE + tower + "D32*X0D03*")
    assert time.perf_counter() - started < 20
    assert len(read(SQUARE + tower + "D21*X0D03*").shapes) == 10


def test_thousands_of_alternating_block_flashes_are_quick() -> None:
    text = SQUARE + "%ABD20*%D11*X0D03*%AB*%%ABD21*%D11*X0D03*X1D03*%AB*%" + "D20*X5D03*D21*X9D03*" * 5000
    started = time.perf_counter()
    assert len(read(text).shapes) == 15000
    assert time.perf_counter() - started < 5
