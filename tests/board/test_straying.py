"""Objects far beside the board: what may lie there is told, what nobody can have put there holds the board."""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.board.straying import BEYOND_MM, FAR_OUT_MM, Drawn, straying
from labelcheck.trade.shapes import bars

from .drawn import PADS, drill, flashes, gerber, loop, path, pen
from .test_building import board, changed, held, told

OF_A_LEGEND = path((3, 17), (3, 18.5), (4, 18.5)) + path((5, 17), (6, 18.5))


def legend_with(*more: str) -> bytes:
    return gerber(pen(0.15), OF_A_LEGEND, *more)


@pytest.mark.parametrize("far_mm", [81.0, 400.0, 1500.0])
def test_what_is_forgotten_beside_the_board_is_told_and_does_not_hold(far_mm: float) -> None:
    """It is not printed, and nothing is missing on the board: a title block, a sheet, a part that was put aside."""
    one = board(changed(F_Silkscreen=legend_with(flashes((far_mm, 5)))))
    assert one.holding == ()
    (remark,) = one.remarks
    assert (remark.file, remark.line) == ("relay-F_Silkscreen.gbr", 12)
    assert f"An object here lies more than 50 mm beside the board, up to {far_mm + 0.075 - 30:.0f} mm" in str(remark)


@pytest.mark.parametrize(
    ("lost", "line"),
    [(flashes((9000, 5)), 12), (path((3, 10), (9000, 10)), 13), (path((9000, 10), (9000, 11)), 13)],
    ids=["a flash", "a stroke from the board", "a stroke far out"],
)
def test_a_coordinate_that_lies_beyond_any_sheet_holds(lost: str, line: int) -> None:
    """It has lost or gained a digit: what it should draw is missing on the board, where nobody can tell."""
    one = board(changed(F_Silkscreen=legend_with(lost)))
    assert re.fullmatch(r"relay-F_Silkscreen.gbr \(legend\) has a coordinate 9.0 m from the board; .*", held(one))
    (remark,) = one.remarks
    assert (remark.file, remark.line) == ("relay-F_Silkscreen.gbr", line)
    assert "An object here reaches 9.0 m from the board" in str(remark) and str(remark).endswith("the file again.")


@pytest.mark.parametrize(
    ("name", "called", "data"),
    [
        ("F_Mask", "solder mask", gerber(pen(1.6), flashes(*PADS[1:], (9000, 5)))),
        ("Edge_Cuts", "board outline", gerber(pen(0.1), loop(0, 0, 30, 20), path((9000, 0), (9000, 1)))),
        ("drl", "drill file", drill([*PADS[1:], (9000, 5)])),
    ],
)
def test_so_does_one_of_a_mask_an_outline_or_a_drill_file(name: str, called: str, data: bytes) -> None:
    one = board(changed(**{name: data}))
    assert f"({called}) has a coordinate 9.0 m from the board" in held(one)
    assert "An object here reaches 9.0 m from the board" in told(one)


def test_an_outline_of_ten_metres_is_no_board() -> None:
    one = board(changed(Edge_Cuts=gerber(pen(0.1), path((0, 0), (9000, 0), (30, 20), (0, 20), (0, 0)))))
    assert "coordinate 9.0 m from the board" in held(one)
    assert "2 objects, the first of them here, reach 9.0 m from the board" in told(one)


def test_a_long_board_is_one_where_its_pads_fill_it() -> None:
    pads = [(x, y) for x in np.linspace(5, 2995, 15).tolist() for y in (5.0, 15.0)]
    files = changed(
        Edge_Cuts=gerber(pen(0.1), loop(0, 0, 3000, 20)),
        F_Mask=gerber(pen(1.6), flashes(*pads)), B_Mask=gerber(pen(1.6), flashes(*pads)), drl=drill(pads),
    )
    assert board(files).holding == ()


def test_a_layer_at_another_origin_is_told_as_that() -> None:
    one = board(changed(F_Mask=gerber(pen(1.6), flashes(*((x + 5000, y) for x, y in PADS)))))
    assert "lies wholly beside the board" in held(one) and "coordinate" not in held(one)


@settings(derandomize=True, max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.floats(-4000, 4000), st.floats(-4000, 4000)), min_size=1, max_size=3))
def test_every_far_object_is_counted_once(places: list[tuple[float, float]]) -> None:
    ours = [(float(x), 10.0) for x in range(5, 25, 2)]
    x, y = np.array([*ours, *places]).T
    remarks, reasons = straying([Drawn("f.gbr", "legend", bars(x, y, x, y, 0.0))], (0.0, 0.0, 30.0, 20.0))
    apart = [(max(-x, x - 30), max(-y, y - 20)) for x, y in places]
    lost = sum(max(one) > BEYOND_MM for one in apart)
    out = sum(FAR_OUT_MM < max(one) <= BEYOND_MM for one in apart)
    counts = {}
    for remark in remarks:
        number = re.match(r"An object|(\d+) objects", remark.message)
        assert number is not None
        counts["reach" in remark.message] = int(number[1] or 1)
    assert counts.get(True, 0) == lost and counts.get(False, 0) == out
    assert len(reasons) == (lost > 0)


def test_without_a_board_nothing_is_far_from_it() -> None:
    far = bars(np.array([9000.0]), np.array([0.0]), np.array([9000.0]), np.array([0.0]), 0.1)
    assert straying([Drawn("f.gbr", "legend", far)], None) == ([], [])
