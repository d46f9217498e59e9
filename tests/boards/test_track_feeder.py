"""The track feeder: labels drawn well, each spoilt by what no screen shows; proved from the generator's geometry."""

import json
import math
from functools import cache
from pathlib import Path

from shapely.geometry import box

from boards import track_feeder
from boards.design import Design, box_of
from boards.dialect import Dialect
from boards.proof import concerns, places, wrong
from boards.set_writer import set_files

KEPT = Path(track_feeder.__file__).parent / "track-feeder"
SEEN_ELSEWHERE = {"behind-body", "over-copper-edge", "low-contrast"}
"""What the proof of the generator does not look at; looked at below."""


@cache
def board() -> Design:
    return track_feeder.draw()


def test_every_label_is_good_but_for_its_one_fault() -> None:
    assert {fault.analyser for fault in board().faults} == SEEN_ELSEWHERE | {"under-body", "not-read-as-printed"}
    for label, place in places(board()):
        planted = {fault.analyser for fault in board().faults if concerns(fault, label)}
        assert wrong(label, place) == planted - SEEN_ELSEWHERE, label.text


def test_one_digit_of_a_reference_stands_under_a_body_and_what_is_left_is_another_reference() -> None:
    hidden = next(label for label in board().labels if label.text == "R12")
    choke = box(*next(part for part in board().parts if part.reference == "L1").body)
    boxes = [box(*box_of(strokes, hidden.lettering.pen_mm)) for strokes in hidden.characters]
    assert [choke.contains(one) for one in boxes] == [False, False, True]
    assert choke.distance(boxes[1]) > 0
    assert any(label.text == "R1" for label in board().labels)


def test_a_label_in_a_street_between_tall_parts_is_hidden_from_both_sides_at_thirty_degrees() -> None:
    _, low, _, high = next(label for label in board().labels if label.text == "SIDING").box
    below, above = (next(part for part in board().parts if part.reference == name) for name in ("K2", "K1"))
    assert below.body[3] + below.height_mm * math.tan(math.radians(30)) > high
    assert above.body[1] - above.height_mm * math.tan(math.radians(30)) < low


def test_half_of_one_label_lies_on_copper() -> None:
    (fault,) = (one for one in board().faults if one.analyser == "over-copper-edge")
    assert fault.measured is not None and 0.4 < fault.measured < 0.6


def test_the_job_file_tells_of_heavy_copper_and_of_the_colours() -> None:
    files = set_files(board(), Dialect(components=True), track_feeder.COLOURS, "ENIG")
    stack = json.loads(files["job"][1])["MaterialStackup"]
    assert [layer["Thickness"] for layer in stack if layer["Type"] == "Copper"] == [0.105, 0.105]
    assert {layer["Color"] for layer in stack if layer["Type"] == "SolderMask"} == {"Red"}
    assert {name: content for name, content in files.values()} == {
        path.name: path.read_bytes() for path in KEPT.iterdir() if path.name != "expected.json"
    }
