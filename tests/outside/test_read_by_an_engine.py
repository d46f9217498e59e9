"""What labels of demo boards read, against a general-purpose OCR engine (the `tesseract` command) where installed.

The engine sees black on white pictures of the ink, upright; it knows nothing of boards. Each reads alone.
"""

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from labelcheck.board.building import build_board
from labelcheck.board.opening import open_sets
from labelcheck.labels.finding import find_labels
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.raster.coverage import coverage
from labelcheck.trade.sides import Side

BOARDS = Path(__file__).resolve().parents[2] / "boards"
PIXELS_PER_MM = 30.0
LABELS = 30
AGREE = 0.8
"""Share of labels that both read alike: the engine alone reads 86 to 92 % of such labels right."""


@pytest.mark.skipif(shutil.which("tesseract") is None, reason="the OCR engine is not installed")
def test_the_engine_reads_the_same(tmp_path: Path) -> None:
    (fab_set,) = open_sets(BOARDS / "turnout-driver")
    legend = build_board(fab_set).board.top.legend
    assert legend is not None
    labels = [
        label
        for label in find_labels(Side.TOP, legend, built_in_reader()).labels
        if label.text is not None and label.text.isalnum() and len(label.text) >= 2 and label.turned_deg == 0
    ][:LABELS]
    names = []
    for number, label in enumerate(labels):
        rows = np.array([row for mark in label.marks for row in mark.objects])
        x0, y0, x1, y1 = label.box_mm
        ink = coverage(legend.shapes.take(np.sort(rows)), (x0 - 0.5, y0 - 0.5, x1 + 0.5, y1 + 0.5), PIXELS_PER_MM)
        names.append(tmp_path / f"{number:03}.png")
        Image.fromarray(255 - ink).save(names[-1], dpi=(600, 600))
    (tmp_path / "pages.txt").write_text("\n".join(map(str, names)))
    command = ["tesseract", str(tmp_path / "pages.txt"), "-", "--psm", "7", "-c", "page_separator=\f"]
    pages = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split("\f")
    alike = [page.strip().replace(" ", "") == label.text for page, label in zip(pages, labels, strict=False)]
    assert len(labels) >= 15
    assert np.mean(alike) >= AGREE
