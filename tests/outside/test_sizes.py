"""Character height and stroke width against scikit-image: region properties, and a distance transform on a ridge."""

import numpy as np
import pytest
import skimage.measure
import skimage.morphology
from scipy import ndimage

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.label import Label
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.raster.rendering import render
from labelcheck.raster.windows import to_bitmap, window_around
from labelcheck.trade.shapes import Shapes
from labelcheck.trade.sides import Side
from tests.labels.alphabet import Lettering
from tests.labels.lettering import drawn

PITCH_MM = 0.005


def bitmap_of(shapes: Shapes, label: Label) -> np.ndarray:
    """The label's ink, rows from the bottom up; True where there is ink."""
    return to_bitmap(render(shapes, PITCH_MM), window_around(label.box_mm, 0.1, PITCH_MM))


@pytest.mark.parametrize("way", ["strokes", "regions", "regions with cut-ins"])
@pytest.mark.parametrize(("text", "height", "pen"), [("R47", 1.0, 0.12), ("TP3", 1.6, 0.2), ("EXIT", 2.4, 0.31)])
def test_height_and_stroke_of_words(way: str, text: str, height: float, pen: float) -> None:
    shapes = drawn(way, text, (3.0, 4.0), Lettering(height, pen))
    (label,) = find_labels(Side.TOP, Layer(("l",), shapes, (), ((),)), built_in_reader()).labels
    ink = np.ascontiguousarray(bitmap_of(shapes, label))
    regions = skimage.measure.regionprops(skimage.measure.label(ink))
    assert len(regions) == len(text)
    heights = [(region.bbox[2] - region.bbox[0]) * PITCH_MM for region in regions]
    assert label.character_height_mm == pytest.approx(max(heights), abs=0.015)
    # Twice the distance to the rim along the skeleton is the width of the stroke; at ends and meetings it is not.
    ridge = 2 * ndimage.distance_transform_edt(ink)[skimage.morphology.skeletonize(ink)] * PITCH_MM
    assert label.stroke_typical_mm == pytest.approx(np.median(ridge), abs=0.012)


@pytest.mark.parametrize("way", ["strokes", "regions"])
def test_box_of_a_word(way: str) -> None:
    shapes = drawn(way, "GATE 12", (3.0, 4.0), Lettering(1.5, 0.18))
    (label,) = find_labels(Side.TOP, Layer(("l",), shapes, (), ((),)), built_in_reader()).labels
    whole = bitmap_of(shapes, label)
    (region,) = skimage.measure.regionprops(whole.astype(np.uint8))
    rows, columns = region.bbox[2] - region.bbox[0], region.bbox[3] - region.bbox[1]
    x0, y0, x1, y1 = label.box_mm
    assert (x1 - x0, y1 - y0) == pytest.approx((columns * PITCH_MM, rows * PITCH_MM), abs=0.015)
