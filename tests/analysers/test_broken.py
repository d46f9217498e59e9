"""A broken or incomplete analyser stops the program: an unasked question must never look like a clean answer."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

import labelcheck.analysers as room

GOOD = next(one for one in room.all_analysers() if one.name == "thin-stroke")


@pytest.mark.parametrize(
    ("analyser", "told"),
    [
        (None, "is no Analyser"),
        (replace(GOOD, name="another-name"), "named 'another-name'"),
        (replace(GOOD, question="Are the strokes wide enough"), "question or the rationale is missing"),
        (replace(GOOD, rationale=""), "question or the rationale is missing"),
        (replace(GOOD, measure=None), "either of labels or of the board"),
    ],
)
def test_a_broken_analyser_stops_the_program(monkeypatch, analyser, told) -> None:
    monkeypatch.setattr(room.pkgutil, "iter_modules", lambda _: [SimpleNamespace(name="thin_stroke")])
    monkeypatch.setattr(room.importlib, "import_module", lambda _: SimpleNamespace(ANALYSER=analyser))
    with pytest.raises((TypeError, ValueError), match=f"analysers/thin_stroke.py: .*{told}"):
        room.all_analysers()
