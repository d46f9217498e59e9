"""Does a reference stand so near to another part that it is taken for that one's?"""

from collections.abc import Sequence

from labelcheck.judging import Analyser, Measurement, Severity
from labelcheck.press.board_evidence import BoardEvidence
from labelcheck.press.whose import Mistaken, mistaken_references
from labelcheck.trade.limits import Limits
from labelcheck.trade.sides import OUTER_SIDES, Side
from labelcheck.trade.units import format_length


def measure(evidence: BoardEvidence, limits: Limits) -> Sequence[Measurement]:
    """References much nearer to another part of their kind, one that has no nearer reference, than to their own.

    Two parts that carry one another's reference are told once.
    """
    found: list[Measurement] = []
    for side in OUTER_SIDES:
        labels = [one.label for one in evidence.on(side)]
        mistaken = mistaken_references(evidence.components, labels, side)
        told: set[str | None] = set()
        for one in mistaken:
            swapped = next((two for two in mistaken if two.own is one.other and two.other is one.own), None)
            if one.own.reference not in told:
                found.append(_measured(one, swapped, limits))
            told.update({one.other.reference} if swapped is not None else ())
    return found


def _measured(one: Mistaken, swapped: Mistaken | None, limits: Limits) -> Measurement:
    other = f"{one.other.reference}"
    said = (
        f"stands {format_length(one.other_mm)} from {other} and {format_length(one.own_mm)} from its own part"
        if one.other_mm > 0 else f"stands on {other} and {format_length(one.own_mm)} from its own part"
    )
    return Measurement(
        value=one.own_mm - one.other_mm,
        limit=limits.mistaken_part,
        box_mm=one.label.box_mm,
        said=said if swapped is None else f'{said}, and "{other}" the other way round',
        asked="it is taken for the reference of the part beside it",
        at_least=Severity.DOUBTFUL if swapped is not None else None,
        advice=f"Move it to its own part, at {_place(one)}." if swapped is None else "Change the two over.",
        side=Side(one.label.side),
        label=one.label,
    )


def _place(one: Mistaken) -> str:
    at = one.own.at_mm
    if at is None and one.own.pins:
        at = (one.own.pins[0].x_mm, one.own.pins[0].y_mm)
    return "its pads" if at is None else f"{at[0]:.1f}, {at[1]:.1f} mm"


ANALYSER = Analyser(
    name="nearer-to-another",
    question=__doc__,
    rationale="Whoever fits, tests or repairs the board takes the nearest reference: two values are changed over.",
    measure_board=measure,
)
