"""On heavy copper: do labels lie across its edges?"""

from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement
from labelcheck.labels.label import Box
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.copper import TOLD
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits
from labelcheck.trade.sides import Side

PARTLY = 0.1
"""A label lies across an edge where at least so much of its ink lies on copper, and so much beside it (judgement)."""
MOST_NAMED = 3


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """Labels partly on copper and partly beside it, once a side; copper is looked at only where it is heavy."""
    return [told for side in evidence.legends if (told := _on_side(side, evidence, limits)) is not None]


def _on_side(side: Side, evidence: BoardEvidence, limits: Limits) -> Measurement | None:
    across = [one for one in evidence.on(side) if one.on_copper is not None and PARTLY < one.on_copper < 1 - PARTLY]
    if not across:
        return None
    thickness = limits.copper_thickness.value_mm
    thick = f"{thickness * 1000:.0f} µm thick" + (f", {TOLD}" if limits.copper_thickness.source == TOLD else "")
    labels = "1 label lies" if len(across) == 1 else f"{len(across)} labels lie"
    return Measurement(
        value=thickness,
        limit=limits.copper_step,
        box_mm=_box(across),
        said=f"on the {side} {labels} across an edge of copper {thick} ({_named(across)})",
        asked="ink breaks up at such a step, and one word stands on two tones",
        advice="Move each wholly onto the copper or off it, where it has to be read.",
        side=side,
    )


def _named(across: Sequence[Evidence]) -> str:
    names = [one.label.called() for one in across[:MOST_NAMED]]
    return ", ".join(names) + (", …" if len(across) > MOST_NAMED else "")


def _box(across: Sequence[Evidence]) -> Box:
    boxes = [one.label.box_mm for one in across]
    lows, highs = [min(edge) for edge in zip(*boxes, strict=True)], [max(edge) for edge in zip(*boxes, strict=True)]
    return (*lows[:2], *highs[2:])


ANALYSER = Analyser(
    name="over-copper-edge",
    question=__doc__,
    rationale=(
        "At the edge of thick copper the mask steps down by as much: ink thins and breaks there, and the two tones "
        "of mask beneath one word make it harder to read."
    ),
    measure_board=measure,
)
