"""The directions that text may run in."""

import numpy as np
import pytest

from labelcheck.labels.directions import frames_along_axes, frames_aslant
from labelcheck.labels.marks import find_contacts, find_marks
from labelcheck.labels.pieces import pieces_of
from labelcheck.trade.shapes import Shapes, concatenate

from .alphabet import draw_text
from .lettering import drawn


def frames_of(*parts: Shapes, mirrored: bool = False):
    shapes = concatenate(parts)
    contacts = find_contacts(shapes)
    marks = find_marks(shapes, contacts)
    pieces = pieces_of(shapes, marks, contacts, mirrored)
    unsettled = np.zeros(len(marks), dtype=np.bool_)
    straight = frames_along_axes(pieces, marks, np.ones(len(marks), dtype=bool))
    return marks, straight + frames_aslant(pieces, marks, unsettled)


def test_text_along_the_axes_asks_for_no_other_direction():
    _, frames = frames_of(draw_text("TRIP HELD"), draw_text("HEATER", (0, 5), angle_deg=90.0))
    assert [frame.turned_deg for frame in frames] == [0.0, 90.0]


@pytest.mark.parametrize("way", ["strokes", "regions", "scan lines"])
@pytest.mark.parametrize("angle", [13.0, 45.0, 78.2, 120.0, 200.0])
def test_text_aslant_is_seen_upright_in_some_frame(way, angle):
    marks, frames = frames_of(draw_text("GND", (20, 20)), drawn(way, "TRACK", angle_deg=angle))
    aslant = np.flatnonzero(marks.box[:, 2] < 15)
    best = min(
        np.ptp(frame.box[np.isin(frame.mark, aslant), 3]) for frame in frames if np.isin(aslant, frame.mark).all()
    )
    assert best == pytest.approx(0, abs=0.04 if way == "scan lines" else 0.001)


def test_round_characters_together_tell_what_they_cannot_alone():
    _, frames = frames_of(draw_text("C96", angle_deg=33.0))
    assert any(abs(frame.turned_deg % 90 - 33.0) < 0.5 for frame in frames)


def test_the_bottom_is_seen_on_its_own_side():
    _, frames = frames_of(draw_text("TRACK", angle_deg=20.0, mirrored=True), mirrored=True)
    assert any(abs(frame.turned_deg % 90 - 20.0) < 0.5 for frame in frames)


def test_boxes_in_a_frame_are_exact():
    _, frames = frames_of(draw_text("HE", (3, 4), angle_deg=30.0))
    boxes = next(frame.box for frame in frames if abs(frame.turned_deg - 30.0) < 0.1)
    assert boxes[:, 3] - boxes[:, 1] == pytest.approx([1.0, 1.0], abs=1e-6)
