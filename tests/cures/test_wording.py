"""A cure in a sentence, as a person sees it."""

import pytest

from labelcheck.cures.cure import Cure
from labelcheck.cures.wording import told, way
from labelcheck.labels.label import Label, Mark
from labelcheck.review.wording import in_unit
from labelcheck.trade.sides import Side

BOX = (1.0, 1.0, 3.0, 2.0)


def a_label(number: str = "T1", drawn_as: str = "strokes") -> Label:
    mark = Mark(0, (0,), BOX, 0.15, "R")
    return Label(
        id=number, side=Side.TOP, text="R12", text_confidence=1.0, text_known_by="reading", kind="reference",
        box_mm=BOX, turned_deg=0.0, drawn_as=drawn_as, marks=(mark,), character_height_mm=1.0,
        stroke_least_mm=0.15, stroke_typical_mm=0.15, gap_mm=None,
    )


def said(drawn_as: str = "strokes", **changes: object) -> str:
    return told(
        Cure("T1", **{"box_mm": BOX, **changes}), {"T1": a_label(drawn_as=drawn_as), "T2": a_label("T2")}, {}
    )


@pytest.mark.parametrize(
    ("shift", "side", "words"),
    [
        ((-0.8, 0.3), Side.TOP, "0.8 mm left and 0.3 mm up"),
        ((-0.8, 0.3), Side.BOTTOM, "0.8 mm right and 0.3 mm up"),
        ((0.0, -1.25), Side.BOTTOM, "1.25 mm down"),
        ((2.0, 0.0), Side.TOP, "2 mm right"),
    ],
)
def test_a_shift_is_told_as_it_is_seen(shift, side, words) -> None:
    assert way(shift, side) == words


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"shift_mm": (0.0, 0.3)}, "Move it 0.3 mm up, the nearest free place."),
        ({"height_mm": 1.17, "pen_mm": 0.15}, "Make it 1.17 mm high with a pen of 0.15 mm."),
        ({"pen_mm": 0.15, "drawn_as": "regions"}, "Draw it with strokes of 0.15 mm."),
        ({"turn_deg": 90, "shift_mm": (0.5, 0.0)},
         "Turn it a quarter turn to the left and move it 0.5 mm right, the nearest free place."),
        ({"turn_deg": 180}, "Turn it by half a turn."),
        ({"mirrored": True}, "Mirror it."),
        ({"cleared_by": "T2"}, 'It is clear once "R12" is changed as advised there.'),
        ({"box_mm": None, "in_the_way": ("mask openings", "holes"), "looked_mm": 10.0},
         "No place is free for it within 10 mm: mask openings and holes are in the way."),
        ({"box_mm": None, "in_the_way": ("the edge of the board",), "looked_mm": 10.0},
         "No place is free for it within 10 mm: the edge of the board is in the way."),
        ({"box_mm": None, "height_mm": 1.0, "in_the_way": ("drawn lines",)},
         "Make it 1.00 mm high. There is no room for it at that size where it stands: drawn lines are in the way."),
    ],
)
def test_the_sentence(changes, sentence) -> None:
    assert said(**changes) == sentence


def test_its_lengths_are_told_in_inches_where_asked() -> None:
    assert in_unit(said(shift_mm=(2.54, 0.0)), "inch") == "Move it 0.1000 in right, the nearest free place."
