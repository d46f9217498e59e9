"""Labels and evidence made by hand, for tests of the analysers."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from labelcheck.analysers import all_analysers
from labelcheck.judging import Finding, judge
from labelcheck.labels.label import Label, Mark
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits, limits_for
from labelcheck.trade.sides import Side

Judged = Callable[..., Finding | None]


@pytest.fixture
def label() -> Label:
    """A sound label, 2.3 x 1.3 mm: `R12`."""
    marks = tuple(
        Mark(number, (number,), (number * 0.8, 0.0, number * 0.8 + 0.7, 1.3), 0.18, character)
        for number, character in enumerate("R12")
    )
    return Label(
        id="T1", side=Side.TOP, text="R12", text_confidence=0.99, text_known_by="reading", kind="reference",
        box_mm=(0.0, 0.0, 2.3, 1.3), turned_deg=0.0, drawn_as="strokes", marks=marks, character_height_mm=1.3,
        stroke_least_mm=0.18, stroke_typical_mm=0.18, gap_mm=0.3,
    )


@pytest.fixture
def judged(label: Label) -> Judged:
    """Judges the sound label, changed as asked, by one analyser: `judged("thin-stroke", stroke_least_mm=0.1)`.

    Fields of `Evidence` are changed there, all others in the label.
    """
    analysers = {analyser.name: analyser for analyser in all_analysers()}
    of_evidence = set(Evidence.__dataclass_fields__)

    def judge_changed(name: str, limits: Limits | None = None, **changes: object) -> Finding | None:
        in_label = {field: value for field, value in changes.items() if field not in of_evidence}
        changed = replace(label, **in_label)  # type: ignore[arg-type]  # the tests name the fields
        evidence = Evidence(
            label=changed, opening=None, hole=None, covered_hole=None, outline=None, far_off_board=False,
            crossing=None, printed_fraction=1.0,
        )
        in_evidence = {field: value for field, value in changes.items() if field in of_evidence}
        evidence = replace(evidence, **in_evidence)  # type: ignore[arg-type]  # the tests name the fields
        return judge(analysers[name], evidence, limits or limits_for())

    return judge_changed
