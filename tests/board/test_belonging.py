"""Masks, holes, legends and outlines that do not belong together are never released silently."""

import re

import pytest

from labelcheck.board.board import Board
from labelcheck.board.building import build_board
from labelcheck.board.opening import open_sets
from tests.sets_made import a_set, artwork, flashes, word, write

PADS = [(4.0 + 3 * number, 4.0) for number in range(8)]
HOLES = "M48\nMETRIC\nT1C{}\n%\nT1\n" + "".join(f"X{x}Y{y}\n" for x, y in PADS) + "M30\n"


def sides(mask_top: str | None = None, mask_bottom: str | None = None, **other: str | None) -> dict[str, str]:
    """A board of 30 x 20 mm with eight leads, open on both sides."""
    top = flashes("Soldermask,Top", 1.6, PADS) if mask_top is None else mask_top
    bottom = flashes("Soldermask,Bot", 1.6, PADS) if mask_bottom is None else mask_bottom
    told = {"mask_top": top, "mask_bottom": bottom, "copper_top": flashes("Copper,L1,Top", 1.4, PADS)}
    return a_set(**(told | {"plated": HOLES.format(1.0)} | other))


def board_of(tmp_path, files: dict[str, str]) -> Board:
    (fab_set,) = open_sets(write(tmp_path / "s", files))
    return build_board(fab_set).board


def test_what_belongs_together_is_neither_held_nor_remarked_on(tmp_path) -> None:
    board = board_of(tmp_path, sides())
    assert board.holding == ()
    assert [remark.message for remark in board.remarks if "bottom side" not in remark.message] == []


def test_a_set_without_any_drill_file_is_held_where_pads_go_through(tmp_path) -> None:
    files = sides()
    del files["crossing-plated.xnc"]
    assert any("Add the drill file" in reason for reason in board_of(tmp_path, files).holding)
    on_one_side = flashes("Soldermask,Bot", 1.6, [(x + 3, y + 2) for x, y in PADS])
    assert board_of(tmp_path / "flat", files | {"crossing-mask-bottom.gbr": on_one_side}).holding == ()


NO_PADS = flashes("Soldermask,Top", 1.6, [])
ELSEWHERE = flashes("Soldermask,Top", 1.6, [(x + 1.3, y + 7) for x, y in PADS[::2]])


@pytest.mark.parametrize(
    ("changes", "held", "remarked"),
    [
        ({"mask_top": NO_PADS}, "top solder mask is empty, but 8 holes", "has no opening at all"),
        ({"mask_top": ELSEWHERE}, "Only 0 of 8 holes for leads lie in openings of the top solder mask", None),
        ({"plated": re.sub(r"[XY][\d.]+", lambda told: f"{told[0][0]}{float(told[0][1:]) / 10}", HOLES.format(1.0))},
         "Only 0 of 8 holes", "8 of 8 pads that are open on both sides have no hole"),
        ({"mask_top": flashes("Soldermask,Top", 1.6, [(x + 0.4, y) for x, y in PADS])},
         "does not lie on the holes", "off the holes"),
        ({"plated": "M48\nMETRIC\nT1C1.0\n%\nT1\nX28.0Y18.0\nM30\n"}, None, "8 of 8 pads that are open on both"),
    ],
    ids=["empty", "another layer", "a tenth", "shifted", "no drill file"],
)  # fmt: skip
def test_what_does_not_is_held_or_remarked_on(tmp_path, changes, held, remarked) -> None:
    board = board_of(tmp_path, sides(**changes))
    assert held is None or any(held in reason for reason in board.holding)
    assert remarked is None or any(remarked in str(remark) for remark in board.remarks)


def test_pads_in_a_row_are_not_taken_for_the_mask_itself(tmp_path) -> None:
    row = flashes("Soldermask,Top", 3.2, PADS)
    board = board_of(tmp_path, sides(mask_top=row, plated="M48\nMETRIC\nT1C1.0\n%\nT1\nX28.0Y18.0\nM30\n"))
    assert not any("drawn as the mask itself" in str(remark) for remark in board.remarks)


def test_vias_may_be_covered(tmp_path) -> None:
    assert board_of(tmp_path, sides(mask_top=ELSEWHERE, plated=HOLES.format(0.4))).holding == ()


def test_an_outline_in_another_unit_is_held(tmp_path) -> None:
    job = '{"Header":{},"GeneralSpecs":{"Size":{"X":30.1,"Y":20.1}},"FilesAttributes":[]}'
    assert board_of(tmp_path, sides() | {"crossing.gbrjob": job}).holding == ()
    files = sides() | {"crossing.gbrjob": job}
    files["crossing-profile.gbr"] = files["crossing-profile.gbr"].replace("%MOMM*%", "%MOIN*%")
    assert any("of one of them is wrong" in reason for reason in board_of(tmp_path / "b", files).holding)


def test_a_legend_mostly_far_beside_the_board_is_held(tmp_path) -> None:
    legend = artwork("Legend,Top", 0.18, [*word(5, 10, 1.5), *word(200, 10, 1.5, "R72R72")])
    assert any("lies far beside the board" in reason for reason in board_of(tmp_path, sides(legend=legend)).holding)
