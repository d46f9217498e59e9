"""Random boards: every planted fault is just that fault, every other label is good, and every dialect is valid."""

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from gerbonara import ExcellonFile, GerberFile  # general-purpose reader and writer of these formats
from gerbonara.utils import MM
from shapely import unary_union
from shapely.geometry import Polygon

from boards.alphabet import Lettering
from boards.artwork_writer import cut_in
from boards.design import SIDES, Line, Region, place_text
from boards.dialect import PLAIN, Dialect
from boards.geometry import ink_of, shape_of
from boards.inking import drawn_label
from boards.proof import concerns, places, wrong
from boards.set_writer import set_files
from boards.synthetic import COLOURS, EVERY_FAULT, Recipe, random_dialect, synthetic_board, write_synthetic

SMALL = Recipe(seed=11, width_mm=60.0, height_mm=50.0, labels=40, faults=dict.fromkeys(EVERY_FAULT, 1))


@pytest.mark.parametrize("seed", [5, 6])
def test_each_planted_fault_is_one_fault_and_every_other_label_is_good(seed: int) -> None:
    recipe = Recipe(seed=seed, labels=120, faults=EVERY_FAULT)
    design = synthetic_board(recipe)
    assert Counter(fault.analyser for fault in design.faults) == EVERY_FAULT
    assert len(design.labels) >= 120 + sum(EVERY_FAULT.values())
    for label, place in places(design):
        planted = {fault.analyser for fault in design.faults if concerns(fault, label)}
        assert wrong(label, place) == planted, (label.text, label.box)


def test_the_same_seed_gives_the_same_bytes_and_another_gives_others() -> None:
    first, again = (set_files(synthetic_board(SMALL), PLAIN, COLOURS[0], "ENIG") for _ in range(2))
    assert first == again
    other = set_files(synthetic_board(Recipe(12, 60.0, 50.0, 40)), PLAIN, COLOURS[0], "ENIG")
    assert first["legend-top"] != other["legend-top"]


def test_the_board_of_the_benchmark_holds_its_labels() -> None:
    design = synthetic_board(Recipe(seed=1))
    assert len(design.labels) == 400
    assert {label.side for label in design.labels} == set(SIDES)


def test_a_board_too_small_says_so() -> None:
    with pytest.raises(ValueError, match="too small"):
        synthetic_board(Recipe(seed=1, width_mm=30.0, height_mm=20.0, labels=200))


@pytest.mark.filterwarnings("ignore")  # the reference reader frowns on the older ways of writing that we want here
@pytest.mark.parametrize("seed", range(14))
def test_a_reference_reader_sees_the_same_board_in_every_dialect(seed: int, tmp_path: Path) -> None:
    dialect = random_dialect(seed)
    design = write_synthetic(tmp_path, SMALL, dialect)
    files = set_files(design, dialect, COLOURS[0], "ENIG")
    for kind in ("legend", "copper", "mask"):
        if kind == "mask" and dialect.mask_drawn == "cover":
            continue
        drawn = unary_union([shape_of(one) for one in design.layers[kind, "top"]])  # type: ignore[index]  # such keys
        artwork = GerberFile.open(tmp_path / files[f"{kind}-top"][0])
        (x0, y0), (x1, y1) = artwork.bounding_box(unit=MM)
        assert (x0, y0, x1, y1) == pytest.approx(drawn.bounds, abs=0.006)
    if dialect.drill_files != "gerber":
        holes = sum(len(ExcellonFile.open(tmp_path / name).objects)
                    for role, (name, _) in files.items() if role.startswith("drill"))
        assert holes == len(design.holes)


def test_dialects_cover_what_real_files_do() -> None:
    seen = [random_dialect(seed) for seed in range(60)]
    for field in Dialect.__dataclass_fields__:
        assert len({getattr(dialect, field) for dialect in seen}) > 1, field


LABEL = place_text("SPARE 80%", (3, 4), Lettering(1.5, 0.2, 1.2), turned_deg=20.0)


@pytest.mark.parametrize("clear", [False, True])
def test_filled_text_covers_what_a_pen_would(clear: bool) -> None:
    ink = ink_of(LABEL)
    for region in drawn_label(replace(LABEL, drawn_as="clear" if clear else "cut-in")):
        assert isinstance(region, Region)
        assert region.clear_holes == clear
        if not clear:  # one contour that holds the counters: its area by the shoelace formula is that of the ink
            points = cut_in(region.outer, region.holes)
            twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*points, points[0]]))
            assert abs(twice) / 2 == pytest.approx(Polygon(region.outer, region.holes).area, rel=1e-9)
        assert Polygon(region.outer, region.holes).difference(ink).area < 1e-9


def test_scanned_text_keeps_within_its_ink_and_fills_it() -> None:
    ink = ink_of(LABEL)
    painted = unary_union([shape_of(line) for line in drawn_label(replace(LABEL, drawn_as="scanned"))])
    assert painted.difference(ink.buffer(1e-4)).area < 1e-6
    assert painted.area > 0.95 * ink.area
    assert painted.bounds == pytest.approx(ink.bounds, abs=0.005)


def test_knocked_out_text_lies_well_within_its_box() -> None:
    box, *letters = drawn_label(replace(LABEL, drawn_as="knocked out"))
    assert shape_of(box).contains(ink_of(LABEL).buffer(0.5))
    assert not any(letter.dark for letter in letters if isinstance(letter, Line))
