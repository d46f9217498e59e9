"""The truth of the benchmark on references: texts are found where they were drawn, and nowhere else."""

import numpy as np
import pytest
from gerbonara.newstroke import Newstroke

from labelcheck.trade.shapes import bars
from tests.benchmarks.drawn_text import standing, strokes_of, whole


def _drawn(text: str, at: tuple[float, float], turned_deg: float, mirrored: bool) -> np.ndarray:
    """Strokes (n, 4) as the library itself lays the text out, 1.5 mm high, moved, turned and mirrored."""
    paths = [np.array(path) * 1.5 for path in Newstroke.load().render(text, scale=(1, -1))]
    turn = np.deg2rad(turned_deg)
    matrix = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    moved = [path @ matrix + at for path in paths]
    return np.concatenate([np.hstack((path[:-1], path[1:])) for path in moved]) * ((-1, 1, -1, 1) if mirrored else 1)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turned_deg", [0.0, 90.0, 217.0])
def test_a_text_stands_where_it_was_drawn(turned_deg: float, mirrored: bool) -> None:
    rows = np.concatenate([
        _drawn("R12", (3, 4), turned_deg, mirrored),
        _drawn("C7", (30, 40), turned_deg, mirrored),
        _drawn("R1", (60, 10), turned_deg, mirrored),
    ])
    strokes = strokes_of(bars(*rows.T, width=0.15), mirrored)
    places = [place for text in ("R1", "R12", "C7", "C1") for place in standing(text, strokes)]
    assert [place.text for place in places] == ["R1", "R1", "R12", "C7"]
    kept = whole(places, strokes)
    assert sorted(place.text for place in kept) == ["C7", "R1", "R12"]
    for place in kept:
        assert (place.turned_deg - turned_deg + 180) % 360 - 180 == pytest.approx(0, abs=0.1)
    x0, y0, x1, y1 = next(place.box_mm for place in kept if place.text == "R12")
    own = _drawn("R12", (3, 4), turned_deg, mirrored).reshape(-1, 2)
    assert np.allclose([x0, y0], own.min(axis=0) - 0.075) and np.allclose([x1, y1], own.max(axis=0) + 0.075)


def test_a_text_in_a_mirror_does_not_stand_there() -> None:
    rows = _drawn("R12", (3, 4), 0, mirrored=True)
    assert standing("R12", strokes_of(bars(*rows.T, width=0.15), mirrored=False)) == []
