"""Every way that legends draw text is found, read and measured; what is no text is not."""

import numpy as np
import pytest

from labelcheck.board.board import Layer
from labelcheck.labels.finding import find_labels
from labelcheck.labels.label import SideLabels
from labelcheck.labels.reading.reader import built_in_reader
from labelcheck.trade.shapes import Shapes, bars, concatenate
from labelcheck.trade.sides import Side

from .alphabet import Lettering, draw_text
from .lettering import WAYS, drawn

DRAWN_AS = {
    "strokes": "strokes", "scan lines": "strokes", "dots": "flashes",
    "regions": "regions", "regions with clear counters": "regions", "regions with cut-ins": "regions",
}


@pytest.fixture(scope="module")
def reader():
    return built_in_reader()


def find(reader, *parts: Shapes, side: Side = Side.TOP) -> SideLabels:
    return find_labels(side, Layer(("legend.gbr",), concatenate(parts), (), ((),)), reader)


def texts(found: SideLabels) -> list[str | None]:
    return sorted((label.text for label in found.labels), key=str)


@pytest.mark.parametrize(
    ("way", "angle"),
    # Dots painted aslant tell no direction by themselves: not found yet.
    [(way, angle) for way in WAYS for angle in (0.0, 90.0, 37.0) if (way, angle) != ("dots", 37.0)],
)
def test_text_is_found_read_and_measured_however_it_is_drawn(reader, way, angle):
    style = Lettering(1.6, 0.2)
    (label,) = find(reader, drawn(way, "ABR48", (3.0, 5.0), style, angle)).labels
    assert label.text == "ABR48"
    assert label.drawn_as == DRAWN_AS.get(way, "knocked out")
    assert label.turned_deg == pytest.approx(angle, abs=0.5)
    rough = 0.03 if way in ("scan lines", "dots", "knocked out by scan lines") else 0.01
    assert label.character_height_mm == pytest.approx(1.6, abs=rough)
    assert label.stroke_typical_mm == pytest.approx(0.2, abs=rough)
    # The triangle of the A: sides of the centre line from (0.7, 2) and (3.3, 2) to (2, 6), in units of 1.4 / 6 mm.
    assert label.gap_mm == pytest.approx(0.24, abs=2 * rough)
    # The steps that scan lines leave along slanting edges are no thin places.
    assert label.stroke_least_mm > 0.5 * 0.2


def test_a_title_and_small_text_and_lines_of_a_block(reader):
    found = find(
        reader,
        draw_text("TRACK", (0, 10), Lettering(2.5, 0.3)), draw_text("DETECTOR", (0, 7), Lettering(0.8, 0.12)),
        draw_text("REV 2", (0, 5.4), Lettering(0.8, 0.12)),
    )
    assert texts(found) == ["DETECTOR", "REV 2", "TRACK"]
    assert [round(label.character_height_mm, 3) for label in found.labels] == [2.5, 0.8, 0.8]
    assert [label.id for label in found.labels] == ["T1", "T2", "T3"]


def test_references_in_a_row_are_a_label_each(reader):
    row = [draw_text(f"R{number}", (number * 2.9, 0)) for number in range(1, 6)]
    assert texts(find(reader, *row)) == ["R1", "R2", "R3", "R4", "R5"]


def test_pin_names_at_their_pitch_are_a_label_each(reader):
    small = Lettering(0.8, 0.12)
    names = [draw_text(name, (at * 2.54, 0), small) for at, name in enumerate(("5V", "3V", "A2", "A3"))]
    assert texts(find(reader, *names)) == ["3V", "5V", "A2", "A3"]


def test_words_a_blank_apart_are_one_label(reader):
    assert texts(find(reader, draw_text("SIGNAL HEAD 2"))) == ["SIGNAL HEAD 2"]


def test_signs_beside_terminals_are_labels_and_bare_bars_are_not(reader):
    plus, minus = draw_text("+", (0, 0)), draw_text("-", (5, 0))
    plates = bars([10, 10.5], [0, 0], [10, 10.5], [1, 1], 0.15)
    found = find(reader, draw_text("MOTOR", (0, 3)), plus, minus, plates)
    assert texts(found) == ["+", "-", "MOTOR"]
    assert len(found.drawings) == 2


def test_a_circle_beside_text_is_no_letter_and_an_a_is(reader):
    turn = np.linspace(0, 2 * np.pi, 25)
    x, y = 8 + 0.8 * np.cos(turn), 0.8 * np.sin(turn)
    circle = bars(x[:-1], y[:-1], x[1:], y[1:], 0.15)
    found = find(reader, draw_text("D12"), circle, draw_text("A", (0, 4)), draw_text("K", (6, 4)))
    assert texts(found) == ["A", "D12", "K"]


def test_text_that_touches_its_frame_is_found_and_the_frame_is_a_drawing(reader):
    frame = bars([-0.5, 4.2, 4.2, -0.5], [0, 0, 2, 2], [4.2, 4.2, -0.5, -0.5], [0, 2, 2, 0], 0.15)
    found = find(reader, frame, draw_text("U24"), draw_text("U25", (0, -3)))
    assert texts(found) == ["U24", "U25"]
    assert [mark.objects for mark in found.drawings] == [(0, 1, 2, 3)]


def test_letters_that_touch_are_read(reader):
    tight = Lettering(1.0, 0.18, spacing=0.7)
    assert texts(find(reader, draw_text("RELAY", lettering=tight))) == ["RELAY"]


def test_bottom_text_is_read_on_its_own_side(reader):
    word = draw_text("TURNOUT", (5, 5), angle_deg=90.0, mirrored=True)
    (label,) = find(reader, word, side=Side.BOTTOM).labels
    assert (label.text, label.turned_deg, label.id) == ("TURNOUT", pytest.approx(90.0), "B1")


def test_lower_case_measures_the_height_of_capitals(reader):
    (label,) = find(reader, draw_text("Track ten", lettering=Lettering(1.2, 0.15))).labels
    assert label.text == "Track ten"
    assert label.character_height_mm == pytest.approx(1.2, abs=0.01)


def test_each_mark_carries_its_character(reader):
    (label,) = find(reader, draw_text("C:10%")).labels
    assert [mark.character for mark in label.marks][:1] == ["C"]
    assert {mark.character for mark in label.marks} == set("C:10%")


@pytest.mark.parametrize("way", ["strokes", "regions with clear counters", "knocked out by clear strokes"])
@pytest.mark.parametrize("angle", [1.0, 4.0, 11.0, 94.0, 188.0, 277.0])
def test_text_a_little_off_the_axes_is_whole_and_exactly_measured(reader, way, angle):
    """It reads along the axes too, but there its boxes are too large and its ends stand off the line."""
    found = find(reader, drawn(way, "MOTOR A", (3.0, 5.0), Lettering(1.5, 0.2), angle), draw_text("GND", (20, 20)))
    label = next(label for label in found.labels if label.text != "GND")
    assert label.text == "MOTOR A"
    assert label.turned_deg == pytest.approx(angle, abs=0.2)
    assert label.character_height_mm == pytest.approx(1.5, abs=0.005)


def test_letters_knocked_out_of_ink_may_be_as_large_as_a_title(reader):
    (label,) = find(reader, drawn("knocked out by rings", "FROG", (3.0, 5.0), Lettering(5.0, 0.6), 0.0)).labels
    assert (label.text, label.drawn_as) == ("FROG", "knocked out")


def test_words_in_two_cells_of_a_table_are_two_labels(reader):
    """They stand as near as words of one label; the rule between them belongs to the whole table."""
    style = Lettering(1.2, 0.15)
    words = [draw_text("AUTO", (0.0, 0.0), style), draw_text("AUTO", (4.6, 0.0), style)]
    assert texts(find(reader, *words)) == ["AUTO AUTO"]
    x, y = np.array([-0.8, 4.1, 9.0]), np.array([-0.6, 1.8])
    columns = bars(x, np.full(3, -0.6), x, np.full(3, 1.8), 0.12)
    rows = bars(np.full(2, -0.8), y, np.full(2, 9.0), y, 0.12)
    assert texts(find(reader, *words, columns, rows)) == ["AUTO", "AUTO"]
