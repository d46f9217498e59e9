"""Does a tall component stand between the label and its reader?"""

from labelcheck.judging import Analyser, Measurement, Severity
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """Share of the label behind tall parts for an eye aslant, whether it looks from below or from above the label.

    A label that is hidden from one side only is none: whoever reads it turns the board.
    """
    shadow = evidence.shadow
    if shadow is None:
        return None
    between = (
        f"stands between {shadow.front_part} and {shadow.back_part}, which hide"
        if shadow.front_part != shadow.back_part
        else f"stands close by {shadow.front_part}, which hides"
    )
    value = min(shadow.front, shadow.back)
    return Measurement(
        value=value,
        limit=limits.shadowed,
        box_mm=evidence.label.box_mm,
        said=f"{between} {value * 100:.0f} % of it from an eye {limits.viewing_angle_deg:g}° off the normal",
        asked="it can be read from straight above only",
        advice="Move it out from between the tall parts.",
        at_worst=Severity.DOUBTFUL,
    )


ANALYSER = Analyser(
    name="behind-body",
    question=__doc__,
    rationale=(
        "A board is rarely looked at straight from above: a connector or a coil keeps labels behind it out of sight."
    ),
    measure=measure,
    needs="bodies",
)
