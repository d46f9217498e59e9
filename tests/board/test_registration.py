"""Layers that lie off one another."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelcheck.board.building import build_board
from labelcheck.board.fab_set import make_set, set_file
from labelcheck.board.registration import shift_between
from tests.sets_made import a_set, flashes

HEADER = np.array([(5 + 2.54 * column, 5 + 2.54 * row) for column in range(8) for row in range(2)])
"""Two rows of a pin header: the place where one pitch off looks nearly right."""
LOOSE = np.random.default_rng(1).uniform(0, 40, (40, 2))


@pytest.mark.parametrize("holes", [HEADER, LOOSE], ids=["header", "loose"])
@pytest.mark.parametrize("way", [(0.3, 0.0), (-0.12, 0.25), (1.27, 1.27), (0.0, -2.0)])
def test_a_shift_is_found(holes: np.ndarray, way: tuple[float, float]) -> None:
    shift = shift_between(holes, holes + way)
    assert shift is not None
    assert (shift.x_mm, shift.y_mm) == (pytest.approx(way[0], abs=0.02), pytest.approx(way[1], abs=0.02))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.floats(0, 0.04), st.floats(0, 6.28), st.floats(0, 0.5), st.integers(0, 9))
def test_what_is_in_place_is_left_alone(off_mm: float, turn: float, missing: float, seed: int) -> None:
    """Rounding, pads of another form, openings without a hole and holes without an opening."""
    chance = np.random.default_rng(seed)
    pads = LOOSE[chance.random(len(LOOSE)) >= missing] + off_mm * np.array([np.cos(turn), np.sin(turn)])
    others = chance.uniform(0, 40, (60, 2))
    assert shift_between(LOOSE, np.concatenate((pads, others))) is None


def test_few_holes_and_unlike_layers_prove_nothing() -> None:
    assert shift_between(LOOSE[:5], LOOSE[:5] + 0.3) is None
    assert shift_between(LOOSE, np.random.default_rng(2).uniform(0, 40, (40, 2))) is None
    assert shift_between(LOOSE, np.zeros((0, 2))) is None


@pytest.mark.parametrize(("off_mm", "count"), [(0.0, 0), (0.4, 1)])
def test_a_set_whose_mask_lies_off_its_holes(off_mm: float, count: int) -> None:
    places = [(4 + 2.54 * number, 5.0) for number in range(8)]
    drill = "M48\nMETRIC\nT1C0.8\n%\nT1\n" + "".join(f"X{x:.3f}Y{y:.3f}\n" for x, y in places) + "M30\n"
    mask = flashes("Soldermask,Top", 1.6, [(x + off_mm, y) for x, y in places])
    files = a_set(plated=drill, mask_top=mask, copper_top=flashes("Copper,L1,Top", 1.4, places))
    fab_set = make_set("crossing", "crossing", [set_file(name, text.encode()) for name, text in files.items()], ())
    remarks = [remark for remark in build_board(fab_set).board.remarks if "off the holes" in remark.message]
    assert len(remarks) == count
    if count:
        assert "top solder mask lie +0.40, +0.00 mm" in remarks[0].message
