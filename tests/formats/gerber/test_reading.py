"""Reading whole files: what every later part rests on."""

import pytest

from labelcheck.formats.gerber.reading import read_artwork
from labelcheck.trade.errors import UnreadableFile

HEAD = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,0.15*%\n%LPD*%\nG01*\n"


def test_a_stroke_keeps_its_pen_and_line() -> None:
    artwork = read_artwork("top.gbr", (HEAD + "D10*\nX1000000Y2000000D02*\nX3000000D01*\nM02*\n").encode())
    shapes = artwork.shapes
    assert len(shapes) == 1
    assert (shapes.x0[0], shapes.y0[0], shapes.x1[0], shapes.y1[0], shapes.width[0]) == (1, 2, 3, 2, 0.15)
    assert shapes.line[0] == 8
    assert artwork.apertures[shapes.aperture[0]].pen_mm == 0.15
    assert artwork.whole and artwork.remarks == () and artwork.unit == "mm"


def test_an_aperture_used_before_its_definition_is_an_error_with_its_line() -> None:
    with pytest.raises(UnreadableFile) as caught:
        read_artwork("top.gbr", (HEAD + "D14*\nX0Y0D03*\nM02*\n").encode())
    assert str(caught.value) == (
        "top.gbr:7: aperture D14 is used before it is defined. Export the set again; the file may be cut short."
    )
