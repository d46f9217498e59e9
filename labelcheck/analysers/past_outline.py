"""How much of the label lies past the edge of the board, a cut-out included?"""

from labelcheck.judging import Analyser, LossWording, Measurement, Severity, characters_named, measure_loss
from labelcheck.press.evidence import Evidence
from labelcheck.trade.limits import Limits
from labelcheck.trade.units import Unit, format_length


def measure(evidence: Evidence, limits: Limits, unit: Unit) -> Measurement | None:
    """Ink outside the outline, or nearer to it than the clearance of a routed edge."""
    loss = evidence.outline
    if loss is None:
        return None
    clearance = format_length(limits.outline_clearance.value_mm, unit)
    whose = characters_named(evidence.label, loss.characters)
    if evidence.far_off_board:
        return measure_loss(
            loss,
            limits,
            LossWording(
                loses="lies off the board and is not printed ({fraction} of it)",
                may_lose="lies off the board and is not printed ({fraction} of it)",
                advice="Move it onto the board if it was meant to be on it.",
                at_worst=Severity.NOTE,
            ),
        )
    return measure_loss(
        loss,
        limits,
        LossWording(
            loses=f"runs past the edge of the board: {whose}, up to {{fraction}} of a character",
            may_lose=f"stands nearer than {clearance} to the edge: {whose}, up to {{fraction}} of a character",
            advice=f"Move it {format_length(loss.depth_mm, unit)} or more, {clearance} clear of the edge.",
        ),
    )


ANALYSER = Analyser(
    name="past-outline",
    question=__doc__,
    rationale="The router cuts through what lies past the outline, and its tolerance takes a little more.",
    measure=measure,
    needs="outline",
)
