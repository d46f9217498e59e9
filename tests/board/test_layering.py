"""Parts and states of one layer."""

import numpy as np

from labelcheck.board.layering import LeftOut, merge, shared_objects, without_revisions
from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.trade.shapes import Shapes, bars, concatenate


def row(x: float, count: int, dark: bool = True) -> Shapes:
    at = x + np.arange(count, dtype=np.float64)
    return bars(at, at * 0, at, at * 0 + 1, 0.15, dark)


def artwork(name: str, shapes: Shapes) -> Artwork:
    return Artwork(name, shapes, (), ((),), (), "mm", True, ())


def test_shared_objects() -> None:
    assert shared_objects(row(0, 10), row(0, 10)) == 1
    assert shared_objects(row(0, 10), row(100, 10)) == 0
    assert shared_objects(row(0, 10), row(5, 5)) == 1
    assert shared_objects(row(0, 0), row(0, 10)) == 0


def test_the_name_that_is_marked_as_a_copy_gives_way() -> None:
    files = [artwork("silk_old.gbr", row(0, 10)), artwork("silk.gbr", row(0, 9)), artwork("extra.gbr", row(50, 9))]
    kept, left_out = without_revisions(files)
    assert [one.name for one in kept] == ["extra.gbr", "silk.gbr"] and left_out == [
        LeftOut("silk_old.gbr", "silk.gbr", False)
    ]


def test_clear_objects_come_first() -> None:
    layer, remarks = merge([artwork("a", row(0, 3)), artwork("b", concatenate([row(9, 1), row(0, 2, dark=False)]))])
    assert layer.files == ("b", "a") and remarks == ()
    assert layer.shapes.dark.tolist() == [True, False, False, True, True, True]


def test_two_files_that_cut_each_other_are_told() -> None:
    both = concatenate([row(0, 3), row(0, 1, dark=False)])
    _, remarks = merge([artwork("a", both), artwork("b", both)])
    assert [remark.file for remark in remarks] == ["b"]
