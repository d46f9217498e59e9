"""Does the same reference stand at two places of the board?"""

from labelcheck.judging import Analyser, Measurement
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """A reference that an earlier label carries too; told at the later one.

    The same reference on both sides of one place names one through-hole part and is none; nor is a panel of boards
    alike.
    """
    label, other = evidence.label, evidence.namesake
    if other is None:
        return None
    x0, y0, x1, y1 = other.box_mm
    return Measurement(
        value=2.0,
        limit=limits.namesakes,
        box_mm=label.box_mm,
        said=f"stands at another place too, at {(x0 + x1) / 2:.1f}, {(y0 + y1) / 2:.1f} mm on the {other.side}",
        asked="a reference names one part",
        advice="Find out which of the two parts is meant and give the other its own reference.",
    )


ANALYSER = Analyser(
    name="repeated-reference",
    question=__doc__,
    rationale="With one name on two parts, a person who fits, tests or repairs the board takes the wrong one.",
    measure=measure,
)
