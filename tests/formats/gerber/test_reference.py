"""Real files against a general-purpose reference library (gerbonara): boxes within 20 µm, ink area within 0.3 %.

A sample of small files of every origin; `tests/benchmarks/reading_artwork.py` compares all of them.
"""

from pathlib import Path

import numpy as np
import pytest

from labelcheck.formats.gerber.reading import read_artwork

from .reference import area_and_box, parse, reference_shapes, spelled_out

SETS = Path(__file__).resolve().parents[3] / "../shared/real-boards"
pytestmark = pytest.mark.skipif(not SETS.is_dir(), reason="the real sets are kept outside the repository")

SAMPLE = [
    "a64-sbc/*B_Mask.gbr",
    "eeg-cyton/*Bottom Silkscreen.gbr",
    "eeg-cyton/*Bottom Solder Mask.gbr",
    "fpga-stick-evt3/*F.SilkS.gto",
    "ip-bridge/*B_Silkscreen.gbr",
    "ip-bridge/*F_Mask.gbr",
    "isa-sound/*B.SilkS.gbr",
    "kbd-adapter/*F_Silkscreen.gto",
    "micro-synth/Gerber_BottomSilkLayer.GBO",
    "micro-synth/Gerber_TopSilkLayer.GTO",
    "mouse-breakout/silkscreen_top.gbr",
    "nixie-rev1/*.GTO",
    "rotary-breakout/*F_Silkscreen.gto",
    "stepper-ctl/controller.topsilk.gbr",
    "stepper-ctl/driver.fab.gbr",
    "video-itx/*F_Mask.gts",
    "vita-board/SILKSCREEN_TOP.art",
    "vita-board/SOLDERMASK_TOP.art",
]


@pytest.mark.parametrize("name", SAMPLE)
def test_area_and_box_agree(name: str) -> None:
    (path,) = SETS.glob(name)
    data = path.read_bytes()
    area, box = area_and_box(read_artwork(name, data).shapes)
    expected_area, expected_box = area_and_box(reference_shapes(parse(spelled_out(data.decode()))))
    assert area == pytest.approx(expected_area, rel=0.003)
    assert box is not None and expected_box is not None
    assert np.abs(np.subtract(box, expected_box)).max() <= 0.020
