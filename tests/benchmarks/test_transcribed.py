"""The transcriptions hold together, and fit the files that they were made from."""

import json
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
REAL_BOARDS = HERE.parents[2] / "shared" / "real-boards"
TRUTHS = [json.loads(path.read_text(encoding="utf-8")) for path in sorted((HERE / "transcribed").glob("*.json"))]
REGIONS = [(truth["set"], region) for truth in TRUTHS for region in truth["regions"]]


def test_there_is_enough_to_measure_against() -> None:
    sure = {truth["set"]: sum(one["certain"] for r in truth["regions"] for one in r["labels"]) for truth in TRUTHS}
    assert len(sure) >= 6 and sum(sure.values()) >= 300  # enough for shares of a third of a percent


@pytest.mark.parametrize(("name", "region"), REGIONS)
def test_a_region_holds_together(name: str, region: dict) -> None:
    x0, y0, x1, y1 = region["box_mm"]
    for one in region["labels"] + region["drawings"]:
        a, b, c, d = one["box_mm"]
        assert a < c and b < d
        assert x0 <= (a + c) / 2 <= x1 and y0 <= (b + d) / 2 <= y1
    for one in region["labels"]:
        assert one["turned_deg"] in (0, 45, 90, 180, 270, 315)
        if one["text"] is None:
            assert not one["certain"] and one["what"]
        else:
            assert one["text"] and one["text"] == " ".join(one["text"].split(" ")).strip()
    boxes = [tuple(one["box_mm"]) for one in region["labels"]]
    assert len(set(boxes)) == len(boxes)


@pytest.mark.skipif(not REAL_BOARDS.is_dir(), reason="../shared/real-boards is not there")
@pytest.mark.parametrize(("name", "region"), REGIONS)
def test_its_file_is_one_of_the_set(name: str, region: dict) -> None:
    assert len(list((REAL_BOARDS / name).glob(region["file"]))) == 1
