"""Hand-made files of single constructs, kept outside the repository: what each must show, by our own reasoning.

The expected areas, boxes and points follow from the numbers in each file and the specification; nothing was taken
from a picture. Lengths here are in the unit of the file. The same constructs are tested on artworks of our own in
the other modules; these files show that others write them so.
"""

import math
from pathlib import Path

import numpy as np
import pytest
from shapely import Polygon, affinity

from labelcheck.formats.gerber.artwork import Artwork
from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.formats.gerber.sniffing import looks_like_gerber
from labelcheck.trade.errors import UnreadableFile

from .drawn import holds, messages, object_shape, picture

CASES = Path(__file__).resolve().parents[3] / "../shared/real-boards/syntax-cases"
pytestmark = pytest.mark.skipif(not CASES.is_dir(), reason="the syntax cases are kept outside the repository")

INCH = 25.4
DISC = math.pi / 4
Box = tuple[float, float, float, float]


def case(name: str) -> Artwork:
    path = CASES / name
    return read_artwork(path.name, path.read_bytes())


def arcs(radius: float, degrees: float, pen: float = 0.15) -> float:
    """Area of two arcs with round ends."""
    return 2 * (math.radians(degrees) * radius * pen + DISC * pen**2)


def regular(corners: int, diameter: float = 0.5) -> float:
    return corners / 2 * (diameter / 2) ** 2 * math.sin(2 * math.pi / corners)


def half_strip(radius: float, half: float) -> float:
    """Area of a disc's half within a strip about its axis."""
    return half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius)


THERMAL = math.pi * (0.25**2 - 0.2**2) - 4 * (half_strip(0.25, 0.05) - half_strip(0.2, 0.05))
RINGS = math.pi * (0.25**2 - 0.21**2)
# The hair cross is 0.01 wide and 0.55 long; only what lies between the rings and beyond them adds ink.
MOIRE_OF_2 = RINGS + math.pi * (0.18**2 - 0.14**2) + 4 * 0.01 * (0.03 + 0.14 + 0.025) - 0.0001
MOIRE_OF_4 = RINGS + math.pi * (0.18**2 - 0.14**2 + 0.11**2 - 0.07**2 + 0.04**2) + 4 * 0.01 * (3 * 0.03 + 0.025)
MOIRE_CLEAR = RINGS + math.pi * (0.185**2 - 0.145**2) + 4 * 0.01 * (0.025 + 0.145 + 0.025) - 0.0001
# 1 x 0.5 less a disc of 0.4; a bar of 0.1 x 0.75 upright, one of 0.75 x 0.1 above; less three discs of 0.1.
EXPOSURES = 0.5 - DISC * 0.16 + 2 * half_strip(0.2, 0.05) + 0.1 * 0.25 + 0.075 - 0.1 * 0.075 - 3 * DISC * 0.01
CROSS = 2 * (2 * 0.05 + DISC * 0.05**2) - 0.05**2

QUADRANTS = ["I", "II", "III", "IV"]
TURNS = {
    f"render-cases/arc-strokes/multi-quadrant-{QUADRANTS[a]}-to-{QUADRANTS[b]}.gbr": 90 * ((b - a) % 4)
    for a in range(4) for b in range(4) if a != b
}  # fmt: skip

AREAS: dict[str, float] = {
    **{name: arcs(math.hypot(0.25, 0.25), degrees) for name, degrees in TURNS.items()},
    "render-cases/arc-strokes/full-circle.gbr": 2 * math.tau * 0.5 * 0.15,
    "render-cases/arc-strokes/zero-length.gbr": DISC * 0.25**2,
    "render-cases/arc-strokes/single-quadrant-I-to-II.gbr": arcs(
        math.hypot(0.25, 0.4), 2 * math.degrees(math.atan(0.25 / 0.4))),
    "render-cases/arc-strokes/single-quadrant-II-to-III.gbr": arcs(
        math.hypot(0.5, 0.25), 2 * math.degrees(math.atan(0.5))),
    "render-cases/arc-strokes/single-quadrant-III-to-IV.gbr": arcs(0.65, 2 * math.degrees(math.atan(0.25 / 0.6))),
    "render-cases/arc-strokes/single-quadrant-IV-to-I.gbr": arcs(
        math.hypot(0.5, 0.25), 2 * math.degrees(math.atan(0.5))),
    "render-cases/macro-primitives/circle-primitive.gbr": DISC * 0.25,
    "render-cases/macro-primitives/center-rect-primitive.gbr": 0.125,
    "render-cases/macro-primitives/rotated-center-rect-primitive.gbr": 0.125,
    "render-cases/macro-primitives/lower-left-rect-primitive.gbr": 0.125,
    "render-cases/macro-primitives/rotated-lower-left-rect-primitive.gbr": 0.125,
    "render-cases/macro-primitives/outline-primitive.gbr": 0.125,
    "render-cases/macro-primitives/rotated-outline-primitive.gbr": 0.125,
    "render-cases/macro-primitives/polygon-primitive.gbr": regular(5),
    "render-cases/macro-primitives/rotated-polygon-primitive.gbr": regular(5),
    "render-cases/macro-primitives/vector-primitive.gbr": 0.25 * math.sqrt(0.5),
    "render-cases/macro-primitives/rotated-vector-primitive.gbr": 0.25 * math.sqrt(0.5),
    "render-cases/macro-primitives/thermal-primitive.gbr": THERMAL,
    "render-cases/macro-primitives/rotated-thermal-primitive.gbr": THERMAL,
    "render-cases/macro-primitives/moire-primitive.gbr": MOIRE_OF_2 + MOIRE_OF_4,
    "render-cases/macro-primitives/rotated-moire-primitive.gbr": MOIRE_OF_2 + MOIRE_OF_4,
    "render-cases/macros/multiple-exposures.gbr": EXPOSURES,
    "render-cases/macros/clear-with-multiple-exposures.gbr": 1.21 - EXPOSURES,
    "render-cases/macros/clear-with-thermal.gbr": 1.21 - THERMAL,
    "render-cases/macros/clear-with-moire.gbr": 1.21 - MOIRE_CLEAR,
    "render-cases/pads/circle.gbr": DISC * 0.25,
    "render-cases/pads/circle-with-hole.gbr": DISC * (0.25 - 0.0625),
    "render-cases/pads/circle-with-rect-hole.gbr": DISC * 0.25 - 0.0375,
    "render-cases/pads/rectangle.gbr": 0.5,
    "render-cases/pads/rectangle-with-hole.gbr": 0.5 - DISC * 0.0625,
    "render-cases/pads/rectangle-with-rect-hole.gbr": 0.5 - 0.0375,
    "render-cases/pads/obround.gbr": 0.25 + DISC * 0.25,
    "render-cases/pads/obround-with-hole.gbr": 0.25 + DISC * (0.25 - 0.0625),
    "render-cases/pads/obround-with-rect-hole.gbr": 0.25 + DISC * 0.25 - 0.0375,
    "render-cases/pads/polygon.gbr": sum(regular(corners) for corners in range(3, 13)),
    "render-cases/pads/polygon-rotated.gbr": regular(6),
    "render-cases/pads/polygon-with-hole.gbr": regular(6) - DISC * 0.0625,
    "render-cases/pads/polygon-with-rect-hole.gbr": regular(6) - 0.0375,
    "render-cases/regions/region-with-arc-cut-in.gbr": 0.8 - math.pi * 0.09,
    "render-cases/regions/region-with-arcs.gbr": 2.25 - (4 - math.pi) * 0.25,
    "render-cases/regions/region-with-cut-in-line.gbr": 0.9 * 1.5 - 0.4 * 0.4 - 0.4 * 0.3,
    "render-cases/regions/region-with-lines.gbr": 0.5 * 0.4 + 0.8 * 0.4 / 2,
    "render-cases/step-repeats/one-polarity.gbr": 6 * 0.25,
    "render-cases/step-repeats/multi-polarity.gbr": 6 * (0.25 - DISC * (0.25**2 - 0.15**2)),
    "render-cases/strokes/circle-tool-single-segment.gbr": 0.2 * math.hypot(0.5, 0.3) + DISC * 0.04,
    "render-cases/strokes/circle-tool-zero-length.gbr": DISC * 0.25,
    "render-cases/strokes/rect-tool-single-segment.gbr": 0.02 + 0.5 * 0.1 + 0.3 * 0.2,
    "render-cases/strokes/rect-tool-zero-length.gbr": 0.125,
    "parser-cases/test-aperture-macro-line21-rotation.gbx": 0.0787 * 0.1181,
    "parser-cases/test-aperture-circle-full.gbx": math.tau * 0.0282 * 0.0043,
    "parser-cases/test-circular-interpolation-mq-ccw.gbx": math.tau * 0.36 * 0.01,
    "parser-cases/test-circular-interpolation-zero-error.gbx": math.tau * (0.11 + 0.12 + 0.13 + 0.14) * 0.007,
    "parser-cases/test-polygon-fill-1.gbx": 0.04 + math.pi * 0.01 / 2 + 0.04 + 0.02 + 0.002,
    "parser-cases/test-image-polarity-1.gbx": 2.05**2 - CROSS,
    "parser-cases/test-image-offset-1.gbx": CROSS,
    "parser-cases/test-image-offset-2.gbx": CROSS,
    "parser-cases/test-image-justify-1.gbx": CROSS,
    "parser-cases/test-layer-offset-1.gbx": CROSS,
    "parser-cases/test-layer-knockout-1.gbx": 16 - 9 + CROSS,
    "parser-cases/test-layer-knockout-2.gbx": 16 - (2.05 + 1) ** 2 + CROSS,
    "parser-cases/test-layer-step-and_repeat-2.gbx": 6 * 0.04,
}  # fmt: skip

BOXES: dict[str, Box] = {
    "render-cases/arc-strokes/full-circle.gbr": (-1.075, -0.575, 1.375, 0.575),
    "render-cases/arc-strokes/zero-length.gbr": (-0.125, -0.125, 0.125, 0.125),
    "render-cases/arc-strokes/multi-quadrant-II-to-IV.gbr": (-0.928553, -0.428553, 0.825, 0.325),
    "render-cases/macro-primitives/lower-left-rect-primitive.gbr": (0, 0, 0.5, 0.25),
    "render-cases/macro-primitives/rotated-lower-left-rect-primitive.gbr": (0, -0.5, 0.25, 0),
    "render-cases/macro-primitives/rotated-center-rect-primitive.gbr": (-0.265165, -0.265165, 0.265165, 0.265165),
    "render-cases/macro-primitives/outline-primitive.gbr": (0, 0, 0.5, 0.5),
    "render-cases/macro-primitives/rotated-outline-primitive.gbr": (-0.5, -0.5, 0, 0),
    "render-cases/macro-primitives/polygon-primitive.gbr": (-0.202254, -0.237764, 0.25, 0.237764),
    "render-cases/macro-primitives/rotated-polygon-primitive.gbr": (-0.237764, -0.202254, 0.237764, 0.25),
    "render-cases/macro-primitives/vector-primitive.gbr": (-0.088388, -0.088388, 0.588388, 0.588388),
    "render-cases/macro-primitives/moire-primitive.gbr": (-0.275, -0.275, 0.875, 0.275),
    "render-cases/pads/polygon.gbr": (-0.25, -0.216506, 0.25, 5.65),
    "render-cases/regions/region-with-lines.gbr": (0.2, 0.1, 1.1, 0.9),
    "render-cases/step-repeats/one-polarity.gbr": (-0.25, -0.25, 2.25, 1.25),
    "render-cases/step-repeats/multi-polarity-over-self.gbr": (-0.5, -0.5, 1, 1),
    "render-cases/step-repeats/multi-polarity-over-existing.gbr": (-0.625, -0.625, 0.625, 0.625),
    "render-cases/strokes/rect-tool-multi-segment.gbr": (-0.1, -0.05, 1.1, 0.85),
    "render-cases/strokes/circle-tool-multi-segment.gbr": (-0.1, -0.1, 1.1, 0.9),
    "parser-cases/test-image-offset-1.gbx": (-1.025, -1.025, 1.025, 1.025),
    "parser-cases/test-image-offset-2.gbx": (-1.025, -1.025, 1.025, 1.025),
    "parser-cases/test-image-rotation-1.gbx": (-0.025, -2.025, 1.025, -0.975),
    "parser-cases/test-layer-offset-1.gbx": (-1.025, -1.025, 1.025, 1.025),
    "parser-cases/test-layer-axis-select-1.gbx": (-0.025, -1.025, 0.025, 1.025),
    "parser-cases/test-layer-mirror-image-1.gbx": (-1.025, -1.025, 0.025, 0.025),
    "parser-cases/test-layer-scale-factor-1.gbx": (-1.0125, -0.5125, 1.0125, 0.5125),
    "parser-cases/test-layer-step-and_repeat-1.gbx": (-1.025, -1.025, 11.025, 3.025),
    "parser-cases/test-layer-step-and_repeat-2.gbx": (0.4, 0, 2.6, 1.2),
    "parser-cases/test-layer-rotation-1.gbx": (-0.0125, 0.694607, 1.426714, 2.13382),
}

INK, BARE = True, False
POINTS: dict[str, list[tuple[float, float, bool]]] = {
    "render-cases/arc-strokes/multi-quadrant-I-to-IV.gbr": [(-0.85355, 0, INK), (-0.14645, 0, BARE)],
    "render-cases/arc-strokes/single-quadrant-II-to-III.gbr": [
        (-0.05902, 0, INK), (-0.45902, 0, INK), (0.2, 0, BARE)],
    "render-cases/macros/multiple-exposures.gbr": [
        (0, 0, INK), (0.1, 0.1, BARE), (0.35, 0, BARE), (0, 0.35, BARE), (0.3, 0.35, INK), (0.45, 0.2, INK),
        (0, -0.3, INK)],
    "render-cases/macros/clear-with-multiple-exposures.gbr": [(0, 0, BARE), (0.1, 0.1, INK), (0.5, 0.5, INK)],
    "render-cases/macros/clear-with-thermal.gbr": [(0, 0, INK), (0.16, 0.16, BARE), (0.225, 0, INK)],
    "render-cases/macro-primitives/rotated-thermal-primitive.gbr": [
        (0.225 * math.cos(math.radians(-25)), 0.225 * math.sin(math.radians(-25)), BARE), (0.225, 0.05, INK)],
    "render-cases/regions/region-with-arc-cut-in.gbr": [(0.8, 0.6, BARE), (0.3, 0.59, INK), (0.45, 0.6, INK)],
    "render-cases/regions/region-with-cut-in-line.gbr": [(12.7, 26.2, BARE), (12.7, 26.85, BARE), (12.7, 26.5, INK)],
    "render-cases/step-repeats/multi-polarity-over-self.gbr": [
        (0.5, 0.5, INK), (0.65, 0.5, BARE), (0.75, 0.5, INK), (0.85, 0.5, BARE), (0.95, 0.5, INK),
        (-0.05, -0.05, INK), (-0.3, -0.3, INK), (-0.25, -0.25, BARE)],
    "render-cases/step-repeats/multi-polarity-over-existing.gbr": [
        (0.375, 0.375, BARE), (0.2, 0.2, INK), (0, 0, BARE), (0, 0.46, INK), (0.6, 0.6, INK), (-0.3, 0.2, INK)],
    "parser-cases/test-aperture-circle-flash-1.gbx": [
        (0, 0, INK), (0.1, 0, BARE), (0.02, 0.1, INK), (0.012, 0.114, BARE), (0.1, 0.09, INK), (0.1, 0.075, INK)],
    "parser-cases/test-aperture-rectangle-flash-1.gbx": [
        (0.02, 0.035, INK), (0.1, 0, BARE), (0.135, 0.02, INK), (0.01, 0.1, BARE), (0.01, 0.11, INK)],
    "parser-cases/test-aperture-obround-flash-1.gbx": [
        (0, 0.035, INK), (0.02, 0.035, BARE), (0.1, 0, BARE), (0.12, 0.01, INK), (0.01, 0.1, BARE),
        (0.01, 0.11, INK)],
    "parser-cases/test-aperture-polygon-flash-1.gbx": [
        (0.02, 0, INK), (-0.02, 0, BARE), (0.1, 0, BARE), (0, 0.1, BARE)],
    "parser-cases/test-layer-rotation-1.gbx": [(math.sqrt(0.5), 2, INK)],
    "spec-samples/gerberTest1.gbr": [
        (0, 0, INK), (2, 2, BARE), (5, 3, INK), (10, -10, INK), (12.8, -7.2, INK), (11, -9, BARE)],
    "spec-samples/gerberTest2.gbr": [(0, 0, INK), (2, 2, BARE), (6, 9, INK), (-9, 9, INK), (7, 0, BARE)],
    "spec-samples/gerberTest3.gbr": [(10, 1, INK), (10, 5.5, BARE), (10, 8, INK), (10, 14, BARE), (4, 10, INK)],
    "spec-samples/gerberTest18.gbr": [(9, 7, BARE), (13, 8, INK), (4, 3, INK)],
    "spec-samples/gerberTest19.gbr": [(-3.5, 5, INK), (-0.5, 5.1, BARE), (2, 2, INK), (9, 8, BARE)],
}  # fmt: skip


def scale(artwork: Artwork) -> float:
    return INCH if artwork.unit == "inch" else 1.0


@pytest.mark.parametrize("name", sorted(AREAS))
def test_area(name: str) -> None:
    artwork = case(name)
    assert picture(artwork.shapes).area / scale(artwork) ** 2 == pytest.approx(AREAS[name], rel=5e-4)


@pytest.mark.parametrize("name", sorted(BOXES))
def test_box(name: str) -> None:
    artwork = case(name)
    assert picture(artwork.shapes).bounds == pytest.approx([side * scale(artwork) for side in BOXES[name]], abs=2e-3)


@pytest.mark.parametrize("name", sorted(POINTS))
def test_points(name: str) -> None:
    artwork = case(name)
    shape = picture(artwork.shapes)
    unit = scale(artwork)
    for x, y, is_ink in POINTS[name]:
        assert holds(shape, x * unit, y * unit) is is_ink, (x, y)


def test_every_case_is_read_or_known_to_be_no_artwork() -> None:
    unread = {}
    for path in sorted(CASES.rglob("*")):
        if not path.is_file() or not looks_like_gerber(path.read_bytes()):
            continue
        try:
            assert read_artwork(path.name, path.read_bytes()).whole
        except UnreadableFile as error:
            unread[path.name] = error.problem
    # This one is a piece to be included in another file: it has neither head nor end.
    assert list(unread) == ["include-file-1.gbx"]


def test_drills_are_no_artwork() -> None:
    drills = [path for path in CASES.rglob("*") if path.suffix in (".drl", ".exc")]
    assert len(drills) >= 9 and not any(looks_like_gerber(path.read_bytes()) for path in drills)


def test_units_that_change_within_a_file() -> None:
    # Three boxes 1 inch and 25 mm wide, thermals of 1 inch and 25.4 mm set in both units.
    artwork = case("parser-cases/test-layer-mode-1.gbx")
    shape = picture(artwork.shapes)
    assert shape.bounds[0] == pytest.approx(-0.635) and shape.bounds[2] == pytest.approx(125 + 0.635)
    for x, y in ((12.7, 12), (63.5, 12.7), (112, 12)):
        assert holds(shape, x + 6.4, y + 6.4) and not holds(shape, x + 9, y) and not holds(shape, x + 2, y + 2)
    assert holds(shape, 50.8, 12.7) and holds(shape, 100, 12.5)


def test_blocks_in_blocks_in_repeats() -> None:
    # A block of 3, six of them in another, four of those and a flash in a third: 73; six of those; 2; 8 x 7 x 2.
    artwork = case("spec-samples/gerberTest8.gbr")
    assert len(artwork.shapes) == 6 * (4 * 6 * 3 + 1) + 2 + 8 * 7 * 2


def test_a_block_in_four_attitudes() -> None:
    artwork = case("spec-samples/gerberTest10.gbr")
    shapes = artwork.shapes
    assert len(shapes) == 4 * 5
    names = [dict(artwork.attribute_sets[row])["BlockId"] for row in shapes.attributes]
    assert names == [(f"Block{n}",) for n in (1, 2, 3, 4) for _ in range(5)]
    first = picture(shapes.take(np.arange(5)))
    fourth = picture(shapes.take(np.arange(15, 20)))
    at = affinity.scale(affinity.translate(first, 1, 0), -1, -1, origin=(0, 0))
    turned = affinity.scale(affinity.rotate(at, 25, origin=(0, 0)), 0.6, 0.6, origin=(0, 0))
    expected = affinity.translate(turned, 9, 7)
    assert fourth.symmetric_difference(expected).area < 1e-2


def test_rotated_primitives_repeat_every_third_of_a_turn() -> None:
    shape = picture(case("spec-samples/gerberTest11.gbr").shapes)
    assert shape.symmetric_difference(affinity.rotate(shape, 120, origin=(0, 0))).area < 2e-3 * shape.area


def test_trailing_zeros_omitted() -> None:
    shapes = case("spec-samples/gerberTest12.gbr").shapes
    assert (shapes.x0[0], shapes.y0[0], shapes.x1[0], shapes.y1[0]) == pytest.approx((-13.5, 10.4, 1, -4.5))
    assert (shapes.x0[1:].tolist(), shapes.y0[1:].tolist()) == ([0, -10], [0, 0.5])


def test_quarters_dot_and_circle() -> None:
    quarters, dot, circle = (picture(case(f"spec-samples/gerberTest{n}.gbr").shapes) for n in (13, 14, 15))
    assert quarters.bounds == pytest.approx((-16.215, -6.215, 10.215, 20.215), abs=2e-3)
    assert dot.area == pytest.approx(DISC * 0.43**2, rel=1e-3)
    assert circle.bounds == pytest.approx((9.785, -6.215, 36.215, 20.215), abs=2e-3)
    assert not holds(circle, 23, 7)


def test_modal_operations_in_and_out_of_a_region() -> None:
    artwork = case("spec-samples/gerberTest16.gbr")
    assert artwork.unit == "mm" and len(artwork.shapes) == 7 and artwork.remarks == ()
    corners = Polygon([(15, 5), (20, 0), (25, 15), (20, 15)])
    assert object_shape(artwork.shapes, 6).equals(corners)


def test_deprecated_defaults_change_nothing() -> None:
    artwork = case("spec-samples/gerberTest17.gbr")
    assert artwork.unit == "inch" and len(artwork.shapes) == 8 and artwork.remarks == ()


def test_sweeps_of_a_rectangle() -> None:
    shapes = case("spec-samples/gerberTest9.gbr").shapes
    assert len(shapes) == 16
    assert object_shape(shapes, 0).area == pytest.approx(4 * 2 + 20 * 2 + 20 * 4)
    # Turned by 45 degrees the rectangle is 6/√2 high: along (10, 0) it sweeps 10 times that.
    assert object_shape(shapes, 11).area == pytest.approx(8 + 10 * 6 / math.sqrt(2))


def test_line_endings_make_no_difference() -> None:
    feed, carriage = (case(f"spec-samples/gerberTest5_{ending}.gbr") for ending in ("LF", "CR"))
    assert (feed.shapes.line == carriage.shapes.line).all()
    assert (feed.shapes.vx == carriage.shapes.vx).all()


def test_what_is_not_followed_is_told() -> None:
    assert any("was not read" in message for message in messages(case("parser-cases/test-include-file-1.gbx")))
    assert any("was not followed" in message for message in messages(case("parser-cases/test-image-justify-2.gbx")))
