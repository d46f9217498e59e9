"""Does the label read only in a mirror?"""

from labelcheck.judging import Analyser, Measurement
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """Text that was read only when the side was looked at in a mirror."""
    label = evidence.label
    if not label.mirrored:
        return None
    other = "bottom" if label.side == "top" else "top"
    return Measurement(
        value=1.0,
        limit=limits.mirrored,
        box_mm=label.box_mm,
        said=f"reads only in a mirror on the {label.side}",
        asked=f"it is drawn as for the {other}",
        advice=f"Mirror it, or move it to the legend of the {other}.",
    )


ANALYSER = Analyser(
    name="mirrored",
    question=__doc__,
    rationale="Text drawn for one side and put on the other comes out as mirror writing, which hardly anybody reads.",
    measure=measure,
)
