"""Is the label read from a third direction, where its side has two others?"""

from labelcheck.judging import Analyser, Measurement
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """Labels turned another way than the two main directions of their side; aslant labels are not asked."""
    label = evidence.label
    if not evidence.third_direction:
        return None
    return Measurement(
        value=label.turned_deg or 360.0,
        limit=limits.third_direction,
        box_mm=label.box_mm,
        said=f"is turned by {label.turned_deg:.0f}°, unlike the rest of the {label.side}",
        asked="two directions a side, from the bottom and from the right, are common practice",
        advice="Let all labels of the side be read from the same two directions.",
    )


ANALYSER = Analyser(
    name="reading-direction",
    question=__doc__,
    rationale="A board that has to be turned in the hand for every other label is read slowly and wrongly (6 or 9?).",
    measure=measure,
    notes_together="are turned another way than the rest, where two directions a side are common practice",
)
