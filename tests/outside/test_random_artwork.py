"""Reading of artwork against a general-purpose reference library (gerbonara) on 300 artworks made at random."""

import numpy as np
import pytest

from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.trade.shapes import Kind
from tests.formats.gerber.reference import area_and_box, parse, reference_shapes

from .random_artwork import random_artwork

SEEDS, A_BATCH = 300, 20


@pytest.mark.parametrize("first", range(0, SEEDS, A_BATCH))
def test_area_box_flashes_and_objects_agree(first: int) -> None:
    for seed in range(first, first + A_BATCH):
        made = random_artwork(seed)
        artwork = read_artwork("made.gbr", made.text.encode())
        assert artwork.remarks == () and artwork.whole, seed
        assert int((artwork.shapes.kind == Kind.FLASH).sum()) == made.flashes, seed
        assert len(artwork.shapes) == made.objects, seed
        area, box = area_and_box(artwork.shapes)
        expected_area, expected_box = area_and_box(reference_shapes(parse(made.spelled_out)))
        assert area == pytest.approx(expected_area, rel=0.003, abs=0.002), seed
        assert box is not None and expected_box is not None
        assert np.abs(np.subtract(box, expected_box)).max() <= 0.005, seed


def test_every_construct_is_among_them() -> None:
    met = set[str]().union(*(random_artwork(seed).constructs for seed in range(SEEDS)))
    assert met == {
        "dark", "clear", "plain", "repeat", "block", "turned", "flash", "macro", "stroke", "arc", "circle", "region",
        "round region", "C", "R", "O", "P", "hole", "LR90", "LS2", "LMX", "BAR", "BOX", "DOT", "SHAPE", "SIX",
        "PAIR",
    }  # fmt: skip
