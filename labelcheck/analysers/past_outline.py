"""How much of the label lies past the edge of the board, a cut-out included?"""

from labelcheck.judging import Analyser, LossWording, Measurement, Severity, measure_loss, move
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import format_length


def measure(evidence: Evidence, limits: Limits) -> Measurement | None:
    """Ink outside the outline, or nearer to it than the clearance of a routed edge."""
    loss = evidence.outline
    if loss is None:
        return None
    if evidence.far_off_board:
        told = "lies off the board and is not printed"
        advice = "Move it onto the board if it was meant to be on it."
        return measure_loss(loss, evidence, limits, LossWording(told, told, advice, at_worst=Severity.NOTE))
    clearance = format_length(limits.outline_clearance.value_mm)
    wording = LossWording(
        loses="has {share} past the edge of the board",
        may_lose=f"has {{share}} nearer than {clearance} to the edge of the board",
        advice=f"{move(loss)}, {clearance} clear of the edge.",
    )
    return measure_loss(loss, evidence, limits, wording)



ANALYSER = Analyser(
    name="past-outline",
    question=__doc__,
    rationale="The router cuts through what lies past the outline, and its tolerance takes a little more.",
    measure=measure,
    needs="outline",
)
