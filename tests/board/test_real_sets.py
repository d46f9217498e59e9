"""Every legend, mask, copper, outline and drill file of the real sets is recognised for what it is.

The tables are written by eye from file names, file attributes and pictures; the sets lie beside the repository.
"""

from pathlib import Path

import pytest

from labelcheck.board.building import BuiltBoard, build_board
from labelcheck.board.opening import open_sets

SETS = Path(__file__).resolve().parents[2] / "../shared/real-boards"
pytestmark = pytest.mark.skipif(not SETS.is_dir(), reason="the real sets do not lie beside this repository")

# Box of the outline (x0, y0, x1, y1), holes with slots, roles counted as legend, mask, copper, paste, outline, drill.
TABLE = {
    "a64-sbc": ((100, -100, 190, -37.5), 1278, (2, 2, 6, 2, 1, 2)),
    "eeg-cyton": ((0.09, 0.14, 61.45, 61.45), 157, (2, 2, 4, 2, 1, 2)),
    "fpga-stick-evt2": ((25, -80, 115, -30), 210, (2, 2, 2, 2, 1, 2)),
    "fpga-stick-evt3": ((25, -80, 115, -30), 215, (2, 2, 2, 2, 1, 2)),
    "ip-bridge": ((0, 0, 100, 70), 390, (2, 2, 4, 1, 1, 2)),
    "isa-sound": ((27.94, -129.54, 259.08, -22.86), 1055, (2, 2, 2, 0, 1, 2)),
    "kbd-adapter": ((-45.72, -39.37, 0, 0), 42, (2, 2, 2, 2, 1, 1)),
    "micro-synth": ((0, 0, 38.1, 27.94), 54, (2, 2, 2, 0, 1, 2)),
    "mouse-breakout": ((-12, -16, 13, 16), None, (2, 2, 2, 2, 1, 0)),
    "nixie-rev1": ((0.46, 0.51, 20.46, 40.51), 48, (2, 2, 2, 2, 1, 1)),
    "nixie-rev2": ((0.46, 0.51, 20.46, 40.51), 53, (2, 2, 2, 2, 1, 1)),
    "rotary-breakout": ((17.08, -35.47, 40.08, -15.47), 22, (2, 2, 2, 2, 1, 2)),
    "stepper-ctl.controller": ((0, 0, 170.18, 78.74), 277, (1, 2, 3, 0, 0, 2)),
    "stepper-ctl.driver": ((0, 0, 45.72, 76.2), 71, (1, 2, 3, 0, 0, 2)),
    "video-itx": ((117.65, -226.82, 287.65, -56.83), 1761, (2, 2, 10, 0, 1, 2)),
    "vita-board": ((0, 0, 96.52, 96.77), 325, (2, 2, 2, 0, 1, 1)),
}
ROLES = ("legend", "mask", "copper", "paste", "outline", "drill")


@pytest.fixture(scope="module")
def boards() -> dict[str, BuiltBoard]:
    folders = sorted({name.partition(".")[0] for name in TABLE})
    return {one.name: build_board(one) for folder in folders for one in open_sets(SETS / folder)}


@pytest.mark.parametrize("name", sorted(TABLE))
def test_a_real_set(boards: dict[str, BuiltBoard], name: str) -> None:
    made = boards[name]
    box, holes, counts = TABLE[name]
    assert made.board.outline is not None and made.board.outline.area.bounds == pytest.approx(box, abs=0.02)
    assert (None if made.board.holes is None else len(made.board.holes.shapes)) == holes
    assert tuple(sum(file.role == role for file in made.files) for role in ROLES) == counts
    # One set was published without its drill files.
    assert ["No drill file" in reason for reason in made.board.holding] == [True] * (holes is None)
    sided = [file for file in made.files if file.role in ("legend", "mask", "paste")]
    assert all(file.side is not None for file in sided)
    for role in ("legend", "mask"):
        sides = [file.side for file in sided if file.role == role]
        assert len(sides) == len(set(sides))


def test_the_outer_copper_of_every_set_has_its_side(boards: dict[str, BuiltBoard]) -> None:
    for made in boards.values():
        sides = [file.side for file in made.files if file.role == "copper"]
        assert sides.count("top") == 1 and sides.count("bottom") == 1


def test_a_zip_of_a_set_gives_the_same_board(boards: dict[str, BuiltBoard]) -> None:
    (zipped,) = open_sets(SETS / "micro-synth" / "Gerber.zip")
    (one,) = (build_board(zipped),)
    other = boards["micro-synth"]
    assert one.board.outline is not None and other.board.outline is not None
    assert one.board.outline.area.equals(other.board.outline.area)
