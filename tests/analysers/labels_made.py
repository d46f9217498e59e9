"""Labels and evidence made by hand, for tests of the analysers."""

from dataclasses import replace

from labelcheck.labels.label import Label, Mark
from labelcheck.press.evidence import Evidence
from labelcheck.trade.sides import Side


def a_label(text: str | None = "R12", **changes: object) -> Label:
    """A sound label, 2.4 x 1.3 mm, changed as asked."""
    characters = list(text) if text is not None else [None] * 3
    marks = tuple(
        Mark(number, (number,), (number * 0.8, 0.0, number * 0.8 + 0.7, 1.3), 0.18, character)
        for number, character in enumerate(characters)
    )
    label = Label(
        id="T1", side=Side.TOP, text=text, text_confidence=0.99, text_known_by="reading", kind="reference",
        box_mm=(0.0, 0.0, 2.4, 1.3), turned_deg=0.0, drawn_as="strokes", marks=marks, character_height_mm=1.3,
        stroke_least_mm=0.18, stroke_typical_mm=0.18, gap_mm=0.3,
    )
    return replace(label, **changes)  # type: ignore[arg-type]  # the fields are named by the tests


def evidence_of(label: Label, **changes: object) -> Evidence:
    """A label that nothing happens to, changed as asked."""
    evidence = Evidence(
        label=label, opening=None, hole=None, covered_hole=None, outline=None, far_off_board=False, crossing=None,
        printed_fraction=1.0,
    )
    return replace(evidence, **changes)  # type: ignore[arg-type]  # the fields are named by the tests
