"""Which pins of a connector have no label, while their neighbours have one?"""

from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.unnamed_pins import UnnamedPins, unnamed_pins
from labelcheck.trade.limits import Limits

MOST_TOLD = 6
"""Connectors that the sentence lists."""


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """Once a board, as a list; pins that the files leave unconnected need no name."""
    found = unnamed_pins(evidence.pin_rows)
    if not found:
        return ()
    pins = sum(len(one.pins) for one in found)
    listed = "; ".join(_listed(one) for one in found[:MOST_TOLD])
    more = f" and at {len(found) - MOST_TOLD} more connectors" if len(found) > MOST_TOLD else ""
    x, y = found[0].pins[0].x_mm, found[0].pins[0].y_mm
    return (
        Measurement(
            value=float(pins),
            limit=limits.unnamed,
            box_mm=(x - 1.0, y - 1.0, x + 1.0, y + 1.0),
            said=f"{pins} pin{'s have' if pins > 1 else ' has'} no label, and the neighbours have: {listed}{more}",
            asked="a row that names some of its pins is read as if it named all",
            advice="Name them too.",
            side=found[0].side,
        ),
    )


def _listed(one: UnnamedPins) -> str:
    names = ", ".join(f"{pin.name} ({pin.net})" if pin.net else pin.name for pin in one.pins)
    return f"{one.reference} pin{'s' if len(one.pins) > 1 else ''} {names}"


ANALYSER = Analyser(
    name="unnamed-pin",
    question=__doc__,
    rationale="Counting along from the next name is how the wrong pin is found.",
    measure_board=measure,
)
