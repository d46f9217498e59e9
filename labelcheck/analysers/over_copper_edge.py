"""On heavy copper: do labels lie across its edges?"""

from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.copper import TOLD
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits
from labelcheck.trade.sides import Side

PARTLY = 0.1
"""A label lies across an edge where at least so much of its ink lies on copper, and so much beside it (judgement)."""
MOST_NAMED = 3


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """Labels partly on copper and partly beside it, once a side at the one whose halves lie on two tones.

    Copper is looked at only where it is heavy.
    """
    return [told for side in evidence.legends if (told := _on_side(side, evidence, limits)) is not None]


def _on_side(side: Side, evidence: BoardEvidence, limits: Limits) -> Measurement | None:
    across = [one for one in evidence.on(side) if one.on_copper is not None and PARTLY < one.on_copper < 1 - PARTLY]
    if not across:
        return None
    worst = min(across, key=lambda one: (abs((one.on_copper or 0.0) - 0.5), one.label.id))
    others = [one for one in across if one is not worst]
    thickness = limits.copper_thickness.value_mm
    thick = f"{thickness:.3f} mm thick" + (f", {TOLD}" if limits.copper_thickness.source == TOLD else "")
    return Measurement(
        value=thickness,
        limit=limits.copper_step,
        box_mm=worst.label.box_mm,
        said=f"lies across an edge of copper {thick}{_and_others(others, side)}",
        asked="ink breaks up at such a step, and one word stands on two tones",
        advice=f"Move {'each' if others else 'it'} wholly onto the copper or off it, where it has to be read.",
        side=side,
        label=worst.label,
    )


def _and_others(others: Sequence[Evidence], side: Side) -> str:
    if not others:
        return ""
    names = ", ".join(one.label.called() for one in others[:MOST_NAMED])
    more = ", …" if len(others) > MOST_NAMED else ""
    return f", and so {'do' if len(others) > 1 else 'does'} {len(others)} more on the {side} ({names}{more})"


ANALYSER = Analyser(
    name="over-copper-edge",
    question=__doc__,
    rationale=(
        "At the edge of thick copper the mask steps down by as much: ink thins and breaks there, and the two tones "
        "of mask beneath one word make it harder to read."
    ),
    measure_board=measure,
)
