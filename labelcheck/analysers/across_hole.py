"""How much of the label falls into a hole?"""

from labelcheck.judging import Analyser, LossWording, Measurement, Severity, measure_loss, move
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import format_length


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """Ink over open holes and slots, else over holes that mask covers, where ink breaks up.

    Ink that an opening takes already is not counted again.
    """
    open_loss, covered = evidence.hole, evidence.covered_hole
    clearance = format_length(limits.hole_clearance.value_mm)
    if open_loss is not None and open_loss.characters:
        wording = LossWording(
            loses="loses {share} in a hole",
            may_lose=f"has {{share}} nearer than {clearance} to a hole",
            advice=f"{move(open_loss)}, {clearance} clear of the hole.",
        )
        return measure_loss(open_loss, evidence, limits, wording)
    if covered is None:
        return None
    told = "has {share} over a small hole under the mask"
    advice = f"{move(covered)} if there is room: ink breaks up there."
    return measure_loss(covered, evidence, limits, LossWording(told, told, advice, at_worst=Severity.NOTE))



ANALYSER = Analyser(
    name="across-hole",
    question=__doc__,
    rationale="No ink stays over a hole; fabricators remove it around drilled and routed edges.",
    measure=measure,
    needs="holes",
)
