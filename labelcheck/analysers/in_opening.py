"""How much of the label is cut away where the solder mask is open?"""

from labelcheck.judging import Analyser, LossWording, Measurement, measure_loss, move
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import format_length


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """Ink within an opening or nearer to it than the clip distance; fabricators remove it."""
    loss = evidence.opening
    if loss is None:
        return None
    clip = format_length(limits.clip.value_mm)
    told = "loses {share} at a mask opening"
    advice = f"{move(loss)}, so that it clears the opening by {clip}."
    return measure_loss(loss, evidence, limits, LossWording(told, told, advice))



ANALYSER = Analyser(
    name="in-opening",
    question=__doc__,
    rationale=(
        "Pads must be clear of legend (Gerber layer format specification, 6.4): fabricators clip the legend at "
        "mask openings, and a character that loses a stroke becomes another character, or none."
    ),
    measure=measure,
    needs="openings",
)
