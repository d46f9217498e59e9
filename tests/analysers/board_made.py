"""Components, labels and the evidence of a board made by hand, for questions that are asked once a board."""

from collections.abc import Sequence

from labelcheck.analysers import all_analysers
from labelcheck.board.board import Appearance
from labelcheck.board.components import Component, Pin
from labelcheck.judging import Finding, judge_board
from labelcheck.labels.label import Label, Mark
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.evidence import Evidence
from labelcheck.press.pin_rows import rows_with_names
from labelcheck.trade.limits import limits_for
from labelcheck.trade.sides import OUTER_SIDES, Side

PITCH_MM = 2.54


def header(reference: str, nets: Sequence[str | None], at: tuple[float, float] = (0.0, 0.0)) -> Component:
    """A row of through-hole pins along x, pin 1 at `at`."""
    x, y = at
    pins = tuple(
        Pin(str(number), None, net, x + PITCH_MM * (number - 1), y, 1.7, 1.7, through=True)
        for number, net in enumerate(nets, start=1)
    )
    return Component(reference, Side.TOP, None, None, at, 0.0, pins, None)


def chip(reference: str, at: tuple[float, float]) -> Component:
    """Two pads 1.6 mm apart along x."""
    x, y = at
    ends = (("1", -0.8), ("2", 0.8))
    pins = tuple(Pin(name, None, None, x + off, y, 0.8, 0.9, through=False) for name, off in ends)
    return Component(reference, Side.TOP, None, None, at, 0.0, pins, None)


def label_at(text: str | None, x: float, y: float, side: Side = Side.TOP, confidence: float = 0.99) -> Label:
    """A label of 1 mm capitals around a middle."""
    half = 0.45 * len(text or "?")
    box = (x - half, y - 0.5, x + half, y + 0.5)
    marks = tuple(Mark(number, (number,), box, 0.15, character) for number, character in enumerate(text or "?"))
    return Label(
        id=f"{side[0].upper()}{x:g},{y:g}", side=side, text=text, text_confidence=confidence, text_known_by="reading",
        kind="word", box_mm=box, turned_deg=0.0, drawn_as="strokes", marks=marks, character_height_mm=1.0,
        stroke_least_mm=0.15, stroke_typical_mm=0.15, gap_mm=0.3,
    )


def names_along(texts: Sequence[str | None], y: float = 2.0, first: float = 0.0) -> list[Label]:
    """A label a pin above a header at the origin, None for none; `first` shifts all of them along by pins."""
    return [
        label_at(text, PITCH_MM * (place + first), y) for place, text in enumerate(texts) if text is not None
    ]


def asked(name: str, components: Sequence[Component], labels: Sequence[Label]) -> tuple[Finding, ...]:
    """What one analyser finds on such a board."""
    (analyser,) = (one for one in all_analysers() if one.name == name)
    evidence = BoardEvidence(
        tuple(
            Evidence(one, None, None, None, None, far_off_board=False, crossing=None, printed_fraction=1.0)
            for one in labels
        ),
        OUTER_SIDES, Appearance(None, None, None), (0.0, 0.0, 40.0, 30.0),
        components=tuple(components),
        pin_rows=tuple(row for side in OUTER_SIDES for row in rows_with_names(components, labels, side)),
    )
    return judge_board(analyser, evidence, limits_for())
