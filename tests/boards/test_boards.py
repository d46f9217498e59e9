"""The committed fab sets: what the generator writes, valid, and as good or as faulty as they claim to be.

Nothing here runs the checker: what is expected rests on the generator's own geometry.
"""

import json
from functools import cache
from pathlib import Path

import pytest
from gerbonara import ExcellonFile, GerberFile  # general-purpose reader and writer of these formats
from gerbonara.graphic_objects import Line as GerberLine
from gerbonara.utils import MM
from shapely import STRtree, unary_union
from shapely.geometry import box

from boards import generate
from boards.design import SIDES, Flash, Label, Line
from boards.geometry import drawings, laminate, narrowest_gap, openings, shape_of
from boards.proof import CLIP, EDGE, GAP, HEIGHT, HOLE, Place, concerns, places, wrong
from boards.set_writer import set_files

BOARDS = generate.boards()
COMMITTED = Path(generate.__file__).parent
CLEAN = ("turnout-driver", "signal-head")
FAULTY = "track-detector"
REVISED = "track-detector-b"


@cache
def proven(name: str) -> list[tuple[Label, Place]]:
    """Every label of a board with its clearances."""
    return list(places(BOARDS[name][0]))


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("boards")
    generate.generate(out)
    return out


@pytest.mark.parametrize("name", BOARDS)
def test_generating_again_gives_the_committed_bytes(name: str, written: Path) -> None:
    anew = {path.name: path.read_bytes() for path in (written / name).iterdir()}
    kept = {path.name: path.read_bytes() for path in (COMMITTED / name).iterdir()}
    assert sorted(anew) == sorted(kept)
    for file, content in anew.items():
        assert content == kept[file], file
    assert sum(map(len, anew.values())) < 300_000


@pytest.mark.parametrize("name", CLEAN)
def test_clean_boards_keep_every_limit(name: str) -> None:
    design = BOARDS[name][0]
    assert len(design.labels) >= 15
    assert not design.faults
    for label, place in proven(name):
        assert not wrong(label, place), label.text


@pytest.mark.parametrize("name", BOARDS)
def test_drawings_keep_clear_of_openings_and_edges(name: str) -> None:
    design = BOARDS[name][0]
    for side in SIDES:
        ink = drawings(design, side)
        assert ink.distance(openings(design, side)) >= CLIP
        assert laminate(design).boundary.distance(ink) >= EDGE


@pytest.mark.parametrize("name", [FAULTY, REVISED])
def test_each_planted_fault_is_one_fault_and_every_other_label_is_good(name: str) -> None:
    design = BOARDS[name][0]
    planted = [fault for fault in design.faults if fault.severity is not None or fault.analyser == "mirrored"]
    assert {fault.analyser for fault in planted} == {
        "thin-stroke", "short-character", "closed-gap", "in-opening", "across-hole", "past-outline", "crossing-ink",
        "mirrored", "not-read-as-printed", "under-body",
    }
    for label, place in proven(name):
        assert wrong(label, place) == {fault.analyser for fault in planted if concerns(fault, label)}, label.text


def test_innocent_labels_stand_within_three_hundredths_of_a_limit() -> None:
    design = BOARDS[FAULTY][0]
    place_of = {id(label): place for label, place in proven(FAULTY)}
    for label, why in design.innocent:
        place = place_of[id(label)]
        slack = [label.lettering.height_mm - HEIGHT, narrowest_gap(label) - GAP, place.opening - CLIP,
                 place.hole - HOLE, place.edge - EDGE]
        assert 0 < min(slack) < 0.03, why
    assert len(design.innocent) >= 5


def test_expected_results_name_real_labels() -> None:
    expected = json.loads((COMMITTED / FAULTY / "expected.json").read_text(encoding="utf-8"))
    labels = {(label["text"], label["side"]): label["box_mm"] for label in expected["labels"]}
    assert len(expected["faults"]) >= 20
    for fault in expected["faults"]:
        assert (fault["label"], fault["side"]) in labels
        x0, y0, x1, y1 = fault["box_mm"]
        x, y = fault["at_mm"]
        assert x0 - 0.01 <= x <= x1 + 0.01
        assert y0 - 0.01 <= y <= y1 + 0.01


@pytest.mark.parametrize("name", BOARDS)
def test_a_reference_reader_sees_each_layer_where_it_was_drawn(name: str, written: Path) -> None:
    design, dialect, colours = BOARDS[name]
    for role, (file, _) in set_files(design, dialect, colours, "ENIG").items():
        kind, _, side = role.partition("-")
        if (kind, side) not in design.layers:
            continue
        artwork = GerberFile.open(written / name / file)
        drawn = design.layers[kind, side]  # type: ignore[index]  # the role was made from such a key
        shapes = unary_union([shape_of(one) for one in drawn])
        (x0, y0), (x1, y1) = artwork.bounding_box(unit=MM)
        assert (x0, y0, x1, y1) == pytest.approx(shapes.bounds, abs=0.002)
        assert len(artwork.objects) > 0


@pytest.mark.parametrize("name", BOARDS)
def test_a_reference_reader_sees_every_hole(name: str, written: Path) -> None:
    design, dialect, colours = BOARDS[name]
    seen: list[tuple[float, ...]] = []
    for role, (file, _) in set_files(design, dialect, colours, "ENIG").items():
        if role.startswith("drill"):
            drill = ExcellonFile.open(written / name / file)
            for hole in drill.objects:
                assert hole.unit == MM
                at = (hole.x, hole.y) if hasattr(hole, "x") else (hole.x1, hole.y1)
                seen.append((round(at[0], 3), round(at[1], 3), round(hole.tool.diameter, 3)))
    assert sorted(seen) == sorted((round(h.x, 3), round(h.y, 3), round(h.diameter_mm, 3)) for h in design.holes)


def test_netlist_columns_are_those_of_the_standard() -> None:
    # IPC-D-356 columns: 1-3 kind, 4-17 net, 21-26 part, 27 dash, 28-31 pin, 33-38 drill, 39-41 access, 42-57 place
    design, dialect, colours = BOARDS["turnout-driver"]
    _, content = set_files(design, dialect, colours, "ENIG")["netlist"]
    record = next(line for line in content.decode("ascii").splitlines() if line[20:31] == "J10   -2   ")
    pad = next(pad for pad in design.pads if (pad.component, pad.pin) == ("J10", "2"))
    assert (record[:3], record[3:17].strip(), record[32:38], record[38:41]) == ("317", "+5V", "D1000P", "A00")
    assert (record[41], int(record[42:49])) == ("X", round(pad.x * 1000))
    assert (record[49], int(record[50:57])) == ("Y", round(pad.y * 1000))
    assert max(map(len, content.decode("ascii").splitlines())) <= 80


def test_component_layers_outline_the_largest_bodies(written: Path) -> None:
    # Gerber layer format 6.9: a closed outline with aperture function ComponentOutline,Body and pen 0.100, under .C
    design = BOARDS[FAULTY][0]
    artwork = GerberFile.open(written / FAULTY / "track-detector-pnp-top.gbr")
    relay = next(part for part in design.parts if part.reference == "K1")
    lines = [one for one in artwork.objects if isinstance(one, GerberLine) and one.attrs.get(".C") == ("K1",)]
    xs, ys = [x for line in lines for x in (line.x1, line.x2)], [y for line in lines for y in (line.y1, line.y2)]
    assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx(relay.body, abs=1e-6)
    assert (lines[0].x1, lines[0].y1) == pytest.approx((lines[-1].x2, lines[-1].y2))
    hidden = next(label for label in design.labels if label.text == "R15")
    assert box(*relay.body).contains(box(*hidden.box))


@pytest.mark.parametrize("name", BOARDS)
def test_copper_of_different_nets_keeps_apart(name: str) -> None:
    # 0.15 mm between conductors: common practice, no source
    design = BOARDS[name][0]
    for side in SIDES:
        copper = [one for one in design.layers["copper", side] if isinstance(one, Flash | Line) and one.dark]
        shapes = [shape_of(one) for one in copper]
        for first, second in STRtree(shapes).query(shapes, "dwithin", 0.15).T.tolist():
            assert copper[first].net == copper[second].net, (side, copper[first], copper[second])


def test_ground_is_cut_clear_of_every_other_net() -> None:
    design = BOARDS["turnout-driver"][0]
    area, *above = design.layers["copper", "bottom"]
    dark = [one for one in above if isinstance(one, Flash | Line) and one.dark]
    clear = unary_union([shape_of(one) for one in above if isinstance(one, Flash | Line) and not one.dark])
    others = unary_union([shape_of(one) for one in dark if one.net != "GND"])
    assert shape_of(area).difference(clear).distance(others) >= 0.15


def test_bottom_labels_read_on_the_bottom() -> None:
    for design, _, _ in BOARDS.values():
        for label in design.labels:
            if label.text.startswith("R") and len(label.text) > 1 and label.turned_deg == 0 and not label.mirrored:
                stem = label.characters[0][0]
                stands_left = stem[0][0] < sum(label.box[::2]) / 2
                assert stands_left == (label.side == "top")
